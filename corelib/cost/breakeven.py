"""From which number of sets a core box is cheaper than printing: curves as bands, the crossing as a range."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from corelib.cost.draws import Draws, Percentiles, Uncertain, draws_of, percentiles
from corelib.job.quotation import Conventional, JoinedCores, MoneyBand, Range

MOST_SETS = 1_000_000
"""Beyond this quantity no crossing is looked for."""
NEARLY_ALL = 0.9
Verdict = Literal["range", "printing throughout", "core box throughout", "open"]


def crossing_quantity(
    fixed_printed: float, unit_printed: float, fixed_tool: float, unit_tool: float
) -> int | None:
    """Return the first whole quantity at which the way with tools is not dearer; None if it never is.

    Textbook form q = (F_tool − F_free) ÷ (c_free − c_tool), rounded up; 1 where tools are never dearer.

    >>> crossing_quantity(150_000, 90, 350_000, 50)
    5000
    """
    if unit_printed <= unit_tool:
        is_dearer = fixed_tool + unit_tool > fixed_printed + unit_printed
        return None if is_dearer else 1
    quantity = (fixed_tool - fixed_printed) / (unit_printed - unit_tool)
    return max(1, math.ceil(quantity - 1e-9))


class PrintedPoint(NamedTuple):
    """The printed sets' price at one quantity: the firm total, and its draws."""

    sets: int
    total: Decimal
    draws: Draws


class CurvePoint(NamedTuple):
    """Both ways' total price at one quantity, as bands and as the likely values."""

    sets: int
    printed: Percentiles
    printed_likely: float
    conventional: Percentiles
    conventional_likely: float


@dataclass(frozen=True)
class BreakEven:
    """Where the two ways cross. `low`, `likely`, `high` are None where no number can be given."""

    verdict: Verdict
    low: int | None
    likely: int | None
    high: int | None
    without_crossing: float
    """Share of the draws in which the core box never gets cheaper."""
    curves: tuple[CurvePoint, ...]
    joined_worth: Decimal
    """What joining cores saves a set, already taken off the printed price."""


@dataclass(frozen=True)
class JoinedWorth:
    """What joining several cores into one printed core is worth, a set."""

    parts_saved: int
    joints_saved: int
    assembly_min_saved: float
    worth: Decimal
    tolerance_before_mm: float | None
    """Root sum of squares over the links; holds for centred, independent, equal tolerances."""
    tolerance_after_mm: float | None


def joined_worth(joined: JoinedCores, labour_per_h: Decimal) -> JoinedWorth:
    """Return parts, joints, minutes and money that joining saves, from the user's own figures."""
    parts = joined.parts_before - joined.parts_after
    minutes = parts * joined.assembly_min_per_joint
    labour = Decimal(str(minutes)) / 60 * labour_per_h
    link = joined.link_tolerance_mm
    return JoinedWorth(
        parts_saved=parts,
        joints_saved=parts,
        assembly_min_saved=minutes,
        worth=labour + parts * (joined.glue_per_joint + joined.handling_per_part),
        tolerance_before_mm=None if link is None else link * math.sqrt(joined.parts_before),
        tolerance_after_mm=None if link is None else link * math.sqrt(joined.parts_after),
    )


def break_even(
    printed: Sequence[PrintedPoint],
    conventional: Conventional,
    worth_per_set: Decimal = Decimal(0),
    *,
    seed: int = 0,
) -> BreakEven:
    """Return where a core box gets cheaper than printing.

    The printed curve runs straight between the quantities that were nested and goes on beyond them as between
    its last two (in proportion, if there is only one). Low and high are P10 and P90 of the crossing over the
    draws; no number is given where more than a tenth of the draws never cross, or where the bands overlap at
    every quantity of the curves.
    """
    points = sorted(printed)
    grid = _grid(points[-1].sets)
    draws = len(points[0].draws)
    change = float(conventional.printed_change_cost) * conventional.changes
    by_draw = _printed_totals(points, grid, np.stack([p.draws for p in points])) + change
    by_draw -= float(worth_per_set) * grid[:, None]
    tools = _tool_draws(conventional, draws, seed)
    tool_totals = _tool_totals(conventional, grid, tools["tooling"], tools["per_set"])
    crossings = _crossings(grid, tool_totals - by_draw)
    never = float(np.mean(np.isinf(crossings)))
    curve_grid = [int(sets) for sets in grid if sets <= 10 * points[-1].sets]
    likely = _Likely(points, conventional, change, float(worth_per_set))
    curves = _curves(curve_grid, by_draw, tool_totals, likely)
    verdict = _verdict(crossings, never, curves)
    low, high = np.percentile(crossings, (10.0, 90.0)) if verdict == "range" else (np.nan, np.nan)
    is_range = verdict == "range"
    return BreakEven(
        verdict=verdict,
        low=math.ceil(low) if is_range else None,
        likely=likely.crossing() if is_range else None,
        high=math.ceil(high) if is_range else None,
        without_crossing=never,
        curves=curves,
        joined_worth=worth_per_set,
    )


