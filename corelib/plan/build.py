"""Builds the plan of a job, downhill: cores, packing, layers, estimate, cost, findings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import numpy as np

from corelib.allowance.body import PrintedBody
from corelib.allowance.compensation import allowance_findings, gap_findings, printed_body
from corelib.checks.alloy import check_alloy
from corelib.checks.lifted_stops import lifted_findings
from corelib.checks.loads import check_loads
from corelib.checks.process import check_process_of_job
from corelib.checks.steps import step_findings
from corelib.checks.volumes import check_layer_volume
from corelib.cost.sharing import Sharing, share_cost
from corelib.cost.sheet import CostSheet, cost_job, missing_rates
from corelib.cost.uncertainty import Uncertainty, uncertainty
from corelib.errors import InputError
from corelib.estimate.box import LOOSE, BoxEstimate, CoreInBox, JobEstimate, estimate_box, estimate_job
from corelib.estimate.schedule import Schedule, schedule_job
from corelib.findings import Finding
from corelib.job.models import Job, Packing
from corelib.job.operating_point import operating_point, required
from corelib.job.profiles import OperatingPoint
from corelib.layers.build import box_layers
from corelib.layers.cache import LayerCache
from corelib.layers.model import BoxLayers, PlacedBody
from corelib.mesh.core import LoadedCore
from corelib.mesh.load import load_cores
from corelib.mesh.parsing import ParserPool
from corelib.mesh.ride_along import accuracy_coupon, witness_bar
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.filler import filled_footprints
from corelib.nesting.quality import packing_quality
from corelib.nesting.wishes import wishes_met
from corelib.plan.model import Plan
from corelib.plan.nest_input import gap_mm
from corelib.plan.packing import job_rules, packed
from corelib.plan.packing_findings import filler_findings, late_findings, packing_findings
from corelib.progress import SILENT, Progress


def build_plan(
    job: Job,
    folder: Path,
    *,
    cache: LayerCache,
    parsers: ParserPool | None = None,
    progress: Progress = SILENT,
) -> Plan:
    """Return the plan of a job; mesh paths are relative to `folder`. The job is never changed.

    A complete packing in the job is used as it is, else the job is packed. Raises InputError, MeshError.
    """
    point = operating_point(job, folder)
    cores = job_cores(job, folder, point, parsers, progress.span(0.0, 0.4))
    bodies = tuple(printed_body(core, point.process) for core in cores)
    packing, ride_along, box, items = packed(job, point, bodies, progress.span(0.4, 0.7))
    rules = job_rules(job, point)
    orders = extraction_orders(items, box, rules, packing)
    progress(0.75, "layers")
    placed = placed_by_box(packing, bodies)
    layers = tuple(layers_of_box(number, here, point, cache) for number, here in enumerate(placed))
    progress(0.9, "estimate")
    least_mm = gap_mm(job, point)
    filled = filled_footprints(items, box, job.box.filler_walls, packing)
    boxes = [
        estimate_one(own, here, point, box.inner_mm, cache, least_mm, footprint)
        for own, here, footprint in zip(layers, placed, filled, strict=True)
    ]
    estimate = estimate_job(boxes)
    cost, sharing, spread = _cost(job, point, estimate)
    way, way_findings = way_through_shop(job, point, estimate)
    findings = [
        *_core_findings(cores, placed, point),
        *gap_findings(least_mm, point.process, point.sand.d90_mm),
        *packing_findings(items, box, rules, packing, orders, _effort(job, packing)),
        *filler_findings(box.inner_mm, boxes, point),
        *(found for own, here in zip(layers, placed, strict=True) for found in check_layer_volume(own, here)),
        *_estimate_findings(point, cores, estimate, cost),
        *(() if sharing is None else sharing.findings),
        *way_findings,
        *late_findings(items, packing, way),
        *check_alloy(job.casting, point),
    ]
    return Plan(
        job=job,
        point=point,
        cores=cores,
        bodies=bodies,
        ride_along=ride_along,
        box=box,
        gap_mm=least_mm,
        packing=packing,
        packed_by="job" if packing is job.packing else "search",
        layers=layers,
        estimate=estimate,
        cost=cost,
        sharing=sharing,
        spread=spread,
        schedule=way,
        quality=packing_quality(items, box, rules, packing),
        wishes=wishes_met(items, job.wishes, packing),
        unpacking=orders,
        findings=lifted_findings(findings, job.lifted_stops, note_idle=True),
    )


def _effort(job: Job, packing: Packing) -> int | None:
    """Return the effort of the search that made the packing, None for the job's own packing."""
    return None if packing is job.packing else job.search.effort


