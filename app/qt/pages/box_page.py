"""Box: its size, margins and gap, what rides along, and where each core copy lies."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QTreeWidgetItem, QWidget

from app.qt.document import Document
from app.qt.figures import count, profile_word, quantity, rounded, stated
from app.qt.pages.packing_rules import REGION_KEY, PackingRules
from app.qt.pages.page import Page
from app.qt.views.edit_tree import FIELD_ROLE, EditTree, Field
from app.qt.views.nest_strip import NestStrip
from corelib.errors import CorestowError
from corelib.job import edits
from corelib.job import packing_rule_edits as rule_edits
from corelib.job.models import Job
from corelib.job.operating_point import evidence_of
from corelib.job.packing_edits import copy_of
from corelib.job.profiles import OperatingPoint

NUMBER_ROLE = int(Qt.ItemDataRole.UserRole) + 7
Edit = Callable[[Job, Any], Job]


class BoxPage(Page):
    """Rules of the packing above, placements of the box shown below; a row and the 3D view choose alike."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.rules = EditTree(
            self.tr("Box and gaps"),
            [self.tr("Rule"), self.tr("Value"), self.tr("Stated by")],
            figures=(1,),
            has_groups=True,
        )
        self.placements = EditTree(
            self.tr("Placements"),
            [
                self.tr("Core"),
                self.tr("Copy"),
                self.tr("Casting"),
                self.tr("Lies"),
                self.tr("Placed by"),
                self.tr("Lock"),
            ],
            figures=(1, 2),
        )
        self.nest_strip = NestStrip()
        self.add(self.tr("Packing search"), self.nest_strip, 0)
        self.add(self.tr("Box and gaps"), self.rules, 2)
        self.new_region_button = QPushButton(self.tr("New region to keep out of"))
        self.remove_region_button = QPushButton(self.tr("Remove the region"))
        self.new_region_button.clicked.connect(self._new_region)
        self.remove_region_button.clicked.connect(self._remove_region)
        self.rules.currentItemChanged.connect(lambda *_: self._show_buttons())
        row = QHBoxLayout()
        row.addWidget(self.new_region_button)
        row.addWidget(self.remove_region_button)
        row.addStretch(1)
        self.column.addLayout(row)
        self.heading = self.add(self.tr("Placements"), self.placements, 3)
        self.placements.setSelectionBehavior(EditTree.SelectionBehavior.SelectRows)
        self._edits: dict[str, tuple[str, Edit]] = {}
        self._packing_rules = PackingRules(self._register)
        self.rules.check = self._refused
        self.rules.edited.connect(self._change, Qt.ConnectionType.QueuedConnection)
        self.rules.reset_asked.connect(
            lambda key: self._change(key, None), Qt.ConnectionType.QueuedConnection
        )
        self.placements.currentItemChanged.connect(self._choose)
        document.job_changed.connect(self.show_job)
        document.job_changed.connect(self.show_box)
        document.plan_changed.connect(self.show_box)
        document.box_changed.connect(self.show_box)
        document.copy_chosen.connect(self._show_chosen)

    def show_anew(self) -> None:
        """Show rules and placements in the units chosen now."""
        self.show_job()
        self.show_box()

    def show_job(self) -> None:
        """Show the rules of the packing."""
        place = self.rules.place()
        self.rules.clear()
        self._edits.clear()
        job = self.document.job
        if job is None:
            return
        try:
            point = self.document.point()
        except CorestowError as error:
            self.refused.emit(error)
            return
        self._show_rules(job, point)
        self.rules.come_back(place)
        self._show_buttons()

    def _show_rules(self, job: Job, point: OperatingPoint) -> None:
        machine = point.machine
        gap = self.tr("Gap between cores")
        self._length(
            "gap", gap, job.gap_mm, point.process.gap_mm, edits.with_gap, _source(point, "process.gap_mm")
        )
        for field, name in (
            ("wall_margin_mm", self.tr("Margin to the walls")),
            ("floor_margin_mm", self.tr("Margin to the floor")),
            ("top_margin_mm", self.tr("Margin to the top")),
        ):
            own, default = getattr(job.box, field), getattr(machine, field)
            self._length(field, name, own, default, _box_value(field), _source(point, f"machine.{field}"))
        size, source = job.box.inner_mm or machine.box_inner_mm, _source(point, "machine.box_inner_mm")
        for axis, name in enumerate(
            (self.tr("Inner length (x)"), self.tr("Inner width (y)"), self.tr("Inner height (z)"))
        ):
            own = None if job.box.inner_mm is None else job.box.inner_mm[axis]
            default = None if machine.box_inner_mm is None else machine.box_inner_mm[axis]
            self._length(f"inner:{axis}", name, own, default, _inner(axis, size), source)
        for field, name in (
            ("witness_bars", self.tr("Witness bars in each box")),
            ("accuracy_coupons", self.tr("Accuracy coupons in each box")),
        ):
            number = getattr(job.extras, field)
            self._edits[field] = (name, _extra(field))
            entry = Field(field, name, number, "count", "", 0, 5000)
            self.rules.row(None, [name, count(number), self.tr("the job")], {1: entry})
        self._packing_rules.show(self.rules, job)

    def _register(self, key: str, text: str, edit: Edit) -> None:
        self._edits[key] = (text, edit)

    def _length(self, key: str, name: str, own: Any, default: Any, edit: Edit, known_from: str) -> None:
        """Show a length that the job may state otherwise than the profile; what it states is bold."""
        value = default if own is None else own
        source = self.tr("the profile") if own is None else self.tr("the job")
        entry = Field(key, name, value, "number", "mm", 0.0, 20_000.0, 2, can_reset=own is not None)
        self._edits[key] = (name, edit)
        item = self.rules.row(None, [name, stated(value, "mm"), source], {1: entry})
        hints = [self.tr("The profile has {0}.").format(stated(default, "mm"))]
        if known_from:
            hints.append(self.tr("Its source: {0}").format(known_from))
        if own is not None:
            hints.append(self.tr("Delete takes the profile's."))
        font = item.font(0)
        font.setBold(own is not None)
        for column in range(3):
            item.setFont(column, font)
            item.setToolTip(column, "\n".join(hints))

    def show_box(self) -> None:
        """Show the placements of the box shown, as planned or as moved by hand."""
        before = self.placements.blockSignals(True)  # rows made anew choose nothing
        self._fill_placements()
        self.placements.blockSignals(before)
        self._show_chosen(self.document.copy)

    def _fill_placements(self) -> None:
        scroll = self.placements.verticalScrollBar().value()
        self.placements.clear()
        plan, box = self.document.plan, self.document.box
        if plan is None or box is None:
            self.heading.setText(self.tr("Placements"))
            return
        known = {copy_of(p): p for one in plan.document["boxes"] for p in one["placements"]}
        known |= {copy_of(place): place for place in self.document.packing or ()}
        placements = self.document.placements
        for number, place in enumerate(placements):
            more = known[place.core, place.copy_number]
            set_index = more.get("set_index")
            texts = [
                plan.core_names[place.core],
                count(place.copy_number + 1),
                "" if set_index is None else count(set_index + 1),
                self._lies(more.get("orientation")),
                self.tr("hand") if more.get("placed_by") == "hand" else self.tr("search"),
                self.tr("locked") if more.get("locked") else "",
            ]
            item = self.placements.row(None, texts)
            item.setData(0, NUMBER_ROLE, number)
        self.heading.setText(
            self.tr("Placements in box {0}: {1} cores, {2} high").format(
                self.document.box_index + 1, len(placements), quantity(box.height_mm, "mm")
            )
        )
        self.placements.verticalScrollBar().setValue(scroll)

    def _lies(self, orientation: dict[str, Any] | None) -> str:
        """Return how a core lies: what points down, and the turn after that."""
        if orientation is None:
            return ""
        down, turn_deg = orientation["down"], orientation["yaw_deg"]
        if not isinstance(down, str):
            down = "({})".format(", ".join(rounded(part, 3) for part in down))
        if not turn_deg:
            return self.tr("{0} down").format(down)
        return self.tr("{0} down, turned {1}°").format(down, stated(turn_deg, ""))

    def _region(self) -> int | None:
        """Return the number of the region in whose rows the list stands."""
        field = self.rules.currentIndex().siblingAtColumn(1).data(FIELD_ROLE)
        key = field.key if isinstance(field, Field) else ""
        return int(key.split(":")[1]) if key.startswith(REGION_KEY) else None

    def _show_buttons(self) -> None:
        self.new_region_button.setEnabled(self.document.job is not None)
        self.remove_region_button.setEnabled(self.document.job is not None and self._region() is not None)

    def _new_region(self) -> None:
        reason = self.tr("not stated")
        self.change(self.tr("new region to keep out of"), lambda job: rule_edits.with_new_region(job, reason))

    def _remove_region(self) -> None:
        number = self._region()
        if number is not None:
            self.change(self.tr("remove a region"), lambda job: rule_edits.without_region(job, number))

    def _choose(self, item: QTreeWidgetItem | None) -> None:
        if item is not None:
            self.document.choose_copy(int(item.data(0, NUMBER_ROLE)))

    def _show_chosen(self, number: int) -> None:
        item = self.placements.topLevelItem(number) if number >= 0 else None
        if item is None:
            self.placements.setCurrentIndex(QModelIndex())
        elif item is not self.placements.currentItem():
            self.placements.setCurrentItem(item)

    def _refused(self, key: str, value: Any) -> str:
        _, edit = self._edits[key]
        return self.refusal(lambda job: edit(job, value))

    def _change(self, key: str, value: Any) -> None:
        if key in self._edits:
            text, edit = self._edits[key]
            self.change(text, lambda job: edit(job, value))


def _source(point: OperatingPoint, field: str) -> str:
    """Return where a profile's value is from, and how well it is known; empty where it is not known."""
    evidence = evidence_of(point, field)
    return "" if evidence is None else f"{evidence.source} ({profile_word(evidence.evidence)})"


def _box_value(field: str) -> Edit:
    return lambda job, value: edits.with_box_value(job, field, value)


def _extra(field: str) -> Edit:
    return lambda job, value: edits.with_extra(job, field, value)


def _inner(axis: int, size: Any) -> Edit:
    """Return the edit of one inner length; without a value the whole size is the profile's again."""

    def edit(job: Job, value: Any) -> Job:
        if value is None or size is None:
            return edits.with_box_value(job, "inner_mm", None)
        return edits.with_box_value(job, "inner_mm", (*size[:axis], value, *size[axis + 1 :]))

    return edit
