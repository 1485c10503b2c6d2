"""Boxes for a quantity of casting sets: a full box is packed once and repeated, the rest is packed by itself.

Packing hundreds of equal sets anew for every quantity would find the same full box again and again. So the
packing engine fills boxes with more and more sets until a second box opens; the sets that are whole in the
first one make the full box. A quantity is then so many full boxes, and a last part that is packed as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from corelib.allowance.body import PrintedBody
from corelib.estimate.box import BoxEstimate
from corelib.job.files import changed
from corelib.job.models import Job, Packing
from corelib.job.profiles import OperatingPoint
from corelib.layers.model import BoxLayers
from corelib.layers.sections import SectionCache
from corelib.plan.build import estimate_one, layers_of_box, placed_by_box
from corelib.plan.nest_input import gap_mm
from corelib.plan.packing import packed
from corelib.progress import SILENT, Progress


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
        self, job: Job, point: OperatingPoint, bodies: Sequence[PrintedBody], cache: SectionCache
    ) -> None:
        self._job, self._point, self._bodies, self._cache = job, point, tuple(bodies), cache
        self._known: dict[tuple[int, bool], FilledBoxes] = {}

    def filled(self, sets: int, progress: Progress = SILENT) -> FilledBoxes:
        """Return the boxes for a quantity of sets, with the job's loose cores and spares."""
        if not self._can_repeat():
            return self._packed(sets, True, progress)
        full, pattern = self._full_box(sets, progress.span(0.0, 0.7))
        if not full or sets <= full:
            return self._packed(sets, True, progress.span(0.7, 1.0))
        repeats = (sets - 1) // full
        last = self._packed(sets - repeats * full, True, progress.span(0.7, 1.0))
        boxes = [replace(pattern, box=number) for number in range(repeats)]
        boxes += [replace(box, box=repeats + box.box) for box in last.boxes]
        return FilledBoxes(tuple(boxes), last.last_layers, full)

    def _can_repeat(self) -> bool:
        """Return True if every core belongs to a set, so that boxes of sets alone can be packed."""
        in_sets = {member.core_id for casting_set in self._job.casting_sets for member in casting_set.members}
        return in_sets == {core.id for core in self._job.cores}

    def _full_box(self, sets: int, progress: Progress) -> tuple[int, BoxEstimate]:
        """Return how many sets fill a box, and that box; 0 where `sets` don't fill one."""
        asked = 1
        while True:
            filled = self._packed(asked, False, progress)
            if len(filled.boxes) > 1 or asked >= sets:
                break
            asked = min(2 * asked, sets)
        if len(filled.boxes) == 1:
            return 0, filled.boxes[0]
        return filled.whole_sets_first, filled.boxes[0]

    def _packed(self, sets: int, with_loose: bool, progress: Progress) -> FilledBoxes:
        with_loose = with_loose and (bool(self._job.loose) or any(core.spares for core in self._job.cores))
        key = (sets, with_loose)
        if key not in self._known:
            self._known[key] = self._pack(job_of_sets(self._job, sets, with_loose), sets, progress)
        return self._known[key]

    def _pack(self, job: Job, sets: int, progress: Progress) -> FilledBoxes:
        packing, ride_along, box, _ = packed(job, self._point, self._bodies, progress)
        least_mm = gap_mm(job, self._point)
        boxes: list[BoxEstimate] = []
        layers: list[BoxLayers] = []
        for number, placed in enumerate(placed_by_box(packing, self._bodies)):
            layers.append(layers_of_box(number, placed, self._point, self._cache))
            boxes.append(estimate_one(layers[-1], placed, self._point, box.inner_mm, self._cache, least_mm))
        whole = _whole_sets_first(job, packing, frozenset(ride_along))
        return FilledBoxes(tuple(boxes), layers[-1], whole)


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