def _grid(largest: int) -> NDArray[np.float64]:
    """Return quantities from 1 on: every one to 50, then in steps of about 2 %."""
    steps = np.unique(np.round(np.geomspace(50, MOST_SETS, 500)))
    return np.unique(np.concatenate([np.arange(1.0, 51.0), steps, [float(largest), 10.0 * largest]]))


def _printed_totals(
    points: Sequence[PrintedPoint], grid: NDArray[np.float64], totals: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return totals by quantity and draw: straight between the points, and on as at the curve's ends."""
    sets = np.array([float(point.sets) for point in points])
    if len(sets) == 1:
        return grid[:, None] / sets[0] * totals[0][None, :]
    place = np.clip(np.searchsorted(sets, grid) - 1, 0, len(sets) - 2)
    share = (grid - sets[place]) / (sets[place + 1] - sets[place])
    result: NDArray[np.float64] = totals[place] * (1.0 - share[:, None]) + totals[place + 1] * share[:, None]
    return result


def _tool_draws(conventional: Conventional, count: int, seed: int) -> dict[str, Draws]:
    bands = {"tooling": conventional.tooling, "per_set": conventional.per_set}
    return draws_of({name: _uncertain(band) for name, band in bands.items()}, count, seed)


def _uncertain(band: MoneyBand) -> Uncertain:
    low, likely, high = float(band.low), float(band.likely), float(band.high)
    if low == high:
        return Uncertain(likely, Range(shape="normal", sd=1e-12))
    return Uncertain(likely, Range(low=low, likely=likely, high=high))


def _tool_totals(
    conventional: Conventional, grid: NDArray[np.float64], tooling: Draws, per_set: Draws
) -> NDArray[np.float64]:
    batch = conventional.batch_sets
    batches = np.ones_like(grid) if batch is None else np.ceil(grid / batch)
    fixed = tooling + float(conventional.change_cost) * conventional.changes
    set_ups = batches * float(conventional.set_up_per_batch)
    totals: NDArray[np.float64] = fixed[None, :] + grid[:, None] * per_set[None, :] + set_ups[:, None]
    return totals


def _crossings(grid: NDArray[np.float64], dearer: NDArray[np.float64]) -> Draws:
    """Return for each draw the quantity from which tools stay cheaper; infinite where they never do."""
    is_dearer = dearer > 0.0
    last = len(grid) - 1 - np.argmax(is_dearer[::-1], axis=0)
    ever = is_dearer.any(axis=0)
    result: Draws = np.ones(dearer.shape[1])
    result[ever & (last == len(grid) - 1)] = np.inf
    inside = np.flatnonzero(ever & (last < len(grid) - 1))
    before = dearer[last[inside], inside]
    after = dearer[last[inside] + 1, inside]
    share = before / (before - after)
    result[inside] = grid[last[inside]] + share * (grid[last[inside] + 1] - grid[last[inside]])
    return result


class _Likely:
    """Both curves at their likely values."""

    def __init__(
        self, points: Sequence[PrintedPoint], conventional: Conventional, change: float, worth: float
    ) -> None:
        self._points = points
        self._totals = np.array([[float(point.total)] for point in points])
        self._conventional = conventional
        self._change, self._worth = change, worth

    def printed(self, sets: float) -> float:
        grid = np.array([sets])
        total = _printed_totals(self._points, grid, self._totals)[0, 0]
        return float(total) + self._change - self._worth * sets

    def tools(self, sets: float) -> float:
        way = self._conventional
        tooling, per_set = np.array([float(way.tooling.likely)]), np.array([float(way.per_set.likely)])
        return float(_tool_totals(way, np.array([sets]), tooling, per_set)[0, 0])

    def crossing(self) -> int | None:
        """Return the first whole quantity from which tools stay cheaper at the likely values."""
        grid = _grid(self._points[-1].sets)
        dearer = [self.tools(sets) > self.printed(sets) for sets in grid]
        if not any(dearer):
            return 1
        last = max(place for place, is_dearer in enumerate(dearer) if is_dearer)
        if last == len(grid) - 1:
            return None
        low, high = int(grid[last]), int(grid[last + 1])
        while high - low > 1:
            middle = (low + high) // 2
            if self.tools(middle) > self.printed(middle):
                low = middle
            else:
                high = middle
        return high


def _curves(
    grid: Sequence[int], printed: NDArray[np.float64], tools: NDArray[np.float64], likely: _Likely
) -> tuple[CurvePoint, ...]:
    return tuple(
        CurvePoint(
            sets, percentiles(printed[row]), likely.printed(sets), percentiles(tools[row]), likely.tools(sets)
        )
        for row, sets in enumerate(grid)
    )


def _verdict(crossings: Draws, never: float, curves: Sequence[CurvePoint]) -> Verdict:
    if never > NEARLY_ALL:
        return "printing throughout"
    if float(np.mean(crossings <= 1.0)) > NEARLY_ALL:
        return "core box throughout"
    overlapping = all(
        point.printed.p10 <= point.conventional.p90 and point.conventional.p10 <= point.printed.p90
        for point in curves
    )
    return "open" if never > 1.0 - NEARLY_ALL or overlapping else "range"
