"""The cost sheet of a job: what every box costs by kind, what comes once a job, and what is put on top.

Every line is rounded once to the currency's minor unit, so that lines add exactly to the total.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from corelib.cost.lines import Costing, CostInput, CostLine, amount_of, cost_line, profile_value
from corelib.cost.machine_rate import machine_rate, missing_for_build_up
from corelib.estimate.box import BoxEstimate, JobEstimate
from corelib.job.profiles import OperatingPoint

HEAD_LIFE = (
    "max(binder_drawn_kg ÷ binder.density_g_cm3 ÷ rates.head_life_l, "
    "build_s ÷ 3600 ÷ (rates.head_life_months ÷ 12 × rates.machine_use_h))"
)
LABOUR = "rates.labour_per_h"
BOX_COSTINGS = (
    Costing("machine", "machine", "(build_s + box_change_s) ÷ 3600 × machine_rate_per_h"),
    Costing("labour_printing", "labour", "build_s ÷ 3600 × rates.attended_pct ÷ 100 × rates.labour_per_h"),
    Costing("standing", "standing", "build_s ÷ 3600 × rates.standing_kw × rates.energy_per_kwh", True),
    Costing("head_wear", "head", f"{HEAD_LIFE} × rates.head_modules × rates.head_module_price", True),
    Costing("oven", "oven", "(oven_load_s + cure_s) ÷ 3600 × rates.oven_per_h"),
    Costing("labour_set_up", "set-up", "rates.box_set_up_h × rates.labour_per_h"),
    Costing("sand", "sand", "fresh_sand_kg × rates.sand_per_kg"),
    Costing("additive", "additive", "fresh_additive_kg × rates.additive_per_kg"),
    Costing("binder", "binder", "binder_drawn_kg × rates.binder_per_kg"),
    Costing("disposal", "disposal", "(lost_kg + set_aside_kg) × rates.disposal_per_kg"),
    Costing("cleaning", "cleaning", "rates.cleaning_per_box_l × rates.cleaning_per_l", True),
    Costing(
        "alkaline_waste",
        "cleaning",
        "(binder_services_l + rates.cleaning_per_box_l) × rates.alkaline_waste_per_l",
        True,
    ),
    Costing("energy", "energy", "energy_kwh × rates.energy_per_kwh"),
    Costing("labour_unpack", "labour", "unpack_s ÷ 3600 × rates.labour_per_h"),
    Costing("labour_finish", "labour", "finish_s ÷ 3600 × rates.labour_per_h"),
    Costing(
        "inspection",
        "inspection",
        f"core_count × rates.inspection_min_per_core ÷ 60 × {LABOUR}",
        True,
    ),
    Costing("labour_packing", "packing", f"core_count × rates.packing_min_per_core ÷ 60 × {LABOUR}", True),
    Costing("packing_material", "packing", "core_count × rates.packing_per_core", True),
)
"""What each box costs, from its figures and the shop's rates."""
JOB_COSTINGS = (Costing("data_preparation", "set-up", "rates.data_preparation_h × rates.labour_per_h"),)
"""What comes once a job."""
SURCHARGES = (
    Costing("box_loss", "yield", "direct × (100 ÷ rates.box_yield_pct − 1)", True),
    Costing("core_loss", "yield", "(direct + box_loss) × (100 ÷ rates.core_yield_pct − 1)"),
    Costing("overhead", "overhead", "(direct + box_loss + core_loss + once) × rates.overhead_pct ÷ 100"),
    Costing("risk", "risk", "(direct + box_loss + core_loss + once + overhead) × rates.risk_pct ÷ 100", True),
)
"""What is put on the direct cost, in this order: lost boxes, lost cores, overhead, risk."""
MARGIN = Costing("margin", "margin", "cost × rates.margin_pct ÷ (100 − rates.margin_pct)")
"""A share of the price: price = cost ÷ (1 − margin)."""
COSTINGS = (*BOX_COSTINGS, *JOB_COSTINGS, *SURCHARGES, MARGIN)


@dataclass(frozen=True)
class BoxCost:
    """What one box costs directly, line by line."""

    box: int
    lines: tuple[CostLine, ...]

    @property
    def amount(self) -> Decimal:
        """Direct cost of the box."""
        return amount_of(self.lines)


@dataclass(frozen=True)
class CostSheet:
    """The cost of a job: direct lines of every box, lines once a job, surcharges, margin."""

    currency: str
    boxes: tuple[BoxCost, ...]
    job_lines: tuple[CostLine, ...]
    surcharges: tuple[CostLine, ...]
    """Lost boxes and cores, overhead, risk."""
    margin: CostLine
    machine_rate: CostLine
    """The hour rate of the machine, with its build-up where it wasn't stated."""
    left_out: tuple[str, ...]
    """Profile values that nobody stated and without which optional lines are missing."""

    @property
    def lines(self) -> tuple[CostLine, ...]:
        """All lines of the job: the boxes' summed by code, then those once a job, surcharges and margin."""
        return (*_summed(self.boxes), *self.job_lines, *self.surcharges, self.margin)

    @property
    def direct(self) -> Decimal:
        """Direct cost of all boxes."""
        return sum((box.amount for box in self.boxes), Decimal(0))

    @property
    def cost(self) -> Decimal:
        """Full cost of the job, without margin."""
        return self.direct + amount_of(self.job_lines) + amount_of(self.surcharges)

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
        lines.append(CostLine(code, parts[0].kind, amount_of(parts), " + ".join(inputs), inputs, parts))
    return tuple(lines)


