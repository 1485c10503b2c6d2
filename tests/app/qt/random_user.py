"""A user at random, seeded: clicks, drags, wheel and keys on the window; tells faults, stalls and memory."""

from __future__ import annotations

import logging
import os
import shutil
import statistics
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path
from types import TracebackType

import numpy as np
import psutil  # type: ignore[import-untyped]
import shiboken6
from PySide6.QtCore import QMessageLogContext, QObject, QPoint, Qt, QTimer, QtMsgType, qInstallMessageHandler
from PySide6.QtGui import QCloseEvent, QDesktopServices, QWheelEvent
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QInputDialog, QMessageBox, QWidget

from app.qt.collector import Collector
from app.qt.main_window import MainWindow
from app.runner import Runner

STEP_MS = 25
SAMPLE_S = 5.0
SETTLED_SHARE = 0.25
"""Share of the run after which memory has settled: caches are filled by then."""
SCHEDULED = Path("/proc/thread-self/schedstat")
LEFT = Qt.MouseButton.LeftButton
NONE, CTRL, ALT, SHIFT = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.AltModifier,
    Qt.KeyboardModifier.ShiftModifier,
)
KEYS = [
    *((key, NONE) for key in (Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_Escape, Qt.Key.Key_Space)),
    *((key, NONE) for key in (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right)),
    *((key, NONE) for key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_End)),
    *((key, NONE) for key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace, Qt.Key.Key_F2, Qt.Key.Key_F5)),
    *((key, NONE) for key in (Qt.Key.Key_F1, Qt.Key.Key_F6, Qt.Key.Key_M, Qt.Key.Key_R, Qt.Key.Key_L)),
    *((key, SHIFT) for key in (Qt.Key.Key_Tab, Qt.Key.Key_Up, Qt.Key.Key_Left, Qt.Key.Key_F10)),
    *((key, CTRL) for key in (Qt.Key.Key_Z, Qt.Key.Key_Y, Qt.Key.Key_S, Qt.Key.Key_K, Qt.Key.Key_A)),
    *((key, CTRL) for key in (Qt.Key.Key_M, Qt.Key.Key_D, Qt.Key.Key_U, Qt.Key.Key_P, Qt.Key.Key_F)),
    *((key, CTRL) for key in (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4)),
    *((key, ALT) for key in (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_5)),
    *((key, ALT) for key in (Qt.Key.Key_6, Qt.Key.Key_J, Qt.Key.Key_E, Qt.Key.Key_V, Qt.Key.Key_H)),
]
TEXT = "0123456789.,-+%e abz/=<"


