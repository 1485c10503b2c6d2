"""The packing engine: cores brought apart on a lattice, box by box, then settled on exact distances.

Whole casting sets go into a box together; a box takes as many groups as the search brings apart in it, and
the last one is packed as low as the search's effort allows. Every core can be drawn upwards in some order.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from corelib.files import canonical_json
from corelib.geometry.pose import Array, Orientation
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.clearance import Body, Clearance, placed_bodies
from corelib.nesting.forms import Forms, search_lattices
from corelib.nesting.lattice import Lattice, Rows
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.quality import mesh_volume_mm3
from corelib.nesting.settling import settled
from corelib.nesting.squeezing import Course, Squeeze
from corelib.nesting.tiers import (
    Group,
    Member,
    groups_to_place,
    in_placement_order,
    matrix_rows,
    placement_of,
    whole_layers_mm,
)
from corelib.progress import SILENT, Progress

FIRST_FILL = 0.15  # share of a box's volume that its first trial takes
LAYERS_SPARE = 2  # kept free under the box's top, so that cores can rise to whole layers
FIT_EFFORT = 1_500_000  # evaluations of a trial to bring so many groups into a box


@dataclass(frozen=True, eq=False)
class Task:
    """What the engine works on: all that a child process needs to know."""

    items: tuple[NestItem, ...]
    box: NestBox
    rules: NestRules
    search: Search
    fixed: tuple[Placement, ...] = ()

    @property
    def ordered(self) -> bool:
        """True if every core must be drawable in some order."""
        return self.rules.is_ordered

    @property
    def origin_mm(self) -> Array:
        """Lattice point 0, 0, 0: the lowest corner that a core may reach, on a whole layer."""
        x, y, z = self.box.low_mm
        return np.array([x, y, whole_layers_mm(z, self.rules.layer_thickness_mm)])


@dataclass(frozen=True, eq=False)
class FilledBox:
    """One box: its copies and what is fixed in it, and for each copy its orientation and placement."""

    number: int
    members: tuple[Member, ...]
    locked: tuple[Body, ...]
    places: tuple[tuple[Orientation, Array], ...]


def pack_boxes(task: Task, progress: Progress = SILENT, evaluations: int = 0) -> list[FilledBox] | None:
    """Return the filled boxes, or None where the lattice is too coarse for a core.

    `evaluations` is what may be spent on bringing one more set into a box that seems full.
    """
    groups = groups_to_place(task.items, task.fixed)
    boxes: list[FilledBox] = []
    total, number = len(groups), 0
    while groups:
        locked = locked_bodies(task, number)
        span = progress.span(1 - len(groups) / total, 1.0)
        filled = Filling(task, FilledBox(number, (), locked, ()), groups, span).filled(evaluations)
        count = filled.count
        if count == 0 and not any(not body.item.is_zone for body in locked):
            if len(groups[0]) == 1:
                return None
            groups = [(member,) for member in groups[0]] + groups[1:]
            continue
        if count:
            boxes.append(filled.box)
        groups = groups[count:]
        number += 1
    return boxes


def locked_bodies(task: Task, number: int) -> tuple[Body, ...]:
    """Return what is fixed in a box."""
    known = {item.core_id: item for item in task.items}
    return tuple(placed_bodies(known, [p for p in task.fixed if p.box == number]))


FORMS_KEPT = 3  # this process's last ones: the next search finds its own


_forms: dict[str, Forms] = {}
_lattices: dict[str, tuple[Lattice, ...]] = {}


def _search_items(task: Task) -> tuple[NestItem, ...]:
    """Return the items as the search keeps them apart: far enough for copies to move to whole pixels."""
    if task.rules.pixel_mm is None:
        return task.items
    more_mm = 2.0 * float(np.hypot(*task.rules.pixel_mm))
    return tuple(item if item.is_zone else replace(item, gap_mm=item.gap_mm + more_mm) for item in task.items)


def lattices_of(task: Task) -> tuple[Lattice, ...]:
    """Return the lattices of the overlap search, the coarse one first."""
    room_mm = np.array(task.box.high_mm) - task.origin_mm
    key = _key(task, room_mm.tolist())
    if key not in _lattices:
        while len(_lattices) >= FORMS_KEPT:
            del _lattices[next(iter(_lattices))]
        _lattices[key] = search_lattices(_search_items(task), room_mm)
    return _lattices[key]


def forms_for(task: Task, locked: Sequence[Body], level: int, progress: Progress = SILENT) -> Forms:
    """Return a task's forms on lattice number `level` beside what is fixed in one box."""
    lattice = lattices_of(task)[level]
    fixed = [[body.item.core_id, body.matrix.tolist()] for body in locked]
    key = _key(task, [lattice.pitch_mm, lattice.fineness, fixed, task.origin_mm.tolist(), task.ordered])
    if key not in _forms:
        while len(_forms) >= FORMS_KEPT:
            del _forms[next(iter(_forms))]
        _forms[key] = Forms(_search_items(task), task.rules, lattice, locked, task.origin_mm, progress)
    return _forms[key]


def _key(task: Task, more: list[Any]) -> str:
    """Return a hash of a task's items and more."""
    items = [
        (
            i.core_id,
            i.mesh.content_sha256,
            i.gap_mm,
            [o.label for o in i.orientations],
            i.is_fragile,
            i.held_by_hand,
        )
        for i in task.items
    ]
    return hashlib.sha256(canonical_json([items, task.rules.pixel_mm, more])).hexdigest()


