"""The height rule: printed area over height, the curve that is itself the control for the layer shown."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QGraphicsPathItem, QWidget

from app.qt.figures import length
from app.qt.palette import accent, faint_ink, ground, ink, mixed
from app.qt.shown_plan import ShownBox
from app.qt.views.local_axis import local_axes
from corelib.units import MM2_PER_CM2

BIG_STEP = 10


class _LayerAxis(pg.AxisItem):
    """Ticks in layer numbers (from 1) beside a scale in mm."""

    def __init__(self) -> None:
        super().__init__("right")
        self.thickness_mm = 1.0

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, list[float]]]:
        t = self.thickness_mm
        levels = super().tickValues(minVal / t, maxVal / t, size)
        whole = [(step, values) for step, values in levels if step >= 1]
        return [(step * t, [(value - 0.5) * t for value in values if value >= 1]) for step, values in whole]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        return [f"{value / self.thickness_mm + 0.5:.0f}" for value in values]


class HeightRule(pg.PlotWidget):
    """Printed area over height, height upward; drag, wheel or keys choose the layer."""

    layer_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        self._layers_axis = _LayerAxis()
        super().__init__(parent, axisItems={**local_axes(), "right": self._layers_axis})
        self._box: ShownBox | None = None
        self._layer = 0
        self._held = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Height rule: layer shown"))
        self.setToolTip(
            self.tr("Drag or click to choose the layer. Arrow keys: one layer; Page keys: ten; Home, End.")
        )
        self.setMinimumWidth(150)
        self._plot_parts()
        self._take_palette()

    def _plot_parts(self) -> None:
        item = self.getPlotItem()
        item.setMenuEnabled(False)
        item.hideButtons()
        item.setMouseEnabled(False, False)
        item.showAxis("right")
        for side in ("left", "bottom", "right"):
            item.getAxis(side).enableAutoSIPrefix(False)
        item.getAxis("left").setLabel(self.tr("height, mm"))
        item.getAxis("right").setLabel(self.tr("layer"))
        item.getAxis("bottom").setLabel(self.tr("printed area, cm²"))
        item.getViewBox().setDefaultPadding(0.0)
        self._fill = QGraphicsPathItem()
        self._fill.setPen(QPen(Qt.PenStyle.NoPen))
        self._curve = pg.PlotCurveItem()
        self._mark = pg.InfiniteLine(angle=0, movable=False)
        item.addItem(self._fill)
        item.addItem(self._curve)
        item.addItem(self._mark)
        self._mark.setVisible(False)

    @property
    def layer(self) -> int:
        """The layer that the rule stands at, from 0."""
        return self._layer

    def set_box(self, box: ShownBox | None, layer: int = 0) -> None:
        """Show a box's curve, or nothing."""
        self._box = box
        has_layers = box is not None and box.layer_count > 0
        self._mark.setVisible(has_layers)
        self.getPlotItem().setVisible(has_layers)  # axes of nothing say nothing
        if box is None or not has_layers:
            self._curve.setData([], [])
            self._fill.setPath(QPainterPath())
            self.setAccessibleDescription(self.tr("no plan"))
            return
        t = box.thickness_mm
        edges = np.append(box.z_mm, box.z_mm[-1] + t)
        area = box.printed_area_mm2 / MM2_PER_CM2
        self._layers_axis.thickness_mm = t
        self._layers_axis.picture = None
        # each layer is a step: two points at its bottom and its top
        across, up = np.repeat(area, 2), np.repeat(edges, 2)[1:-1]
        self._curve.setData(across, up)
        self._fill.setPath(pg.arrayToQPath(np.r_[0.0, across, 0.0], np.r_[up[0], up, up[-1]]))
        top = max(float(edges[-1]), box.inner_mm[2] if box.inner_mm[2] < 2 * edges[-1] else 0.0)
        widest = max(float(area.max()) * 1.08, 1.0)
        self.setXRange(0.0, widest, padding=0.0)
        step = _round_step(widest / 1.4)
        self.getPlotItem().getAxis("bottom").setTickSpacing(step, step / 5)
        self.setYRange(0.0, 1.02 * top, padding=0.0)
        self.show_layer(layer)

    def show_layer(self, layer: int) -> None:
        """Stand at a layer."""
        self._layer = layer
        if self._box is None or self._box.layer_count == 0:
            return
        middle = float(self._box.z_mm[layer]) + 0.5 * self._box.thickness_mm
        self._mark.setPos(middle)
        self.setAccessibleDescription(
            self.tr("layer {0} of {1}, {2}").format(
                layer + 1, self._box.layer_count, length(float(self._box.z_mm[layer]), 2)
            )
        )
        self.viewport().update()

    def _choose(self, layer: int) -> None:
        box = self._box
        if box is None or box.layer_count == 0:
            return
        layer = min(max(layer, 0), box.layer_count - 1)
        if layer != self._layer:
            self.show_layer(layer)
            self.layer_chosen.emit(layer)

    def _layer_at(self, position: QPointF) -> int:
        assert self._box is not None
        scene = self.mapToScene(position.toPoint())
        height_mm = self.getPlotItem().getViewBox().mapSceneToView(scene).y()
        return int(np.floor(height_mm / self._box.thickness_mm))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the rule."""
        if self._box is not None and event.button() == Qt.MouseButton.LeftButton:
            self._held = True
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self._choose(self._layer_at(event.position()))
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag through the layers."""
        if self._held and self._box is not None:
            self._choose(self._layer_at(event.position()))
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self._held = False
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step layer by layer, with Shift by ten."""
        many = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
        delta = event.angleDelta().y() or event.angleDelta().x()
        if delta:
            self._choose(self._layer + (1 if delta > 0 else -1) * (BIG_STEP if many else 1))
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step by keys; other keys go on."""
        steps = {
            Qt.Key.Key_Up: 1,
            Qt.Key.Key_Down: -1,
            Qt.Key.Key_PageUp: BIG_STEP,
            Qt.Key.Key_PageDown: -BIG_STEP,
        }
        if event.key() in steps:
            self._choose(self._layer + steps[Qt.Key(event.key())])
        elif event.key() == Qt.Key.Key_Home:
            self._choose(0)
        elif event.key() == Qt.Key.Key_End and self._box is not None:
            self._choose(self._box.layer_count - 1)
        else:
            event.ignore()
            return
        event.accept()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Draw the focus frame."""
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Drop the focus frame."""
        super().focusOutEvent(event)
        self.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the plot, the grip on the layer's line, and the focus frame."""
        super().paintEvent(event)
        if self._box is None or self._box.layer_count == 0:
            return
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_grip(painter)
        if self.hasFocus():
            painter.setPen(QPen(accent(self.palette()), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.viewport().rect().adjusted(1, 1, -1, -1))
        painter.end()

    def _draw_grip(self, painter: QPainter) -> None:
        view = self.getPlotItem().getViewBox()
        height = float(self._mark.value())
        end = self.mapFromScene(view.mapViewToScene(QPointF(view.viewRect().right(), height)))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(accent(self.palette()))
        x, y = end.x(), end.y()
        painter.drawPolygon([QPointF(x, y), QPointF(x - 9, y - 6), QPointF(x - 9, y + 6)])

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_mark"):
            self._take_palette()

    def _take_palette(self) -> None:
        palette = self.palette()
        self.setBackground(ground(palette))
        for side in ("left", "bottom", "right"):
            axis = self.getPlotItem().getAxis(side)
            axis.setPen(pg.mkPen(faint_ink(palette)))
            axis.setTextPen(pg.mkPen(ink(palette)))
        self._curve.setPen(pg.mkPen(ink(palette), width=1))
        self._fill.setBrush(mixed(accent(palette), ground(palette), 0.72))
        self._mark.setPen(pg.mkPen(accent(palette), width=2))


def _round_step(most: float) -> float:
    """Return the largest of 1, 2, 5, 10, 20 … that is at most `most`."""
    decade = 10.0 ** np.floor(np.log10(most))
    return float(max(step for step in (decade, 2 * decade, 5 * decade) if step <= most))