class StayingWindow(MainWindow):
    """A window that a random click can't close until the run is over."""

    stays = True

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802  (Qt's name)
        """Stay, or close without asking."""
        if self.stays:
            event.ignore()
            return
        self.document.history.setClean()
        super().closeEvent(event)


def _waited_s() -> float:
    """Return how long this thread was ready to run and had no core, where the system tells it (Linux)."""
    try:
        return int(SCHEDULED.read_text(encoding="utf-8").split()[1]) / 1e9
    except (OSError, IndexError):
        return 0.0


class RandomUse(QObject):
    """One run: steps until the time is over, then `application.quit()`."""

    def __init__(self, window: StayingWindow, seed: int, seconds: float) -> None:
        super().__init__()
        self.window = window
        self.rng = np.random.default_rng(seed)
        self.started_s = time.monotonic()
        self.ends_s = self.started_s + seconds
        self.sampled_s = 0.0
        self.counts: Counter[str] = Counter()
        self.faults: list[str] = []
        self.stalls_s: list[float] = []
        self.own_s: list[float] = []
        self._take_times()
        self.memory_mb: list[tuple[float, float]] = []
        self.children_mb: list[list[tuple[int, int]]] = []
        self._process = psutil.Process()
        self.next = QTimer(self)  # one for all steps: each `singleShot` leaves a weak reference behind
        self.next.setSingleShot(True)
        self.next.setInterval(STEP_MS)
        self.next.timeout.connect(self.step)

    def _take_times(self) -> None:
        self.last_s, self._reckoned_s, self._waited_s = time.monotonic(), time.process_time(), _waited_s()

    def step(self) -> None:
        """Do one thing, the next one already waiting: a dialog that opens has its own event loop.

        What the last step took by the clock is measured, and by the window's own doing: what its process
        reckoned, and no more than the time less what its thread waited for a core.
        """
        now_s = time.monotonic()
        took_s = max(0.0, now_s - self.last_s - STEP_MS / 1000)
        self.stalls_s.append(took_s)
        own_s = min(took_s - (_waited_s() - self._waited_s), time.process_time() - self._reckoned_s)
        self.own_s.append(max(0.0, own_s))
        if now_s > self.ends_s:
            QApplication.exit(0)
            return
        if now_s - self.sampled_s > SAMPLE_S:
            self.sampled_s = now_s
            self._sample()
        self.next.start()
        self._take_times()
        place = QApplication.activePopupWidget() or QApplication.activeModalWidget() or self.window
        widget = self._widget_in(place)
        if widget is not None:
            self._act(widget)

    def _widget_in(self, place: QWidget) -> QWidget | None:
        found = [w for w in (place, *place.findChildren(QWidget)) if w.isVisible() and w.isEnabled()]
        return found[self.rng.integers(len(found))] if found else None

    def _act(self, widget: QWidget) -> None:
        kind = ("click", "click", "click", "double", "key", "key", "text", "wheel", "drag")[
            self.rng.integers(9)
        ]
        self.counts[kind] += 1
        point = self._point(widget)
        if kind == "click":
            right = self.rng.random() < 0.1
            QTest.mouseClick(widget, Qt.MouseButton.RightButton if right else LEFT, NONE, point)
        elif kind == "double":
            QTest.mouseDClick(widget, LEFT, NONE, point)
        elif kind == "key":
            key, modifier = KEYS[self.rng.integers(len(KEYS))]
            QTest.keyClick(self._focus(widget), key, modifier)
        elif kind == "text":
            for letter in self.rng.choice(list(TEXT), self.rng.integers(1, 6)):
                target = self._focus(widget)
                if shiboken6.isValid(target):
                    QTest.keyClicks(target, str(letter))
        elif kind == "wheel":
            self._turn_wheel(widget, point)
        else:
            self._drag(widget, point)

    def _drag(self, widget: QWidget, start: QPoint) -> None:
        end = self._point(widget)
        QTest.mousePress(widget, LEFT, NONE, start)
        for share in (0.3, 0.7, 1.0):
            if shiboken6.isValid(widget):
                QTest.mouseMove(widget, start + (end - start) * share)
        if shiboken6.isValid(widget):
            QTest.mouseRelease(widget, LEFT, NONE, end)

    def _turn_wheel(self, widget: QWidget, point: QPoint) -> None:
        turn = QPoint(0, int(self.rng.choice([-240, -120, 120, 240])))
        event = QWheelEvent(
            point.toPointF(),
            widget.mapToGlobal(point).toPointF(),
            QPoint(),
            turn,
            Qt.MouseButton.NoButton,
            NONE,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(widget, event)

    def _point(self, widget: QWidget) -> QPoint:
        return QPoint(
            int(self.rng.integers(max(1, widget.width()))), int(self.rng.integers(max(1, widget.height())))
        )

    def _focus(self, widget: QWidget) -> QWidget:
        focus = QApplication.focusWidget()
        return focus if focus is not None and self.rng.random() < 0.7 else widget

    def _sample(self) -> None:
        children = []
        for child in self._process.children(recursive=True):
            try:
                held = child.memory_full_info()
            except (psutil.NoSuchProcess, psutil.AccessDenied):
                continue
            children.append((round(held.rss / 1e6), round(getattr(held, "pss", held.rss) / 1e6)))
        self.children_mb.append(sorted(children, reverse=True))
        self.memory_mb.append((time.monotonic() - self.started_s, self._process.memory_info().rss / 1e6))

    def take_fault(
        self, kind: type[BaseException], fault: BaseException, trace: TracebackType | None
    ) -> None:
        """Keep a fault that nobody caught."""
        self.faults.append("".join(traceback.format_exception(kind, fault, trace)))

    def take_message(self, kind: QtMsgType, _context: QMessageLogContext, text: str | None) -> None:
        """Keep what Qt complains about."""
        if kind != QtMsgType.QtDebugMsg and "This plugin does not support" not in (text or ""):
            self.faults.append(f"Qt: {text}\n{''.join(traceback.format_stack(limit=8))}")
            print(self.faults[-1], file=sys.stderr, flush=True)

    def result(self, job: Path, seed: int) -> dict[str, object]:
        """Return what the run showed."""
        seconds = time.monotonic() - self.started_s
        settled = [mb for at, mb in self.memory_mb if at > SETTLED_SHARE * seconds]
        part = max(1, len(settled) // 5)
        before, after = statistics.median(settled[:part]), statistics.median(settled[-part:])
        most = max(self.children_mb, key=lambda children: sum(mb for mb, _ in children))
        first = len(self.stalls_s) // 20
        stalls, own = np.array(self.stalls_s[first:]) * 1000, np.array(self.own_s[first:]) * 1000
        return {
            "job": job.name,
            "seed": seed,
            "minutes": round(seconds / 60, 1),
            "steps": dict(sorted(self.counts.items())),
            "faults": self.faults[:20],
            "fault_count": len(self.faults),
            "window_mb_settled": round(before),
            "window_mb_end": round(after),
            "window_growth_pct": round(100 * (after / before - 1), 1),
            "children_mb_most": sum(mb for mb, _ in most),
            "children_mb_most_shared_once": max(
                sum(share for _, share in children) for children in self.children_mb
            ),
            "children_mb_at_most": [mb for mb, _ in most],
            "step_ms_p95": round(float(np.percentile(stalls, 95)), 1),
            "step_ms_most": round(float(stalls.max())),
            "step_own_ms_p95": round(float(np.percentile(own, 95)), 1),
            "step_own_ms_most": round(float(own.max())),
        }


def answer_dialogs(rng: np.random.Generator, folder: Path) -> None:
    """Have the system's own dialogs answer at once, at random: they can't be clicked."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())

    def some_file(*_: object, **__: object) -> tuple[str, str]:
        return (str(files[rng.integers(len(files))]) if rng.random() < 0.3 else "", "")

    def new_file(*_: object, **__: object) -> tuple[str, str]:
        return (str(folder / f"written-{rng.integers(4)}") if rng.random() < 0.3 else "", "")

    def answer(*_: object, **__: object) -> QMessageBox.StandardButton:
        choices = (QMessageBox.StandardButton.Yes, QMessageBox.StandardButton.No)
        return choices[int(rng.integers(2))]

    def some_item(*_: object, **__: object) -> tuple[str, bool]:
        return "mm", bool(rng.random() < 0.5)

    for name, instead in {
        "getOpenFileName": some_file,
        "getOpenFileNames": lambda *_, **__: ([], ""),
        "getSaveFileName": new_file,
        "getExistingDirectory": lambda *_, **__: "",
    }.items():
        setattr(QFileDialog, name, staticmethod(instead))
    for name in ("question", "warning", "information", "critical"):
        setattr(QMessageBox, name, staticmethod(answer))
    QInputDialog.getItem = staticmethod(some_item)  # type: ignore[method-assign]
    QPrintDialog.exec = lambda *_: QDialog.DialogCode.Rejected  # type: ignore[method-assign]
    QDesktopServices.openUrl = staticmethod(lambda *_: True)  # type: ignore[method-assign]


def use_at_random(job: Path, minutes: float, seed: int) -> dict[str, object]:
    """Use the window on a copy of a job's folder, and in folders of its own; returns what it showed."""
    logging.basicConfig(level=logging.CRITICAL)
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder) / "jobs"
        shutil.copytree(job.parent, work)
        os.environ["CORESTOW_CONFIG_DIR"] = str(Path(folder) / "config")
        application = QApplication(sys.argv[:1])
        Collector(application)
        window = StayingWindow(Runner())
        use = RandomUse(window, seed, minutes * 60)
        sys.excepthook = use.take_fault
        qInstallMessageHandler(use.take_message)
        answer_dialogs(np.random.default_rng([seed, 1]), work)
        window.resize(1280, 800)
        window.show()
        window.open_job(work / job.name)
        QTimer.singleShot(3000, use.step)
        application.exec()
        window.stays = False
        window.close()
        return use.result(job, seed)