def _cost(
    job: Job, point: OperatingPoint, estimate: JobEstimate
) -> tuple[CostSheet, Sharing, Uncertainty] | tuple[None, None, None]:
    """Return cost, its shares and its spread; nothing where a rate isn't stated."""
    if missing_rates(point):
        return None, None, None
    cost = cost_job(estimate, point, job.currency)
    set_counts = {casting_set.id: casting_set.count for casting_set in job.casting_sets}
    ranges = job.quotation.ranges if job.quotation is not None else {}
    spread = uncertainty(estimate, point, job.currency, ranges)
    return cost, share_cost(cost, estimate, set_counts), spread


def way_through_shop(
    job: Job, point: OperatingPoint, estimate: JobEstimate
) -> tuple[Schedule | None, tuple[Finding, ...]]:
    """Return the schedule of the job's boxes on the shop's calendar, and what to know about it.

    None where the shop isn't stated, or where a step is longer than any shift (a finding says so).
    """
    stated = job.quotation.start_date if job.quotation is not None else None
    if any(value is None for value in point.shop.values().values()):
        return None, ()
    if missing_rates(point):
        return None, ()
    try:
        schedule = schedule_job(estimate.boxes, point, None if stated is None else date.fromisoformat(stated))
    except InputError as error:
        return None, (Finding(error.code, "check", error.facts),)
    return schedule, schedule.findings


def job_cores(
    job: Job, folder: Path, point: OperatingPoint, parsers: ParserPool | None, progress: Progress
) -> tuple[LoadedCore, ...]:
    """Return the job's cores in id order, then what rides along."""
    own = load_cores(
        job.cores,
        folder,
        bulk_density_g_cm3=point.sand.bulk_density_g_cm3,
        layer_thickness_mm=point.process.layer_thickness_mm,
        progress=progress,
        pool=parsers,
    )
    return own + _pieces(job)


def _estimate_findings(
    point: OperatingPoint, cores: Sequence[LoadedCore], estimate: JobEstimate, cost: CostSheet | None
) -> list[Finding]:
    return [
        *estimate.findings,
        *check_loads(estimate.boxes, point),
        *check_process_of_job(point, cores, [box.time.printing_s.value for box in estimate.boxes]),
        *_cost_findings(point, cost),
        *_override_findings(point),
    ]


def _core_findings(
    cores: Sequence[LoadedCore], placed: Sequence[Sequence[PlacedBody]], point: OperatingPoint
) -> list[Finding]:
    found = [finding for core in cores for finding in core.findings]
    found += [finding for core in cores for finding in allowance_findings(core, point.process)]
    return found + _step_findings(placed, point)


def _step_findings(placed: Sequence[Sequence[PlacedBody]], point: OperatingPoint) -> list[Finding]:
    """Return the coarse layer steps of each core in each orientation in which it lies."""
    found: list[Finding] = []
    seen: set[tuple[str, bytes]] = set()
    for item in (item for box in placed for item in box):
        rotation = np.array(item.placement.matrix, dtype=np.float64)[:3, :3]
        key = item.body.core_id, rotation[2].tobytes()
        if key not in seen and item.body.core.item.block is None:
            seen.add(key)
            found += step_findings(item.body.core, rotation, point.process)
    return found


