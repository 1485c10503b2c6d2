"""The packing that a plan stands on: the job's own if it is complete, else one that is searched.

What rides along (witness bars, coupons) has to lie in every box. It is placed first, on the floor of each
box, and the cores are packed around it; as the number of boxes is known only then, this goes round until
both agree.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from corelib.allowance.body import PrintedBody
from corelib.errors import InputError
from corelib.job.models import Job, Packing, Placement, Search
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.mesh.ride_along import COUPON_ID, WITNESS_BAR_ID
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules
from corelib.nesting.packing import pack_build
from corelib.plan.nest_input import is_complete, nest_box, nest_items, nest_rules
from corelib.progress import SILENT, Progress

MOST_ROUNDS = 5
Packed = tuple[Packing, dict[str, int], NestBox, tuple[NestItem, ...]]
"""Packing, counts of what rides along, build box, and the items that were packed."""


def packed(
    job: Job,
    point: OperatingPoint,
    bodies: Sequence[PrintedBody],
    progress: Progress = SILENT,
    pack: Callable[..., Packing] = pack_build,
) -> Packed:
    """Return the job's packing with what it was made from; raises InputError where no packing exists.

    `pack` is called like `pack_build` wherever cores have to be packed.
    """
    rules = plan_rules(point)
    box = nest_box(job, point, rules.layer_thickness_mm)
    each = riding_along(job)
    given = job.packing
    boxes = 1 if given is None else 1 + max((place.box for place in given.placements), default=0)
    for _ in range(MOST_ROUNDS):
        counts = {core_id: count * boxes for core_id, count in each.items()}
        items = nest_items(job, point, bodies, counts)
        if given is not None and is_complete(given, items):
            return given, counts, box, items
        locked = () if given is None else tuple(place for place in given.placements if place.locked)
        fixed = locked + tuple(
            place
            for number in range(boxes)
            for place in _ride_along_in(number, items, each, box, rules, locked)
        )
        packing = pack(items, box, rules, job.search, fixed=fixed, progress=progress)
        cores = {place.box for place in packing.placements if place.core not in each}
        found = 1 + max(cores, default=0)
        if found == boxes:
            return packing, counts, box, items
        if found < boxes:  # fewer boxes than thought: what rides along in the empty ones goes
            kept = tuple(place for place in packing.placements if place.box < found)
            counts = {core_id: count * found for core_id, count in each.items()}
            return Packing(placements=kept), counts, box, nest_items(job, point, bodies, counts)
        boxes = found
    raise InputError("plan.ride_along_fills_boxes", boxes=boxes)


def plan_rules(point: OperatingPoint) -> NestRules:
    """Return the rules for the whole packing at an operating point."""
    return nest_rules(float(required(point, "process.layer_thickness_mm")))


def riding_along(job: Job, boxes: int = 1) -> dict[str, int]:
    """Return how many of each piece ride along in so many boxes, by core id."""
    each = {COUPON_ID: job.extras.accuracy_coupons, WITNESS_BAR_ID: job.extras.witness_bars}
    return {core_id: count * boxes for core_id, count in sorted(each.items()) if count}


def _ride_along_in(
    number: int,
    items: Sequence[NestItem],
    each: Mapping[str, int],
    box: NestBox,
    rules: NestRules,
    locked: Sequence[Placement],
) -> tuple[Placement, ...]:
    """Return what rides along in one box, on its floor and clear of what is locked there."""
    if not each:
        return ()
    here = [place.model_copy(update={"box": 0}) for place in locked if place.box == number]
    pieces = []
    for item in items:
        if item.core_id in each:
            count = each[item.core_id]
            there = {place.copy_number for place in here if place.core == item.core_id}
            wanted = [CopyKey(n) for n in range(number * count, (number + 1) * count) if n not in there]
            pieces.append(_with_copies(item, wanted))
    kept = [
        _with_copies(item, [CopyKey(p.copy_number, p.set_id, p.set_index) for p in own])
        for item in items
        if (own := [place for place in here if place.core == item.core_id])
    ]
    packing = pack_build(_joined([*pieces, *kept]), box, rules, Search(), fixed=here)
    locked_here = {(place.core, place.copy_number) for place in here}
    placements = [
        place
        for place in packing.placements
        if place.core in each and (place.core, place.copy_number) not in locked_here
    ]
    if any(place.box > 0 for place in placements):
        raise InputError("plan.ride_along_fills_boxes", boxes=number + 1)
    return tuple(place.model_copy(update={"box": number}) for place in placements)


def _with_copies(item: NestItem, copies: Sequence[CopyKey]) -> NestItem:
    return replace(item, copies=tuple(copies))


def _joined(items: Sequence[NestItem]) -> list[NestItem]:
    """Return the items, those of one core as one with the copies of all."""
    joined: dict[str, NestItem] = {}
    for item in items:
        known = joined.get(item.core_id)
        copies = item.copies if known is None else (*known.copies, *item.copies)
        joined[item.core_id] = _with_copies(item, copies)
    return [item for item in joined.values() if item.copies]
