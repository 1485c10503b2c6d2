"""A curve over height as points and ticks: what the drawn charts of all sheets stand on."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

MOST_POINTS = 700
"""More points than this can't be told apart on a sheet; each bucket keeps its lowest and highest value."""


@dataclass(frozen=True)
class Curve:
    """Points of a curve with the tick values of both axes; the axes start at 0 and end at the last tick."""

    points: tuple[tuple[float, float], ...]
    x_ticks: tuple[float, ...]
    y_ticks: tuple[float, ...]

    @property
    def x_end(self) -> float:
        """Last x of the frame."""
        return self.x_ticks[-1]

    @property
    def y_end(self) -> float:
        """Last y of the frame."""
        return self.y_ticks[-1]


def ticks(highest: float, about: int = 5) -> tuple[float, ...]:
    """Return round tick values from 0 to the first one that reaches `highest`."""
    if not highest > 0:
        return (0.0, 1.0)
    raw = highest / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(factor * power for factor in (1, 2, 2.5, 5, 10) if factor * power >= raw * (1 - 1e-9))
    count = math.ceil(highest / step - 1e-9)
    return tuple(round(step * index, 12) for index in range(count + 1))


def area_over_height(layers: Sequence[Mapping[str, Any]], height_mm: float) -> Curve:
    """Return the printed area in cm² over the height in mm, as a stair of layers."""
    stairs: list[tuple[float, float]] = []
    for index, layer in enumerate(layers):
        low = float(layer["z_mm"])
        high = float(layers[index + 1]["z_mm"]) if index + 1 < len(layers) else height_mm
        area = float(layer["printed_area_mm2"]) / 100.0
        stairs += [(low, area), (high, area)]
    highest = max((area for _, area in stairs), default=0.0)
    return Curve(thinned(stairs), ticks(height_mm, 8), ticks(highest))


def thinned(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Return the points, few enough to draw: of each run of points the lowest and the highest stay."""
    if len(points) <= MOST_POINTS:
        return tuple(points)
    kept: list[tuple[float, float]] = []
    size = math.ceil(len(points) * 2 / MOST_POINTS)
    for start in range(0, len(points), size):
        bucket = points[start : start + size]
        ends = {min(bucket, key=lambda point: point[1]), max(bucket, key=lambda point: point[1])}
        kept += sorted(ends)
    return tuple(kept)
