"""Boxes for a quantity of casting sets: a full box is packed once and repeated, the rest is packed by itself.

Packing hundreds of equal sets anew for every quantity would find the same full box again and again. So the
packing engine packs about two boxes of sets, and the sets that are whole in the first one make the full box.
A quantity is then so many full boxes, and a last part that is packed as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from corelib.allowance.body import PrintedBody
from corelib.estimate.box import BoxEstimate
from corelib.job.files import changed
from corelib.job.models import Job, Packing
from corelib.job.profiles import OperatingPoint
from corelib.layers.cache import LayerCache
from corelib.layers.model import BoxLayers
from corelib.nesting.filler import Footprint_mm, filled_footprints
from corelib.nesting.tiers import pack_in_tiers
from corelib.plan.build import estimate_one, layers_of_box, placed_by_box
from corelib.plan.nest_input import gap_mm, nest_box, nest_items
from corelib.plan.packing import packed, plan_rules
from corelib.progress import SILENT, Progress

MOST_SETS = 1000


@dataclass(frozen=True, eq=False)
class FilledBoxes:
    """Packed and estimated boxes, and the layers of the last one."""

    boxes: tuple[BoxEstimate, ...]
    last_layers: BoxLayers
    whole_sets_first: int
    """Casting sets of each kind that lie whole in the first box, if nothing else does; else 0."""


class BoxFiller:
    """Fills boxes with sets of one job; what was packed once is kept."""

    def __init__(
        self, job: Job, point: OperatingPoint, bodies: Sequence[PrintedBody], cache: LayerCache
    ) -> None:
        self._job, self._point, self._bodies, self._cache = job, point, tuple(bodies), cache
        self._known: dict[tuple[int, bool], FilledBoxes] = {}

    def first(self, sets: int) -> FilledBoxes:
        """Return boxes in rows and tiers: found at once, and seldom the fewest."""
        job = job_of_sets(self._job, sets)
        packing, _ = self._in_tiers(job)
        return self._estimated(job, packing, frozenset())

    def filled(self, sets: int, progress: Progress = SILENT) -> FilledBoxes:
        """Return the boxes for a quantity of sets, with the job's loose cores and spares."""
        trial = 2 * self._sets_a_box() + 1
        if sets <= trial:
            return self._packed(sets, True, progress)
        pattern = self._packed(trial, False, progress.span(0.0, 0.7))
        full = pattern.whole_sets_first
        if not full or len(pattern.boxes) == 1:
            return self._packed(sets, True, progress.span(0.7, 1.0))
        repeats = (sets - 1) // full
        last = self._packed(sets - repeats * full, True, progress.span(0.7, 1.0))
        boxes = [replace(pattern.boxes[0], box=number) for number in range(repeats)]
        boxes += [replace(box, box=repeats + box.box) for box in last.boxes]
        return FilledBoxes(tuple(boxes), last.last_layers, full)

    def most_sets(self, progress: Progress = SILENT) -> int:
        """Return how many sets of each kind lie whole in one full box, loose cores and spares left out.

        0 if not one does, or if cores outside sets leave no job of sets alone.
        """
        if not self._can_repeat:
            return 0
        sets = 2 * self._sets_a_box() + 1
        while sets <= MOST_SETS:
            found = self._packed(sets, False, progress)
            if len(found.boxes) > 1:
                return found.whole_sets_first
            sets *= 2
        return MOST_SETS

    @cached_property
    def _can_repeat(self) -> bool:
        """True if every core belongs to a set, so that boxes of sets alone can be packed."""
        in_sets = {member.core_id for casting_set in self._job.casting_sets for member in casting_set.members}
        return in_sets == {core.id for core in self._job.cores}

    def _sets_a_box(self) -> int:
        """Return how many sets rows and tiers bring into one box: where to begin."""
        if not self._can_repeat:
            return MOST_SETS
        sets = 1
        while sets < MOST_SETS and self._in_tiers(job_of_sets(self._job, 2 * sets, False))[1] == 1:
            sets *= 2
        return sets

    def _in_tiers(self, job: Job) -> tuple[Packing, int]:
        rules = plan_rules(self._point)
        box = nest_box(job, self._point, rules.layer_thickness_mm)
        own = {core.id for core in job.cores}
        without = {body.core_id: 0 for body in self._bodies if body.core_id not in own}
        packing = pack_in_tiers(nest_items(job, self._point, self._bodies, without), box, rules)
        return packing, 1 + max(place.box for place in packing.placements)

    def _packed(self, sets: int, with_loose: bool, progress: Progress) -> FilledBoxes:
        with_loose = with_loose and (bool(self._job.loose) or any(core.spares for core in self._job.cores))
        key = (sets, with_loose)
        if key not in self._known:
            self._known[key] = self._pack(job_of_sets(self._job, sets, with_loose), progress)
        return self._known[key]

    def _pack(self, job: Job, progress: Progress) -> FilledBoxes:
        packing, ride_along, _, _ = packed(job, self._point, self._bodies, progress)
        return self._estimated(job, packing, frozenset(ride_along))

    def _estimated(self, job: Job, packing: Packing, ride_along: frozenset[str]) -> FilledBoxes:
        inner_mm = nest_box(job, self._point, plan_rules(self._point).layer_thickness_mm).inner_mm
        least_mm = gap_mm(job, self._point)
        boxes: list[BoxEstimate] = []
        layers: list[BoxLayers] = []
        filled = self._filled(job, packing)
        for number, placed in enumerate(placed_by_box(packing, self._bodies)):
            layers.append(layers_of_box(number, placed, self._point, self._cache))
            boxes.append(
                estimate_one(layers[-1], placed, self._point, inner_mm, self._cache, least_mm, filled[number])
            )
        return FilledBoxes(tuple(boxes), layers[-1], _whole_sets_first(job, packing, ride_along))

    def _filled(self, job: Job, packing: Packing) -> tuple[Footprint_mm, ...]:
        box = nest_box(job, self._point, plan_rules(self._point).layer_thickness_mm)
        own = {core.id for core in job.cores}
        others = {body.core_id: 1 for body in self._bodies if body.core_id not in own}
        items = nest_items(job, self._point, self._bodies, others)
        return filled_footprints(items, box, job.box.filler_walls, packing)


