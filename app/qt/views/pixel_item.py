"""The image of a layer on a plot: single pixels where they can be seen, coarser cells from farther away."""

from __future__ import annotations

import math

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPen
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from app.qt.shown_layer import COVERAGE_PIXELS, LayerPixels

GRID_FROM = 7.0
"""Screen pixels of one image pixel from which its edges are drawn."""
ALPHA = 150


class PixelItem(pg.GraphicsObject):
    """Draws the part of the image that is in view, at the detail that the zoom shows."""

    def __init__(self) -> None:
        super().__init__()
        self._pixels: LayerPixels | None = None
        self._box = QRectF()
        self._colour = QColor("black")
        self._edge = QColor("grey")

    def show_pixels(self, pixels: LayerPixels | None) -> None:
        """Show an image, or none."""
        self.prepareGeometryChange()
        self._pixels = pixels
        self._box = QRectF() if pixels is None else _area(pixels)
        self.informViewBoundsChanged()
        self.update()

    def set_colours(self, colour: QColor, edge: QColor) -> None:
        """Take the colour of printed pixels and of the lines between them."""
        self._colour, self._edge = colour, edge
        self.update()

    def boundingRect(self) -> QRectF:
        """Return the image's window in mm."""
        return self._box

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        """Draw what is in view."""
        shown, pixels = self.viewRect(), self._pixels
        if pixels is None or shown is None or not self._box.intersects(shown):
            return
        seen = self._box.intersected(shown)
        length = abs(painter.deviceTransform().m11())  # screen pixels of one mm
        per_pixel = length * min(pixels.pitch_along_mm, pixels.pitch_across_mm)
        shares, area = _part(pixels, seen, per_pixel)
        if not shares.size:
            return
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, per_pixel < 1.0)
        painter.drawImage(area, _image(shares, self._colour))
        if per_pixel >= GRID_FROM:
            self._draw_edges(painter, pixels, seen)

    def _draw_edges(self, painter: QPainter, pixels: LayerPixels, seen: QRectF) -> None:
        pen = QPen(self._edge, 1)
        pen.setCosmetic(True)
        painter.setPen(pen)
        x_mm, y_mm = _pitches(pixels)
        for n in range(math.floor(seen.left() / x_mm), math.ceil(seen.right() / x_mm) + 1):
            painter.drawLine(_at(n * x_mm, seen.top()), _at(n * x_mm, seen.bottom()))
        for n in range(math.floor(seen.top() / y_mm), math.ceil(seen.bottom() / y_mm) + 1):
            painter.drawLine(_at(seen.left(), n * y_mm), _at(seen.right(), n * y_mm))


def _at(x: float, y: float) -> QPointF:
    return QPointF(x, y)


def _pitches(pixels: LayerPixels) -> tuple[float, float]:
    """Return the pitches along x and y of the box."""
    along, across = pixels.pitch_along_mm, pixels.pitch_across_mm
    return (across, along) if pixels.is_swapped else (along, across)


def _area(pixels: LayerPixels) -> QRectF:
    first, end, left, right = pixels.window
    along = left * pixels.pitch_along_mm, (right - left) * pixels.pitch_along_mm
    across = first * pixels.pitch_across_mm, (end - first) * pixels.pitch_across_mm
    (x, width), (y, height) = (across, along) if pixels.is_swapped else (along, across)
    return QRectF(x, y, width, height)


def _part(pixels: LayerPixels, seen: QRectF, per_pixel: float) -> tuple[NDArray[np.uint8], QRectF]:
    """Return shares (0 to 255) of what is seen, rows along y of the box, and the place they fill (mm)."""
    first, end, left, _ = pixels.window
    span = ((seen.left(), seen.right()), (seen.top(), seen.bottom()))
    (along_low, along_high), (across_low, across_high) = span[::-1] if pixels.is_swapped else span
    rows = math.floor(across_low / pixels.pitch_across_mm), math.ceil(across_high / pixels.pitch_across_mm)
    columns = math.floor(along_low / pixels.pitch_along_mm), math.ceil(along_high / pixels.pitch_along_mm)
    row, row_end = max(0, rows[0] - first), min(end - first, rows[1] - first)
    column, column_end = max(0, columns[0] - left) // 8, (max(0, columns[1] - left) + 7) // 8
    if per_pixel * COVERAGE_PIXELS <= 1.5:  # a cell is hardly larger than a pixel of the screen
        row = row // COVERAGE_PIXELS
        row_end = -(-row_end // COVERAGE_PIXELS)
        shares = pixels.coverage[row:row_end, column:column_end]
        low, high = first + row * COVERAGE_PIXELS, first + row_end * COVERAGE_PIXELS
    else:
        step = max(1, math.floor(1.0 / per_pixel))
        packed = pixels.bits[row:row_end:step, column:column_end]
        shares = np.unpackbits(packed, axis=1)[:, ::step] * np.uint8(255)
        low, high = first + row, first + row + len(packed) * step
    along = (left + 8 * column) * pixels.pitch_along_mm
    along_end = (left + 8 * min(column_end, pixels.bits.shape[1])) * pixels.pitch_along_mm
    across, across_end = low * pixels.pitch_across_mm, high * pixels.pitch_across_mm
    if pixels.is_swapped:
        return shares.T, QRectF(across, along, across_end - across, along_end - along)
    return shares, QRectF(along, across, along_end - along, across_end - across)


def _image(shares: NDArray[np.uint8], colour: QColor) -> QImage:
    """Return shares as an image of one colour that is the denser the larger the share."""
    alpha = (shares.astype(np.uint32) * ALPHA) // 255
    premultiplied = np.zeros(shares.shape, dtype=np.uint32)
    for shift, part in ((16, colour.red()), (8, colour.green()), (0, colour.blue())):
        premultiplied |= ((alpha * part) // 255) << shift
    rows = np.ascontiguousarray(premultiplied | (alpha << 24))
    height, width = rows.shape
    return QImage(rows.tobytes(), width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied).copy()
