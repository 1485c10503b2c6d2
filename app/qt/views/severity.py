"""Signs of the severities: a shape for each, told apart without colour, beside the word."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.qt.palette import BLUE, ORANGE, VERMILLION, mixed

EDGE = 0.45
"""Share of black in the edge of a sign, so that its shape shows on white too."""
SIGN_COLOURS = {"stop": VERMILLION, "check": ORANGE, "note": BLUE}


def draw_sign(painter: QPainter, area: QRectF, severity: str) -> None:
    """Draw the sign: octagon with a bar (stop), diamond with a tick (check), ring with a dot (note)."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    colour = SIGN_COLOURS.get(severity, BLUE)
    middle, reach = area.center(), 0.5 * min(area.width(), area.height()) - 1.0
    if severity == "stop":
        _fill(painter, _regular(middle, reach, 8, 22.5), colour)
        _stroke(painter, [(-0.5, 0.0), (0.5, 0.0)], middle, reach, QColor("white"))
    elif severity == "check":
        _fill(painter, _regular(middle, reach, 4, 0.0), colour)
        _stroke(painter, [(-0.32, 0.02), (-0.06, 0.28), (0.34, -0.24)], middle, reach, QColor("black"))
    else:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        painter.drawEllipse(middle, reach * 0.92, reach * 0.92)
        painter.setBrush(QColor("white"))
        painter.drawEllipse(middle, reach * 0.26, reach * 0.26)
    painter.restore()


def _regular(middle: QPointF, reach: float, corners: int, turn_deg: float) -> QPolygonF:
    turns = (math.radians(turn_deg + 360.0 * i / corners) for i in range(corners))
    return QPolygonF([middle + QPointF(reach * math.cos(a), reach * math.sin(a)) for a in turns])


def _fill(painter: QPainter, shape: QPolygonF, colour: QColor) -> None:
    painter.setPen(QPen(mixed(colour, QColor("black"), EDGE), 1.0))
    painter.setBrush(colour)
    painter.drawPolygon(shape)


def _stroke(
    painter: QPainter, steps: list[tuple[float, float]], middle: QPointF, reach: float, colour: QColor
) -> None:
    pen = QPen(colour, max(1.5, 0.26 * reach))
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.drawPolyline([middle + QPointF(reach * x, reach * y) for x, y in steps])
