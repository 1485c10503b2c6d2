"""The desk: what stays at hand on every page - the height rule, the box in 3D, and the findings."""

from __future__ import annotations

from collections import Counter

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSplitter, QVBoxLayout, QWidget

from app.qt.document import Document
from app.qt.figures import number
from app.qt.palette import core_colours
from app.qt.shown_plan import ShownFinding
from app.qt.views.box_view import BoxView
from app.qt.views.findings_view import FindingsView
from app.qt.views.height_rule import HeightRule
from corelib.findings import SEVERITIES


class Desk(QSplitter):
    """Shows the document's box and findings; the rule, a click and a finding lead to their place."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self._document = document
        self.height_rule = HeightRule()
        self.box_view = BoxView()
        self.findings_view = FindingsView()
        self.layer_heading = QLabel()
        self.findings_heading = QLabel()
        self._arrange()
        document.plan_changed.connect(self._show_plan)
        document.box_changed.connect(self._show_box)
        document.layer_changed.connect(self._show_layer)
        document.copy_chosen.connect(self.box_view.show_chosen)
        self.height_rule.layer_chosen.connect(document.show_layer)
        self.box_view.copy_picked.connect(document.choose_copy)
        self.findings_view.finding_chosen.connect(self._go_to)
        self._show_plan()

    def _arrange(self) -> None:
        upper = QSplitter(Qt.Orientation.Horizontal)
        upper.addWidget(self.height_rule)
        upper.addWidget(self.box_view)
        upper.setSizes([190, 520])
        upper.setStretchFactor(1, 1)
        self.addWidget(_headed(self.layer_heading, upper))
        self.addWidget(_headed(self.findings_heading, self.findings_view))
        self.setSizes([490, 150])
        self.setStretchFactor(0, 1)
        self.findings_heading.setBuddy(self.findings_view)
        QWidget.setTabOrder(self.height_rule, self.box_view)
        QWidget.setTabOrder(self.box_view, self.findings_view)

    def _show_plan(self) -> None:
        plan = self._document.plan
        self.findings_view.findings.set_plan(plan)
        severities = Counter(finding.severity for finding in plan.findings) if plan is not None else {}
        words = self.findings_view.findings
        parts = [f"{severities[s]} × {words.severity_word(s)}" for s in SEVERITIES if severities.get(s)]
        if plan is None:
            self.findings_heading.setText(self.tr("Findings"))
        else:
            self.findings_heading.setText(
                self.tr("Findings: {0}").format(", ".join(parts) if parts else self.tr("none"))
            )
        self._show_box()

    def _show_box(self) -> None:
        plan, box = self._document.plan, self._document.box
        if plan is None or box is None:
            self.box_view.show_box(None)
            self.height_rule.set_box(None)
            self.layer_heading.setText(self.tr("No plan yet"))
            return
        colours = core_colours(plan.core_names)
        copies = Counter(placement.core for placement in box.placements)
        legend = [(colours[core], f"{copies[core]} × {plan.core_names[core]}") for core in sorted(copies)]
        self.box_view.show_box(box.inner_mm, box.placements, plan.looks, colours, legend)
        self.height_rule.set_box(box, self._document.layer)
        self._show_layer(self._document.layer)

    def _show_layer(self, layer: int) -> None:
        box = self._document.box
        if box is None or box.layer_count == 0:
            return
        self.height_rule.show_layer(layer)
        self.box_view.show_level(float(box.z_mm[layer]) + 0.5 * box.thickness_mm)
        self.layer_heading.setText(
            self.tr("Layer {0} of {1} · {2} mm above the floor").format(
                layer + 1, box.layer_count, number(float(box.z_mm[layer]), 2)
            )
        )

    def _go_to(self, finding: ShownFinding) -> None:
        """Show the box and layer that a finding is about, and the first copy of its core."""
        if finding.box is not None:
            self._document.show_box(finding.box)
        if finding.layers is not None:
            self._document.show_layer(finding.layers[0])
        box = self._document.box
        if finding.core is not None and box is not None:
            copies = [i for i, place in enumerate(box.placements) if place.core == finding.core]
            self._document.choose_copy(copies[0] if copies else -1)


def _headed(heading: QLabel, content: QWidget) -> QWidget:
    """Return a widget with a heading over it."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 2, 0, 0)
    column.setSpacing(2)
    column.addWidget(heading)
    column.addWidget(content, 1)
    return holder
