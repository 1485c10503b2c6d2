"""Process: every profile value of the job with unit, evidence and source; each can be stated otherwise."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QLineEdit, QTreeWidgetItem, QWidget

from app.qt.document import Document
from app.qt.figures import NONE, anything, profile_word, stated, words
from app.qt.lengths import LENGTHS
from app.qt.pages.page import Page
from app.qt.table_dialog import TableDialog
from app.qt.views.edit_tree import EditTree, Field
from corelib.errors import CorestowError
from corelib.job.edits import with_override
from corelib.job.form import EntryForm, entry_form, rows_of
from corelib.job.models import Job
from corelib.job.operating_point import allowed, evidence_of, overridden, unit_of
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
        self.about = QLabel()
        self.about.setWordWrap(True)
        self.about.setTextFormat(Qt.TextFormat.PlainText)
        self.about.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.column.addWidget(self.about)
        self.values.check = self._refused
        self.values.currentItemChanged.connect(self._tell_about)
        self.values.table_asked.connect(self.edit_table, Qt.ConnectionType.QueuedConnection)
        self.values.edited.connect(self._change, Qt.ConnectionType.QueuedConnection)
        self.values.reset_asked.connect(
            lambda key: self._change(key, None), Qt.ConnectionType.QueuedConnection
        )
        self._shown: OperatingPoint | None = None
        document.job_changed.connect(self.show_job)

    def show_anew(self) -> None:
        """Show all values in the units chosen now."""
        self._shown = None
        self.show_job()

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
        unit, form = _unit(name), entry_form(kind, name)
        evidence = evidence_of(point, key)
        mark = "" if evidence is None else profile_word(evidence.evidence)
        if changed is not None:
            mark = self.tr("changed")
        texts = [profile_word(name), self._value_words(value, unit, form), mark]
        field = self._field(key, form, name, value, unit, changed is not None)
        item = self.values.row(top, texts, {1: field})
        font = item.font(0)
        font.setBold(changed is not None)
        hint = self._hint(point, kind, name)
        for column in range(3):
            item.setFont(column, font)
            item.setToolTip(column, hint)

    def _hint(self, point: OperatingPoint, kind: str, name: str) -> str:
        """Return what is known about a value: its name in files, what is allowed, default, source."""
        key, unit, form = f"{kind}.{name}", _unit(name), entry_form(kind, name)
        hints = [key]
        if allowed(kind, name):
            hints.append(self.tr("allowed: {0} {1}").format(allowed(kind, name), unit).strip())
        own = evidence_of(point, key)
        if own is not None and own.source:
            hints.append(self.tr("source: {0}").format(own.source))
        if all(entry.field != key for entry in point.overridden):
            return "\n".join(hints)
        plain = self.document.profiles()
        default = self._value_words(getattr(getattr(plain, kind), name), unit, form)
        hints.append(self.tr("the profile has {0}; Delete takes it").format(default))
        evidence = evidence_of(plain, key)
        if evidence is not None:
            mark = profile_word(evidence.evidence)
            hints.append(self.tr("the profile's source: {0} ({1})").format(evidence.source, mark))
        return "\n".join(hints)

    def _tell_about(self, item: QTreeWidgetItem | None) -> None:
        """Say below the values what the pointer's hint says, for whoever works by keys."""
        self.about.setText("" if item is None else item.toolTip(0))

    def _field(self, key: str, form: EntryForm, name: str, value: Any, unit: str, changed: bool) -> Field:
        word = profile_word(name)
        if form.kind == "choice":
            choices = tuple((_shown(choice, ""), choice) for choice in form.choices)
            return Field(key, word, value, "choice", choices=choices, can_reset=changed)
        if form.kind in ("text", "words"):
            return Field(key, word, value, "text", can_reset=changed)
        if form.kind == "table":
            return Field(key, word, value, "table", can_reset=changed)
        number = None if value is None else float(value)
        kind: Literal["number", "count"] = "count" if form.kind == "count" else "number"
        low, high = max(form.low, -FARTHEST), min(form.high, FARTHEST)
        return Field(key, word, number, kind, unit, low, high, DECIMALS, can_reset=changed)

    def _value_words(self, value: Any, unit: str, form: EntryForm) -> str:
        if form.kind != "table":
            return _shown(value, unit)
        if value is None:
            return NONE
        rows = rows_of(form, value)
        if form.shape == "triple":
            return " × ".join(stated(LENGTHS.shown(part), "") for part in rows[0]) + f" {LENGTHS.sign}"
        if form.shape == "record":
            return self.tr("{0} values").format(len(rows[0]))
        return self.tr("1 row") if len(rows) == 1 else self.tr("{0} rows").format(len(rows))

    def edit_table(self, key: str) -> TableDialog | None:
        """Open a table of a profile in a dialog; what it is accepted with is one step."""
        kind, _, name = key.partition(".")
        if self.document.job is None:
            return None
        value = getattr(getattr(self.document.point(), kind), name)
        form, word = entry_form(kind, name), profile_word(name)
        dialog = TableDialog(
            word, _unit(name), form, value, lambda entered: self._refused(key, entered), self
        )
        dialog.accepted.connect(lambda: self._change(key, dialog.value))
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.open()
        return dialog

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
            "shop": self.tr("Shop"),
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
        self.change(profile_word(key.partition(".")[2]), lambda job: self._stated(job, key, value))

    def _refused(self, key: str, value: Any) -> str:
        return self.refusal(lambda job: self._stated(job, key, value))

    def _stated(self, job: Job, key: str, value: Any) -> Job:
        """Return the job with a value stated otherwise; raises what the model says of it."""
        after = with_override(job, key, value)
        overridden(self.document.profiles(), after.overrides)
        return after


def _unit(name: str) -> str:
    """Return the unit of a profile's value, empty for a plain number."""
    return unit_of(name).strip("-")


def _shown(value: Any, unit: str) -> str:
    """Return a value as people read it."""
    if isinstance(value, str) and not unit.strip("-"):
        try:
            return profile_word(value)
        except KeyError:
            return value
    if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        return stated(float(value), unit)
    return anything(value, unit)
