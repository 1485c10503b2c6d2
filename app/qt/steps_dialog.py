"""The steps of the open job's history by name: a click goes back or forth to any of them."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QUndoStack
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QUndoView, QVBoxLayout, QWidget


class StepsDialog(QDialog):
    """Lists what was done since the job was opened; what is chosen is how the job is. Escape closes it."""

    def __init__(self, history: QUndoStack, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Steps since the job was opened"))
        self.resize(380, 420)
        self.steps = QUndoView(history)
        self.steps.setEmptyLabel(self.tr("as opened"))
        self.steps.setAccessibleName(self.tr("Steps"))
        about = QLabel(self.tr("Choose a step to go back to it, or forward again:"))
        about.setBuddy(self.steps)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(about)
        column.addWidget(self.steps, 1)
        column.addWidget(buttons)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
