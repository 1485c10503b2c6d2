"""Binds the page of time and cost to the child that reckons: what a change moves, prices of quantities."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.qt.document import Document
from app.qt.figures import language
from app.qt.pages.cost_page import CostPage
from app.qt.reckon_worker import ReckonWorker, Wish
from corelib.comparison import moved_figures
from corelib.job.files import job_document
from corelib.job.packing_edits import placement_documents

CHANGE, QUOTE, WARM = "change", "quote", "warm"
CALM_MS = 250
"""Time without a further edit after which a change is reckoned."""


class CostBench(QObject):
    """Reckons each edit at once in the packing at hand; a new plan is held against the last one."""

    refused = Signal(object)

    def __init__(
        self, document: Document, page: CostPage, worker: ReckonWorker, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._page, self._worker = document, page, worker
        self._before: dict[str, Any] | None = None
        self._last: dict[str, Any] | None = None
        self._is_warm = False
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(CALM_MS)
        self._soon.timeout.connect(self._reckon)
        document.opened.connect(self._forget)
        document.job_changed.connect(self._want)
        document.plan_changed.connect(self._take_plan)
        page.shown.connect(self._warm)
        page.shown.connect(self._want)
        page.quote.asked.connect(self._quote)
        page.quote.stop_asked.connect(lambda: worker.cancel(QUOTE))
        worker.progressed.connect(self._show_progress)
        worker.found.connect(self._show_found)
        worker.done.connect(self._show_done)
        worker.failed.connect(self._show_failed)
        worker.cancelled.connect(self._show_cancelled)

    def _forget(self) -> None:
        self._before = self._last = None
        self._worker.cancel(QUOTE)
        self._page.quote.show_sheet(None)
        self._page.show_moved((), "")

    def _warm(self) -> None:
        """Start the child when the page is first looked at, before it is asked."""
        if not self._is_warm:
            self._is_warm = True
            self._worker.ask(Wish(WARM, {"work": "warm"}))

    # --- what a change moves ------------------------------------------------------------------------

    def _want(self) -> None:
        if self._document.plan is None or not self._page.isVisible():
            return
        if self._document.plan_is_current:
            self._worker.cancel(CHANGE)
            self._soon.stop()
            self._show_last()
        else:
            self._soon.start()

    def _reckon(self) -> None:
        document = self._document
        plan, job, path = document.plan, document.job, document.job_path
        if plan is None or job is None or path is None or document.plan_is_current:
            return
        planned = placement_documents([p for box in plan.document["boxes"] for p in box["placements"]])
        request = {
            "work": "change",
            "job": str(path),
            "document": job_document(job),
            "packing": document.packing or planned,
            "folder": str(plan.files.folder),
            "language": language(),
        }
        self._page.say(self.tr("Reckoning what the change moves …"))
        self._worker.ask(Wish(CHANGE, request))

    def _take_plan(self) -> None:
        """Hold a new plan against the last one of the same job."""
        plan = self._document.plan
        self._worker.cancel(CHANGE)
        if plan is None:
            return
        self._before, self._last = self._last, plan.document
        self._want()

    def _show_last(self) -> None:
        """Show what moved from the plan before to this one."""
        if self._before is None or self._last is None:
            self._page.show_moved((), self.tr("Nothing has changed since the plan."))
            return
        rows = moved_figures(self._before, self._last)
        said = self.tr("From the plan before to this one:") if rows else self.tr("Nothing has moved.")
        self._page.show_moved(rows, said)

    def _show_change(self, answer: dict[str, Any]) -> None:
        plan = self._document.plan
        if plan is None or self._document.plan_is_current:
            return
        try:
            after = json.loads(Path(answer["plan"]).read_bytes())
        except OSError:
            return  # a newer plan has taken its place
        rows = moved_figures(plan.document, after)
        if not rows:
            said = self.tr("The change moves no figure of time or cost.")
        elif after["packed_anew"]:
            said = self.tr("Since the plan, the cores packed anew in a quick way (F5 plans for good):")
        else:
            said = self.tr("Since the plan, in the same packing:")
        self._page.show_moved(rows, said)

    # --- prices -------------------------------------------------------------------------------------

    def _quote(self, sets: str) -> None:
        job, path = self._document.job, self._document.job_path
        if job is None or path is None:
            return
        request = {
            "work": "quote",
            "job": str(path),
            "document": job_document(job),
            "sets": sets,
            "language": language(),
        }
        self._page.quote.begin(job.currency)
        self._worker.ask(Wish(QUOTE, request))

    def _show_progress(self, name: str, share: float) -> None:
        if name == QUOTE:
            self._page.quote.show_progress(share)

    def _show_found(self, name: str, found: dict[str, Any]) -> None:
        if name == QUOTE:
            self._page.quote.show_price(found)

    def _show_done(self, name: str, answer: dict[str, Any]) -> None:
        if name == QUOTE:
            self._page.quote.set_busy(False)
            self._page.quote.show_sheet(answer["quotation"])
        elif name == CHANGE:
            self._show_change(answer)

    def _show_failed(self, name: str, error: Exception) -> None:
        if name == QUOTE:
            self._page.quote.set_busy(False)
            self.refused.emit(error)
        elif name == CHANGE:
            self._page.show_moved((), self.tr("What the change moves can't be reckoned."))
            self.refused.emit(error)

    def _show_cancelled(self, name: str) -> None:
        if name == QUOTE:
            self._page.quote.set_busy(False)
