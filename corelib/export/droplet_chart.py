"""The chart of the droplet window as SVG: Reynolds over Ohnesorge number with the limits' lines.

In these axes Z = 1 and Z = 10 lie flat, We = 4 falls with slope −1 and K = 50 with slope −5/4; the way of the
operating point over the nozzle's temperature is drawn as a curve.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

from corelib.errors import InputError
from corelib.wording import label

WIDE, HIGH = 760.0, 520.0
LEFT, RIGHT, TOP, BOTTOM = 70.0, 20.0, 30.0, 60.0
RE_RANGE = (1.0, 1000.0)
OH_RANGE = (0.02, 3.0)
STEPS = 60

Points = Sequence[tuple[float, float]]


def droplet_chart_svg(document: Mapping[str, Any], language: str = "en") -> str:
    """Return the chart from a process sheet's document; raises InputError where no droplet point is known."""
    window = document["droplet_window"]
    curve = [(row["reynolds"], 1 / row["inverse_ohnesorge"]) for row in window["curve"]]
    if not curve:
        raise InputError("droplets.no_chart")
    limits = {name: entry["value"] for name, entry in window["limits"].items()}
    marks = [
        *_frame(language),
        _polygon(window_outline(limits)),
        *_edges(limits, language),
        _line(curve, 'stroke="#1d3557" stroke-width="2"'),
        _line(stated_range(window), 'stroke="#e63946" stroke-width="4" stroke-linecap="round"'),
        *_temperatures(window["curve"]),
        *_operating_point(document, language),
    ]
    body = "\n".join(marks)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {HIGH:g}" role="img" '
        f'aria-label="{escape(label("process", "window", language))}" '
        f'font-family="sans-serif" font-size="12" fill="#222">\n{body}\n</svg>\n'
    )


def chart_x(re: float) -> float:
    """Return where a Reynolds number lies across the chart, held to its range."""
    low, high = (math.log10(value) for value in RE_RANGE)
    share = (math.log10(min(max(re, RE_RANGE[0]), RE_RANGE[1])) - low) / (high - low)
    return LEFT + share * (WIDE - LEFT - RIGHT)


def chart_y(oh: float) -> float:
    """Return where an Ohnesorge number lies down the chart, held to its range."""
    low, high = (math.log10(value) for value in OH_RANGE)
    share = (math.log10(min(max(oh, OH_RANGE[0]), OH_RANGE[1])) - low) / (high - low)
    return HIGH - BOTTOM - share * (HIGH - TOP - BOTTOM)


def _line(points: Points, style: str) -> str:
    path = " ".join(f"{chart_x(re):.1f},{chart_y(oh):.1f}" for re, oh in points)
    return f'<polyline points="{path}" fill="none" {style}/>'


def _text(x: float, y: float, text: str, more: str = "") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" {more}>{escape(text)}</text>'


def _frame(language: str) -> list[str]:
    right, floor = WIDE - RIGHT, HIGH - BOTTOM
    size = f'width="{right - LEFT}" height="{floor - TOP}"'
    marks = [f'<rect x="{LEFT}" y="{TOP}" {size} fill="none" stroke="#888"/>']
    for re in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000):
        marks.append(_text(chart_x(re), floor + 16, f"{re}", 'text-anchor="middle"'))
        marks.append(f'<path d="M{chart_x(re):.1f} {floor}v5" stroke="#888"/>')
    for oh in (0.02, 0.05, 0.1, 0.2, 0.5, 1, 2):
        marks.append(_text(LEFT - 8, chart_y(oh) + 4, f"{oh:g}", 'text-anchor="end"'))
        marks.append(f'<path d="M{LEFT} {chart_y(oh):.1f}h-5" stroke="#888"/>')
    middle = (LEFT + right) / 2
    marks.append(_text(middle, HIGH - 14, label("solved", "reynolds", language), 'text-anchor="middle"'))
    turned = f'text-anchor="middle" transform="rotate(-90 18 {(TOP + floor) / 2:.0f})"'
    marks.append(_text(18, (TOP + floor) / 2, label("solved", "ohnesorge", language), turned))
    return marks


def _grid() -> list[float]:
    low, high = (math.log10(value) for value in RE_RANGE)
    return [10 ** (low + (high - low) * step / STEPS) for step in range(STEPS + 1)]


