"""Axes and legend of the box view."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen

from app.qt.palette import faint_ink, ground, ink
from app.qt.views.box_camera import BoxCamera


def draw_axes(painter: QPainter, camera: BoxCamera, palette: QPalette, height: float) -> None:
    """Draw where x, y and z point, in the lower left corner."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    foot = QPointF(40.0, height - 40.0)
    for name, right, up in camera.axes_on_picture():
        end = foot + QPointF(26.0 * right, -26.0 * up)
        painter.setPen(QPen(faint_ink(palette), 1.5))
        painter.drawLine(foot, end)
        painter.setPen(ink(palette))
        label = foot + QPointF(34.0 * right, -34.0 * up)
        painter.drawText(QRectF(label.x() - 8, label.y() - 8, 16, 16), Qt.AlignmentFlag.AlignCenter, name)


def draw_legend(
    painter: QPainter, legend: Sequence[tuple[QColor, str]], palette: QPalette, width: float, height: float
) -> None:
    """Draw what the colours stand for, in the upper left corner."""
    line = painter.fontMetrics().height() + 4
    room = max(1, int(height - 100) // line)
    if legend:
        longest = max(painter.fontMetrics().horizontalAdvance(label) for _, label in legend[:room])
        back = QColor(ground(palette))
        back.setAlphaF(0.78)  # what lies behind must not make the words hard to read
        area = QRectF(4, 6, min(longest + line + 12, width - 8), min(len(legend), room) * line + 4)
        painter.fillRect(area, back)
    for row, (colour, label) in enumerate(legend[:room]):
        top = 10 + row * line
        painter.setPen(QPen(faint_ink(palette), 1))
        painter.setBrush(colour)
        painter.drawRect(QRectF(10.5, top + 2.5, line - 9, line - 9))
        painter.setPen(ink(palette))
        area = QRectF(line + 8, top, width - line - 16, line - 4)
        painter.drawText(area, Qt.AlignmentFlag.AlignVCenter, label)
    painter.setBrush(Qt.BrushStyle.NoBrush)
