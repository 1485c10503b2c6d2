"""How far long work has come: its step in words and a bar, in the status bar while it goes on."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QWidget

from app.qt.step_words import step_word
from app.qt.worker import PlanWorker

WIDTH = 220


class WorkStrip(QWidget):
    """Follows the worker; the bar is hidden while nothing is in work."""

    def __init__(self, worker: PlanWorker, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bar = QProgressBar()
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.bar.setMaximumWidth(WIDTH)
        self.bar.setAccessibleName(self.tr("Progress of the plan"))
        self.bar.hide()
        self.step = QLabel()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.step)
        row.addWidget(self.bar)
        worker.started.connect(self._begin)
        worker.progressed.connect(self._show)
        worker.idle.connect(self._end)

    def _begin(self) -> None:
        self.bar.setValue(0)
        self.bar.show()

    def _show(self, share: float, step: str) -> None:
        self.bar.setValue(round(1000 * share))
        self.step.setText(step_word(step))

    def _end(self) -> None:
        self.step.clear()
        self.bar.hide()
