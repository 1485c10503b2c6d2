"""The layer view: outlines of the cores that one layer cuts, seen from above, to scale."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QPen
from PySide6.QtWidgets import QGraphicsPathItem, QGraphicsRectItem, QWidget

from app.qt.outlines import Outlines
from app.qt.palette import faint_ink, ground, ink, readable

FILL_SHARE = 90


class LayerView(pg.PlotWidget):
    """Outlines in the box; wheel zooms, drag moves, double click shows the whole box again."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._box_mm: tuple[float, float] | None = None
        self._colours: dict[str, QColor] = {}
        self._shapes: dict[str, QGraphicsPathItem] = {}
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Layer from above"))
        self.setToolTip(self.tr("Wheel: zoom. Drag: move. Double click or Home: the whole box."))
        item = self.getPlotItem()
        item.setMenuEnabled(False)
        item.hideButtons()
        item.setAspectLocked(True)
        for side in ("left", "bottom"):
            item.getAxis(side).enableAutoSIPrefix(False)
        item.getAxis("left").setLabel(self.tr("y, mm"))
        item.getAxis("bottom").setLabel(self.tr("x, mm"))
        self._frame = QGraphicsRectItem()
        item.addItem(self._frame)
        self._take_palette()

    def set_box(self, inner_mm: tuple[float, float, float] | None, colours: dict[str, QColor]) -> None:
        """Show an empty box, or nothing."""
        self._box_mm = None if inner_mm is None else inner_mm[:2]
        self._colours = colours
        self.show_outlines(None)
        self._frame.setVisible(inner_mm is not None)
        if inner_mm is not None:
            self._frame.setRect(0.0, 0.0, inner_mm[0], inner_mm[1])
            self.show_all()

    def show_all(self) -> None:
        """Show the whole box."""
        if self._box_mm is not None:
            x, y = self._box_mm
            self.getPlotItem().getViewBox().setRange(xRange=(0.0, x), yRange=(0.0, y), padding=0.03)

    def show_outlines(self, outlines: Outlines | None) -> None:
        """Draw a layer's outlines in the place of the last ones."""
        names = set(outlines.cores) if outlines is not None else set()
        for core in sorted(set(self._shapes) - names):
            self.getPlotItem().removeItem(self._shapes.pop(core))
        if outlines is None:
            return
        for core in sorted(names):
            if core not in self._shapes:
                self._shapes[core] = QGraphicsPathItem()
                self.getPlotItem().addItem(self._shapes[core])
                self._dress(core)
            self._shapes[core].setPath(outlines.path(core))

    def _dress(self, core: str) -> None:
        colour = self._colours.get(core, ink(self.palette()))
        line = readable(colour, self.palette())
        fill = QColor(colour)
        fill.setAlpha(FILL_SHARE)
        self._shapes[core].setPen(_thin(line))
        self._shapes[core].setBrush(fill)

    def mouseDoubleClickEvent(self, event: object) -> None:
        """Show the whole box again."""
        self.show_all()

    def keyPressEvent(self, event: object) -> None:
        """Zoom and move by keys; other keys go on."""
        view = self.getPlotItem().getViewBox()
        key = event.key()  # type: ignore[attr-defined]
        (x_low, x_high), (y_low, y_high) = view.viewRange()
        step_x, step_y = 0.1 * (x_high - x_low), 0.1 * (y_high - y_low)
        moves = {
            Qt.Key.Key_Left: (-step_x, 0.0),
            Qt.Key.Key_Right: (step_x, 0.0),
            Qt.Key.Key_Up: (0.0, step_y),
            Qt.Key.Key_Down: (0.0, -step_y),
        }
        if key in moves:
            view.translateBy(x=moves[key][0], y=moves[key][1])
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            view.scaleBy((0.8, 0.8))
        elif key == Qt.Key.Key_Minus:
            view.scaleBy((1.25, 1.25))
        elif key == Qt.Key.Key_Home:
            self.show_all()
        else:
            event.ignore()  # type: ignore[attr-defined]

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_frame"):
            self._take_palette()

    def _take_palette(self) -> None:
        palette = self.palette()
        self.setBackground(ground(palette))
        for side in ("left", "bottom"):
            axis = self.getPlotItem().getAxis(side)
            axis.setPen(pg.mkPen(faint_ink(palette)))
            axis.setTextPen(pg.mkPen(ink(palette)))
        self._frame.setPen(_thin(faint_ink(palette)))
        for core in self._shapes:
            self._dress(core)


def _thin(colour: QColor) -> QPen:
    """Return a pen one pixel wide at any zoom."""
    pen = QPen(colour, 1)
    pen.setCosmetic(True)
    return pen
