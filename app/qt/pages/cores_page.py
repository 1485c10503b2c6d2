"""Cores: casting sets with their numbers, and each core with its rules and what it costs."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QHeaderView, QPushButton, QTreeWidgetItem, QWidget

from app.qt.document import Document
from app.qt.figures import NONE, count, money, quantity
from app.qt.pages.core_rules import CoreRules
from app.qt.pages.page import Page
from app.qt.views.edit_tree import EditTree, Field
from corelib.job import edits, set_edits
from corelib.job.models import CastingSet, CoreItem, Job
from corelib.job.packing_edits import with_locked

Edit = Callable[[Job, Any], Job]
CORE_ROLE = int(Qt.ItemDataRole.UserRole) + 8
SET_ROLE = CORE_ROLE + 1
NAME_WIDTH = 200


class CoresPage(Page):
    """Counts, spares, gaps and orientations; figures come from the last plan."""

    add_asked = Signal()
    check_asked = Signal(str)
    """Takes the id of the core whose shape is to be checked."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.sets = EditTree(
            self.tr("Casting sets"),
            [self.tr("Casting set"), self.tr("Castings"), self.tr("Cores in one")],
            figures=(1,),
            wide=2,
            has_groups=True,
        )
        self.cores = EditTree(
            self.tr("Cores"),
            [
                self.tr("Core"),
                self.tr("Copies"),
                self.tr("Spares"),
                self.tr("Own gap"),
                self.tr("May lie"),
                self.tr("Mass"),
                self.tr("Cost each"),
            ],
            figures=(1, 2, 3, 5, 6),
            has_groups=True,
        )
        self.cores.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Interactive)
        self.cores.header().resizeSection(0, NAME_WIDTH)
        self.add(self.tr("Casting sets"), self.sets, 2)
        self._add_set_buttons()
        self.alloy = QComboBox()
        self.alloy.setAccessibleName(self.tr("Alloy poured"))
        for label, value in self._alloys():
            self.alloy.addItem(label, value)
        self.alloy.activated.connect(self._pour)
        self.add(self.tr("Alloy poured"), self.alloy, 0)
        self.add(self.tr("Cores (mesh files can be dropped on the window)"), self.cores, 4)
        self._add_core_buttons()
        self._edits: dict[str, tuple[str, Edit]] = {}
        self._rules_of = CoreRules(self._field)
        for tree in (self.sets, self.cores):
            tree.check = self._refused
            tree.edited.connect(self._change, Qt.ConnectionType.QueuedConnection)
            tree.reset_asked.connect(lambda key: self._change(key, None), Qt.ConnectionType.QueuedConnection)
            tree.itemSelectionChanged.connect(self._show_buttons)
        document.job_changed.connect(self.show_job)
        document.plan_changed.connect(self.show_job)
        self._show_buttons()

    def _add_set_buttons(self) -> None:
        self.new_set_button = QPushButton(self.tr("New casting set"))
        self.remove_set_button = QPushButton(self.tr("Remove the casting set"))
        self.new_set_button.clicked.connect(self._new_set)
        self.remove_set_button.clicked.connect(self._remove_set)
        self._row(self.new_set_button, self.remove_set_button)

    def _add_core_buttons(self) -> None:
        self.add_button = QPushButton(self.tr("Add cores…"))
        self.remove_button = QPushButton(self.tr("Remove the core"))
        self.check_button = QPushButton(self.tr("Check the core"))
        self.check_button.setToolTip(
            self.tr("Walls, trapped sand and bending of the chosen core; what is found is shown at its place")
        )
        self.add_button.clicked.connect(self.add_asked)
        self.remove_button.clicked.connect(self._remove_core)
        self.check_button.clicked.connect(self._check)
        self._row(self.add_button, self.remove_button, self.check_button)

    def _row(self, *buttons: QPushButton) -> None:
        row = QHBoxLayout()
        for button in buttons:
            row.addWidget(button)
        row.addStretch(1)
        self.column.addLayout(row)

    # --- what is shown ------------------------------------------------------------------------------

    def show_job(self) -> None:
        """Show sets and cores of the job, with the figures of the last plan."""
        places = self.sets.place(), self.cores.place()
        open_rows = _open_rows(self.sets, SET_ROLE), _open_rows(self.cores, CORE_ROLE)
        self.sets.clear()
        self.cores.clear()
        self._edits.clear()
        job = self.document.job
        self._show_buttons()
        if job is None:
            return
        self.alloy.setCurrentIndex(self.alloy.findData(job.casting.alloy))
        for casting_set in job.casting_sets:
            self._show_set(job, casting_set, casting_set.id in open_rows[0])
        copies, locked = job.copies(), self._locked()
        loose = {entry.core_id: entry.count for entry in job.loose}
        for core in job.cores:
            item = self._show_core(core, copies[core.id])
            self._show_lock(item, core, locked.get(core.id, 0), copies[core.id])
            self._rules_of.show(self.cores, item, core, loose.get(core.id, 0))
            item.setExpanded(core.id in open_rows[1])
        self.sets.come_back(places[0])
        self.cores.come_back(places[1])
        self._show_buttons()

    def _locked(self) -> dict[str, int]:
        """Return how many copies of each core are locked where they are."""
        found: dict[str, int] = {}
        for place in self.document.packing or ():
            if place.get("locked"):
                found[place["core"]] = found.get(place["core"], 0) + 1
        return found

    def _field(self, field: Field, text: str, edit: Edit) -> Field:
        self._edits[field.key] = (text, edit)
        return field

    def _show_set(self, job: Job, casting_set: CastingSet, is_open: bool) -> None:
        per_set = {member.core_id: member.per_set for member in casting_set.members}
        members = ", ".join(f"{n} × {job.core(core_id).name}" for core_id, n in per_set.items())
        name = self.tr("Castings of {0}").format(casting_set.name)
        called = self.tr("Name of {0}").format(casting_set.name)
        fields = {
            0: self._field(
                Field(f"set-name:{casting_set.id}", called, casting_set.name, "text"),
                called,
                partial(_set_name, casting_set.id),
            ),
            1: self._field(
                Field(f"set:{casting_set.id}", name, casting_set.count, "count", "", 1, 5000),
                name,
                partial(_set_count, casting_set.id),
            ),
        }
        item = self.sets.row(None, [casting_set.name, count(casting_set.count), members], fields)
        item.setData(0, SET_ROLE, casting_set.id)
        for core in job.cores:
            text = self.tr("{0} in one casting of {1}").format(core.name, casting_set.name)
            number = per_set.get(core.id, 0)
            key = f"per-set:{casting_set.id}:{core.id}"
            field = Field(key, text, number, "count", "", 0, 5000)
            self._field(field, text, partial(_per_set, casting_set.id, core.id))
            row = self.sets.row(item, [core.name, count(number)], {1: field})
            row.setData(0, SET_ROLE, casting_set.id)
        item.setExpanded(is_open)

    def _show_core(self, core: CoreItem, copies: int) -> QTreeWidgetItem:
        figures = self._planned(core.id)
        rule, gap = core.orientations.rule, core.gap_mm
        plan = self.document.plan
        texts = [
            core.name,
            count(copies),
            count(core.spares),
            NONE if gap is None else quantity(gap, "mm"),
            {value: label for label, value in self._rules()}[rule],
            quantity(figures.get("mass_kg"), "kg"),
            NONE if plan is None or not figures.get("cost") else money(figures["cost"], plan.currency),
        ]
        item = self.cores.row(None, texts, self._core_fields(core))
        item.setData(0, CORE_ROLE, core.id)
        if figures:
            x, y, z = figures["size_mm"]
            size = " × ".join(quantity(length, "") for length in (x, y, z))
            item.setToolTip(
                0,
                self.tr("{0} mm, {1}, {2} triangles").format(
                    size, quantity(figures["core_volume_mm3"], "mm³"), count(figures["triangles"])
                ),
            )
        return item

    def _core_fields(self, core: CoreItem) -> dict[int, Field]:
        called = self.tr("Name of {0}").format(core.name)
        return {
            0: self._field(
                Field(f"core-name:{core.id}", called, core.name, "text"),
                called,
                partial(_core_value, core.id, "name"),
            ),
            2: self._field(
                Field(f"spares:{core.id}", self.tr("Spares"), core.spares, "count", "", 0, 5000),
                self.tr("Spares of {0}").format(core.name),
                partial(_core_value, core.id, "spares"),
            ),
            3: self._field(
                Field(
                    f"gap:{core.id}", self.tr("Own gap"), core.gap_mm, "number", "mm", 0, 1000, 2,
                    can_reset=True,
                ),
                self.tr("Gap of {0}").format(core.name),
                partial(_core_value, core.id, "gap_mm"),
            ),
            4: self._field(
                Field(
                    f"rule:{core.id}", self.tr("May lie"), core.orientations.rule, "choice",
                    choices=self._rules(),
                ),
                self.tr("Orientations of {0}").format(core.name),
                partial(_rule, core.id),
            ),
        }  # fmt: skip

    def _show_lock(self, item: QTreeWidgetItem, core: CoreItem, locked: int, copies: int) -> None:
        """Add the row that says how many copies are locked where they are."""
        if self.document.packing is None:
            return
        choices: tuple[tuple[str, Any], ...] = ((self.tr("none"), 0), (self.tr("all"), copies))
        if 0 < locked < copies:
            choices = (*choices, (self._lock_word(locked, copies), locked))
        name = self.tr("Locked copies")
        field = self._field(
            Field(f"locked:{core.id}", name, locked, "choice", choices=choices),
            self.tr("Lock of {0}").format(core.name),
            partial(self._lock, core.id),
        )
        self.cores.row(item, [name, self._lock_word(locked, copies)], {1: field})

    def _lock_word(self, locked: int, copies: int) -> str:
        if locked == 0:
            return self.tr("none")
        if locked >= copies:
            return self.tr("all")
        return self.tr("{0} of {1}").format(locked, copies)

    def _lock(self, core_id: str, job: Job, value: Any) -> Job:
        packing = self.document.packing
        if packing is None:
            return job
        names = {(place["core"], place["copy"]) for place in packing if place["core"] == core_id}
        return with_locked(job, packing, names, bool(value))

    def _alloys(self) -> tuple[tuple[str, str | None], ...]:
        return (
            (self.tr("not stated"), None),
            (self.tr("aluminium alloy"), "aluminium"),
            (self.tr("magnesium alloy"), "magnesium"),
            (self.tr("copper alloy"), "copper"),
            (self.tr("zinc alloy"), "zinc"),
            (self.tr("cast iron"), "iron"),
            (self.tr("cast steel"), "steel"),
            (self.tr("another alloy"), "other"),
        )

    def _pour(self) -> None:
        alloy = self.alloy.currentData()
        self.change(self.tr("Alloy poured"), lambda job: edits.with_alloy(job, alloy))

    def _rules(self) -> tuple[tuple[str, Any], ...]:
        return (
            (self.tr("any right angle"), "right angles"),
            (self.tr("as modelled, turned"), "yaw steps"),
            (self.tr("as modelled"), "fixed"),
            (self.tr("on stated sides"), "faces down"),
            (self.tr("turned by any angle"), "free yaw"),
        )

    def _planned(self, core_id: str) -> dict[str, Any]:
        plan = self.document.plan
        entries = [] if plan is None else plan.document["cores"]
        found: dict[str, Any] = next((entry for entry in entries if entry["id"] == core_id), {})
        return found if "mass_kg" in found else {}

    # --- what is done -------------------------------------------------------------------------------

    def chosen_core(self) -> str | None:
        """Return the id of the core in whose row the list stands."""
        return _owner(self.cores, CORE_ROLE)

    def _show_buttons(self) -> None:
        job = self.document.job
        core = self.chosen_core() if job is not None else None
        self.add_button.setEnabled(job is not None)
        self.new_set_button.setEnabled(job is not None)
        self.remove_set_button.setEnabled(job is not None and _owner(self.sets, SET_ROLE) is not None)
        self.remove_button.setEnabled(job is not None and core is not None and len(job.cores) > 1)
        self.check_button.setEnabled(core is not None)

    def _new_set(self) -> None:
        name = self.tr("Casting set")
        self.change(self.tr("new casting set"), lambda job: set_edits.with_new_set(job, name))

    def _remove_set(self) -> None:
        set_id = _owner(self.sets, SET_ROLE)
        if set_id is not None:
            self.change(self.tr("remove a casting set"), lambda job: set_edits.without_set(job, set_id))

    def _remove_core(self) -> None:
        core_id = self.chosen_core()
        if core_id is not None:
            self.change(self.tr("remove a core"), lambda job: set_edits.without_core(job, core_id))

    def _check(self) -> None:
        core_id = self.chosen_core()
        if core_id is not None:
            self.check_asked.emit(core_id)

    def _refused(self, key: str, value: Any) -> str:
        if key not in self._edits:
            return ""
        _, edit = self._edits[key]
        return self.refusal(lambda job: edit(job, value))

    def _change(self, key: str, value: Any) -> None:
        if key in self._edits:
            text, edit = self._edits[key]
            self.change(text, lambda job: edit(job, value))


