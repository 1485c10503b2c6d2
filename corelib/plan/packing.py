"""The packing that a plan stands on: the job's own if it is complete, else one that is searched.

What rides along (witness bars, coupons) has to lie in every box. It is placed first, on the floor of each
box, and the cores are packed around it; as the number of boxes is known only then, this begins with as many
as rows and tiers take, and goes round until both agree.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from corelib.allowance.body import PrintedBody
from corelib.errors import InputError
from corelib.job.files import changed
from corelib.job.models import Job, Packing, Placement, Search
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.mesh.ride_along import COUPON_ID, WITNESS_BAR_ID
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.filler import Footprint_mm, smaller_footprints
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.tiers import pack_in_tiers
from corelib.plan.nest_input import is_complete, nest_box, nest_items, nest_rules
from corelib.progress import SILENT, Progress

MOST_ROUNDS = 5
TRIAL_EFFORT = 100_000  # candidate evaluations of a trial with filler walls
Packed = tuple[Packing, dict[str, int], NestBox, tuple[NestItem, ...]]
"""Packing, counts of what rides along, build box, and the items that were packed."""


def packed(
    job: Job,
    point: OperatingPoint,
    bodies: Sequence[PrintedBody],
    progress: Progress = SILENT,
    pack: Callable[..., Packing] = pack_build,
    boxes: int | None = None,
) -> Packed:
    """Return the job's packing with what it was made from; raises InputError where no packing exists.

    `pack` is called like `pack_build` wherever cores have to be packed. Where filler walls can be put in, the
    least footprint is looked for that costs neither a box nor height. `boxes` is the number to begin with.
    """
    box = nest_box(job, point, plan_rules(point).layer_thickness_mm)
    walls = job.box.filler_walls
    if walls is None:
        return _packed_in(box, job, point, bodies, progress, pack, boxes)
    found = _packed_in(box, job, point, bodies, progress.span(0.0, 0.6), pack, boxes)
    if found[0] is job.packing:
        return found
    return _in_less(found, smaller_footprints(box, walls), job, point, bodies, progress.span(0.6, 1.0), pack)


def _in_less(
    found: Packed,
    footprints: Sequence[Footprint_mm],
    job: Job,
    point: OperatingPoint,
    bodies: Sequence[PrintedBody],
    progress: Progress,
    pack: Callable[..., Packing],
) -> Packed:
    """Return a packing as good in the least of the footprints (smallest first), by halving; or the one found.

    Each trial is a short search; the box that comes back is the whole one, the cores leave the rest free.
    """
    short = changed(job, search=Search(seed=job.search.seed, effort=min(job.search.effort, TRIAL_EFFORT)))
    whole, best = found[2], found
    low, high = 0, len(footprints)
    while low < high:
        middle = (low + high) // 2
        progress((high - low) / max(1, len(footprints)), "pack")
        smaller = replace(whole, inner_mm=(*footprints[middle], whole.inner_mm[2]))
        try:
            tried = _packed_in(smaller, short, point, bodies, SILENT, pack)
        except InputError:  # a core, a region or what rides along has no room there
            tried = None
        if tried is not None and _heights(tried) <= _heights(found):
            best, high = (*tried[:2], whole, tried[3]), middle
        else:
            low = middle + 1
    return best


def _heights(found: Packed) -> tuple[int, float]:
    """Return the number of boxes and the sum of their heights."""
    packing, _, _, items = found
    tops: dict[int, float] = {}
    for body in placed_bodies({item.core_id: item for item in items}, packing.placements):
        tops[body.placement.box] = max(tops.get(body.placement.box, 0.0), float(body.high_mm[2]))
    return len(tops), round(sum(tops.values()), 6)


def _packed_in(
    box: NestBox,
    job: Job,
    point: OperatingPoint,
    bodies: Sequence[PrintedBody],
    progress: Progress,
    pack: Callable[..., Packing],
    begin_with: int | None = None,
) -> Packed:
    """Return the job's packing in a box."""
    rules = job_rules(job, point)
    each = riding_along(job)
    given = job.packing
    least = 1 if given is None else 1 + max((place.box for place in given.placements), default=0)
    boxes = max(least, begin_with or 1)
    locked = () if given is None else tuple(place for place in given.placements if place.locked)
    riders = _Riders(each, box, rules, locked)
    is_counted = begin_with is not None
    for _ in range(MOST_ROUNDS):
        counts = {core_id: count * boxes for core_id, count in each.items()}
        items = nest_items(job, point, bodies, counts)
        if given is not None and is_complete(given, items):
            return given, counts, box, items
        fixed = locked + riders.in_boxes(boxes, items)
        if not is_counted:
            is_counted = True
            in_tiers = _boxes_in_tiers(items, box, rules, fixed)
            if in_tiers > boxes:  # a whole search is saved where they take as many as the search will
                boxes = in_tiers
                continue
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


