"""What is drawn over the picture of the box: places of findings, gaps, measures, locks, cut faces, ways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPalette, QPen, QPolygonF

from app.qt.palette import accent, faint_ink, ground, ink, mixed
from app.qt.views.box_camera import BoxCamera
from app.qt.views.severity import draw_sign

Vector = NDArray[np.float64]
SIGN = 20.0
PAD = 4.0


@dataclass(frozen=True, eq=False)
class FindingMark:
    """The place of a finding in the box; `number` is the finding's in the list."""

    place_mm: Vector
    severity: str
    number: int
    is_chosen: bool = False


@dataclass(frozen=True, eq=False)
class Span:
    """A line between two places with what it says: a gap, or a measured distance."""

    start_mm: Vector
    end_mm: Vector
    text: str


@dataclass(frozen=True, eq=False)
class CutFaces:
    """The layer's own outlines at its height: closed loops (n, 2) in mm, each with its colour's core."""

    z_mm: float
    loops: Mapping[str, Sequence[Vector]]


@dataclass(frozen=True, eq=False)
class BoxMarks:
    """All that is drawn over the picture."""

    findings: tuple[FindingMark, ...] = ()
    spans: tuple[Span, ...] = ()
    points_mm: tuple[Vector, ...] = ()
    locks_mm: tuple[Vector, ...] = ()
    way: tuple[Vector, Vector] | None = None
    """Start and end of the way on which a core is drawn."""