def _owner(tree: EditTree, role: int) -> str | None:
    """Return the id of the set or core in whose rows a list stands."""
    item: QTreeWidgetItem | None = tree.currentItem()
    while item is not None and item.parent() is not None:
        item = item.parent()
    owner = None if item is None else item.data(0, role)
    return owner if isinstance(owner, str) else None


def _open_rows(tree: EditTree, role: int) -> set[str]:
    """Return the ids of the rows that are folded out."""
    return {str(item.data(0, role)) for item in tree.tops() if item.isExpanded()}


def _set_count(set_id: str, job: Job, value: Any) -> Job:
    return edits.with_set_count(job, set_id, value)


def _set_name(set_id: str, job: Job, value: Any) -> Job:
    return set_edits.with_set_name(job, set_id, value)


def _per_set(set_id: str, core_id: str, job: Job, value: Any) -> Job:
    return set_edits.with_per_set(job, set_id, core_id, value)


def _core_value(core_id: str, field: str, job: Job, value: Any) -> Job:
    return edits.with_core_value(job, core_id, field, value)


def _rule(core_id: str, job: Job, value: Any) -> Job:
    old = job.core(core_id).orientations
    if value == old.rule:
        return job
    rule: dict[str, Any] = {"rule": value, "yaw_step_deg": old.yaw_step_deg}
    if value == "faces down":
        rule["down"] = old.down or ("-z",)
    return edits.with_core_value(job, core_id, "orientations", rule)
