"""Writes a picture of every page of the window: light, dark, German, and at twice the size.

    QT_QPA_PLATFORM=offscreen python -m tests.app.qt.screenshots JOB.json FOLDER [LOOK…]

It needs a display (xvfb-run where there is none) or QT_QPA_PLATFORM=offscreen. Each look is taken in a
process of its own, as Qt takes the scale when it starts.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import pyqtgraph as pg
from PySide6.QtCore import QLocale
from PySide6.QtGui import QColor, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QTabWidget, QWidget

from app.qt.about import AboutDialog
from app.qt.main_window import MainWindow
from app.qt.palette import clear_palette, read_clearly
from app.qt.preview import Preview
from app.qt.translations import speak
from app.runner import Runner

LIMIT_S = 120.0
SETTLE_MS = 400
FIRST_MS = 3000
SHOT = "--only"


@dataclass(frozen=True)
class Look:
    """How the window is shown: language, dark or light, scale, and the window's size before scaling."""

    locale: str
    is_dark: bool = False
    scale: int = 1
    size: tuple[int, int] = (1280, 800)


LOOKS = {
    "light": Look("en_GB"),
    "dark": Look("en_GB", is_dark=True),
    "german": Look("de_DE"),
    "double": Look("en_GB", scale=2, size=(1024, 640)),
    "german-double": Look("de_DE", scale=2, size=(1024, 640)),
}


def dark_palette() -> QPalette:
    """Return a palette that writes light on dark."""
    palette = QPalette(QColor("#3a3a3a"), QColor("#2b2b2b"))
    palette.setColor(QPalette.ColorRole.Base, QColor("#1e1e1e"))
    palette.setColor(QPalette.ColorRole.AlternateBase, QColor("#262626"))
    return palette


class Camera:
    """Takes pictures into a folder, in the order of a name and a running number."""

    def __init__(self, folder: Path, name: str) -> None:
        self._folder, self._name, self._number = folder, name, 0

    def take(self, widget: QWidget, what: str) -> None:
        """Write a picture of a widget once it has settled."""
        QTest.qWait(SETTLE_MS)
        self._number += 1
        widget.grab().save(str(self._folder / f"{self._name}-{self._number:02d}-{what}.png"))


def plan(window: MainWindow, job: Path) -> None:
    """Open a job and wait for its plan."""
    window.open_job(job)
    until_s = time.monotonic() + LIMIT_S
    while window.plan_worker.is_busy and time.monotonic() < until_s:
        QTest.qWait(50)
    QTest.qWait(FIRST_MS)


def take_all(job: Path, camera: Camera, size: tuple[int, int]) -> None:
    """Take the empty window, every page and its inner pages, the tools, the preview and the help."""
    window = MainWindow(Runner())
    window.resize(*size)
    window.show()
    camera.take(window, "empty")
    plan(window, job)
    window.compare_page.keep()
    window.compare_page.keep()
    for place in range(window.pages.count()):
        window.pages.setCurrentIndex(place)
        inner = window.pages.currentWidget().findChild(QTabWidget)
        for part in range(inner.count() if inner is not None else 1):
            if inner is not None:
                inner.setCurrentIndex(part)
                QTest.qWait(SETTLE_MS)
            camera.take(window, f"{place + 1}{chr(ord('a') + part)}")
    window.pages.setCurrentIndex(1)
    window.bench.take_tool("move")
    window.document.choose_copy(0)
    QTest.qWait(SETTLE_MS)
    camera.take(window, "moving")
    window.bench.take_tool("unpack")
    camera.take(window, "unpacking")
    window.bench.take_tool("look")
    preview = window.sheets.preview()
    if isinstance(preview, Preview):
        until_s = time.monotonic() + LIMIT_S
        while not preview.print_button.isEnabled() and time.monotonic() < until_s:
            QTest.qWait(50)
        camera.take(preview, "preview")
        preview.close()
    window.help.open("time-and-cost")
    if window.help.window is not None:
        camera.take(window.help.window, "help")
        window.help.window.close()
    about = AboutDialog(window)
    about.show()
    camera.take(about, "about")
    about.close()
    window.document.history.setClean()
    window.close()


def shoot(job: Path, folder: Path, name: str) -> int:
    """Take all pictures of one look, in this process."""
    look = LOOKS[name]
    QLocale.setDefault(QLocale(look.locale))
    application = QApplication(sys.argv[:1])
    pg.setConfigOptions(antialias=True)
    if look.is_dark:
        application.setPalette(clear_palette(dark_palette()).resolve(dark_palette()))
    else:
        read_clearly(application)
    speak(application, look.locale[:2])
    take_all(job, Camera(folder, name), look.size)
    return 0


def main(job: Path, folder: Path, names: list[str]) -> int:
    """Take the pictures of all looks, or of those that are named; returns the exit status."""
    folder.mkdir(parents=True, exist_ok=True)
    status = 0
    for name in names or list(LOOKS):
        with tempfile.TemporaryDirectory() as config:
            environment = {
                **os.environ,
                "QT_SCALE_FACTOR": str(LOOKS[name].scale),
                "CORESTOW_CONFIG_DIR": config,
            }
            call = [sys.executable, "-m", __spec__.name, SHOT, name, str(job), str(folder)]
            status |= subprocess.run(call, env=environment, check=False).returncode
    return status


if __name__ == "__main__":
    if sys.argv[1] == SHOT:
        sys.exit(shoot(Path(sys.argv[3]), Path(sys.argv[4]), sys.argv[2]))
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:]))
