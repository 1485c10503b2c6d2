"""Plans side by side: key figures with their differences, and in words what each plan is better at."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from corelib.errors import InputError
from corelib.units import S_PER_H, show_duration

Document = Mapping[str, Any]
Series = NDArray[np.float64]
Wanted = Literal["less", "more", "neither"]

FEWEST, MOST = 2, 6
SAME_SHARE = 1e-9
"""Two figures that differ by less than this share count as equal."""


@dataclass(frozen=True)
class KeyFigure:
    """One figure of a plan that is compared: how it is read, its unit, and which way is better."""

    code: str
    unit: str
    wanted: Wanted
    read: Callable[[Document], float | None]


@dataclass(frozen=True)
class FigureRow:
    """One key figure of all plans; differences are to the first plan."""

    code: str
    unit: str
    wanted: Wanted
    values: tuple[float | None, ...]

    @property
    def differences(self) -> tuple[float | None, ...]:
        """Each value less the first plan's; None where one of them isn't known."""
        first = self.values[0]
        return tuple(None if value is None or first is None else value - first for value in self.values)

    @property
    def differences_pct(self) -> tuple[float | None, ...]:
        """The differences in percent of the first plan's value; None where that is 0 or not known."""
        first = self.values[0]
        if not first:
            return tuple(None for _ in self.values)
        return tuple(None if value is None else 100.0 * value / first - 100.0 for value in self.values)

    @property
    def best(self) -> tuple[int, ...]:
        """Which plans have the best value; empty where neither way is better or all are equal."""
        known = [value for value in self.values if value is not None]
        if self.wanted == "neither" or len(known) < len(self.values):
            return ()
        target = min(known) if self.wanted == "less" else max(known)
        best = tuple(number for number, value in enumerate(known) if _same(value, target))
        return () if len(best) == len(known) else best


@dataclass(frozen=True)
class Statement:
    """A sentence about the plans, as code and facts for `corelib.wording`."""

    code: str
    facts: Mapping[str, Any]


@dataclass(frozen=True, eq=False)
class Comparison:
    """Two to six plans side by side."""

    names: tuple[str, ...]
    rows: tuple[FigureRow, ...]
    statements: tuple[Statement, ...]
    curves: tuple[PlanCurves, ...]


@dataclass(frozen=True, eq=False)
class PlanCurves:
    """Printed area and time of every layer over height, box after box: what is laid over one another."""

    height_mm: Series
    printed_area_mm2: Series
    time_s: Series
    box: NDArray[np.int64]


def compare_plans(names: Sequence[str], plans: Sequence[Document]) -> Comparison:
    """Return the comparison of plan documents; raises InputError for fewer than two or more than six."""
    if not FEWEST <= len(plans) <= MOST:
        raise InputError("comparison.wrong_count", count=len(plans), fewest=FEWEST, most=MOST)
    one_currency = len({plan["totals"]["currency"] for plan in plans}) == 1
    figures = [figure for figure in KEY_FIGURES if one_currency or figure.unit != "money"]
    rows = tuple(
        FigureRow(
            figure.code,
            plans[0]["totals"]["currency"] if figure.unit == "money" else figure.unit,
            figure.wanted,
            tuple(figure.read(plan) for plan in plans),
        )
        for figure in figures
    )
    statements = (*_cautions(names, plans, one_currency), *_strengths(names, rows), *_dominance(names, rows))
    return Comparison(tuple(names), rows, statements, tuple(_curves(plan) for plan in plans))


def _same(a: float, b: float) -> bool:
    return abs(a - b) <= SAME_SHARE * max(abs(a), abs(b))


def _total(name: str) -> Callable[[Document], float | None]:
    def read(plan: Document) -> float | None:
        value = plan["totals"].get(name)
        return None if value is None else float(value)

    return read


def _height_mm(plan: Document) -> float:
    return float(sum(box["height_mm"] for box in plan["boxes"]))


def _fill_pct(plan: Document) -> float:
    """Return the cores' volume in percent of the filled beds'."""
    x, y, _ = plan["box"]["inner_mm"]
    cores_mm3 = sum(core["core_volume_mm3"] * core["copies"] for core in plan["cores"])
    return float(100.0 * cores_mm3 / (x * y * _height_mm(plan)))


def _sets(plan: Document) -> int:
    return sum(casting_set["count"] for casting_set in plan["job"].get("casting_sets", ()))


def _cost_a_set(plan: Document) -> float | None:
    cost, sets = plan["totals"]["cost"], _sets(plan)
    return None if cost is None or sets == 0 else float(cost) / sets


def _handling_h(plan: Document) -> float:
    """Return the hours of unpacking and finishing."""
    wanted = {"unpack_s", "finish_s"}
    return sum(float(line["value"]) for line in plan["lines"]["time"] if line["code"] in wanted) / S_PER_H