class MarkPainter:
    """Draws marks on a picture of a size, seen by a camera."""

    def __init__(
        self, painter: QPainter, camera: BoxCamera, palette: QPalette, width: float, height: float
    ) -> None:
        self._painter, self._camera, self._palette = painter, camera, palette
        self._width, self._height = width, height
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def place(self, point_mm: Vector) -> QPointF | None:
        """Return where a place of the box is in the picture, None if it is behind the eye."""
        x, y, depth = self._camera.on_picture(point_mm, self._width, self._height)[0]
        return QPointF(float(x), float(y)) if depth > 0 else None

    def draw(self, marks: BoxMarks) -> list[tuple[QRectF, int]]:
        """Draw all marks; returns the areas of the findings' signs with the findings' numbers."""
        for place in marks.locks_mm:
            self._draw_lock(place)
        if marks.way is not None:
            self._draw_way(*marks.way)
        for span in marks.spans:
            self._draw_span(span)
        for point in marks.points_mm:
            self._draw_point(point)
        return self._draw_findings(marks.findings)

    def draw_cut(self, cut: CutFaces, colours: dict[str, QColor]) -> None:
        """Fill the faces that the layer cuts; from below them they are out of sight.

        What lies above the layer is taken away, so nothing can stand before them.
        """
        if self._camera.eye_mm[2] <= cut.z_mm:
            return
        for core, loops in cut.loops.items():
            colour = colours.get(core)
            if colour is None:
                continue
            path = QPainterPath()
            path.setFillRule(Qt.FillRule.OddEvenFill)
            for loop in loops:
                heights = np.full((len(loop), 1), cut.z_mm)
                seen = self._camera.on_picture(np.hstack([loop, heights]), self._width, self._height)
                if (seen[:, 2] > 0).all():
                    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in seen[:, :2].tolist()]))
                    path.closeSubpath()
            self._painter.setPen(QPen(mixed(colour, QColor("black"), 0.45), 1.0))
            self._painter.setBrush(mixed(colour, QColor("white"), 0.30))
            self._painter.drawPath(path)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _draw_findings(self, findings: Sequence[FindingMark]) -> list[tuple[QRectF, int]]:
        areas = []
        for mark in sorted(findings, key=lambda mark: mark.is_chosen):
            at = self.place(mark.place_mm)
            if at is None:
                continue
            size = SIGN * (1.35 if mark.is_chosen else 1.0)
            area = QRectF(at.x() - 0.5 * size, at.y() - 0.5 * size, size, size)
            self._painter.setPen(QPen(ground(self._palette), 3.0))
            self._painter.setBrush(ground(self._palette))
            self._painter.drawEllipse(area)
            if mark.is_chosen:
                self._painter.setPen(QPen(ink(self._palette), 2.0))
                self._painter.setBrush(Qt.BrushStyle.NoBrush)
                self._painter.drawEllipse(area.adjusted(-4, -4, 4, 4))
            draw_sign(self._painter, area, mark.severity)
            areas.append((area, mark.number))
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        return areas

    def _draw_span(self, span: Span) -> None:
        start, end = self.place(span.start_mm), self.place(span.end_mm)
        if start is None or end is None:
            return
        self._painter.setPen(QPen(ground(self._palette), 4.5))
        self._painter.drawLine(start, end)
        self._painter.setPen(QPen(ink(self._palette), 2.0))
        self._painter.drawLine(start, end)
        for point in (start, end):
            self._dot(point)
        self._say((start + end) / 2.0, span.text)

    def _draw_point(self, place_mm: Vector) -> None:
        at = self.place(place_mm)
        if at is not None:
            self._dot(at)

    def _dot(self, at: QPointF) -> None:
        self._painter.setPen(QPen(ground(self._palette), 1.5))
        self._painter.setBrush(ink(self._palette))
        self._painter.drawEllipse(at, 4.0, 4.0)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _say(self, at: QPointF, text: str) -> None:
        """Write a text beside a place, on a ground of its own."""
        if not text:
            return
        metrics = self._painter.fontMetrics()
        width, height = metrics.horizontalAdvance(text) + 2 * PAD, metrics.height() + PAD
        left = min(max(2.0, at.x() + 10.0), max(2.0, self._width - width - 2.0))
        top = min(max(2.0, at.y() - height - 6.0), max(2.0, self._height - height - 2.0))
        area = QRectF(left, top, width, height)
        self._painter.setPen(QPen(faint_ink(self._palette), 1.0))
        self._painter.setBrush(ground(self._palette))
        self._painter.drawRoundedRect(area, 3.0, 3.0)
        self._painter.setPen(ink(self._palette))
        self._painter.drawText(area, Qt.AlignmentFlag.AlignCenter, text)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _draw_lock(self, place_mm: Vector) -> None:
        """Draw a padlock: a body with a bow over it."""
        at = self.place(place_mm)
        if at is None:
            return
        body = QRectF(at.x() - 6.0, at.y() - 2.0, 12.0, 9.0)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, width in ((ground(self._palette), 5.0), (ink(self._palette), 2.0)):
            self._painter.setPen(QPen(colour, width))
            self._painter.drawArc(QRectF(at.x() - 4.0, at.y() - 8.0, 8.0, 12.0), 0, 180 * 16)
        self._painter.setPen(QPen(ground(self._palette), 1.5))
        self._painter.setBrush(ink(self._palette))
        self._painter.drawRect(body)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _draw_way(self, start_mm: Vector, end_mm: Vector) -> None:
        """Draw an arrow."""
        start, end = self.place(start_mm), self.place(end_mm)
        if start is None or end is None:
            return
        along = end - start
        length = max(1.0, (along.x() ** 2 + along.y() ** 2) ** 0.5)
        along, across = along / length, QPointF(-along.y(), along.x()) / length
        tip = QPolygonF([end, end - 14.0 * along + 7.0 * across, end - 14.0 * along - 7.0 * across])
        for colour, width in ((ground(self._palette), 6.0), (accent(self._palette), 3.0)):
            self._painter.setPen(QPen(colour, width))
            self._painter.drawLine(start, end - 10.0 * along)
        self._painter.setPen(Qt.PenStyle.NoPen)
        self._painter.setBrush(accent(self._palette))
        self._painter.drawPolygon(tip)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
