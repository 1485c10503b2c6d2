"""How sure time, cost and price are: the very formulas of their lines, carried through seeded draws."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from corelib.cost.draws import (
    Cause,
    Draws,
    Percentiles,
    Uncertain,
    draws_of,
    percentiles,
    ranked_causes,
)
from corelib.cost.lines import Costing, profile_value
from corelib.cost.machine_rate import RATE_PARTS, machine_rate
from corelib.cost.sheet import BOX_COSTINGS, JOB_COSTINGS, MARGIN, SURCHARGES, costings_stated
from corelib.errors import InputError
from corelib.estimate.box import BoxEstimate, JobEstimate
from corelib.estimate.formula import evaluate, names_in
from corelib.estimate.lines import Line
from corelib.job.fields import EvidenceMark
from corelib.job.operating_point import evidence_of
from corelib.job.profiles import OperatingPoint
from corelib.job.quotation import Range
from corelib.reference import table

DRAWS = 10_000
TIME_MODEL = "build_time_model"
"""Name of the input that stands for the error of the build-time model itself: a factor about 1."""
POLICY = frozenset(
    {
        "rates.margin_pct",
        "rates.overhead_pct",
        "rates.risk_pct",
        "rates.usual_fill_pct",
        "rates.head_modules",
        "process.binder_on_sand_pct",
        "additive.additive_on_sand_pct",
        "machine.grey_level",
        "machine.pitch_travel_mm",
        "machine.pitch_across_mm",
        "machine.warm_up_s",
        "oven.start_c",
        "oven.cure_c",
    }
)
"""What the shop sets or decides: it spreads only where the job states a range for it."""
MARKS: tuple[EvidenceMark, ...] = (
    "measured",
    "fitted",
    "data sheet",
    "stated",
    "common practice",
    "guess",
    "invented",
)
"""Evidence, best first."""
MOST_OF_SPREAD = 0.8
"""A result takes the weakest mark among the causes that together carry this part of its spread."""


@dataclass(frozen=True)
class SpreadInput:
    """An input that spreads: its stated value, the range it was drawn from, and how well it is known."""

    name: str
    value: float
    spread: Range
    evidence: EvidenceMark

    def document(self) -> dict[str, Any]:
        """Return the input as plain data."""
        return {
            "name": self.name,
            "value": self.value,
            "evidence": self.evidence,
            **self.spread.model_dump(mode="json", exclude_none=True),
        }


@dataclass(frozen=True, eq=False)
class Uncertainty:
    """Spread of a job's time, cost and price, with its causes and its evidence."""

    draws: int
    seed: int
    build_s: Percentiles
    cost: Percentiles
    price: Percentiles
    kinds: Mapping[str, Percentiles]
    """Cost by kind as on the cost sheet, margin included; kinds that don't spread are left out."""
    causes: tuple[Cause, ...]
    """Inputs by their part in the spread of the cost."""
    evidence: EvidenceMark | None
    """The weakest mark among the inputs that carry most of the spread."""
    inputs: tuple[SpreadInput, ...]
    """Every input that spreads, in the order of the causes, then by name."""
    price_draws: Draws
    cost_draws: Draws

    def document(self) -> dict[str, Any]:
        """Return ranges (P10, P50, P90), causes and inputs as plain data, without the draws."""
        return {
            "draws": self.draws,
            "seed": self.seed,
            "evidence": self.evidence,
            "build_time_s": list(self.build_s),
            "cost": list(self.cost),
            "price": list(self.price),
            "cost_by_kind": {kind: list(spread) for kind, spread in self.kinds.items()},
            "causes": [cause._asdict() for cause in self.causes],
            "inputs": [entry.document() for entry in self.inputs],
        }


def uncertain_inputs(
    estimate: JobEstimate, point: OperatingPoint, stated: Mapping[str, Range]
) -> dict[str, Uncertain]:
    """Return the spread of every profile value that time or cost reads, by its dotted name.

    Where the job states no range, a value spreads by its evidence; percentages spread by the smaller of
    themselves and what is left to 100. A stated range for a value that nothing reads raises InputError.
    """
    read = _fields_read(estimate, point)
    unknown = sorted(set(stated) - read - {TIME_MODEL})
    if unknown:
        raise InputError("cost.range_for_nothing", field=unknown[0], known=sorted(read))
    widths: dict[str, float] = table("evidence_spread")["half_width_pct"]
    inputs: dict[str, Uncertain] = {}
    for name in sorted(read):
        value = float(profile_value(point, name))
        if name in stated:
            inputs[name] = _bounded(name, value, stated[name])
        elif name not in POLICY:
            evidence = evidence_of(point, name)
            width = widths[evidence.evidence if evidence is not None else "guess"] / 100.0
            room = min(value, 100.0 - value) if name.endswith("_pct") else abs(value)
            if room > 0.0:
                own = Range(low=value - width * room, likely=value, high=value + width * room)
                inputs[name] = _bounded(name, value, own)
    inputs[TIME_MODEL] = Uncertain(1.0, stated.get(TIME_MODEL, _time_model_range()), least=0.01)
    return inputs


