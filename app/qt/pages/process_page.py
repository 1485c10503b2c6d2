"""Process: every profile value of the job with unit, evidence and source; each can be stated otherwise."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QTreeWidgetItem, QWidget

from app.qt.document import Document
from app.qt.figures import anything, profile_word, stated, words
from app.qt.pages.page import Page
from app.qt.views.edit_tree import EditTree, Field
from corelib.errors import CorestowError
from corelib.export.figures import unit_of
from corelib.job.edits import with_override
from corelib.job.form import entry_form
from corelib.job.models import Job
from corelib.job.operating_point import allowed, evidence_of, overridden
from corelib.job.profiles import PROFILE_KINDS, OperatingPoint

FARTHEST = 1e9
DECIMALS = 6


class ProcessPage(Page):
    """A group a profile; values that the job states otherwise are bold and marked."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.search = QLineEdit()
        self.search.setPlaceholderText(self.tr("Find a value"))
        self.search.setAccessibleName(self.tr("Find a value"))
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._filter)
        self.column.addWidget(self.search)
        self.values = EditTree(
            self.tr("Profile values"),
            [self.tr("Profile value"), self.tr("Value"), self.tr("Evidence")],
            figures=(1,),
            has_groups=True,
        )
        self.column.addWidget(self.values, 1)
        self.values.edited.connect(self._change, Qt.ConnectionType.QueuedConnection)
        self.values.reset_asked.connect(
            lambda key: self._change(key, None), Qt.ConnectionType.QueuedConnection
        )
        self._shown: OperatingPoint | None = None
        document.job_changed.connect(self.show_job)

    def show_job(self) -> None:
        """Show the profiles as the job uses them; nothing is made anew where they stayed the same."""
        job = self.document.job
        if job is None:
            self.values.clear()
            self._shown = None
            return
        try:
            point = self.document.point()
        except CorestowError as error:
            self.refused.emit(error)
            return
        if point == self._shown:
            return
        place, closed = self.values.place(), self._closed()
        self.values.clear()
        self._shown = point
        for kind in PROFILE_KINDS:
            profile = getattr(point, kind)
            top = self.values.heading(f"{self._kind_word(kind)}: {profile.name}")
            top.setExpanded(kind not in closed)
            top.setData(0, Qt.ItemDataRole.AccessibleTextRole, top.text(0))
            for name, value in profile.values().items():
                self._show_value(top, point, kind, name, value)
        self._filter(self.search.text())
        self.values.come_back(place)

    def _closed(self) -> set[str]:
        tops = self.values.tops()
        if not tops:
            return set(PROFILE_KINDS) - {"process"}
        return {kind for kind, top in zip(PROFILE_KINDS, tops, strict=True) if not top.isExpanded()}

    def _show_value(
        self, top: QTreeWidgetItem, point: OperatingPoint, kind: str, name: str, value: Any
    ) -> None:
        key = f"{kind}.{name}"
        changed = next((entry for entry in point.overridden if entry.field == key), None)
        unit = unit_of(name)
        evidence = evidence_of(point, key)
        mark = "" if evidence is None else profile_word(evidence.evidence)
        texts = [profile_word(name), _shown(value, unit), mark]
        field = self._field(key, kind, name, value, unit, changed is not None)
        item = self.values.row(top, texts, {} if field is None else {1: field})
        hints = [key, self.tr("allowed: {0}").format(allowed(kind, name))]
        if evidence is not None:
            hints.append(self.tr("source: {0}").format(evidence.source))
        if changed is not None:
            hints.append(
                self.tr("the profile has {0}; Delete takes it").format(_shown(changed.profile_value, unit))
            )
            item.setText(2, self.tr("changed"))
            font = item.font(0)
            font.setBold(True)
            for column in range(3):
                item.setFont(column, font)
        for column in range(3):
            item.setToolTip(column, "\n".join(hints))

    def _field(self, key: str, kind: str, name: str, value: Any, unit: str, changed: bool) -> Field | None:
        form = entry_form(kind, name)
        if form.kind == "other":
            return None
        if form.kind == "choice":
            choices = tuple((_shown(choice, ""), choice) for choice in form.choices)
            return Field(key, profile_word(name), value, "choice", choices=choices, can_reset=changed)
        if form.kind == "text":
            return Field(key, profile_word(name), value, "text", can_reset=changed)
        number = None if value is None else float(value)
        low, high = max(form.low, -FARTHEST), min(form.high, FARTHEST)
        return Field(key, profile_word(name), number, form.kind, unit, low, high, DECIMALS, can_reset=changed)

    def _kind_word(self, kind: str) -> str:
        return {
            "process": self.tr("Process"),
            "machine": self.tr("Machine"),
            "head": self.tr("Print head"),
            "sand": self.tr("Sand"),
            "additive": self.tr("Additive"),
            "binder": self.tr("Binder"),
            "oven": self.tr("Oven"),
            "rates": self.tr("Rates"),
        }.get(kind, words(kind))

    def _filter(self, text: str) -> None:
        """Show the values whose name holds the text, and the groups that still have some."""
        wanted = text.strip().lower()
        for top in self.values.tops():
            children = [child for n in range(top.childCount()) if (child := top.child(n)) is not None]
            hits = [wanted in f"{child.text(0)} {child.toolTip(0)}".lower() for child in children]
            for child, hit in zip(children, hits, strict=True):
                child.setHidden(not hit)
            top.setHidden(not any(hits))
            if wanted and any(hits):
                top.setExpanded(True)

    def _change(self, key: str, value: Any) -> None:
        def make(job: Job) -> Job:
            if value is not None:
                overridden(self.document.profiles(), {key: value})  # raises what the model says
            return with_override(job, key, value)

        self.change(profile_word(key.partition(".")[2]), make)


def _shown(value: Any, unit: str) -> str:
    """Return a value as people read it; of a table, how many rows it has."""
    if isinstance(value, str) and not unit.strip("-"):
        try:
            return profile_word(value)
        except KeyError:
            return value
    if isinstance(value, (tuple, list)):
        if value and all(isinstance(part, (int, float)) for part in value):
            return " × ".join(stated(part, "") for part in value) + f" {unit}"
        return f"{len(value)} …"
    if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        return stated(float(value), unit)
    return anything(value, unit)