def _heavy_pieces(plan: Document) -> float | None:
    limit_kg = plan["profiles"]["process"].get("lifted_by_hand_kg")
    if limit_kg is None:
        return None
    return float(
        sum(core["copies"] for core in plan["cores"] if core["mass_kg"] and core["mass_kg"] > limit_kg)
    )


def _severity(severity: str) -> Callable[[Document], float]:
    def read(plan: Document) -> float:
        return float(sum(finding["severity"] == severity for finding in plan["findings"]))

    return read


KEY_FIGURES: tuple[KeyFigure, ...] = (
    KeyFigure("boxes", "-", "less", _total("boxes")),
    KeyFigure("height_mm", "mm", "less", _height_mm),
    KeyFigure("fill_pct", "%", "more", _fill_pct),
    KeyFigure("layer_count", "-", "less", _total("layer_count")),
    KeyFigure("build_time_s", "s", "less", _total("build_time_s")),
    KeyFigure("cost", "money", "less", _total("cost")),
    KeyFigure("cost_a_set", "money", "less", _cost_a_set),
    KeyFigure("price", "money", "neither", _total("price")),
    KeyFigure("binder_l", "L", "less", _total("binder_l")),
    KeyFigure("bed_sand_kg", "kg", "less", _total("bed_sand_kg")),
    KeyFigure("energy_kwh", "kWh", "less", _total("energy_kwh")),
    KeyFigure("gross_box_kg", "kg", "less", _total("gross_box_kg")),
    KeyFigure("handling_h", "h", "less", _handling_h),
    KeyFigure("heavy_pieces", "-", "less", _heavy_pieces),
    KeyFigure("stops", "-", "less", _severity("stop")),
    KeyFigure("checks", "-", "less", _severity("check")),
)
STRENGTHS: dict[str, str] = {
    "height_mm": "comparison.lower",
    "build_time_s": "comparison.sooner",
    "cost_a_set": "comparison.cheaper_a_set",
    "cost": "comparison.cheaper",
    "fill_pct": "comparison.fuller",
    "handling_h": "comparison.easier_to_handle",
}
DOMINANCE = ("height_mm", "build_time_s", "cost_a_set", "handling_h")
"""Figures in which a plan has to be at least as good to be better on the whole."""


def _cautions(names: Sequence[str], plans: Sequence[Document], one_currency: bool) -> list[Statement]:
    """Return what makes the plans hard to compare."""
    said = []
    contents = [sorted((core["id"], core["sha256"], core["copies"]) for core in _own(plan)) for plan in plans]
    others = [name for name, content in zip(names, contents, strict=True) if content != contents[0]]
    if others:
        said.append(Statement("comparison.other_cores", {"first": names[0], "others": others}))
    if not one_currency:
        said.append(Statement("comparison.other_currency", {}))
    stopped = [name for name, plan in zip(names, plans, strict=True) if _severity("stop")(plan)]
    if stopped:
        said.append(Statement("comparison.has_stops", {"plans": stopped}))
    return said


def _own(plan: Document) -> list[Mapping[str, Any]]:
    return [core for core in plan["cores"] if not core["rides_along"]]


def _strengths(names: Sequence[str], rows: Sequence[FigureRow]) -> list[Statement]:
    """Return, for each kind of strength, which plan is best and by how much to the next."""
    said = []
    for row in rows:
        code = STRENGTHS.get(row.code)
        if code is None or len(row.best) != 1:
            continue
        (best,) = row.best
        value = row.values[best]
        rest = [other for number, other in enumerate(row.values) if number != best and other is not None]
        next_best = min(rest) if row.wanted == "less" else max(rest)
        assert value is not None
        facts = {
            "plan": names[best],
            "value": _shown(value, row.unit),
            "next": _shown(next_best, row.unit),
            "by_pct": abs(100.0 * (next_best - value) / next_best) if next_best else 0.0,
            "unit": row.unit,
        }
        said.append(Statement(code, facts))
    return said


def _shown(value: float, unit: str) -> float | str:
    """Return a value as a sentence shows it: times in hours and minutes."""
    return show_duration(value) if unit == "s" else value


def _dominance(names: Sequence[str], rows: Sequence[FigureRow]) -> list[Statement]:
    """Return which plans are as good as another in height, time, cost and handling, and better in one."""
    compared = [row for row in rows if row.code in DOMINANCE and all(v is not None for v in row.values)]
    said = []
    for one, name in enumerate(names):
        beaten = [
            names[other] for other in range(len(names)) if other != one and _beats(compared, one, other)
        ]
        if beaten:
            facts = {"plan": name, "others": beaten, "in": [row.code for row in compared]}
            said.append(Statement("comparison.better_on_the_whole", facts))
    if compared and not said:
        alike = all(not row.best for row in compared)  # no best: all values of the figure are equal
        said.append(Statement("comparison.alike" if alike else "comparison.each_has_its_strength", {}))
    return said


def _beats(rows: Sequence[FigureRow], one: int, other: int) -> bool:
    better = False
    for row in rows:
        a, b = row.values[one], row.values[other]
        assert a is not None
        assert b is not None
        if _same(a, b):
            continue
        if a > b:
            return False
        better = True
    return better