def missing_rates(point: OperatingPoint) -> tuple[str, ...]:
    """Return the profile values that a cost needs and nobody stated, sorted; empty where it can be given."""
    missing = {path for costing in COSTINGS if not costing.optional for path in costing.unstated(point)}
    if point.rates.machine_per_h is None and missing_for_build_up(point):
        missing.add("rates.machine_per_h")
    return tuple(sorted(missing))


def costings_stated(costings: Sequence[Costing], point: OperatingPoint) -> tuple[Costing, ...]:
    """Return the costings without the optional ones for which a value isn't stated."""
    return tuple(costing for costing in costings if not (costing.optional and costing.unstated(point)))


def box_values(box: BoxEstimate) -> dict[str, CostInput]:
    """Return the figures of a box that costings read, by name."""
    return {**{line.code: line.value for line in box.lines}, "core_count": box.core_count}


def cost_job(estimate: JobEstimate, point: OperatingPoint, currency: str) -> CostSheet:
    """Return the cost sheet of a job; raises InputError for a rate that isn't stated."""
    rate = machine_rate(point, currency)
    boxes = tuple(_box_cost(box, rate.amount, point, currency) for box in estimate.boxes)
    job_lines = tuple(cost_line(costing, point, {}, currency) for costing in JOB_COSTINGS)
    direct = sum((box.amount for box in boxes), Decimal(0))
    surcharges, margin = put_on_top(direct, amount_of(job_lines), point, currency)
    return CostSheet(
        currency=currency,
        boxes=boxes,
        job_lines=job_lines,
        surcharges=surcharges,
        margin=margin,
        machine_rate=rate,
        left_out=_left_out(point),
    )


def _box_cost(box: BoxEstimate, rate: Decimal, point: OperatingPoint, currency: str) -> BoxCost:
    values = {**box_values(box), "machine_rate_per_h": rate}
    costings = costings_stated(BOX_COSTINGS, point)
    return BoxCost(box.box, tuple(cost_line(costing, point, values, currency) for costing in costings))


def put_on_top(
    direct: Decimal, once: Decimal, point: OperatingPoint, currency: str
) -> tuple[tuple[CostLine, ...], CostLine]:
    """Return the surcharges on a direct cost and on what comes once a job, and the margin."""
    values: dict[str, CostInput] = {"direct": direct, "once": once}
    values |= {costing.code: Decimal(0) for costing in SURCHARGES}
    lines: list[CostLine] = []
    for costing in costings_stated(SURCHARGES, point):
        line = cost_line(costing, point, values, currency)
        values[line.code] = line.amount
        lines.append(line)
    surcharges = tuple(lines)
    values["cost"] = direct + once + amount_of(surcharges)
    return surcharges, cost_line(MARGIN, point, values, currency)


def _left_out(point: OperatingPoint) -> tuple[str, ...]:
    return tuple(
        sorted({path for costing in COSTINGS if costing.optional for path in costing.unstated(point)})
    )


@dataclass(frozen=True)
class FillBasis:
    """Cost and price if the boxes were filled as the shop usually fills them."""

    own_fill_pct: float
    """Share of the filled bed that is core in this job's boxes."""
    usual_fill_pct: float
    cost: Decimal
    price: Decimal


WITH_THE_BOX = frozenset(
    {
        "machine",
        "labour_printing",
        "standing",
        "oven",
        "labour_set_up",
        "sand",
        "additive",
        "disposal",
        "cleaning",
        "alkaline_waste",
        "energy",
    }
)
"""Lines that a box costs whatever is in it: at another fill they are shared by more or fewer cores."""


def at_usual_fill(sheet: CostSheet, estimate: JobEstimate, point: OperatingPoint) -> FillBasis | None:
    """Return cost and price at the shop's usual fill; None where that isn't stated or nothing is printed.

    Lines that come with the box are scaled by own fill ÷ usual fill; those of the cores stay.
    """
    usual = profile_value(point, "rates.usual_fill_pct")
    bed_mm3 = sum(box.bed_volume_mm3 for box in estimate.boxes)
    own = estimate.printed.core_volume_mm3.value / bed_mm3 * 100.0
    if usual is None or own == 0.0:
        return None
    scaled = Costing("scaled", "machine", "amount × own_fill_pct ÷ usual_fill_pct")
    values = {"own_fill_pct": own, "usual_fill_pct": float(usual)}
    direct = Decimal(0)
    for line in (line for box in sheet.boxes for line in box.lines):
        if line.code in WITH_THE_BOX:
            direct += cost_line(scaled, point, {**values, "amount": line.amount}, sheet.currency).amount
        else:
            direct += line.amount
    once = amount_of(sheet.job_lines)
    surcharges, margin = put_on_top(direct, once, point, sheet.currency)
    cost = direct + once + amount_of(surcharges)
    return FillBasis(own, float(usual), cost, cost + margin.amount)
