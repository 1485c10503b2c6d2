"""Printed area, layer time and idle nozzle time over height, with one line to read them all."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.qt.figures import number, quantity
from app.qt.palette import BLUE, BLUISH_GREEN, VERMILLION, ink
from app.qt.shown_layer import BoxNozzles
from app.qt.shown_plan import ShownBox
from app.qt.views.chart_export import Table
from app.qt.views.charts import Chart, steps_of, table_of
from app.qt.views.plot_hint import PlotHint
from corelib.units import MM2_PER_CM2


class HeightCharts(Chart):
    """Three plots over one height axis; Enter goes to the layer that is read."""

    layer_chosen = Signal(int)
    told = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Charts over height"), self.tr("over height"), self.table, parent)
        self._box: ShownBox | None = None
        self._nozzles: BoxNozzles | None = None
        self._limit: pg.InfiniteLine | None = None
        self.area = self.add_plot(self.tr("area, cm²"))
        self.time = self.add_plot(self.tr("layer, s"))
        self.idle = self.add_plot(self.tr("idle, s"), self.tr("height, mm"))
        self.hint = PlotHint(self, self.idle)
        self.read.connect(self._tell)

    def say_of_idle(self, sentence: str) -> None:
        """Show a sentence where idle times would be; none where they are."""
        self.hint.say(sentence)

    def show_box(self, box: ShownBox | None, nozzles: BoxNozzles | None) -> None:
        """Show a box's curves; idle times only where they are known."""
        is_new = box is not self._box
        self._box, self._nozzles = box, nozzles
        at = self.stands_at
        self.forget()
        if box is None or box.layer_count == 0:
            return
        edges = np.append(box.z_mm, box.z_mm[-1] + box.thickness_mm)
        self.add_curve(self.area, *steps_of(edges, box.printed_area_mm2 / MM2_PER_CM2), BLUE)
        self.add_curve(self.time, *steps_of(edges, box.time_s), BLUISH_GREEN)
        if nozzles is not None:
            longest = nozzles.longest_s[: box.layer_count]
            self.add_curve(self.idle, *steps_of(edges[: len(longest) + 1], longest), VERMILLION)
            self._show_limit(nozzles)
        if is_new:
            self.show_all()
        elif at is not None:
            self.stand_at(at)

    def _show_limit(self, nozzles: BoxNozzles) -> None:
        if nozzles.open_time_s is None:
            return
        text = self.tr("open time {0} s").format(number(nozzles.open_time_s, 0))
        pen = pg.mkPen(ink(self.palette()), width=1, style=Qt.PenStyle.DashLine)
        self._limit = pg.InfiniteLine(
            nozzles.open_time_s,
            angle=0,
            pen=pen,
            label=text,
            labelOpts={"color": ink(self.palette()), "position": 0.12, "movable": False},
        )
        self.idle.addItem(self._limit)

    def layer_at(self, height_mm: float) -> int | None:
        """Return the layer at a height, None beside all layers."""
        box = self._box
        if box is None or box.layer_count == 0:
            return None
        layer = int(np.floor((height_mm - box.z_mm[0]) / box.thickness_mm))
        return layer if 0 <= layer < box.layer_count else None

    def step(self, x: float, steps: int) -> float:
        """Return the middle of the layer that lies some layers higher."""
        box = self._box
        if box is None or box.layer_count == 0:
            return x
        layer = int(np.floor((x - box.z_mm[0]) / box.thickness_mm)) + steps
        return float(box.z_mm[min(max(layer, 0), box.layer_count - 1)]) + 0.5 * box.thickness_mm

    def _tell(self, height_mm: float) -> None:
        box, layer = self._box, self.layer_at(height_mm)
        if box is None or layer is None:
            self.told.emit("")
            return
        parts = [
            self.tr("Layer {0} · {1} mm").format(layer + 1, number(float(box.z_mm[layer]), 2)),
            self.tr("printed area {0} cm²").format(
                number(float(box.printed_area_mm2[layer]) / MM2_PER_CM2, 1)
            ),
            self.tr("time {0}").format(quantity(float(box.time_s[layer]), "s")),
        ]
        nozzles = self._nozzles
        if nozzles is not None and layer < len(nozzles.longest_s):
            idle = quantity(float(nozzles.longest_s[layer]), "s")
            parts.append(self.tr("longest idle before a drop {0}").format(idle))
            if nozzles.late[layer]:
                parts.append(self.tr("{0} nozzles past the open time").format(int(nozzles.late[layer])))
        self.told.emit(" · ".join(parts))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes to the layer that is read; other keys as in all charts."""
        at = self.stands_at
        layer = None if at is None else self.layer_at(at)
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and layer is not None:
            self.layer_chosen.emit(layer)
            return
        super().keyPressEvent(event)

    def table(self) -> Table:
        """Return the curves as data."""
        box, nozzles = self._box, self._nozzles
        heads = ["layer", "z_mm", "printed_area_mm2", "layer_time_s"]
        if box is None:
            return heads, []
        columns: list[list[object]] = [list(range(1, box.layer_count + 1))]
        columns += [values.tolist() for values in (box.z_mm, box.printed_area_mm2, box.time_s)]
        if nozzles is not None and len(nozzles.longest_s) == box.layer_count:
            heads += ["longest_idle_s", "nozzles_past_open_time", "nozzles_printing"]
            columns += [values.tolist() for values in (nozzles.longest_s, nozzles.late, nozzles.printing)]
        return table_of(heads, columns)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_nozzles"):
            self.show_box(self._box, self._nozzles)
