"""A quotation for several quantities: firm prices by rule, what changes a price, what lies behind it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Literal, NamedTuple

from corelib.cost.breakeven import BreakEven, JoinedWorth
from corelib.cost.lines import CostLine
from corelib.cost.money import EXACT, allocate, minor_unit
from corelib.cost.sharing import Sharing
from corelib.cost.sheet import WITH_THE_BOX, CostSheet, FillBasis, cost_job
from corelib.cost.uncertainty import Uncertainty
from corelib.errors import InputError
from corelib.estimate.box import BoxEstimate, JobEstimate, estimate_job
from corelib.estimate.schedule import Schedule
from corelib.findings import Finding
from corelib.job.acknowledged import Casting, LiftedStop
from corelib.job.profiles import OperatingPoint
from corelib.job.quotation import QuotationTerms

MOST_QUANTITIES = 20
PriceNote = Literal["first", "falls", "stays", "held", "new box"]
"""Why a unit price is what it is beside the quantity before: `held` would rise without a new box and doesn't,
`new box` rises because another box is opened."""


class Calculated(NamedTuple):
    """What was reckoned for one quantity: sets, boxes opened, and the price of all sets."""

    sets: int
    boxes: int
    price: Decimal


@dataclass(frozen=True)
class FirmPrice:
    """The price that is offered for one quantity."""

    sets: int
    boxes: int
    calculated_unit: Decimal
    """Price of one set as reckoned, rounded up to the step."""
    unit: Decimal
    total: Decimal
    note: PriceNote


def firm_prices(
    calculated: Sequence[Calculated], currency: str, step: Decimal | None = None
) -> tuple[FirmPrice, ...]:
    """Return the firm prices of quantities in rising order.

    A set's price is the reckoned total ÷ sets, rounded up to the step; the total is sets × that price. It
    never rises with the quantity unless another box is opened: where it would, it is held.
    """
    unit_step = minor_unit(currency) if step is None else step
    firm: list[FirmPrice] = []
    for entry in sorted(calculated):
        own = _rounded_up(EXACT.divide(entry.price, Decimal(entry.sets)), unit_step)
        unit, note = own, _note(own, entry, firm)
        if note == "held":
            unit = firm[-1].unit
        firm.append(FirmPrice(entry.sets, entry.boxes, own, unit, unit * entry.sets, note))
    return tuple(firm)


def _rounded_up(amount: Decimal, step: Decimal) -> Decimal:
    return (amount / step).to_integral_value(rounding=ROUND_CEILING) * step


def _note(own: Decimal, entry: Calculated, before: Sequence[FirmPrice]) -> PriceNote:
    if not before:
        return "first"
    last = before[-1]
    if own > last.unit:
        return "new box" if entry.boxes > last.boxes else "held"
    return "stays" if own == last.unit else "falls"


@dataclass(frozen=True)
class CorePlace:
    """What one more copy of a core costs, and what its place costs when it stays empty."""

    core_id: str
    marginal_cost: Decimal
    """Full cost of one more copy in an empty place of the last box, its height and strokes as they are."""
    empty_place_cost: Decimal
    """The part of the box's own cost that falls on such a place."""


def core_places(
    box: BoxEstimate,
    with_one_more: Sequence[tuple[str, BoxEstimate]],
    point: OperatingPoint,
    sheet: CostSheet,
) -> tuple[CorePlace, ...]:
    """Return marginal cost and empty place of each core; `with_one_more` has the box with one copy more."""
    alone = cost_job(estimate_job([box]), point, sheet.currency)
    bound = sum((line.amount for line in alone.boxes[0].lines if line.code in WITH_THE_BOX), Decimal(0))
    denied = {core.core_id: core.copies * _denied_mm3(core.core_id, box) for core in box.cores}
    whole = sum(denied.values())
    places = []
    for core_id, larger in with_one_more:
        more = cost_job(estimate_job([larger]), point, sheet.currency)
        one = _denied_mm3(core_id, box)
        shares = allocate(bound, {"place": one, "rest": max(0.0, whole - one)}, sheet.currency)
        places.append(CorePlace(core_id, more.cost - alone.cost, shares["place"]))
    return tuple(places)


def _denied_mm3(core_id: str, box: BoxEstimate) -> float:
    core = next(core for core in box.cores if core.core_id == core_id)
    return core.bounding_volume_mm3 if core.denied_volume_mm3 is None else core.denied_volume_mm3


@dataclass(frozen=True, eq=False)
class QuantityQuote:
    """Everything about one quantity of sets. What the customer sees of it is `firm` and the lead time."""

    firm: FirmPrice
    estimate: JobEstimate
    sheet: CostSheet
    shares: tuple[Sharing, ...]
    """The cost shared by each rule."""
    spread: Uncertainty
    fill: FillBasis | None
    schedule: Schedule
    schedule_early: Schedule
    """With the P10 of the build time."""
    schedule_late: Schedule
    """With the P90 of the build time."""
    places: tuple[CorePlace, ...]

    @property
    def machine_rate(self) -> CostLine:
        """The machine's hour rate."""
        return self.sheet.machine_rate


@dataclass(frozen=True, eq=False)
class Quotation:
    """A job quoted for several quantities."""

    name: str
    customer: str
    currency: str
    terms: QuotationTerms
    set_names: tuple[str, ...]
    core_names: Mapping[str, str]
    point: OperatingPoint
    quantities: tuple[QuantityQuote, ...]
    break_even: BreakEven | None
    joined: JoinedWorth | None
    findings: tuple[Finding, ...]
    casting: Casting
    lifted_stops: tuple[LiftedStop, ...]


def parsed_quantities(text: str) -> tuple[int, ...]:
    """Return the quantities of sets in a text as 1,10,50: rising, each once; raises InputError."""
    quantities: set[int] = set()
    for part in text.split(","):
        stripped = part.strip()
        if not stripped.isascii() or not stripped.isdigit() or int(stripped) == 0:
            raise InputError("quote.bad_quantity", text=stripped, given=text)
        quantities.add(int(stripped))
    if len(quantities) > MOST_QUANTITIES:
        raise InputError("quote.too_many_quantities", most=MOST_QUANTITIES, count=len(quantities))
    return tuple(sorted(quantities))


def price_findings(firm: Sequence[FirmPrice]) -> list[Finding]:
    """Return what the reader must know about the price steps."""
    found = []
    for entry in firm:
        if entry.note == "new box":
            facts = {"sets": entry.sets, "boxes": entry.boxes, "unit": str(entry.unit)}
            found.append(Finding("quote.new_box_raises_price", "note", facts))
        elif entry.note == "held":
            short = (entry.calculated_unit - entry.unit) * entry.sets
            facts = {"sets": entry.sets, "unit": str(entry.unit), "short": str(short)}
            found.append(Finding("quote.price_held", "check", facts))
    return found
