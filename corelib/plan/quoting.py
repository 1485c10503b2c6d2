"""Quotes a job for several quantities, each really packed: cores are loaded once, boxes packed for each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from pathlib import Path

from corelib.allowance.compensation import printed_body
from corelib.checks.alloy import check_alloy
from corelib.checks.lifted_stops import lifted_findings
from corelib.cost.breakeven import BreakEven, JoinedWorth, PrintedPoint, break_even, joined_worth
from corelib.cost.money import minor_unit
from corelib.cost.quotation import (
    Calculated,
    CorePlace,
    FirmPrice,
    QuantityQuote,
    Quotation,
    core_places,
    firm_prices,
    price_findings,
)
from corelib.cost.sharing import SHARING_RULES, share_cost
from corelib.cost.sheet import CostSheet, at_usual_fill, cost_job, missing_rates
from corelib.cost.uncertainty import Uncertainty, uncertainty
from corelib.errors import InputError
from corelib.estimate.box import BoxEstimate, JobEstimate, estimate_box, estimate_job
from corelib.estimate.schedule import calendar_of, schedule_job, stations_of
from corelib.findings import Finding, in_order
from corelib.job.models import Job
from corelib.job.operating_point import operating_point, required
from corelib.job.profiles import OperatingPoint
from corelib.job.quotation import QuotationTerms
from corelib.layers.cache import LayerCache
from corelib.layers.model import BoxLayers
from corelib.mesh.parsing import ParserPool
from corelib.plan.build import job_cores
from corelib.plan.full_boxes import BoxFiller, FilledBoxes, job_of_sets
from corelib.progress import SILENT, Progress

BREAK_EVEN_DRAWS = 2000
Shown = Callable[[Calculated, Uncertainty], None]


@dataclass(frozen=True, eq=False)
class _Packed:
    """One quantity, packed and estimated."""

    job: Job
    estimate: JobEstimate
    last_layers: BoxLayers
    sheet: CostSheet
    spread: Uncertainty

    @property
    def set_counts(self) -> dict[str, int]:
        return {casting_set.id: casting_set.count for casting_set in self.job.casting_sets}


def quote_job(
    job: Job,
    folder: Path,
    quantities: Sequence[int],
    *,
    cache: LayerCache,
    parsers: ParserPool | None = None,
    progress: Progress = SILENT,
    seed: int = 0,
    first: Shown | None = None,
    shown: Shown | None = None,
) -> Quotation:
    """Return the quotation of a job for quantities of its casting sets; mesh paths are relative to `folder`.

    A quantity of n takes every casting set n times; loose cores and spares stay as stated. Full boxes are
    packed once and repeated. `first` hears a price of each quantity from a quick packing, `shown` the one
    that counts, as soon as they are known. Raises InputError, MeshError.
    """
    if not job.casting_sets:
        raise InputError("quote.no_sets", job=job.name)
    terms = job.quotation or QuotationTerms()
    point = operating_point(job, folder)
    _refuse_what_is_missing(job, point)
    jobs = [job_of_sets(job, sets) for sets in sorted(quantities)]
    cores = job_cores(job, folder, point, parsers, progress.span(0.0, 0.1))
    bodies = tuple(printed_body(core, point.process) for core in cores)
    work = progress.span(0.1, 0.95)
    filler = BoxFiller(job, point, bodies, cache)
    if first is not None:
        for own in jobs:
            here = _priced(own, filler.first(_sets(own)), point, seed)
            first(_calculated(here), here.spread)
    done: list[_Packed] = []
    for number, own in enumerate(jobs):
        span = work.span(number / len(jobs), (number + 1) / len(jobs))
        here = _priced(own, filler.filled(_sets(own), span), point, seed)
        done.append(here)
        if shown is not None:
            shown(_calculated(here), here.spread)
    names = {core.item.id: core.item.name for core in cores}
    return _quotation(done, point, terms, names, seed)


def _refuse_what_is_missing(job: Job, point: OperatingPoint) -> None:
    """Raise InputError for a currency, rate or station that is missing, before any work is done."""
    minor_unit(job.currency)
    for path in missing_rates(point):
        required(point, path)
    stations_of(point)
    calendar_of(point)


def _priced(job: Job, filled: FilledBoxes, point: OperatingPoint, seed: int) -> _Packed:
    estimate = estimate_job(filled.boxes)
    ranges = job.quotation.ranges if job.quotation is not None else {}
    spread = uncertainty(estimate, point, job.currency, ranges, seed=seed)
    return _Packed(job, estimate, filled.last_layers, cost_job(estimate, point, job.currency), spread)


def _sets(job: Job) -> int:
    return job.casting_sets[0].count


def _calculated(here: _Packed) -> Calculated:
    return Calculated(_sets(here.job), len(here.estimate.boxes), here.sheet.price)


def _quotation(
    done: Sequence[_Packed],
    point: OperatingPoint,
    terms: QuotationTerms,
    names: dict[str, str],
    seed: int,
) -> Quotation:
    first = done[0].job
    firm = firm_prices([_calculated(here) for here in done], first.currency, terms.round_unit_price_to)
    quotes = tuple(_quote(here, price, point, terms) for here, price in zip(done, firm, strict=True))
    joined = (
        None if terms.joined is None else joined_worth(terms.joined, required(point, "rates.labour_per_h"))
    )
    findings = [
        *price_findings(firm),
        *_left_out(quotes),
        *(finding for quote in quotes for finding in quote.estimate.findings),
        *check_alloy(first.casting, point),
    ]
    return Quotation(
        name=first.name,
        customer=first.customer,
        currency=first.currency,
        terms=terms,
        set_names=tuple(casting_set.name for casting_set in first.casting_sets),
        core_names=names,
        point=point,
        quantities=quotes,
        break_even=_break_even(quotes, terms, joined, seed),
        joined=joined,
        findings=lifted_findings(in_order(findings), first.lifted_stops),
        casting=first.casting,
        lifted_stops=first.lifted_stops,
    )


def _left_out(quotes: Sequence[QuantityQuote]) -> list[Finding]:
    fields = quotes[0].sheet.left_out
    return [Finding("quote.costs_left_out", "check", {"fields": list(fields)})] if fields else []


def _quote(here: _Packed, price: FirmPrice, point: OperatingPoint, terms: QuotationTerms) -> QuantityQuote:
    estimate, sheet, spread = here.estimate, here.sheet, here.spread
    start = None if terms.start_date is None else date.fromisoformat(terms.start_date)
    early, late = _slower(spread, estimate)
    return QuantityQuote(
        firm=price,
        estimate=estimate,
        sheet=sheet,
        shares=tuple(share_cost(sheet, estimate, here.set_counts, rule) for rule in SHARING_RULES),
        spread=spread,
        fill=at_usual_fill(sheet, estimate, point),
        schedule=schedule_job(estimate.boxes, point, start),
        schedule_early=schedule_job(estimate.boxes, point, start, early),
        schedule_late=schedule_job(estimate.boxes, point, start, late),
        places=_places(here, point),
    )


def _slower(spread: Uncertainty, estimate: JobEstimate) -> tuple[float, float]:
    """Return by how much the P10 and the P90 of the build time stretch it."""
    build_s = estimate.build_time_s
    return (1.0, 1.0) if build_s == 0.0 else (spread.build_s.p10 / build_s, spread.build_s.p90 / build_s)


def _places(here: _Packed, point: OperatingPoint) -> tuple[CorePlace, ...]:
    """Return what one more copy of each core in the last box costs, and its empty place."""
    box = here.estimate.boxes[-1]
    own = {core.id for core in here.job.cores}
    larger = [
        (core.core_id, _with_one_more(box, here.last_layers, core.core_id, point))
        for core in box.cores
        if core.core_id in own
    ]
    return core_places(box, larger, point, here.sheet)


def _with_one_more(box: BoxEstimate, layers: BoxLayers, core_id: str, point: OperatingPoint) -> BoxEstimate:
    """Return the box with one copy more in an empty place: more printed area, the same layers and strokes."""
    core = next(core for core in box.cores if core.core_id == core_id)
    area = core.printed_area_mm2
    assert area is not None, "the plan knows each core's area by layer"
    printed = layers.printed_area_mm2 + area / core.copies
    cores = [replace(other, copies=other.copies + (other.core_id == core_id)) for other in box.cores]
    return estimate_box(
        replace(layers, printed_area_mm2=printed), point, box.inner_mm, cores, filled_mm=box.filled_mm
    )


def _break_even(
    quotes: Sequence[QuantityQuote], terms: QuotationTerms, joined: JoinedWorth | None, seed: int
) -> BreakEven | None:
    if terms.conventional is None:
        return None
    points = [
        PrintedPoint(quote.firm.sets, quote.firm.total, quote.spread.price_draws[:BREAK_EVEN_DRAWS])
        for quote in quotes
    ]
    worth = Decimal(0) if joined is None else joined.worth
    return break_even(points, terms.conventional, worth, seed=seed)