def _pieces(job: Job) -> tuple[LoadedCore, ...]:
    """Return what rides along in every box, as cores of one copy."""
    pieces: list[LoadedCore] = []
    if job.extras.accuracy_coupons:
        pieces.append(accuracy_coupon())
    if job.extras.witness_bars:
        pieces.append(witness_bar())
    clash = {core.id for core in job.cores} & {piece.item.id for piece in pieces}
    if clash:
        raise InputError("plan.id_reserved", id=min(clash))
    return tuple(pieces)


def placed_by_box(packing: Packing, bodies: Sequence[PrintedBody]) -> tuple[tuple[PlacedBody, ...], ...]:
    """Return the placed bodies of each box, in core and copy order."""
    known = {body.core_id: body for body in bodies}
    places = [place for place in packing.placements if place.core in known]
    count = 1 + max((place.box for place in places), default=0)
    ordered = sorted(places, key=lambda place: (place.core, place.copy_number))
    return tuple(
        tuple(PlacedBody(place, known[place.core]) for place in ordered if place.box == number)
        for number in range(count)
    )


def layers_of_box(
    number: int, placed: Sequence[PlacedBody], point: OperatingPoint, cache: LayerCache
) -> BoxLayers:
    """Return the layers of one box at the operating point's thickness."""
    return box_layers(
        number,
        placed,
        thickness_mm=float(required(point, "process.layer_thickness_mm")),
        base_layers=point.machine.base_layers or 0,
        cover_layers=point.machine.cover_layers or 0,
        cache=cache.sections,
        outlines=cache.outlines_for(placed),
    )


def estimate_one(
    layers: BoxLayers,
    placed: Sequence[PlacedBody],
    point: OperatingPoint,
    inner_mm: tuple[float, float, float],
    cache: LayerCache,
    least_gap_mm: float = 0.0,
    filled_mm: tuple[float, float] | None = None,
) -> BoxEstimate:
    """Return the estimate of one box, with each core's own printed area by layer.

    The bed that a core denies to others is its bounding box and half the gap around it. `filled_mm` is the
    footprint that is filled with sand, the inner one if not said.
    """
    groups: dict[str, list[PlacedBody]] = {}
    for item in placed:
        groups.setdefault(item.body.core_id, []).append(item)
    cores = [_core_in_box(layers, group, point, cache, least_gap_mm) for _, group in sorted(groups.items())]
    return estimate_box(layers, point, inner_mm, cores, filled_mm=filled_mm)


def _core_in_box(
    layers: BoxLayers,
    group: Sequence[PlacedBody],
    point: OperatingPoint,
    cache: LayerCache,
    least_gap_mm: float,
) -> CoreInBox:
    own = layers_of_box(layers.box, group, point, cache).printed_area_mm2
    area = np.zeros(layers.count)
    area[: len(own)] = own[: layers.count]
    by_set: dict[str, int] = {}
    for item in group:
        set_id = item.placement.set_id or LOOSE
        by_set[set_id] = by_set.get(set_id, 0) + 1
    core = group[0].body.core
    return CoreInBox(
        core_id=core.item.id,
        copies=len(group),
        core_volume_mm3=core.core_volume_mm3,
        bounding_volume_mm3=float(core.mesh.size_mm.prod()),
        printed_area_mm2=area,
        copies_by_set=dict(sorted(by_set.items())),
        denied_volume_mm3=float((core.mesh.size_mm + least_gap_mm).prod()),
        passages=core.passages,
    )


def _cost_findings(point: OperatingPoint, cost: CostSheet | None) -> list[Finding]:
    if cost is not None:
        return []
    return [Finding("plan.no_cost", "check", {"missing": list(missing_rates(point))})]


def _override_findings(point: OperatingPoint) -> list[Finding]:
    """Return one note that names the profile values which the job states otherwise."""
    if not point.overridden:
        return []
    return [Finding("plan.overridden", "note", {"fields": [entry.field for entry in point.overridden]})]
