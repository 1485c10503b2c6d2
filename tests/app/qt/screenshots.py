"""Writes a picture of every page of the window: light, dark and German, at the scale that Qt is given.

    QT_SCALE_FACTOR=2 python -m tests.app.qt.screenshots JOB.json FOLDER

It needs a display (xvfb-run where there is none) or QT_QPA_PLATFORM=offscreen.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import pyqtgraph as pg
from PySide6.QtCore import QLocale
from PySide6.QtGui import QColor, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.qt.main_window import MainWindow
from app.qt.translations import speak
from app.runner import Runner

LIMIT_S = 120.0
SETTLE_MS = 400
FIRST_MS = 3000
LOOKS = (("light", "en_GB", False), ("dark", "en_GB", True), ("german", "de_DE", False))


def dark_palette() -> QPalette:
    """Return a palette that writes light on dark."""
    palette = QPalette(QColor("#3a3a3a"), QColor("#2b2b2b"))
    palette.setColor(QPalette.ColorRole.Base, QColor("#1e1e1e"))
    palette.setColor(QPalette.ColorRole.AlternateBase, QColor("#262626"))
    return palette


def take(job: Path, folder: Path, name: str) -> None:
    """Plan a job and write a picture of each page."""
    window = MainWindow(Runner())
    window.show()
    window.open_job(job)
    until_s = time.monotonic() + LIMIT_S
    while window.plan_worker.is_busy and time.monotonic() < until_s:
        QTest.qWait(50)
    QTest.qWait(FIRST_MS)
    window.compare_page.keep()
    window.compare_page.keep()
    for place in range(window.pages.count()):
        window.pages.setCurrentIndex(place)
        QTest.qWait(SETTLE_MS)
        window.grab().save(str(folder / f"{name}-{place + 1}.png"))
    window.close()


def main(job: Path, folder: Path) -> int:
    """Write all pictures and return the exit status."""
    application = QApplication(sys.argv[:1])
    pg.setConfigOptions(antialias=True)
    folder.mkdir(parents=True, exist_ok=True)
    light = QPalette(application.palette())
    for name, locale, dark in LOOKS:
        QLocale.setDefault(QLocale(locale))
        application.setPalette(dark_palette() if dark else light)
        installed = speak(application, locale[:2])
        take(job, folder, name)
        for translator in installed:
            application.removeTranslator(translator)
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
