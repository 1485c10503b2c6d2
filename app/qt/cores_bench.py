"""What is done with cores in an open job: mesh files added, one core's shape checked."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.qt.desk import Desk
from app.qt.document import Document
from app.qt.figures import language
from app.qt.new_job import ask_unit
from app.qt.pages.cores_page import CoresPage
from app.qt.shown_plan import shown_finding
from app.qt.worker import PlanWorker
from corelib.job.files import job_document
from corelib.job.models import Job
from corelib.job.new import MESH_FORMATS


class CoresBench(QObject):
    """Adds cores and checks them; the work is done by the window's worker."""

    told = Signal(str)
    refused = Signal(str)
    """Takes a sentence that says why nothing is done."""

    def __init__(
        self, document: Document, desk: Desk, page: CoresPage, worker: PlanWorker, window: QWidget
    ) -> None:
        super().__init__(window)
        self._document, self._desk, self._page, self._worker = document, desk, page, worker
        self._window = window
        page.add_asked.connect(self.choose_meshes)
        page.check_asked.connect(self.check)
        worker.core_checked.connect(self._show_checked)
        worker.meshes_added.connect(self._take_added)

    def choose_meshes(self) -> None:
        """Ask for mesh files and add them to the job."""
        path = self._document.job_path
        endings = " ".join(f"*{ending}" for ending in MESH_FORMATS)
        names, _ = QFileDialog.getOpenFileNames(
            self._window,
            self.tr("Cores to add"),
            "" if path is None else str(path.parent),
            self.tr("Meshes ({0})").format(endings),
        )
        if names:
            self.add([Path(name) for name in names])

    def add(self, meshes: Sequence[Path]) -> None:
        """Add mesh files to the open job as cores, one copy each; one undoable edit."""
        job, path = self._document.job, self._document.job_path
        if job is None or path is None:
            return
        if self._worker.is_busy:
            self.refused.emit(self.tr("Work is going on; stop it before cores are added."))
            return
        goes_on, unit = ask_unit(self._window, meshes)
        if goes_on:
            self._worker.add_meshes(job, meshes, unit, path)

    def _take_added(self, jobs: tuple[Job, Job]) -> None:
        before, after = jobs
        if self._document.job == before:
            self._document.edit(self.tr("add cores"), after)

    def check(self, core_id: str) -> None:
        """Check the shape of one core; what is found joins the findings and is shown at its place."""
        job, path = self._document.job, self._document.job_path
        if job is None or path is None:
            return
        if self._worker.is_busy:
            self.refused.emit(self.tr("Work is going on; stop it before a core is checked."))
            return
        self._worker.check_core(path, job_document(job), core_id, language())

    def _show_checked(self, answer: dict[str, Any]) -> None:
        findings = [shown_finding(finding) for finding in answer["findings"]]
        self._desk.add_findings(answer["core"], findings)
        job = self._document.job
        name = answer["core"] if job is None else next(
            (core.name for core in job.cores if core.id == answer["core"]), answer["core"]
        )  # fmt: skip
        if not findings:
            self.told.emit(self.tr("Nothing stands against the shape of {0}.").format(name))
            return
        self._desk.look_at_core(answer["core"])
        self.told.emit(self.tr("{0}: findings are in the list and at their places.").format(name))
