"""The chart of the droplet window on a printed sheet, in the same axes as the SVG."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, String
from reportlab.lib import colors

from corelib.export import droplet_chart as chart
from corelib.export.lettering import visual
from corelib.export.paper import BOLD, FONT, HAIR, INK, SOFT, STOP, glyphs
from corelib.wording import label

CURVE = colors.HexColor("#1d3557")
WINDOW = colors.HexColor("#8ecae6")
REYNOLDS_TICKS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
OHNESORGE_TICKS = (0.02, 0.05, 0.1, 0.2, 0.5, 1, 2)


def droplet_drawing(document: Mapping[str, Any], width: float, language: str) -> Drawing:
    """Return the chart of a process sheet's document, `width` points wide; it must hold a curve."""
    return _Chart(document, width, language).drawn()


class _Chart:
    def __init__(self, document: Mapping[str, Any], width: float, language: str) -> None:
        glyphs()
        self.document, self.language = document, language
        self.scale = width / chart.WIDE
        self.drawing = Drawing(width, chart.HIGH * self.scale)

    def drawn(self) -> Drawing:
        window = self.document["droplet_window"]
        limits = {name: entry["value"] for name, entry in window["limits"].items()}
        self.frame()
        inside = [edge for point in chart.window_outline(limits) for edge in self.at(*point)]
        self.drawing.add(Polygon(inside, fillColor=WINDOW, fillOpacity=0.35, strokeColor=None))
        self.edges(limits)
        curve = [(row["reynolds"], 1 / row["inverse_ohnesorge"]) for row in window["curve"]]
        self.line(curve, strokeColor=CURVE, strokeWidth=1.4)
        self.line(chart.stated_range(window), strokeColor=STOP, strokeWidth=3)
        self.temperatures(window["curve"])
        self.operating_point()
        return self.drawing

    def at(self, re: float, oh: float) -> tuple[float, float]:
        return chart.chart_x(re) * self.scale, (chart.HIGH - chart.chart_y(oh)) * self.scale

    def say(self, x: float, y: float, words: str, anchor: str = "start", font: str = FONT) -> None:
        shown = visual(words, glyphs())
        self.drawing.add(String(x, y, shown, fontName=font, fontSize=7, fillColor=INK, textAnchor=anchor))

    def line(self, points: Sequence[tuple[float, float]], **style: Any) -> None:
        if len(points) > 1:
            edges = [edge for point in points for edge in self.at(*point)]
            self.drawing.add(PolyLine(edges, **style))

    def frame(self) -> None:
        (left, top), (right, floor) = (
            self.at(chart.RE_RANGE[0], chart.OH_RANGE[1]),
            self.at(chart.RE_RANGE[1], chart.OH_RANGE[0]),
        )
        self.drawing.add(
            Rect(left, floor, right - left, top - floor, fillColor=None, strokeColor=HAIR, strokeWidth=0.6)
        )
        for re in REYNOLDS_TICKS:
            x, _ = self.at(re, 1.0)
            self.drawing.add(Line(x, floor, x, floor - 3, strokeColor=SOFT, strokeWidth=0.5))
            self.say(x, floor - 11, f"{re}", "middle")
        for oh in OHNESORGE_TICKS:
            _, y = self.at(1.0, oh)
            self.drawing.add(Line(left, y, left - 3, y, strokeColor=SOFT, strokeWidth=0.5))
            self.say(left - 5, y - 2.4, self.decimal(oh), "end")
        self.say((left + right) / 2, floor - 24, label("solved", "reynolds", self.language), "middle")
        self.say(left, top + 5, label("solved", "ohnesorge", self.language))

    def decimal(self, value: float) -> str:
        shown = f"{value:g}"
        return shown.replace(".", ",") if self.language == "de" else shown

    def edges(self, limits: Mapping[str, float]) -> None:
        style = {"strokeColor": SOFT, "strokeWidth": 0.6, "strokeDashArray": [4, 3]}
        low, high = 1 / limits["z_least"], 1 / limits["z_most"]
        for oh in (low, high):
            self.line([(chart.RE_RANGE[0], oh), (chart.RE_RANGE[1], oh)], **style)
        for points in (chart.weber_line(limits), chart.splash_line(limits)):
            within = [point for point in points if chart.OH_RANGE[0] <= point[1] <= chart.OH_RANGE[1]]
            self.line(within, **style)
        (left, _), (right, _) = self.at(chart.RE_RANGE[0], 1.0), self.at(chart.RE_RANGE[1], 1.0)
        said = {
            name: f"{sign} = {limits[limit]:g}: {label('process', f'edge_{name}', self.language)}"
            for name, sign, limit in (
                ("z_low", "Z", "z_least"),
                ("z_high", "Z", "z_most"),
                ("weber", "We", "weber_least"),
                ("splash", "K", "splash_most"),
            )
        }
        self.say(right - 5, self.at(1.0, low)[1] + 4, said["z_low"], "end")
        self.say(left + 5, self.at(1.0, high)[1] - 9, said["z_high"])
        self.say(left + 5, self.at(1.0, 0.135)[1], said["weber"])
        self.say(right - 5, self.at(1.0, 0.28)[1], said["splash"], "end")

    def temperatures(self, curve: Sequence[Mapping[str, float]]) -> None:
        for row in (curve[0], curve[len(curve) // 3], curve[2 * len(curve) // 3], curve[-1]):
            x, y = self.at(row["reynolds"], 1 / row["inverse_ohnesorge"])
            self.drawing.add(Circle(x, y, 1.6, fillColor=CURVE, strokeColor=None))
            self.say(x + 5, y - 2.4, f"{row['temperature_c']:.0f} °C")

    def operating_point(self) -> None:
        values = {entry["code"]: entry["value"] for entry in self.document["solved"]["droplets"]}
        re, z = values["solved.reynolds"], values["solved.inverse_ohnesorge"]
        if re is None or z is None:
            return
        x, y = self.at(re, 1 / z)
        self.drawing.add(Circle(x, y, 3.6, fillColor=STOP, strokeColor=colors.white, strokeWidth=1))
        self.say(x - 7, y + 6, label("process", "operating_point", self.language), "end", BOLD)
