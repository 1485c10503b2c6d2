"""Printed area and time over height of several plans, laid over one another."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QEvent, Signal
from PySide6.QtWidgets import QWidget

from app.qt.figures import number, quantity
from app.qt.palette import CORE_COLOURS
from app.qt.views.chart_export import Table
from app.qt.views.charts import Chart
from corelib.comparison import Comparison
from corelib.units import MM2_PER_CM2


class CompareCurves(Chart):
    """Two plots with one height axis; boxes follow one another."""

    told = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            self.tr("Printed area and time over height of all plans"),
            self.tr("comparison"),
            self.table,
            parent,
        )
        self._comparison: Comparison | None = None
        self.area = self.add_plot(self.tr("area, cm²"))
        self.time = self.add_plot(self.tr("layer, s"), self.tr("height, mm"))
        self.area.addLegend(offset=(-8, 8))
        self._take_palette()
        self.read.connect(self._tell)

    def show_comparison(self, comparison: Comparison | None) -> None:
        """Show the curves of all plans, or none."""
        self._comparison = comparison
        self.forget()
        if comparison is None:
            return
        for place, (name, curve) in enumerate(zip(comparison.names, comparison.curves, strict=True)):
            colour, area = CORE_COLOURS[place], curve.printed_area_mm2 / MM2_PER_CM2
            self.add_curve(self.area, curve.height_mm, area, colour, place, name=name)
            self.add_curve(self.time, curve.height_mm, curve.time_s, colour, place)
        self.show_all()

    def _tell(self, height_mm: float) -> None:
        if self._comparison is None:
            return
        parts = [f"{number(height_mm, 1)} mm"]
        for name, curve in zip(self._comparison.names, self._comparison.curves, strict=True):
            layer = int(np.searchsorted(curve.height_mm, height_mm))
            if height_mm >= 0.0 and layer < len(curve.height_mm):
                area = number(float(curve.printed_area_mm2[layer]) / MM2_PER_CM2, 1)
                parts.append(f"{name}: {area} cm², {quantity(float(curve.time_s[layer]), 's')}")
            else:
                parts.append(f"{name}: –")
        self.told.emit(" · ".join(parts))

    def table(self) -> Table:
        """Return all layers of all plans as data."""
        heads = ["plan", "box", "top_of_layer_mm", "printed_area_mm2", "layer_time_s"]
        if self._comparison is None:
            return heads, []
        rows: list[tuple[object, ...]] = []
        for name, curve in zip(self._comparison.names, self._comparison.curves, strict=True):
            columns = (curve.box + 1, curve.height_mm, curve.printed_area_mm2, curve.time_s)
            rows += [(name, *row) for row in zip(*(column.tolist() for column in columns), strict=True)]
        return heads, rows

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_comparison"):
            self.show_comparison(self._comparison)
