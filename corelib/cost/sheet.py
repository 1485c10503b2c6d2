"""The cost sheet of a job: what every box costs by kind, what comes once a job, and what is put on top.

Every line is rounded once to the currency's minor unit, so that lines add exactly to the total.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from corelib.cost.money import EXACT, decimal_of, product, rounded
from corelib.errors import InputError
from corelib.estimate.box import BoxEstimate, JobEstimate
from corelib.estimate.lines import Line
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.units import S_PER_H

CostKind = Literal[
    "machine",
    "oven",
    "labour",
    "sand",
    "additive",
    "binder",
    "disposal",
    "energy",
    "set-up",
    "yield",
    "overhead",
    "margin",
]
COST_RATES = (
    "rates.machine_per_h",
    "rates.oven_per_h",
    "rates.labour_per_h",
    "rates.energy_per_kwh",
    "rates.sand_per_kg",
    "rates.additive_per_kg",
    "rates.binder_per_kg",
    "rates.disposal_per_kg",
    "rates.data_preparation_h",
    "rates.box_set_up_h",
    "rates.attended_pct",
    "rates.core_yield_pct",
    "rates.overhead_pct",
    "rates.margin_pct",
)
"""Profile values without which there is no cost."""
CostInput = float | int | Decimal


@dataclass(frozen=True)
class CostLine:
    """One amount of money: its kind, its formula in the names of its inputs, and those inputs."""

    code: str
    kind: CostKind
    amount: Decimal
    formula: str
    inputs: Mapping[str, CostInput]
    parts: tuple[CostLine, ...] = ()

    def document(self) -> dict[str, Any]:
        """Return the line as plain data for a file; money as text, so that no digit is lost."""
        content: dict[str, Any] = {
            "code": self.code,
            "kind": self.kind,
            "amount": str(self.amount),
            "formula": self.formula,
            "inputs": {
                name: str(value) if isinstance(value, Decimal) else value
                for name, value in self.inputs.items()
            },
        }
        if self.parts:
            content["parts"] = [part.document() for part in self.parts]
        return content


@dataclass(frozen=True)
class BoxCost:
    """What one box costs directly, line by line."""

    box: int
    lines: tuple[CostLine, ...]

    @property
    def amount(self) -> Decimal:
        """Direct cost of the box."""
        return sum((line.amount for line in self.lines), Decimal(0))


@dataclass(frozen=True)
class CostSheet:
    """The cost of a job: direct lines of every box, lines once a job, surcharges, margin."""

    currency: str
    boxes: tuple[BoxCost, ...]
    job_lines: tuple[CostLine, ...]
    surcharges: tuple[CostLine, ...]
    """Yield and overhead: put on the direct cost."""
    margin: CostLine

    @property
    def lines(self) -> tuple[CostLine, ...]:
        """All lines of the job: the boxes' summed by code, then those once a job, surcharges and margin."""
        return (*_summed(self.boxes), *self.job_lines, *self.surcharges, self.margin)

    @property
    def cost(self) -> Decimal:
        """Full cost of the job, without margin."""
        return sum((line.amount for line in self.lines), Decimal(0)) - self.margin.amount

    @property
    def price(self) -> Decimal:
        """Full cost and margin, without tax."""
        return self.cost + self.margin.amount

    def by_kind(self) -> dict[str, Decimal]:
        """Return the amounts by kind, in order of first appearance; they sum to the price."""
        kinds: dict[str, Decimal] = {}
        for line in self.lines:
            kinds[line.kind] = kinds.get(line.kind, Decimal(0)) + line.amount
        return kinds


def _summed(boxes: Sequence[BoxCost]) -> tuple[CostLine, ...]:
    codes = list(dict.fromkeys(line.code for box in boxes for line in box.lines))
    lines = []
    for code in codes:
        parts = tuple(line for box in boxes for line in box.lines if line.code == code)
        inputs: dict[str, CostInput] = {
            f"box_{number}": part.amount for number, part in enumerate(parts, start=1)
        }
        amount = sum((part.amount for part in parts), Decimal(0))
        lines.append(CostLine(code, parts[0].kind, amount, " + ".join(inputs), inputs, parts))
    return tuple(lines)


def missing_rates(point: OperatingPoint) -> tuple[str, ...]:
    """Return the profile values that a cost needs and nobody stated, sorted; empty where it can be given."""
    return tuple(path for path in sorted(COST_RATES) if getattr(point.rates, path.partition(".")[2]) is None)


def cost_job(estimate: JobEstimate, point: OperatingPoint, currency: str) -> CostSheet:
    """Return the cost sheet of a job; raises InputError for a rate that isn't stated."""
    boxes = tuple(BoxCost(box.box, _box_lines(box, point, currency)) for box in estimate.boxes)
    job_lines = (_data_preparation(point, currency),)
    direct = sum((box.amount for box in boxes), Decimal(0))
    lost = _yield_line(direct, point, currency)
    once = sum((line.amount for line in job_lines), Decimal(0))
    overhead = _overhead(direct + lost.amount + once, point, currency)
    cost = direct + lost.amount + once + overhead.amount
    return CostSheet(currency, boxes, job_lines, (lost, overhead), _margin(cost, point, currency))


