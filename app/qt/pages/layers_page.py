"""Layers: the layer shown from above, with its figures."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from app.qt.document import Document
from app.qt.figures import number, quantity
from app.qt.pages.page import Page
from app.qt.views.layer_view import LayerView
from corelib.units import M_PER_MM, MM2_PER_CM2


class LayersPage(Page):
    """The layer's outlines under a line of figures."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.view = LayerView()
        self.heading = self.add("", self.view)
        for changed in (document.plan_changed, document.box_changed, document.layer_changed):
            changed.connect(self.show_layer)
        self.show_layer()

    def show_layer(self) -> None:
        """Show the figures of the layer."""
        box, layer = self.document.box, self.document.layer
        if box is None or box.layer_count == 0:
            self.heading.setText(self.tr("No plan yet"))
            return
        self.heading.setText(
            self.tr("Printed area {0} cm² · outline {1} m · binder {2} · time {3}").format(
                number(float(box.printed_area_mm2[layer]) / MM2_PER_CM2, 1),
                number(float(box.boundary_mm[layer]) * M_PER_MM, 2),
                quantity(float(box.binder_ml[layer]), "mL"),
                quantity(float(box.time_s[layer]), "s"),
            )
        )