def _time_model_range() -> Range:
    width = float(table("evidence_spread")["build_time_model_pct"]) / 100.0
    return Range(low=1.0 - width, likely=1.0, high=1.0 + width)


def _bounded(name: str, value: float, spread: Range) -> Uncertain:
    least = 1.0 if "yield" in name else 1e-12
    return Uncertain(value, spread, least=least, most=100.0 if name.endswith("_pct") else np.inf)


def _fields_read(estimate: JobEstimate, point: OperatingPoint) -> set[str]:
    """Return the dotted names of all profile values that the cost reads, through every line below it."""
    lines = {line.code: line for line in estimate.boxes[0].lines}
    found: set[str] = set()
    seen: set[str] = set()
    waiting = [name for costing in _costings(point) for name in names_in(costing.formula)]
    waiting += [name for _, formula in _rate_formulas(point) for name in names_in(formula)]
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        if "." in name:
            found.add(name)
        elif name in lines:
            waiting += names_in(lines[name].formula)
    return {name for name in found if isinstance(profile_value(point, name), (int, float)) or _is_money(name)}


def _is_money(name: str) -> bool:
    return name.startswith("rates.")


def _costings(point: OperatingPoint) -> tuple[Costing, ...]:
    return costings_stated((*BOX_COSTINGS, *JOB_COSTINGS, *SURCHARGES, MARGIN), point)


def _rate_formulas(point: OperatingPoint) -> tuple[tuple[str, str], ...]:
    if point.rates.machine_per_h is not None:
        return (("machine_rate_per_h", "rates.machine_per_h"),)
    return RATE_PARTS


class _BoxModel:
    """The figures of one box as functions of the drawn inputs: formulas resolved down to them."""

    def __init__(self, box: BoxEstimate, drawn: Mapping[str, Any]) -> None:
        self._lines: dict[str, Line] = {line.code: line for line in box.lines}
        self._drawn = drawn
        self._known: dict[str, Any] = {"core_count": float(box.core_count)}

    def value(self, name: str) -> Any:
        """Return a figure: an array where any drawn input goes into it."""
        if name not in self._known:
            line = self._lines[name]
            inputs = {part: self._input(line, part) for part in names_in(line.formula)}
            value = evaluate(line.formula, inputs)
            self._known[name] = value * self._drawn[TIME_MODEL] if name == "printing_s" else value
        return self._known[name]

    def _input(self, line: Line, name: str) -> Any:
        if name in self._drawn:
            return self._drawn[name]
        if name in self._lines and name != line.code:
            return self.value(name)
        return line.inputs[name]


def uncertainty(
    estimate: JobEstimate,
    point: OperatingPoint,
    currency: str,
    stated: Mapping[str, Range] | None = None,
    *,
    draws: int = DRAWS,
    seed: int = 0,
) -> Uncertainty:
    """Return the spread of time, cost and price by Monte Carlo, with ranked causes.

    Strokes, purges and what else was counted stay as planned; the error of the time model itself is an
    input of its own.
    """
    inputs = uncertain_inputs(estimate, point, stated or {})
    drawn = draws_of(inputs, draws, seed)
    model = modelled(estimate, point, currency, drawn)
    cost, price = model.cost, model.price
    causes = ranked_causes(drawn, cost)
    return Uncertainty(
        draws=draws,
        seed=seed,
        build_s=percentiles(model.build_s),
        cost=percentiles(cost),
        price=percentiles(price),
        kinds={kind: percentiles(own) for kind, own in model.kinds.items() if np.ptp(own) > 0.0},
        causes=causes,
        evidence=weakest_evidence(causes, point, stated or {}),
        inputs=_spread_inputs(inputs, causes, point, stated or {}),
        price_draws=price,
        cost_draws=cost,
    )


class Modelled(NamedTuple):
    """Build time, full cost, price, and the price's parts by kind: numbers, or arrays of draws."""

    build_s: Any
    cost: Any
    price: Any
    kinds: Mapping[str, Any]