def squeeze_for(
    task: Task, box: FilledBox, members: Sequence[Member], level: int, progress: Progress = SILENT
) -> Squeeze:
    """Return the overlap search on one box for these copies."""
    room_mm = np.array(task.box.high_mm) - task.origin_mm
    kinds = np.array([member.kind for member in members], dtype=np.int64)
    forms = forms_for(task, box.locked, level, progress)
    spare_mm = np.array([0.0, 0.0, LAYERS_SPARE * task.rules.layer_thickness_mm])
    squeeze = Squeeze(forms, kinds, room_mm - spare_mm, task.ordered)
    if not squeeze.fits_under(np.inf):
        squeeze = Squeeze(forms, kinds, room_mm, task.ordered)
    return squeeze


def lattice_rows(forms: Forms, box: FilledBox) -> Rows:
    """Return the rows nearest to where a box's copies are."""
    rows = [
        forms.row_of(member.kind, orientation, matrix)
        for member, (orientation, matrix) in zip(box.members, box.places, strict=True)
    ]
    return np.array(rows, dtype=np.int64).reshape(-1, 4)


def box_at(forms: Forms, box: FilledBox, members: Sequence[Member], rows: Rows) -> FilledBox:
    """Return the box with its copies at other rows of the fine lattice."""
    places = tuple((forms.forms[row[0]].orientation, forms.matrix(row)) for row in rows)
    return FilledBox(box.number, tuple(members), box.locked, places)


class Filling:
    """How many groups go into one box, from the first on, found by bringing them apart."""

    def __init__(self, task: Task, box: FilledBox, groups: Sequence[Group], progress: Progress) -> None:
        self.task, self.box, self.groups, self.progress = task, box, groups, progress
        self.rng = np.random.default_rng([task.search.seed, box.number])
        self.count = 0
        self.room_mm3 = float(np.prod(np.array(task.box.high_mm) - task.origin_mm))
        self.volumes_mm3 = [mesh_volume_mm3(item.mesh) for item in task.items]

    def filled(self, evaluations: int) -> Filling:
        """Fill the box: many groups at a time while they go in, then fewer; the last with more effort."""
        bad = len(self.groups) + 1
        step = self._first_step()
        while self.count + 1 < bad:
            tried = min(self.count + step, bad - 1)
            if self._takes(tried, FIT_EFFORT):
                step = max(1, step // 2) if bad <= len(self.groups) else step
            else:
                bad, step = tried, max(1, (tried - self.count) // 2)
        while evaluations and self.count < len(self.groups) and self._takes(self.count + 1, evaluations):
            pass
        return self

    def _first_step(self) -> int:
        volume_mm3, count = 0.0, 0
        while count < len(self.groups) and volume_mm3 < FIRST_FILL * self.room_mm3:
            volume_mm3 += self._volume_mm3(count)
            count += 1
        return max(1, count)

    def _volume_mm3(self, number: int) -> float:
        return sum(self.volumes_mm3[member.kind] for member in self.groups[number])

    def _takes(self, count: int, evaluations: int) -> bool:
        """Try to bring so many groups into the box, from where those are that it holds."""
        self.progress(0.0, "nest")
        if sum(self._volume_mm3(number) for number in range(count)) > self.room_mm3:
            return False
        members = [member for group in self.groups[:count] for member in group]
        squeeze = squeeze_for(self.task, self.box, members, 0, self.progress)
        if not squeeze.fits_under(float(squeeze.room_mm[2])):
            return False
        rows = np.zeros((len(members), 4), dtype=np.int64)
        held = len(self.box.members)
        rows[:held] = lattice_rows(squeeze.forms, self.box)
        squeeze.scatter(rows, held, self.rng)
        course = Course(self.rng, 0.0, rows, np.inf, rows.copy())
        if not squeeze.fit(course, evaluations, self.progress):
            return False
        self.count, self.box = count, box_at(squeeze.forms, self.box, members, course.rows)
        return True


@lru_cache(maxsize=4)
def box_placements(task: Task, box: FilledBox, clearance: Clearance) -> tuple[Placement, ...]:
    """Return the placements of a filled box, settled; those that the search leaves stay known."""
    placements = [
        placement_of(task.items[member.kind], member.key, box.number, orientation, matrix)
        for member, (orientation, matrix) in zip(box.members, box.places, strict=True)
    ]
    known = {item.core_id: item for item in task.items}
    bodies = settled(placed_bodies(known, placements), box.locked, task.box, task.rules, clearance)
    return tuple(body.placement.model_copy(update={"matrix": matrix_rows(body.matrix)}) for body in bodies)


def packing_of(task: Task, boxes: Sequence[FilledBox], clearance: Clearance) -> Packing:
    """Return the packing of all filled boxes and the fixed placements, zones to keep out of left out."""
    zones = {item.core_id for item in task.items if item.is_zone}
    placements = [placement for placement in task.fixed if placement.core not in zones]
    for box in boxes:
        placements += box_placements(task, box, clearance)
    return Packing(placements=in_placement_order(placements))


def packing_score(task: Task, packing: Packing) -> tuple[int, float]:
    """Return how bad a packing is: boxes, then the sum of their heights."""
    known = {item.core_id: item for item in task.items}
    tops: dict[int, float] = {}
    for body in placed_bodies(known, packing.placements):
        tops[body.placement.box] = max(tops.get(body.placement.box, 0.0), float(body.high_mm[2]))
    return len(tops), round(sum(tops.values()), 6)
