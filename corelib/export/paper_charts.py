"""Charts and keys on printed sheets, as vector graphics: curves, bars, bands, colour keys."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from reportlab.graphics.shapes import Drawing, Line, Polygon, PolyLine, String
from reportlab.lib import colors
from reportlab.platypus import Table

from corelib.export.chart import Curve
from corelib.export.figures import number
from corelib.export.lettering import visual
from corelib.export.paper import (
    AREA,
    CELL,
    CELL_RIGHT,
    FONT,
    HAIR,
    INK,
    SMALL,
    SOFT,
    glyphs,
    lettered,
    paragraph,
)


def curve_drawing(
    curve: Curve, width: float, height: float, names: tuple[str, str], language: str
) -> Drawing:
    """Return a curve with named axes as vector graphics; the area under it is filled."""
    glyphs()
    left, bottom = 44.0, 30.0
    wide, high = width - left - 14, height - bottom - 8
    drawing = Drawing(width, height)

    def x(value: float) -> float:
        return left + value / curve.x_end * wide

    def y(value: float) -> float:
        return bottom + value / curve.y_end * high

    for value in curve.y_ticks:
        drawing.add(Line(left, y(value), left + wide, y(value), strokeColor=HAIR, strokeWidth=0.4))
        drawing.add(_mark(left - 4, y(value) - 2.4, number(value, language), "end"))
    for value in curve.x_ticks:
        drawing.add(_mark(x(value), bottom - 10, number(value, language), "middle"))
    if curve.points:
        stair = [coordinate for px, py in curve.points for coordinate in (x(px), y(py))]
        foot = [x(curve.points[-1][0]), y(0), x(curve.points[0][0]), y(0)]
        fill = colors.Color(AREA.red, AREA.green, AREA.blue, alpha=0.35)
        drawing.add(Polygon(stair + foot, fillColor=fill, strokeColor=None))
        drawing.add(PolyLine(stair, strokeColor=AREA, strokeWidth=0.8))
    drawing.add(_mark(left + wide / 2, 8, names[0], "middle"))
    drawing.add(_mark(left, height - 6, names[1], "start"))
    return drawing


def _mark(x: float, y: float, words: str, anchor: str) -> String:
    shown = visual(words, glyphs())
    return String(x, y, shown, fontName=FONT, fontSize=7, fillColor=SOFT, textAnchor=anchor)


def colour_key(entries: Sequence[tuple[str, tuple[int, int, int]]], width: float, columns: int = 3) -> Table:
    """Return a key of colours: a patch and a name each."""
    cells: list[Any] = []
    for name, (red, green, blue) in entries:
        patch = Drawing(8, 8)
        fill = colors.Color(red / 255, green / 255, blue / 255)
        patch.add(Polygon([0, 0, 8, 0, 8, 8, 0, 8], fillColor=fill, strokeColor=INK, strokeWidth=0.3))
        cells += [patch, paragraph(name, SMALL)]
    cells += [""] * (-len(cells) % (2 * columns))
    rows = [cells[start : start + 2 * columns] for start in range(0, len(cells), 2 * columns)]
    made = Table(rows, colWidths=[12, width / columns - 12] * columns)
    made.setStyle(
        lettered(
            [
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 1),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
            ]
        )
    )
    return made


def bars(entries: Sequence[tuple[str, float, str]], width: float) -> Table:
    """Return named bars with their value in words; the longest bar has the full length."""
    longest = max((abs(value) for _, value, _ in entries), default=0.0) or 1.0
    room = width * 0.42
    rows = []
    for name, value, shown in entries:
        bar = Drawing(room, 8)
        long = max(0.5, abs(value) / longest * room)
        bar.add(Polygon([0, 0, long, 0, long, 8, 0, 8], fillColor=AREA, strokeColor=None))
        rows.append([paragraph(name, CELL), bar, paragraph(shown, CELL_RIGHT)])
    made = Table(rows, [width * 0.34, room, width * 0.24])
    pads = [
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
    ]
    made.setStyle(lettered([*pads, ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]))
    return made


Band = tuple[str, colors.Color, Sequence[Sequence[float]]]


def bands_drawing(
    x_values: Sequence[float],
    bands: Sequence[Band],
    width: float,
    height: float,
    names: tuple[str, str],
    language: str,
) -> Drawing:
    """Return bands (low, middle, high at each x) on logarithmic axes, each with its name at its end."""
    glyphs()
    left, bottom = 48.0, 30.0
    wide, high = width - left - 80, height - bottom - 12
    drawing = Drawing(width, height)
    values = [value for _, _, points in bands for point in points for value in point if value > 0]
    x_low, x_high = math.log10(min(x_values)), math.log10(max(x_values))
    y_low, y_high = math.log10(min(values)), math.log10(max(values))

    def x(value: float) -> float:
        return left + (math.log10(value) - x_low) / (x_high - x_low or 1.0) * wide

    def y(value: float) -> float:
        return bottom + (math.log10(max(value, 1e-9)) - y_low) / (y_high - y_low or 1.0) * high

    for value in log_ticks(y_low, y_high):
        drawing.add(Line(left, y(value), left + wide, y(value), strokeColor=HAIR, strokeWidth=0.4))
        drawing.add(_mark(left - 4, y(value) - 2.4, number(value, language, 2), "end"))
    for value in log_ticks(x_low, x_high):
        drawing.add(Line(x(value), bottom, x(value), bottom + high, strokeColor=HAIR, strokeWidth=0.4))
        drawing.add(_mark(x(value), bottom - 10, number(value, language, 2), "middle"))
    for name, colour, points in bands:
        upper = [
            edge for place, point in zip(x_values, points, strict=True) for edge in (x(place), y(point[2]))
        ]
        lower = [
            edge
            for place, point in reversed(list(zip(x_values, points, strict=True)))
            for edge in (x(place), y(point[0]))
        ]
        middle = [
            edge for place, point in zip(x_values, points, strict=True) for edge in (x(place), y(point[1]))
        ]
        fill = colors.Color(colour.red, colour.green, colour.blue, alpha=0.25)
        drawing.add(Polygon(upper + lower, fillColor=fill, strokeColor=None))
        drawing.add(PolyLine(middle, strokeColor=colour, strokeWidth=1))
        drawing.add(_mark(left + wide + 5, middle[-1] - 2.4, name, "start"))
    drawing.add(_mark(left + wide / 2, 8, names[0], "middle"))
    drawing.add(_mark(left, height - 6, names[1], "start"))
    return drawing


def log_ticks(low: float, high: float) -> list[float]:
    """Return 1, 2, 5 times powers of ten between two decimal logarithms, thinned over many decades."""
    factors = (1, 2, 5) if high - low < 2.5 else (1,)
    found = [
        factor * 10.0**power for power in range(math.floor(low), math.ceil(high) + 1) for factor in factors
    ]
    return [value for value in found if low - 1e-9 <= math.log10(value) <= high + 1e-9]