def job_of_sets(job: Job, sets: int, with_loose: bool = True) -> Job:
    """Return the job with every casting set `sets` times and no packing, loose cores and spares if wanted."""
    casting_sets = [
        {**casting_set.model_dump(mode="python"), "count": sets} for casting_set in job.casting_sets
    ]
    if with_loose:
        return changed(job, casting_sets=casting_sets, packing=None)
    cores = [{**core.model_dump(mode="python", by_alias=True), "spares": 0} for core in job.cores]
    return changed(job, casting_sets=casting_sets, packing=None, loose=(), cores=cores)


def _whole_sets_first(job: Job, packing: Packing, ride_along: frozenset[str]) -> int:
    """Return n if the first box holds n whole sets of each kind and nothing else, else 0."""
    first: dict[tuple[str | None, int | None], int] = {}
    for place in packing.placements:
        if place.box == 0 and place.core not in ride_along:
            key = (place.set_id, place.set_index)
            first[key] = first.get(key, 0) + 1
    if any(set_id is None for set_id, _ in first):
        return 0
    sizes = {
        casting_set.id: sum(member.per_set for member in casting_set.members)
        for casting_set in job.casting_sets
    }
    if any(count != sizes[str(set_id)] for (set_id, _), count in first.items()):
        return 0
    counts = {set_id: sum(key[0] == set_id for key in first) for set_id in sizes}
    each = set(counts.values())
    return each.pop() if len(each) == 1 else 0
