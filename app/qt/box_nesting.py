"""The packing search as the window runs it: it grows in the view, and what is kept is one edit of the job."""

from __future__ import annotations

from typing import Any

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.qt.desk import Desk
from app.qt.document import Document
from app.qt.shown_plan import ShownPlacement
from app.qt.views.nest_strip import NestStrip
from app.qt.worker import PlanWorker
from corelib.errors import CorestowError
from corelib.job.files import job_document
from corelib.job.models import Job
from corelib.job.packing_edits import with_packing, with_search


class BoxNesting(QObject):
    """Searches a packing around the locked cores; stopped early it keeps the best packing found."""

    accepted = Signal()
    told = Signal(str)
    refused = Signal(object)

    def __init__(
        self,
        document: Document,
        desk: Desk,
        strip: NestStrip,
        worker: PlanWorker,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._desk, self._strip, self._worker = document, desk, strip, worker
        self._begun: Job | None = None
        self._best: dict[str, Any] | None = None
        strip.nest_asked.connect(self.start)
        strip.stop_asked.connect(worker.cancel)
        strip.search_edited.connect(self._edit_search)
        worker.found.connect(self._show_found)
        worker.nested.connect(self._take)
        worker.cancelled.connect(self._stopped)
        worker.failed.connect(self._failed)
        worker.started.connect(self._show_state)
        worker.idle.connect(self._show_state)
        document.job_changed.connect(self._show_job)
        document.plan_changed.connect(self._show_plan)

    @property
    def is_nesting(self) -> bool:
        """True while a search goes on."""
        return self._begun is not None

    def start(self) -> None:
        """Search a packing of the job as it is now."""
        job, path = self._document.job, self._document.job_path
        if job is None or path is None or self._worker.is_busy:
            return
        self._begun, self._best = job, None
        plan = self._document.plan
        boxes = len(plan.boxes) if plan is not None else None
        self._worker.nest(path, job_document(job), self._strip.seconds, boxes)

    def _show_found(self, found: dict[str, Any]) -> None:
        """Show the best packing so far in the view and in numbers."""
        if self._begun is None:
            return
        if found["is_whole"]:
            self._best = found
        self._strip.show_boxes(found["boxes"])
        plan = self._document.plan
        if plan is None:
            return
        placements = found["found"]["placements"]
        box = min(self._document.box_index, len(found["boxes"]) - 1)
        self._desk.show_packing(
            plan,
            [
                ShownPlacement(
                    p["core"], p["copy"], np.array(p["matrix"], dtype=np.float64), bool(p["locked"])
                )
                for p in placements
                if p["box"] == box
            ],
        )

    def _take(self, answer: dict[str, Any]) -> None:
        """Keep the packing that the search ended with, if it is better than the job's own."""
        begun, self._begun, self._best = self._begun, None, None
        if begun is None:
            return
        self._strip.show_boxes(answer["boxes"])
        if not answer["is_better"]:
            self.told.emit(self.tr("The search found nothing lower than the packing there is; it stays."))
            self._desk.show_box()
            return
        self._accept(begun, answer["packing"]["placements"], answer["search"])

    def _stopped(self) -> None:
        """Keep the best packing of a search that was stopped."""
        begun, best = self._begun, self._best
        self._begun = self._best = None
        if begun is None:
            return
        if best is None:
            self.told.emit(
                self.tr("The search was stopped before it had a whole packing; the last one stays.")
            )
            self._desk.show_box()
            return
        self._accept(begun, best["found"]["placements"], None)

    def _failed(self, _error: CorestowError) -> None:
        if self._begun is not None:
            self._begun = self._best = None
            self._desk.show_box()

    def _accept(self, begun: Job, placements: list[dict[str, Any]], search: dict[str, Any] | None) -> None:
        if self._document.job != begun:
            self.told.emit(
                self.tr("The job was changed while it was nested; the packing found was not kept.")
            )
            self._desk.show_box()
            return
        try:
            self._document.edit(self.tr("nesting"), with_packing(begun, placements, search))
        except CorestowError as error:
            self.refused.emit(error)
            self._desk.show_box()
            return
        self.accepted.emit()

    # --- showing ------------------------------------------------------------------------------------

    def _edit_search(self, field: str, value: int) -> None:
        job = self._document.job
        if job is None:
            return
        name = self.tr("seed of the search") if field == "seed" else self.tr("effort of the search")
        try:
            self._document.edit(name, with_search(job, field, value))
        except CorestowError as error:
            self.refused.emit(error)
            self._show_job()

    def _show_job(self) -> None:
        job = self._document.job
        if job is not None:
            self._strip.show_search({"seed": job.search.seed, "effort": job.search.effort})
        self._show_state()

    def _show_plan(self) -> None:
        plan = self._document.plan
        boxes = [] if plan is None else plan.document["boxes"]
        figures = [{**box["quality"], "cores": len(box["placements"])} for box in boxes if box.get("quality")]
        self._strip.show_boxes(figures)
        self._show_state()

    def _show_state(self) -> None:
        can_nest = self._document.job is not None and not self._worker.is_busy
        self._strip.show_state(can_nest, self.is_nesting and self._worker.is_busy)
