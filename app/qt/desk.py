"""The desk: what stays at hand on every page - the height rule, the box in 3D, and the findings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QSplitter, QVBoxLayout, QWidget

from app.qt.box_places import finding_places
from app.qt.document import Document
from app.qt.figures import length
from app.qt.lengths import LENGTHS
from app.qt.outlines import Outlines
from app.qt.palette import core_colours
from app.qt.shown_plan import ShownFinding, ShownPlacement, ShownPlan
from app.qt.views.box_marks import CutFaces
from app.qt.views.box_tools import BoxTools
from app.qt.views.box_view import BoxView
from app.qt.views.findings_view import FindingsView
from app.qt.views.height_rule import HeightRule
from app.qt.views.unpacking_player import UnpackingPlayer
from corelib.findings import SEVERITIES


class Desk(QSplitter):
    """Shows the document's box and findings; the rule, a click and a finding lead to their place."""

    finding_shown = Signal(int)
    """Takes the number of the finding that is looked at."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self._document = document
        self._more: dict[str, tuple[ShownFinding, ...]] = {}
        self._placements: tuple[ShownPlacement, ...] = ()
        self._is_marker_clicked = False
        self.height_rule = HeightRule()
        self.box_view = BoxView()
        self.box_tools = BoxTools()
        self.player = UnpackingPlayer()
        self.player.hide()
        self.findings_view = FindingsView()
        self.layer_heading = QLabel()
        self.findings_heading = QLabel()
        self._arrange()
        document.opened.connect(self._forget)
        document.plan_changed.connect(self._show_plan)
        document.box_changed.connect(self.show_box)
        document.job_changed.connect(self._show_moved)
        document.layer_changed.connect(self._show_layer)
        document.copy_chosen.connect(self.box_view.show_chosen)
        self.height_rule.layer_chosen.connect(document.show_layer)
        self.box_view.copy_picked.connect(document.choose_copy)
        self.box_view.finding_picked.connect(self._choose_finding)
        self.findings_view.finding_chosen.connect(self._go_to)
        LENGTHS.changed.connect(self._show_layer_anew)
        self._show_plan()

    def _arrange(self) -> None:
        upper = QSplitter(Qt.Orientation.Horizontal)
        upper.addWidget(self.height_rule)
        upper.addWidget(self.box_view)
        upper.setSizes([190, 520])
        upper.setStretchFactor(1, 1)
        self.addWidget(_headed(self.layer_heading, upper, self.box_tools, self.player))
        self.addWidget(_headed(self.findings_heading, self.findings_view))
        self.setSizes([490, 150])
        self.setStretchFactor(0, 1)
        self.findings_heading.setBuddy(self.findings_view)
        QWidget.setTabOrder(self.height_rule, self.box_view)
        QWidget.setTabOrder(self.box_view, self.box_tools)
        QWidget.setTabOrder(self.player, self.findings_view)

    def _forget(self) -> None:
        """Another job is open: what was on show has no plan any more."""
        self._more.clear()
        self._placements = ()

    def add_findings(self, core: str, findings: Sequence[ShownFinding]) -> None:
        """Show what a check of one core found, besides the plan's findings."""
        self._more[core] = tuple(findings)
        self._show_findings()

    def look_at_core(self, core: str) -> None:
        """Choose the first copy of a core in the box shown and go to the first finding about it."""
        for row, finding in enumerate(self.findings_view.findings.shown):
            if finding.core == core and finding.places_mm:
                index = self.findings_view.model().index(row, 0)
                self.findings_view.setCurrentIndex(index)
                self.findings_view.scrollTo(index)
                return
        copies = [n for n, place in enumerate(self._placements) if place.core == core]
        self._document.choose_copy(copies[0] if copies else -1)

    def _show_plan(self) -> None:
        self._show_findings()
        self.show_box()

    def _show_findings(self) -> None:
        plan, words = self._document.plan, self.findings_view.findings
        words.set_plan(plan, [finding for more in self._more.values() for finding in more])
        severities = Counter(finding.severity for finding in words.shown)
        parts = [f"{severities[s]} × {words.severity_word(s)}" for s in SEVERITIES if severities.get(s)]
        if plan is None:
            self.findings_heading.setText(self.tr("Findings"))
        else:
            self.findings_heading.setText(
                self.tr("Findings: {0}").format(", ".join(parts) if parts else self.tr("none"))
            )

    def show_box(self) -> None:
        """Show the document's box as it is planned, or as cores were moved in it."""
        plan, box = self._document.plan, self._document.box
        if plan is None or box is None:
            self._placements = ()
            self.box_view.show_box(None)
            self.height_rule.set_box(None)
            self.layer_heading.setText(self.tr("No plan yet"))
            return
        self.show_packing(plan, self._document.placements)
        self._show_regions()
        self.box_view.show_chosen(self._document.copy)
        self.height_rule.set_box(box, self._document.layer)
        self._show_layer(self._document.layer)

    def show_packing(self, plan: ShownPlan, placements: Sequence[ShownPlacement]) -> None:
        """Show placements of the plan's cores in the box: the plan's own, or a packing that is growing."""
        box = self._document.box
        if box is None:
            return
        known = [place for place in placements if place.core in plan.looks]
        colours = core_colours(plan.core_names)
        copies = Counter(place.core for place in known)
        legend = [(colours[core], f"{copies[core]} × {plan.core_names[core]}") for core in sorted(copies)]
        self._placements = tuple(known)
        self.box_view.show_box(box.inner_mm, known, plan.looks, colours, legend)

    def shows(self, number: int) -> bool:
        """Return True if a core copy of that number is on show; a packing in the making may have fewer."""
        return number < len(self._placements)

    def centre_of(self, number_: int) -> NDArray[np.float64]:
        """Return the middle of a core copy's bounding box in the core's frame, taken to the box."""
        plan, place = self._document.plan, self._placements[number_]
        assert plan is not None
        vertices = plan.looks[place.core].moving.vertices_mm
        middle = 0.5 * (vertices.min(axis=0) + vertices.max(axis=0))
        centre: NDArray[np.float64] = place.matrix[:3, :3] @ middle + place.matrix[:3, 3]
        return centre

    def lock_places(self) -> tuple[NDArray[np.float64], ...]:
        """Return the middles of the locked cores."""
        return tuple(self.centre_of(n) for n, place in enumerate(self._placements) if place.locked)

    def _show_regions(self) -> None:
        job = self._document.job
        regions = () if job is None else job.box.keep_out
        self.box_view.show_regions([(region.low_mm, region.high_mm) for region in regions])

    def _show_moved(self) -> None:
        """Show cores where an edit of the job has put them."""
        self._show_regions()
        placements = self._document.placements
        names = [(place.core, place.copy_number) for place in placements]
        if names != [(place.core, place.copy_number) for place in self._placements]:
            if self._document.plan is not None and len(self._placements) != 0:
                self.show_box()  # cores have come from other boxes, or left for them
            return
        for n, (new, old) in enumerate(zip(placements, self._placements, strict=True)):
            if not np.array_equal(new.matrix, old.matrix):
                self.box_view.show_core_at(n, new.matrix)
        self._placements = placements

    def _show_layer_anew(self) -> None:
        self._show_layer(self._document.layer)

    def _show_layer(self, layer: int) -> None:
        box = self._document.box
        if box is None or box.layer_count == 0:
            return
        self.height_rule.show_layer(layer)
        self.box_view.show_level(float(box.z_mm[layer]) + 0.5 * box.thickness_mm)
        self.layer_heading.setText(
            self.tr("Layer {0} of {1} · {2} above the floor").format(
                layer + 1, box.layer_count, length(float(box.z_mm[layer]), 2)
            )
        )

    def show_outlines(self, box: int, layer: int, outlines: Outlines) -> None:
        """Fill what the layer cuts open with its own outlines, where they are those of the layer shown."""
        own = self._document.box
        if own is None or (box, layer) != (self._document.box_index, self._document.layer):
            return
        now = self._document.placements
        is_as_planned = len(now) == len(own.placements) and all(
            (new.core, new.copy_number) == (old.core, old.copy_number)
            and np.array_equal(new.matrix, old.matrix)
            for new, old in zip(now, own.placements, strict=True)
        )
        if is_as_planned:
            z_mm = float(own.z_mm[layer]) + 0.5 * own.thickness_mm
            self.box_view.show_cut_faces(CutFaces(z_mm, outlines.loops()))

    def _choose_finding(self, row: int) -> None:
        """Choose a finding whose sign was clicked; the view stays as it is."""
        self._is_marker_clicked = True
        model = self.findings_view.model()
        self.findings_view.setCurrentIndex(model.index(row, 0))
        self.findings_view.scrollTo(model.index(row, 0))
        self._is_marker_clicked = False

    def _go_to(self, finding: ShownFinding) -> None:
        """Show the box, layer, core copy and place that a finding is about."""
        if finding.box is not None:
            self._document.show_box(finding.box)
        if finding.layers is not None:
            self._document.show_layer(finding.layers[0])
        placements = self._document.placements
        if finding.core is not None:
            copies = [
                n
                for n, place in enumerate(placements)
                if place.core == finding.core and finding.copy_number in (None, place.copy_number)
            ]
            if self._document.copy not in copies:
                self._document.choose_copy(copies[0] if copies else -1)
        places = finding_places(finding, self._document.box_index, placements, self._document.copy)
        if places and not self._is_marker_clicked:
            self.box_view.look_at_place(places[0])
        self.finding_shown.emit(self.findings_view.findings.shown.index(finding))


def _headed(heading: QLabel, *contents: QWidget) -> QWidget:
    """Return a widget with a heading over its contents, the first of which takes the room."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 2, 0, 0)
    column.setSpacing(2)
    column.addWidget(heading)
    for n, content in enumerate(contents):
        column.addWidget(content, 0 if n else 1)
    return holder