def modelled(
    estimate: JobEstimate, point: OperatingPoint, currency: str, drawn: Mapping[str, Any]
) -> Modelled:
    """Return time and money with some inputs replaced."""
    values = _fixed_values(point, _costings(point)) | {TIME_MODEL: 1.0} | dict(drawn)
    values["machine_rate_per_h"] = _rate(point, currency, values)
    build_s: Any = 0.0
    direct: Any = 0.0
    kinds: dict[str, Any] = {}
    for box, count in _alike(estimate.boxes):
        model = _BoxModel(box, values)
        build_s = build_s + count * model.value("build_s")
        for costing in costings_stated(BOX_COSTINGS, point):
            amount = count * _amount(costing, values, model)
            direct = direct + amount
            _add(kinds, costing, amount)
    cost, price = _on_top(direct, point, values, kinds)
    return Modelled(build_s, cost, price, kinds)


def _add(kinds: dict[str, Any], costing: Costing, amount: Any) -> None:
    kinds[costing.kind] = kinds.get(costing.kind, 0.0) + amount


def _alike(boxes: Sequence[BoxEstimate]) -> list[tuple[BoxEstimate, int]]:
    """Return boxes with how often they come: a full box that is repeated shares its figures."""
    first: dict[int, BoxEstimate] = {}
    counts: dict[int, int] = {}
    for box in boxes:
        first.setdefault(id(box.printed), box)
        counts[id(box.printed)] = counts.get(id(box.printed), 0) + 1
    return [(box, counts[key]) for key, box in first.items()]


def _fixed_values(point: OperatingPoint, costings: Sequence[Costing]) -> dict[str, Any]:
    names = {name for costing in costings for name in costing.profile_fields}
    return {name: float(profile_value(point, name)) for name in sorted(names)}


def _rate(point: OperatingPoint, currency: str, values: Mapping[str, Any]) -> Any:
    parts = machine_rate(point, currency).parts
    if not parts:
        return values.get("rates.machine_per_h", float(machine_rate(point, currency).amount))
    total: Any = 0.0
    for part in parts:
        inputs = {name: values.get(name, float(value)) for name, value in part.inputs.items()}
        total = total + evaluate(part.formula, inputs)
    return total


def _amount(costing: Costing, values: Mapping[str, Any], model: _BoxModel) -> Any:
    inputs = {
        name: values[name] if name in values else model.value(name) for name in names_in(costing.formula)
    }
    return evaluate(costing.formula, inputs)


def _on_top(
    direct: Any, point: OperatingPoint, values: Mapping[str, Any], kinds: dict[str, Any]
) -> tuple[Any, Any]:
    """Return cost and price of a direct cost; what is put on it is added to the kinds too."""
    known = dict(values) | {"direct": direct, **{costing.code: 0.0 for costing in SURCHARGES}}
    once = [evaluate(costing.formula, known) for costing in JOB_COSTINGS]
    known["once"] = sum(once)
    for costing, amount in zip(JOB_COSTINGS, once, strict=True):
        _add(kinds, costing, amount)
    for costing in costings_stated(SURCHARGES, point):
        known[costing.code] = evaluate(costing.formula, known)
        _add(kinds, costing, known[costing.code])
    known["cost"] = direct + known["once"] + sum(known[costing.code] for costing in SURCHARGES)
    margin = evaluate(MARGIN.formula, known)
    _add(kinds, MARGIN, margin)
    return known["cost"], known["cost"] + margin


def weakest_evidence(
    causes: Sequence[Cause], point: OperatingPoint, stated: Mapping[str, Range]
) -> EvidenceMark | None:
    """Return the weakest mark among the causes that carry most of the spread; None where nothing spreads."""
    weakest: EvidenceMark | None = None
    carried = 0.0
    for cause in causes:
        if carried >= MOST_OF_SPREAD:
            break
        carried += cause.share
        mark = _mark(cause.name, point, stated)
        if weakest is None or MARKS.index(mark) > MARKS.index(weakest):
            weakest = mark
    return weakest


def _mark(name: str, point: OperatingPoint, stated: Mapping[str, Range]) -> EvidenceMark:
    """Return how well an input is known: a range that the job states is `stated`."""
    if name in stated:
        return "stated"
    evidence = evidence_of(point, name) if "." in name else None
    return "guess" if evidence is None else evidence.evidence


def _spread_inputs(
    inputs: Mapping[str, Uncertain],
    causes: Sequence[Cause],
    point: OperatingPoint,
    stated: Mapping[str, Range],
) -> tuple[SpreadInput, ...]:
    ranked = [cause.name for cause in causes]
    names = [*ranked, *sorted(set(inputs) - set(ranked))]
    return tuple(
        SpreadInput(name, inputs[name].value, inputs[name].spread, _mark(name, point, stated))
        for name in names
    )


def shown(value: float, spread: Percentiles) -> float:
    """Return a value with no more digits than its spread allows: to a tenth of P10 … P90, one digit of it."""
    width = spread.p90 - spread.p10
    if width <= 0.0:
        return value
    step = 10.0 ** np.floor(np.log10(width / 2.0))
    return float(round(value / step) * step)
