"""The layer view: what one layer cuts and what is printed of it, seen from above, down to single pixels."""

from __future__ import annotations

from collections.abc import Mapping

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QKeyEvent, QMouseEvent, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsRectItem, QWidget

from app.qt.outlines import Outlines
from app.qt.palette import accent, faint_ink, ground, ink, readable
from app.qt.shown_layer import LayerPixels
from app.qt.views.chart_export import PictureActions
from app.qt.views.local_axis import local_axes
from app.qt.views.pixel_item import PixelItem

FILL_SHARE = 70
LEAST_RANGE_MM = 0.8
"""Width of the view at the nearest zoom: some single pixels."""
PARTS = ("nominal", "printed", "pixels", "strokes")
LINES = {
    "nominal": Qt.PenStyle.DashLine,
    "printed": Qt.PenStyle.SolidLine,
    "strokes": Qt.PenStyle.DashDotLine,
    "dead": Qt.PenStyle.DotLine,
}
"""Each part's stroke, which tells it from the others without its colour."""


class LayerView(pg.PlotWidget):
    """Wheel zooms, drag moves, double click shows the whole box again; `pointed` tells the place read.

    Outlines of the cores as drawn are dashed, those that get binder are solid.
    """

    pointed = Signal(float, float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, axisItems=local_axes())
        self._box_mm: tuple[float, float] | None = None
        self._colours: dict[str, QColor] = {}
        self._shapes: dict[tuple[str, str], QGraphicsPathItem] = {}
        self._layer = -1
        self._printed_layer = self._pixel_layer = -1
        self._shown = dict.fromkeys(PARTS, True)
        self._pixels: LayerPixels | None = None
        self._dead: frozenset[int] = frozenset()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName(self.tr("Layer from above"))
        self.setToolTip(
            self.tr(
                "Wheel: zoom, down to single pixels. Drag: move. Arrow keys move, + and - zoom and read the "
                "middle. Double click or Home: the whole box."
            )
        )
        self._make_parts()
        self.pictures = PictureActions(self, self.tr("layer"))
        self._take_palette()

    def _make_parts(self) -> None:
        item = self.getPlotItem()
        item.setMenuEnabled(False)
        item.hideButtons()
        item.setVisible(False)  # until there is a box
        item.setAspectLocked(True)
        item.getViewBox().setLimits(minXRange=LEAST_RANGE_MM, minYRange=LEAST_RANGE_MM)
        for side in ("left", "bottom"):
            item.getAxis(side).enableAutoSIPrefix(False)
        item.getAxis("left").setLabel(self.tr("y, mm"))
        item.getAxis("bottom").setLabel(self.tr("x, mm"))
        self._frame = QGraphicsRectItem()
        self._image = PixelItem()
        self._strokes, self._dead_rows, self._cross = (QGraphicsPathItem() for _ in range(3))
        parts: tuple[QGraphicsItem, ...] = (
            self._image,
            self._frame,
            self._strokes,
            self._dead_rows,
            self._cross,
        )
        for order, part in enumerate(parts):
            item.addItem(part, ignoreBounds=True)
            part.setZValue(10.0 * order if order > 1 else -10.0)

    # --- what is shown ------------------------------------------------------------------------------

    def set_box(self, inner_mm: tuple[float, float, float] | None, colours: Mapping[str, QColor]) -> None:
        """Show an empty box, or nothing; a box of the same size is seen as before."""
        is_new = self._box_mm != (None if inner_mm is None else inner_mm[:2])
        self._box_mm = None if inner_mm is None else inner_mm[:2]
        self._colours = dict(colours)
        self._drop("nominal")
        self._drop("printed")
        self._layer = self._printed_layer = -1
        self.show_pixels(-1, None)
        self._cross.setPath(QPainterPath())
        self._frame.setVisible(inner_mm is not None)
        self.getPlotItem().setVisible(inner_mm is not None)
        if inner_mm is not None:
            self._frame.setRect(0.0, 0.0, inner_mm[0], inner_mm[1])
            if is_new:
                self.show_all()

    def show_all(self) -> None:
        """Show the whole box."""
        if self._box_mm is not None:
            x, y = self._box_mm
            self.getPlotItem().getViewBox().setRange(xRange=(0.0, x), yRange=(0.0, y), padding=0.03)

    def show_outlines(self, outlines: Outlines | None, layer: int = -1) -> None:
        """Draw the cores' own outlines; what is known of another layer only is not seen."""
        self._layer = layer
        self._draw("nominal", outlines)
        self._show_parts()

    def show_printed(self, outlines: Outlines, layer: int) -> None:
        """Draw the outlines of what gets binder, seen while the layer's own outlines are."""
        self._printed_layer = layer
        self._draw("printed", outlines)
        self._show_parts()

    def show_pixels(self, layer: int, pixels: LayerPixels | None) -> None:
        """Draw a layer's image and strokes, or none, seen while the layer's own outlines are."""
        self._pixel_layer, self._pixels = layer, pixels
        self._image.show_pixels(pixels)
        self._strokes.setPath(_stroke_path(pixels, self._reach()))
        self._draw_dead()
        self._show_parts()

    def set_dead_nozzles(self, nozzles: frozenset[int]) -> None:
        """Mark the rows of nozzles that don't print."""
        self._dead = nozzles
        self._draw_dead()

    def set_part(self, part: str, is_shown: bool) -> None:
        """Show or hide a part of the drawing."""
        self._shown[part] = is_shown
        self._show_parts()

    def _show_parts(self) -> None:
        has_pixels = self._pixel_layer == self._layer
        self._image.setVisible(self._shown["pixels"] and has_pixels)
        self._strokes.setVisible(self._shown["strokes"] and has_pixels)
        self._dead_rows.setVisible(has_pixels)
        for (kind, core), shape in self._shapes.items():
            self._dress(kind, core)
            is_now = kind == "nominal" or self._printed_layer == self._layer
            shape.setVisible(self._shown[kind] and is_now)

    @property
    def pixels(self) -> LayerPixels | None:
        """The image of the layer shown, None until it is there."""
        return self._pixels if self._pixel_layer == self._layer else None

    @property
    def has_printed(self) -> bool:
        """True if the outlines of what gets binder are those of the layer shown."""
        return self._printed_layer == self._layer >= 0

    def cores_at(self, x_mm: float, y_mm: float) -> tuple[str | None, str | None]:
        """Return the core that a place lies in as drawn, and the one that gets binder there."""
        here = QPointF(x_mm, y_mm)
        hit: dict[str, str | None] = {"nominal": None, "printed": None}
        for (kind, core), shape in self._shapes.items():
            if (kind == "nominal" or self.has_printed) and shape.path().contains(here):
                hit[kind] = core
        return hit["nominal"], hit["printed"]

    def _reach(self) -> float:
        return 0.012 * max(self._box_mm or (1.0, 1.0))

    def _draw_dead(self) -> None:
        path = QPainterPath()
        pixels = self._pixels
        if pixels is not None and self._dead and self._box_mm is not None:
            length = self._box_mm[1] if pixels.is_swapped else self._box_mm[0]
            for row in pixels.rows_of(self._dead).tolist():
                across = (row + 0.5) * pixels.pitch_across_mm
                ends = ((0.0, across), (length, across))
                (x0, y0), (x1, y1) = ((b, a) for a, b in ends) if pixels.is_swapped else ends
                path.moveTo(x0, y0)
                path.lineTo(x1, y1)
        self._dead_rows.setPath(path)

    def _drop(self, kind: str) -> None:
        for key in [key for key in self._shapes if key[0] == kind]:
            self.getPlotItem().removeItem(self._shapes.pop(key))

    def _draw(self, kind: str, outlines: Outlines | None) -> None:
        names = set(outlines.cores) if outlines is not None else set()
        for key in sorted(key for key in self._shapes if key[0] == kind and key[1] not in names):
            self.getPlotItem().removeItem(self._shapes.pop(key))
        if outlines is None:
            return
        for core in sorted(names):
            if (kind, core) not in self._shapes:
                self._shapes[kind, core] = QGraphicsPathItem()
                self._shapes[kind, core].setZValue(2.0 if kind == "printed" else 1.0)
                self.getPlotItem().addItem(self._shapes[kind, core], ignoreBounds=True)
                self._dress(kind, core)
            self._shapes[kind, core].setPath(outlines.path(core))

    def _dress(self, kind: str, core: str) -> None:
        shape = self._shapes[kind, core]
        colour = self._colours.get(core, ink(self.palette()))
        if kind == "nominal":
            shape.setPen(_line(ink(self.palette()), "nominal"))
            fill = QColor(colour)
            fill.setAlpha(0 if self._image.isVisible() else FILL_SHARE)
            shape.setBrush(fill)
        else:
            shape.setPen(_line(readable(colour, self.palette()), "printed", 2))

    # --- mouse and keys -----------------------------------------------------------------------------

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Read the place under the pointer."""
        super().mouseMoveEvent(event)
        place = self.getPlotItem().getViewBox().mapSceneToView(self.mapToScene(event.position().toPoint()))
        self._cross.setPath(QPainterPath())
        self.pointed.emit(place.x(), place.y())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show the whole box again."""
        self.show_all()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Zoom and move by keys and read the middle; other keys go on."""
        view = self.getPlotItem().getViewBox()
        (x_low, x_high), (y_low, y_high) = view.viewRange()
        step_x, step_y = 0.1 * (x_high - x_low), 0.1 * (y_high - y_low)
        moves = {
            Qt.Key.Key_Left: (-step_x, 0.0),
            Qt.Key.Key_Right: (step_x, 0.0),
            Qt.Key.Key_Up: (0.0, step_y),
            Qt.Key.Key_Down: (0.0, -step_y),
        }
        key = Qt.Key(event.key())
        if key in moves:
            view.translateBy(x=moves[key][0], y=moves[key][1])
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            view.scaleBy((0.8, 0.8))
        elif key == Qt.Key.Key_Minus:
            view.scaleBy((1.25, 1.25))
        elif key == Qt.Key.Key_Home:
            self.show_all()
        else:
            event.ignore()
            return
        self._read_middle()

    def _read_middle(self) -> None:
        (x_low, x_high), (y_low, y_high) = self.getPlotItem().getViewBox().viewRange()
        x, y = 0.5 * (x_low + x_high), 0.5 * (y_low + y_high)
        arm = 0.02 * (x_high - x_low)
        path = QPainterPath()
        for dx, dy in ((arm, 0.0), (0.0, arm)):
            path.moveTo(x - dx, y - dy)
            path.lineTo(x + dx, y + dy)
        self._cross.setPath(path)
        self.pointed.emit(x, y)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Offer the drawing as a file."""
        self.pictures.pop_up(event.globalPos())

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
        self._frame.setPen(_line(faint_ink(palette), "printed"))
        self._image.set_colours(ink(palette), faint_ink(palette))
        self._strokes.setPen(_line(accent(palette), "strokes", 2))
        self._dead_rows.setPen(_line(ink(palette), "dead", 2))
        self._cross.setPen(_line(accent(palette), "printed", 2))
        for kind, core in self._shapes:
            self._dress(kind, core)


def _stroke_path(pixels: LayerPixels | None, reach_mm: float) -> QPainterPath:
    """Return the strokes as arrows in the direction in which they print."""
    path = QPainterPath()
    if pixels is None:
        return path

    def place(along: float, across: float) -> QPointF:
        return QPointF(across, along) if pixels.is_swapped else QPointF(along, across)

    for start, stop, across in pixels.strokes[:, :3].tolist():
        back = -reach_mm if stop > start else reach_mm
        path.moveTo(place(start, across))
        path.lineTo(place(stop, across))
        for side in (-0.5, 0.5):
            path.moveTo(place(stop + back, across + side * reach_mm))
            path.lineTo(place(stop, across))
    return path


def _line(colour: QColor, part: str, width: int = 1) -> QPen:
    """Return a part's pen, of the same width at any zoom."""
    pen = QPen(colour, width, LINES[part])
    pen.setCosmetic(True)
    return pen
