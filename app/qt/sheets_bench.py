"""What leaves the window: sheets written into a folder, and looked at before they are printed."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Qt, QUrl, Signal
from PySide6.QtGui import QAction, QDesktopServices, QKeySequence
from PySide6.QtWidgets import QFileDialog, QWidget

from app.qt.document import Document
from app.qt.figures import language
from app.qt.preview import Preview, usual_paper
from app.qt.worker import PlanWorker
from app.runner import JobAtHand, Runner
from corelib.child import Answer
from corelib.job.files import job_document


class SheetsBench(QObject):
    """The actions on sheets; `told` says what was written where, `begun` that work on it starts."""

    told = Signal(str)
    begun = Signal()

    def __init__(self, document: Document, worker: PlanWorker, runner: Runner, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._worker, self._runner, self._window = document, worker, runner, window
        self.preview_action = QAction(self.tr("Pr&int sheets…"), self)
        self.preview_action.setShortcut(QKeySequence(QKeySequence.StandardKey.Print))
        self.preview_action.triggered.connect(lambda: self.preview())
        self.write_action = QAction(self.tr("&Write sheets…"), self)
        self.write_action.setShortcut(QKeySequence("Ctrl+Shift+P"))
        self.write_action.triggered.connect(lambda: self.write())
        worker.sheets_written.connect(self._tell)

    def set_enabled(self, is_enabled: bool) -> None:
        """Allow the actions, or not: there has to be a plan, and no other work."""
        self.preview_action.setEnabled(is_enabled)
        self.write_action.setEnabled(is_enabled)

    def preview(self) -> Preview | None:
        """Show the plan's printed sheets."""
        plan, job = self._document.plan, self._at_hand()
        if plan is None or job is None or self._worker.is_busy:
            return None
        dialog = Preview(self._runner, plan.files, job, self._window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)  # it holds pictures of all pages
        dialog.open()
        return dialog

    def write(self) -> None:
        """Ask for a folder and write the plan's sheets into it: plan sheet, labels, tables, models."""
        plan, job = self._document.plan, self._at_hand()
        if plan is None or job is None or self._worker.is_busy:
            return
        name, _ = QFileDialog.getSaveFileName(
            self._window, self.tr("Folder for the sheets"), str(job.path.with_suffix(".sheets"))
        )
        if name:
            self.begun.emit()
            self._worker.write_sheets(plan.files, job, Path(name), language(), usual_paper())

    def _at_hand(self) -> JobAtHand | None:
        job, path = self._document.job, self._document.job_path
        return None if job is None or path is None else JobAtHand(path, job_document(job))

    def _tell(self, answer: Answer) -> None:
        self.told.emit(self.tr("{0} files are in {1}").format(len(answer["files"]), answer["folder"]))
        QDesktopServices.openUrl(QUrl.fromLocalFile(answer["folder"]))