def job_rules(job: Job, point: OperatingPoint) -> NestRules:
    """Return the rules with what the job wishes of the packing."""
    pixel_mm: tuple[float, float] | None = None
    if job.box.snap_to_pixels:
        along = float(required(point, "machine.pitch_travel_mm"))
        across = float(required(point, "machine.pitch_across_mm"))
        pixel_mm = (along, across) if required(point, "machine.travel_axis") == "x" else (across, along)
    return replace(plan_rules(point), wishes=job.wishes, pixel_mm=pixel_mm)


def riding_along(job: Job, boxes: int = 1) -> dict[str, int]:
    """Return how many of each piece ride along in so many boxes, by core id."""
    each = {COUPON_ID: job.extras.accuracy_coupons, WITNESS_BAR_ID: job.extras.witness_bars}
    return {core_id: count * boxes for core_id, count in sorted(each.items()) if count}


def _boxes_in_tiers(
    items: Sequence[NestItem], box: NestBox, rules: NestRules, fixed: Sequence[Placement]
) -> int:
    """Return how many boxes rows and tiers take, 1 where they find no packing (the search says why)."""
    try:
        places = pack_in_tiers(items, box, rules, fixed).placements
    except InputError:
        return 1
    return 1 + max((place.box for place in places), default=0)


class _Riders:
    """Places what rides along in each box, on its floor and clear of what is locked there."""

    def __init__(
        self, each: Mapping[str, int], box: NestBox, rules: NestRules, locked: Sequence[Placement]
    ) -> None:
        self._each, self._box, self._rules, self._locked = each, box, rules, locked
        self._alone: tuple[Placement, ...] | None = None

    def in_boxes(self, boxes: int, items: Sequence[NestItem]) -> tuple[Placement, ...]:
        """Return what rides along in so many boxes; boxes without locked cores are alike."""
        placed: list[Placement] = []
        for number in range(boxes if self._each else 0):
            here = [place.model_copy(update={"box": 0}) for place in self._locked if place.box == number]
            if here:
                placed += self._placed(number, items, here)
                continue
            if self._alone is None:
                self._alone = self._placed(0, items, ())
            for place in self._alone:
                copy_number = place.copy_number + number * self._each[place.core]
                placed.append(place.model_copy(update={"box": number, "copy_number": copy_number}))
        return tuple(placed)

    def _placed(
        self, number: int, items: Sequence[NestItem], here: Sequence[Placement]
    ) -> tuple[Placement, ...]:
        """Return what rides along in one box, beside the locked placements `here` (as in box 0)."""
        pieces = []
        for item in items:
            if item.core_id in self._each:
                count = self._each[item.core_id]
                there = {place.copy_number for place in here if place.core == item.core_id}
                wanted = [CopyKey(n) for n in range(number * count, (number + 1) * count) if n not in there]
                pieces.append(_with_copies(item, wanted))
        kept = [
            _with_copies(item, [CopyKey(p.copy_number, p.set_id, p.set_index) for p in own])
            for item in items
            if (own := [place for place in here if place.core == item.core_id])
        ]
        packing = pack_build(_joined([*pieces, *kept]), self._box, self._rules, Search(), fixed=here)
        locked_here = {(place.core, place.copy_number) for place in here}
        placements = [
            place
            for place in packing.placements
            if place.core in self._each and (place.core, place.copy_number) not in locked_here
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
