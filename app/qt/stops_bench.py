"""Stops that a named person lifts in the list of findings: with name and reason, undone like any edit."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.qt.document import Document
from app.qt.shown_plan import ShownFinding
from app.qt.views.findings_view import FindingsView
from corelib.errors import CorestowError
from corelib.job import edits
from corelib.job.models import Job


class LiftDialog(QDialog):
    """Asks who answers for a stop, and why it may be lifted; both are wanted."""

    def __init__(self, finding: ShownFinding, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Lift a stop"))
        self.resize(520, 420)
        said = QLabel(finding.message)
        said.setWordWrap(True)
        care = QLabel(
            self.tr(
                "Whoever lifts this stop answers for it. Name and reason stand in the job and on every sheet "
                "from now on. Local codes and licensed practice come first; this program can't judge whether "
                "the work is without danger."
            )
        )
        care.setWordWrap(True)
        self.name = QLineEdit()
        self.name.setAccessibleName(self.tr("Name"))
        self.name.setMaxLength(200)
        self.reason = QPlainTextEdit()
        self.reason.setAccessibleName(self.tr("Reason"))
        self.reason.setTabChangesFocus(True)
        form = QFormLayout()
        form.addRow(self.tr("&Name"), self.name)
        form.addRow(self.tr("&Reason"), self.reason)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.lift_button = self.buttons.addButton(
            self.tr("&Lift the stop"), QDialogButtonBox.ButtonRole.AcceptRole
        )
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.name.textChanged.connect(self._allow)
        self.reason.textChanged.connect(self._allow)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        column = QVBoxLayout(self)
        column.addWidget(said)
        column.addWidget(care)
        column.addLayout(form)
        column.addWidget(self.buttons)
        self._allow()

    def answer(self) -> tuple[str, str]:
        """Return name and reason as entered."""
        return self.name.text().strip(), " ".join(self.reason.toPlainText().split())

    def _allow(self) -> None:
        name, reason = self.answer()
        self.lift_button.setEnabled(len(name) >= 2 and len(reason) >= 3)


class StopsBench(QObject):
    """Lifts the stop that is chosen in the list of findings, or puts it in force again."""

    refused = Signal(object)

    def __init__(self, document: Document, findings: FindingsView, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._findings, self._window = document, findings, window
        self.lift_action = QAction(self.tr("&Lift the stop…"), self)
        self.lift_action.setShortcut(QKeySequence("Ctrl+Shift+L"))
        self.lift_action.triggered.connect(lambda: self.lift())
        self.restore_action = QAction(self.tr("&Put the stop in force again"), self)
        self.restore_action.triggered.connect(lambda: self.restore())
        for action in (self.lift_action, self.restore_action):
            findings.addAction(action)
        findings.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        findings.selectionModel().currentChanged.connect(lambda *_: self._allow())
        findings.findings.modelReset.connect(self._allow)
        self._allow()

    def lift(self) -> None:
        """Ask for name and reason, and lift the chosen stop."""
        finding = self._chosen()
        if finding is None or finding.severity != "stop":
            return
        dialog = LiftDialog(finding, self._window)
        dialog.accepted.connect(lambda: self._lift(finding, *dialog.answer()))
        dialog.open()

    def restore(self) -> None:
        """Put the chosen stop in force again."""
        finding = self._chosen()
        if finding is not None and finding.is_lifted:
            self._edit(
                self.tr("stop in force again"),
                lambda job: edits.without_lifted_stop(job, finding.code, finding.core),
            )

    def _lift(self, finding: ShownFinding, name: str, reason: str) -> None:
        today = date.today().isoformat()
        self._edit(
            self.tr("stop lifted by {0}").format(name),
            lambda job: edits.with_lifted_stop(job, finding.code, finding.core, name, reason, today),
        )

    def _edit(self, text: str, make: Callable[[Job], Job]) -> None:
        job = self._document.job
        if job is None:
            return
        try:
            self._document.edit(text, make(job))
        except CorestowError as error:
            self.refused.emit(error)

    def _chosen(self) -> ShownFinding | None:
        row = self._findings.currentIndex().row()
        shown = self._findings.findings.shown
        return shown[row] if 0 <= row < len(shown) else None

    def _allow(self) -> None:
        finding = self._chosen()
        self.lift_action.setEnabled(finding is not None and finding.severity == "stop")
        self.restore_action.setEnabled(finding is not None and finding.is_lifted)