def _box_lines(box: BoxEstimate, point: OperatingPoint, currency: str) -> tuple[CostLine, ...]:
    time, bed, printed = box.time, box.bed, box.printed
    attended = decimal_of(required(point, "rates.attended_pct"))

    def hours(
        code: str, kind: CostKind, rate: str, *times: Line, share_pct: Decimal | None = None
    ) -> CostLine:
        inputs: dict[str, CostInput] = {line.code: line.value for line in times}
        formula = f"({' + '.join(inputs)}) ÷ 3600"
        seconds = sum((decimal_of(line.value) for line in times), Decimal(0))
        inputs[rate] = required(point, rate)
        amount = EXACT.divide(product(seconds, inputs[rate]), decimal_of(S_PER_H))
        if share_pct is not None:
            inputs["rates.attended_pct"] = share_pct
            formula += " × rates.attended_pct ÷ 100"
            amount = EXACT.divide(product(amount, share_pct), Decimal(100))
        return CostLine(code, kind, rounded(amount, currency), f"{formula} × {rate}", inputs)

    def material(code: str, kind: CostKind, rate: str, *masses: Line) -> CostLine:
        inputs: dict[str, CostInput] = {line.code: line.value for line in masses}
        formula = f"({' + '.join(inputs)}) × {rate}"
        inputs[rate] = required(point, rate)
        kg = sum((decimal_of(line.value) for line in masses), Decimal(0))
        return CostLine(code, kind, rounded(product(kg, inputs[rate]), currency), formula, inputs)

    return (
        hours("machine", "machine", "rates.machine_per_h", time.build_s, time.box_change_s),
        hours("oven", "oven", "rates.oven_per_h", time.oven_load_s, time.cure_s),
        hours("labour_printing", "labour", LABOUR, time.build_s, share_pct=attended),
        _labour_hours("labour_set_up", "set-up", "rates.box_set_up_h", point, currency),
        hours("labour_unpack", "labour", LABOUR, time.unpack_s),
        hours("labour_finish", "labour", LABOUR, time.finish_s),
        material("sand", "sand", "rates.sand_per_kg", bed.fresh_sand_kg),
        material("additive", "additive", "rates.additive_per_kg", bed.fresh_additive_kg),
        material("binder", "binder", "rates.binder_per_kg", printed.binder_drawn_kg),
        material("disposal", "disposal", "rates.disposal_per_kg", bed.lost_kg, bed.set_aside_kg),
        material("energy", "energy", "rates.energy_per_kwh", box.energy.energy_kwh),
    )


LABOUR = "rates.labour_per_h"


def _labour_hours(code: str, kind: CostKind, hours: str, point: OperatingPoint, currency: str) -> CostLine:
    inputs: dict[str, CostInput] = {hours: required(point, hours), LABOUR: required(point, LABOUR)}
    amount = rounded(product(*inputs.values()), currency)
    return CostLine(code, kind, amount, f"{hours} × {LABOUR}", inputs)


def _data_preparation(point: OperatingPoint, currency: str) -> CostLine:
    return _labour_hours("data_preparation", "set-up", "rates.data_preparation_h", point, currency)


def _yield_line(direct: Decimal, point: OperatingPoint, currency: str) -> CostLine:
    """Return the cost of printing cores again: all direct cost of the boxes, once more for each core lost."""
    yield_pct = decimal_of(required(point, "rates.core_yield_pct"))
    extra = EXACT.subtract(EXACT.divide(Decimal(100), yield_pct), Decimal(1))
    inputs: dict[str, CostInput] = {"direct": direct, "rates.core_yield_pct": yield_pct}
    amount = rounded(product(direct, extra), currency)
    return CostLine("yield", "yield", amount, "direct × (100 ÷ rates.core_yield_pct − 1)", inputs)


def _overhead(base: Decimal, point: OperatingPoint, currency: str) -> CostLine:
    overhead_pct = decimal_of(required(point, "rates.overhead_pct"))
    inputs: dict[str, CostInput] = {"before_overhead": base, "rates.overhead_pct": overhead_pct}
    amount = rounded(EXACT.divide(product(base, overhead_pct), Decimal(100)), currency)
    return CostLine("overhead", "overhead", amount, "before_overhead × rates.overhead_pct ÷ 100", inputs)


def _margin(cost: Decimal, point: OperatingPoint, currency: str) -> CostLine:
    """Return the margin, a share of the price: price = cost ÷ (1 − margin)."""
    margin_pct = decimal_of(required(point, "rates.margin_pct"))
    if margin_pct >= 100:
        raise InputError("cost.margin_too_large", margin_pct=float(margin_pct))
    inputs: dict[str, CostInput] = {"cost": cost, "rates.margin_pct": margin_pct}
    amount = rounded(EXACT.divide(product(cost, margin_pct), Decimal(100) - margin_pct), currency)
    return CostLine("margin", "margin", amount, "cost × rates.margin_pct ÷ (100 − rates.margin_pct)", inputs)
