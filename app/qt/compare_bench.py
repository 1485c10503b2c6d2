"""Binds the page that compares to the child that reads plans from files with their meshes."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.qt.compared_plan import ComparedPlan, read_compared
from app.qt.figures import language
from app.qt.pages.compare_page import ComparePage
from app.qt.reckon_worker import ReckonWorker, Wish
from corelib.child import Answer

DISPLAY, SHEET = "display ", "comparison"


class CompareBench(QObject):
    """Reads one plan file after another, and lays each beside the others as soon as it is there."""

    refused = Signal(object)
    told = Signal(str)

    def __init__(self, page: ComparePage, worker: ReckonWorker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._page, self._worker = page, worker
        self._folders: dict[str, Path] = {}
        page.files_asked.connect(self.read)
        page.sheet_asked.connect(self.write_sheet)
        worker.done.connect(self._add)
        worker.failed.connect(self._fail)
        worker.cancelled.connect(self._clean)

    def read(self, paths: Sequence[Path]) -> None:
        """Read plans from their files."""
        for path in paths:
            name = f"{DISPLAY}{path}"
            folder = self._folders.setdefault(name, Path(tempfile.mkdtemp(prefix="corestow-compare-")))
            request = {"work": "display", "plan": str(path), "folder": str(folder)}
            self._worker.ask(Wish(name, request, partial(_read, path)))

    def write_sheet(self, path: Path) -> None:
        """Write the comparison as PDF, with the choice that the job holds."""
        plans, job = self._page.plans, self._page.document.job
        choice = None if job is None or job.choice is None else job.choice.model_dump(mode="json")
        request = {
            "work": "comparison",
            "names": [plan.name for plan in plans],
            "plans": [plan.document for plan in plans],
            "path": str(path),
            "language": language(),
            "choice": choice,
        }
        self._worker.ask(Wish(SHEET, request))

    def end(self) -> None:
        """Remove what is left of reading."""
        for name in tuple(self._folders):
            self._clean(name)

    def _add(self, name: str, plan: object) -> None:
        if name.startswith(DISPLAY) and isinstance(plan, ComparedPlan):
            self._clean(name)
            self._page.add_plan(plan)
        elif name == SHEET and isinstance(plan, dict):
            self.told.emit(self.tr("The comparison is in {0}").format(plan["path"]))

    def _fail(self, name: str, error: Exception) -> None:
        if name.startswith(DISPLAY):
            self._clean(name)
            self.refused.emit(error)
        elif name == SHEET:
            self.refused.emit(error)

    def _clean(self, name: str) -> None:
        folder = self._folders.pop(name, None)
        if folder is not None:
            shutil.rmtree(folder, ignore_errors=True)


def _read(path: Path, answer: Answer) -> ComparedPlan:
    """Return the plan with the meshes that the child has left."""
    return read_compared(path, Path(answer["meshes"]))
