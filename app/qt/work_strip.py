"""How far long work has come: its step in words, the time left, and a bar, in the status bar."""

from __future__ import annotations

import time

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QWidget

from app.qt.remaining import Remaining, rounded_s
from app.qt.step_words import step_word
from app.qt.worker import PlanWorker
from corelib.units import show_duration

WIDTH = 220
LOOK_MS = 500


class WorkStrip(QWidget):
    """Follows the worker; the bar is hidden while nothing is in work, the time left while it is not known.

    Of a search that was given a time, the rest of that time is said; it ends with the round begun by then.
    """

    def __init__(self, worker: PlanWorker, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bar = QProgressBar()
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.bar.setMaximumWidth(WIDTH)
        self.bar.setAccessibleName(self.tr("Progress of the plan"))
        self.bar.hide()
        self.step, self.left = QLabel(), QLabel()
        self._worker, self._begun_s = worker, 0.0
        self._remaining = Remaining()
        self._look = QTimer(self)
        self._look.setInterval(LOOK_MS)
        self._look.timeout.connect(self._show_left)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.left)
        row.addWidget(self.step)
        row.addWidget(self.bar)
        worker.started.connect(self._begin)
        worker.progressed.connect(self._show)
        worker.idle.connect(self._end)

    def _begin(self) -> None:
        self.bar.setValue(0)
        self.bar.show()
        self._begun_s = time.monotonic()
        self._remaining.begin(self._begun_s)
        self._look.start()

    def _show(self, share: float, step: str) -> None:
        self.bar.setValue(round(1000 * share))
        self.step.setText(step_word(step))
        self._remaining.report(time.monotonic(), share)

    def _show_left(self) -> None:
        self.left.setText(self._left_words(time.monotonic()))
        self.bar.setAccessibleDescription(self.left.text())

    def _left_words(self, now_s: float) -> str:
        limit_s = self._worker.limit_s
        if limit_s is not None:
            left_s = limit_s - (now_s - self._begun_s)
            words = self.tr("{0} of the search time left")
            return words.format(show_duration(left_s)) if left_s > 0 else self.tr("search time is over")
        known_s = self._remaining.left_s(now_s)
        if known_s is None:
            return ""
        return self.tr("about {0} left").format(show_duration(rounded_s(known_s)))

    def _end(self) -> None:
        self._look.stop()
        self.step.clear()
        self.left.clear()
        self.bar.hide()