def _curves(plan: Document) -> PlanCurves:
    heights, areas, times, boxes = [], [], [], []
    base_mm = 0.0
    for number, box in enumerate(plan["boxes"]):
        layers = box["layers"]
        heights += [base_mm + layer["z_mm"] + box["layer_thickness_mm"] for layer in layers]
        areas += [layer["printed_area_mm2"] for layer in layers]
        times += [layer["time_s"] for layer in layers]
        boxes += [number] * len(layers)
        base_mm += box["height_mm"]
    return PlanCurves(np.array(heights), np.array(areas), np.array(times), np.array(boxes, dtype=np.int64))


@dataclass(frozen=True)
class Moved:
    """One figure of a plan that moved from one version of its job to the next.

    `group` is `inputs`, `totals`, `cost` (its lines), `time`, `cores` or `casting_sets` (cost of one). `code`
    names the figure within it: a line's code, a dotted profile value, an id. Values are None where the figure
    doesn't exist on that side; inputs may be texts.
    """

    group: str
    code: str
    unit: str
    before: float | str | None
    after: float | str | None

    @property
    def difference(self) -> float | None:
        """After less before; None where one of them is no number."""
        if isinstance(self.before, float) and isinstance(self.after, float):
            return self.after - self.before
        return None

    @property
    def difference_pct(self) -> float | None:
        """The difference in percent of the value before; None where that is 0 or no number."""
        difference = self.difference
        return None if difference is None or not self.before else 100.0 * difference / float(self.before)


MOVING_TOTALS = (
    ("price", "money"),
    ("cost", "money"),
    ("build_time_s", "s"),
    ("boxes", "-"),
    ("layer_count", "-"),
    ("binder_kg", "kg"),
    ("bed_sand_kg", "kg"),
    ("energy_kwh", "kWh"),
)
"""Totals that are told where they moved, in this order."""


def moved_figures(before: Document, after: Document) -> tuple[Moved, ...]:
    """Return what differs between two plans of one job: the inputs first, then totals, lines and shares.

    Lines and shares come in order of how far they moved. Plans in two currencies differ in everything, and
    are told as such: the currency is an input.
    """
    currency = str(after["totals"]["currency"])
    rows: list[Moved] = []
    for group, old, new in (
        ("inputs", _inputs(before), _inputs(after)),
        ("totals", _totals_of(before), _totals_of(after)),
        *((name, _line_values(before, name), _line_values(after, name)) for name in ("cost", "time")),
        *(
            (name, _shares_each(before, name), _shares_each(after, name))
            for name in ("cores", "casting_sets")
        ),
    ):
        moved = [
            Moved(group, code, _unit_of(group, code, currency), old.get(code), new.get(code))
            for code in {**old, **new}
            if _differ(old.get(code), new.get(code))
        ]
        if group not in ("inputs", "totals"):
            moved.sort(key=lambda row: -abs(row.difference or 0.0))
        rows += moved
    return tuple(rows)


def _differ(a: float | str | None, b: float | str | None) -> bool:
    if isinstance(a, float) and isinstance(b, float):
        return not _same(a, b)
    return a != b


def _unit_of(group: str, code: str, currency: str) -> str:
    units = dict(MOVING_TOTALS) if group == "totals" else {}
    unit = units.get(code, {"time": "s"}.get(group, "" if group == "inputs" else "money"))
    return currency if unit == "money" else unit


def _inputs(plan: Document) -> dict[str, float | str | None]:
    """Return what the user states: profile values, castings, currency."""
    found: dict[str, float | str | None] = {"currency": str(plan["totals"]["currency"])}
    for casting_set in plan["job"].get("casting_sets", ()):
        found[f"casting_sets.{casting_set['id']}"] = float(casting_set["count"])
    for kind, values in plan["profiles"].items():
        for name, value in values.items():
            if name not in ("sources", "source", "schema_version", "kind"):
                found[f"{kind}.{name}"] = _plain(value)
    return found


def _plain(value: Any) -> float | str | None:
    """Return an input as a number where it is one (money is text in a document), else as text."""
    if value is None or isinstance(value, bool):
        return None if value is None else str(value).lower()
    try:
        return float(value)
    except (TypeError, ValueError):
        return str(value)


def _totals_of(plan: Document) -> dict[str, float | str | None]:
    totals = plan["totals"]
    return {name: None if totals.get(name) is None else float(totals[name]) for name, _ in MOVING_TOTALS}


def _line_values(plan: Document, group: str) -> dict[str, float | str | None]:
    return {line["code"]: float(line["value"]) for line in plan["lines"].get(group, ())}


def _shares_each(plan: Document, group: str) -> dict[str, float | str | None]:
    sharing = plan.get("sharing") or {}
    return {share["id"]: float(share["cost_each"]) for share in sharing.get(group, ())}
