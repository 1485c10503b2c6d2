"""Cores: casting sets with their numbers, and each core with its rules and what it costs."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QWidget

from app.qt.document import Document
from app.qt.figures import NONE, count, money, quantity
from app.qt.pages.page import Page
from app.qt.views.edit_tree import EditTree, Field
from corelib.job import edits
from corelib.job.models import CastingSet, CoreItem, Job

Edit = Callable[[Job, Any], Job]


class CoresPage(Page):
    """Counts, spares, gaps and orientations; figures come from the last plan."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.sets = EditTree(
            self.tr("Casting sets"),
            [self.tr("Casting set"), self.tr("Castings"), self.tr("Cores in one")],
            figures=(1,),
            wide=2,
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
        )
        self.add(self.tr("Casting sets"), self.sets, 1)
        self.alloy = QComboBox()
        self.alloy.setAccessibleName(self.tr("Alloy poured"))
        for label, value in self._alloys():
            self.alloy.addItem(label, value)
        self.alloy.activated.connect(self._pour)
        self.add(self.tr("Alloy poured"), self.alloy, 0)
        self.add(self.tr("Cores"), self.cores, 3)
        self._edits: dict[str, tuple[str, Edit]] = {}
        for tree in (self.sets, self.cores):
            tree.edited.connect(self._change, Qt.ConnectionType.QueuedConnection)
            tree.reset_asked.connect(lambda key: self._change(key, None), Qt.ConnectionType.QueuedConnection)
        document.job_changed.connect(self.show_job)
        document.plan_changed.connect(self.show_job)

    def show_job(self) -> None:
        """Show sets and cores of the job, with the figures of the last plan."""
        places = self.sets.place(), self.cores.place()
        self.sets.clear()
        self.cores.clear()
        self._edits.clear()
        job = self.document.job
        if job is None:
            return
        self.alloy.setCurrentIndex(self.alloy.findData(job.casting.alloy))
        for casting_set in job.casting_sets:
            self._show_set(job, casting_set)
        copies = job.copies()
        for core in job.cores:
            self._show_core(core, copies[core.id])
        self.sets.come_back(places[0])
        self.cores.come_back(places[1])

    def _field(self, field: Field, text: str, edit: Edit) -> Field:
        self._edits[field.key] = (text, edit)
        return field

    def _show_set(self, job: Job, casting_set: CastingSet) -> None:
        members = ", ".join(
            f"{member.per_set} × {job.core(member.core_id).name}" for member in casting_set.members
        )
        name = self.tr("Castings of {0}").format(casting_set.name)
        field = Field(f"set:{casting_set.id}", name, casting_set.count, "count", "", 1, 5000)
        self._field(field, name, partial(_set_count, casting_set.id))
        self.sets.row(None, [casting_set.name, count(casting_set.count), members], {1: field})

    def _show_core(self, core: CoreItem, copies: int) -> None:
        figures = self._planned(core.id)
        rule, gap = core.orientations.rule, core.gap_mm
        fields = {
            2: self._field(
                Field(f"spares:{core.id}", self.tr("Spares"), core.spares, "count", "", 0, 5000),
                self.tr("Spares of {0}").format(core.name),
                partial(_core_value, core.id, "spares"),
            ),
            3: self._field(
                Field(f"gap:{core.id}", self.tr("Own gap"), gap, "number", "mm", 0, 1000, 2, can_reset=True),
                self.tr("Gap of {0}").format(core.name),
                partial(_core_value, core.id, "gap_mm"),
            ),
            4: self._field(
                Field(f"rule:{core.id}", self.tr("May lie"), rule, "choice", choices=self._rules(rule)),
                self.tr("Orientations of {0}").format(core.name),
                partial(_rule, core.id),
            ),
        }
        plan = self.document.plan
        texts = [
            core.name,
            count(copies),
            count(core.spares),
            NONE if gap is None else quantity(gap, "mm"),
            {value: label for label, value in self._rules(rule)}[rule],
            quantity(figures.get("mass_kg"), "kg"),
            NONE if plan is None or not figures.get("cost") else money(figures["cost"], plan.currency),
        ]
        item = self.cores.row(None, texts, fields)
        if figures:
            x, y, z = figures["size_mm"]
            size = " × ".join(quantity(length, "") for length in (x, y, z))
            item.setToolTip(
                0,
                self.tr("{0} mm, {1}, {2} triangles").format(
                    size, quantity(figures["core_volume_mm3"], "mm³"), count(figures["triangles"])
                ),
            )

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

    def _rules(self, present: str) -> tuple[tuple[str, Any], ...]:
        rules = [
            (self.tr("any right angle"), "right angles"),
            (self.tr("as modelled, turned"), "yaw steps"),
            (self.tr("as modelled"), "fixed"),
        ]
        if present == "faces down":
            rules.append((self.tr("on stated faces"), "faces down"))
        return tuple(rules)

    def _planned(self, core_id: str) -> dict[str, Any]:
        plan = self.document.plan
        entries = [] if plan is None else plan.document["cores"]
        found: dict[str, Any] = next((entry for entry in entries if entry["id"] == core_id), {})
        return found if "mass_kg" in found else {}

    def _change(self, key: str, value: Any) -> None:
        if key in self._edits:
            text, edit = self._edits[key]
            self.change(text, lambda job: edit(job, value))


def _set_count(set_id: str, job: Job, value: Any) -> Job:
    return edits.with_set_count(job, set_id, value)


def _core_value(core_id: str, field: str, job: Job, value: Any) -> Job:
    return edits.with_core_value(job, core_id, field, value)


def _rule(core_id: str, job: Job, value: Any) -> Job:
    old = job.core(core_id).orientations
    if value == old.rule:
        return job
    return edits.with_core_value(
        job, core_id, "orientations", {"rule": value, "yaw_step_deg": old.yaw_step_deg}
    )