def weber_line(limits: Mapping[str, float]) -> list[tuple[float, float]]:
    """Return the line of the least Weber number, as Reynolds and Ohnesorge numbers."""
    return [(re, math.sqrt(limits["weber_least"]) / re) for re in _grid()]


def splash_line(limits: Mapping[str, float]) -> list[tuple[float, float]]:
    """Return the line of the largest splash number, as Reynolds and Ohnesorge numbers."""
    return [(re, limits["splash_most"] / re**1.25) for re in _grid()]


def window_outline(limits: Mapping[str, float]) -> list[tuple[float, float]]:
    """Return the outline of the window: between the two Z lines, right of We, left of K."""
    low, high = 1 / limits["z_most"], 1 / limits["z_least"]
    heights = [low * (high / low) ** (step / STEPS) for step in range(STEPS + 1)]
    left = [(math.sqrt(limits["weber_least"]) / oh, oh) for oh in heights]
    right = [((limits["splash_most"] / oh) ** 0.8, oh) for oh in heights]
    return left + right[::-1]


def _polygon(points: Points) -> str:
    path = " ".join(f"{chart_x(re):.1f},{chart_y(oh):.1f}" for re, oh in points)
    return f'<polygon points="{path}" fill="#8ecae6" fill-opacity="0.35" stroke="none"/>'


def _edges(limits: Mapping[str, float], language: str) -> list[str]:
    style = 'stroke="#555" stroke-dasharray="5 4"'
    flat = {"z_low": 1 / limits["z_least"], "z_high": 1 / limits["z_most"]}
    marks = [_line([(RE_RANGE[0], oh), (RE_RANGE[1], oh)], style) for oh in flat.values()]

    def within(points: Points) -> Points:
        return [(re, oh) for re, oh in points if OH_RANGE[0] <= oh <= OH_RANGE[1]]

    marks.append(_line(within(weber_line(limits)), style))
    marks.append(_line(within(splash_line(limits)), style))
    said = {
        name: label("process", f"edge_{name}", language) for name in ("z_low", "z_high", "weber", "splash")
    }
    right, end = WIDE - RIGHT - 8, 'text-anchor="end"'
    z_low, z_high = flat["z_low"], flat["z_high"]
    return [
        *marks,
        _text(right, chart_y(z_low) - 8, f"Z = {limits['z_least']:g}: {said['z_low']}", end),
        _text(LEFT + 8, chart_y(z_high) + 16, f"Z = {limits['z_most']:g}: {said['z_high']}"),
        _text(LEFT + 8, chart_y(0.135), f"We = {limits['weber_least']:g}: {said['weber']}"),
        _text(right, chart_y(0.28), f"K = {limits['splash_most']:g}: {said['splash']}", end),
    ]


def stated_range(window: Mapping[str, Any]) -> Points:
    """Return the part of the curve over which the nozzles' temperature is stated to move."""
    nozzle = window["nozzle"]
    if not nozzle:
        return []
    low, high = nozzle[0]["temperature_c"], nozzle[-1]["temperature_c"]
    between = [row for row in window["curve"] if low < row["temperature_c"] < high]
    rows = sorted([*nozzle, *between], key=lambda row: row["temperature_c"])
    return [(row["reynolds"], 1 / row["inverse_ohnesorge"]) for row in rows]


def _temperatures(curve: Sequence[Mapping[str, float]]) -> list[str]:
    """Return a tick with its temperature at every tenth degree of the curve's range or so."""
    marks = []
    for row in (curve[0], curve[len(curve) // 3], curve[2 * len(curve) // 3], curve[-1]):
        x, y = chart_x(row["reynolds"]), chart_y(1 / row["inverse_ohnesorge"])
        marks.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.5" fill="#1d3557"/>')
        marks.append(_text(x + 7, y + 4, f"{row['temperature_c']:.0f} °C"))
    return marks


def _operating_point(document: Mapping[str, Any], language: str) -> list[str]:
    values = {entry["code"]: entry["value"] for entry in document["solved"]["droplets"]}
    re, z = values["solved.reynolds"], values["solved.inverse_ohnesorge"]
    if re is None or z is None:
        return []
    x, y = chart_x(re), chart_y(1 / z)
    name = label("process", "operating_point", language)
    return [
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" fill="#e63946" stroke="#fff" stroke-width="1.5"/>',
        _text(x - 10, y - 10, name, 'text-anchor="end" font-weight="bold"'),
    ]
