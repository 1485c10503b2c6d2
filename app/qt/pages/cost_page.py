"""Time and cost: figures that open to their inputs, what a change moves, price against quantity."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLabel, QSplitter, QTabWidget, QVBoxLayout, QWidget

from app.qt.document import Document
from app.qt.figures import count, profile_word, stated, words
from app.qt.pages.page import Page
from app.qt.views.edit_tree import EditTree, Field
from app.qt.views.moved_view import MovedView
from app.qt.views.quote_view import QuoteView
from app.qt.views.summary_view import SummaryView
from corelib.comparison import Moved
from corelib.errors import CorestowError
from corelib.job.edits import with_override, with_set_count
from corelib.job.form import entry_form
from corelib.job.models import Job
from corelib.job.operating_point import overridden, unit_of

SET_KEY = "set:"
FARTHEST = 1e9


class CostPage(Page):
    """Three views; rates and castings can be changed beside what they move."""

    shown = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.figures = SummaryView()
        self.moved = MovedView()
        self.quote = QuoteView()
        self.state = QLabel()
        self.state.setWordWrap(True)
        self.state.setTextFormat(Qt.TextFormat.PlainText)
        self.inputs = EditTree(
            self.tr("Rates and castings"),
            [self.tr("Input"), self.tr("Value"), ""],
            figures=(1,),
            has_groups=True,
        )
        self.inputs.edited.connect(self._change, Qt.ConnectionType.QueuedConnection)
        self.inputs.reset_asked.connect(
            lambda key: self._change(key, None), Qt.ConnectionType.QueuedConnection
        )
        self.inputs.check = lambda key, value: self.refusal(lambda job: self._made(job, key, value))
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.tabBar().setAccessibleName(self.tr("Views of time and cost"))
        self.tabs.addTab(self.figures, self.tr("Figures"))
        self.tabs.addTab(self._change_view(), self.tr("Change and effect"))
        self.tabs.addTab(self.quote, self.tr("Price and quantity"))
        self.column.addWidget(self.tabs, 1)
        document.job_changed.connect(self.show_job)
        self.show_job()

    def _change_view(self) -> QWidget:
        below = QWidget()
        column = QVBoxLayout(below)
        column.setContentsMargins(0, 2, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.state)
        column.addWidget(self.moved, 1)
        halves = QSplitter(Qt.Orientation.Vertical)
        halves.addWidget(self.inputs)
        halves.addWidget(below)
        halves.setSizes([240, 320])
        return halves

    # --- what is shown ------------------------------------------------------------------------------

    def show_job(self) -> None:
        """Show the inputs of the cost as the job has them."""
        job = self.document.job
        place = self.inputs.place()
        self.inputs.clear()
        if job is None:
            return
        try:
            point = self.document.point()
        except CorestowError as error:
            self.refused.emit(error)
            return
        if job.casting_sets:
            top = self.inputs.heading(self.tr("Castings"))
            for one in job.casting_sets:
                field = Field(SET_KEY + one.id, one.name, float(one.count), "count", low=1, high=5000)
                self.inputs.row(top, [one.name, count(one.count), ""], {1: field})
        top = self.inputs.heading(self.tr("Rates"))
        changed = {entry.field for entry in point.overridden}
        for name, value in point.rates.values().items():
            form = entry_form("rates", name)
            if form.kind not in ("number", "count"):
                continue
            key = f"rates.{name}"
            unit = unit_of(name).strip("-").replace("currency", job.currency)
            number = None if value is None else float(value)
            kind: Literal["number", "count"] = "count" if form.kind == "count" else "number"
            low, high = max(form.low, -FARTHEST), min(form.high, FARTHEST)
            field = Field(key, profile_word(name), number, kind, unit, low, high, 6, can_reset=key in changed)
            mark = self.tr("changed") if key in changed else ""
            self.inputs.row(top, [profile_word(name), stated(number, unit), mark], {1: field})
        self.inputs.come_back(place)

    def show_moved(self, rows: Sequence[Moved], sentence: str) -> None:
        """Show what moved, with a sentence about it."""
        self.state.setText(sentence)
        self.moved.show_moved(rows, self._name_of)

    def say(self, sentence: str) -> None:
        """Say how what moved stands."""
        self.state.setText(sentence)

    def _name_of(self, row: Moved) -> str:
        """Return the label of a figure that moved."""
        kind, _, name = row.code.partition(".")
        job, plan = self.document.job, self.document.plan
        sets = {} if job is None else {one.id: one.name for one in job.casting_sets}
        if row.group == "cores":
            return row.code if plan is None else plan.core_names.get(row.code, row.code)
        if row.group == "casting_sets" or kind == "casting_sets":
            own = row.code if row.group == "casting_sets" else name
            return self.tr("Castings of {0}").format(sets.get(own, own)) if name else sets.get(own, own)
        if row.group == "inputs" and name:
            return _label(name, profile_word)
        return _label(row.code, words)

    def showEvent(self, event: QShowEvent) -> None:
        """Tell that what moved is looked at."""
        super().showEvent(event)
        self.shown.emit()

    # --- edits --------------------------------------------------------------------------------------

    def _made(self, job: Job, key: str, value: Any) -> Job:
        """Return the job with an input changed; raises what the model says of it."""
        if key.startswith(SET_KEY):
            return with_set_count(job, key.removeprefix(SET_KEY), round(value))
        after = with_override(job, key, value)
        overridden(self.document.profiles(), after.overrides)
        return after

    def _change(self, key: str, value: Any) -> None:
        if key.startswith(SET_KEY):
            job = self.document.job
            names = {} if job is None else {one.id: one.name for one in job.casting_sets}
            own = key.removeprefix(SET_KEY)
            text = self.tr("Castings of {0}").format(names.get(own, own))
        else:
            text = profile_word(key.partition(".")[2])
        self.change(text, lambda job: self._made(job, key, value))


def _label(code: str, known: Callable[[str], str]) -> str:
    """Return a label as figures or profile values have it; the code itself where it has none."""
    try:
        return known(code)
    except KeyError:
        return code
