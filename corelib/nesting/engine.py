"""The packing engine: cores on a lattice by no-fit sets, box by box, then settled on exact distances.

Whole casting sets go into a box together; a box takes as many groups as its constructor finds room for, and
the last one is packed as low as the search's effort allows. Every core can be drawn upwards in some order.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from corelib.files import canonical_json
from corelib.geometry.pose import Array, Orientation
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.bank import Bank, Lattice, Shape, fixed_shape
from corelib.nesting.clearance import Body, Clearance, placed_bodies
from corelib.nesting.field import Field
from corelib.nesting.forms import Forms, search_lattices
from corelib.nesting.lattice import SHAPE
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.settling import settled
from corelib.nesting.squeezing import Course, Rows, Squeeze
from corelib.nesting.tiers import (
    Group,
    Member,
    groups_to_place,
    in_placement_order,
    matrix_rows,
    most,
    placement_of,
    whole_layers_mm,
)
from corelib.progress import SILENT, Progress

EDGE_CELLS = 15.0  # lattice pitches along a core's mean edge
MOST_COLUMNS = 40_000  # lattice columns of a box
FINENESS = 2
STRETCH = 1e-8
WIDEST_PITCH = 1.6  # how much wider the pitch may be than wanted, to suit the cores' sizes
WASTE_OF_PITCH = 0.02  # what slanted faces lose, as a share, for a pitch as wide as wanted


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


def lattice_for(task: Task) -> Lattice:
    """Return a lattice fine enough for the cores and coarse enough for the box.

    Of the pitches about right, the one that rounds the cores' sizes with their gaps up the least.
    """
    packed = [item for item in task.items if item.copies and not item.is_zone]
    edge_mm = float(np.mean([item.mesh.size_mm.mean() for item in packed]))
    room = np.array(task.box.high_mm) - task.origin_mm
    least_mm = max(edge_mm / EDGE_CELLS, float(np.sqrt(room[0] * room[1] / MOST_COLUMNS)))
    sizes = np.array([item.mesh.size_mm for item in packed])
    gaps = np.array([[item.gap_mm] for item in packed])
    most_mm = least_mm * WIDEST_PITCH
    divisors = np.arange(1, int((sizes + gaps).max() * FINENESS / least_mm) + 2)
    tried = FINENESS * np.unique((sizes + gaps).round(6))[:, None] / divisors
    pitches = np.unique(np.append(tried[(tried >= least_mm) & (tried <= most_mm)], [least_mm, most_mm]))
    wastes = []
    for pitch in pitches:
        cell = pitch / FINENESS
        up = np.ceil(sizes / cell - 1e-6) * cell - sizes + np.ceil(gaps / cell - 1e-6) * cell - gaps
        wide = room[:2] + gaps.max() - np.floor((room[:2] + gaps.max()) / pitch + 1e-6) * pitch
        waste = (up / (sizes + gaps)).mean() + (wide / room[:2]).mean()
        wastes.append((float(waste) + WASTE_OF_PITCH * pitch / least_mm, float(pitch)))
    # at gap 0 a trifle wider, so that bodies on the lattice stand a trifle apart and touch nowhere
    stretch = STRETCH if gaps.max() == 0.0 else 0.0
    return Lattice(min(wastes)[1] * (1.0 + stretch), FINENESS, stretch)


@dataclass(frozen=True, eq=False)
class FilledBox:
    """One box: its copies and what is fixed in it, and for each copy its orientation and placement."""

    number: int
    members: tuple[Member, ...]
    locked: tuple[Body, ...]
    places: tuple[tuple[Orientation, Array], ...]


def pack_on_lattice(task: Task, progress: Progress = SILENT, evaluations: int = 0) -> list[FilledBox] | None:
    """Return the filled boxes, or None where the lattice is too coarse for a core.

    `evaluations` is what may be spent on bringing one more set into a box that seems full.
    """
    groups = groups_to_place(task.items, task.fixed)
    boxes: list[FilledBox] = []
    total, number = len(groups), 0
    bank = bank_for(task)
    while groups:
        locked = locked_bodies(task, number)
        span = progress.span(1 - len(groups) / total, 1.0)
        found = _fill_box(task, bank, number, locked, groups, span)
        if found is None:
            if any(not body.item.is_zone for body in locked):
                number += 1
                continue
            if len(groups[0]) == 1:
                return None
            groups = [(member,) for member in groups[0]] + groups[1:]
            continue
        count, box = found
        if evaluations > 0:
            count, box = _with_more(task, box, groups, count, evaluations, span)
        boxes.append(box)
        groups = groups[count:]
        number += 1
    return boxes


def locked_bodies(task: Task, number: int) -> tuple[Body, ...]:
    """Return what is fixed in a box."""
    known = {item.core_id: item for item in task.items}
    return tuple(placed_bodies(known, [p for p in task.fixed if p.box == number]))


BANKS_KEPT = 3
_banks: dict[str, Bank] = {}  # this process's last banks: the next search finds its own


_forms: dict[str, Forms] = {}
_lattices: dict[str, tuple[Lattice, ...]] = {}


def bank_for(task: Task) -> Bank:
    """Return the bank of a task's items, the one already there if nothing has changed."""
    lattice = lattice_for(task)
    key = _key(task, [lattice.pitch_mm, lattice.fineness])
    if key not in _banks:
        while len(_banks) >= BANKS_KEPT:
            del _banks[next(iter(_banks))]
        _banks[key] = Bank(task.items, lattice)
    return _banks[key]


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
        while len(_lattices) >= BANKS_KEPT:
            del _lattices[next(iter(_lattices))]
        _lattices[key] = search_lattices(_search_items(task), room_mm)
    return _lattices[key]


def forms_for(task: Task, locked: Sequence[Body], level: int, progress: Progress = SILENT) -> Forms:
    """Return a task's forms on lattice number `level` beside what is fixed in one box, kept as banks are."""
    lattice = lattices_of(task)[level]
    fixed = [[body.item.core_id, body.matrix.tolist()] for body in locked]
    key = _key(task, [lattice.pitch_mm, lattice.fineness, fixed, task.origin_mm.tolist(), task.ordered])
    if key not in _forms:
        while len(_forms) >= BANKS_KEPT:
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


def lock_in(task: Task, bank: Bank, locked: Sequence[Body]) -> tuple[tuple[int, int, int], ...]:
    """Give a box's locked cores to the bank; return their lattice places."""
    kinds = {item.core_id: kind for kind, item in enumerate(task.items)}
    fixed = [fixed_shape(kinds[b.item.core_id], b, bank.lattice, task.origin_mm) for b in locked]
    bank.lock([shape for shape, _ in fixed])
    return tuple(place for _, place in fixed)


def ceiling_of(task: Task, bank: Bank) -> int:
    """Return the box's height in cells."""
    return int((task.box.high_mm[2] - task.origin_mm[2]) / bank.lattice.cell_mm + 1e-9)


def _fill_box(
    task: Task, bank: Bank, number: int, locked: tuple[Body, ...], groups: Sequence[Group], progress: Progress
) -> tuple[int, FilledBox] | None:
    """Return how many groups go into one box, and the filled box; None if not one does."""
    places = lock_in(task, bank, locked)
    ceiling = ceiling_of(task, bank)
    room_mm3 = float(np.prod(np.array(task.box.high_mm) - task.origin_mm))
    volumes = [bank.volume_mm3(kind) for kind in range(len(task.items))]

    def trial(count: int) -> tuple[Field, list[Member]] | None:
        progress(0.0, "nest")
        members = [member for group in groups[:count] for member in group]
        if sum(volumes[member.kind] for member in members) > room_mm3:
            return None
        field = field_of(task, bank, places, [member.kind for member in members])
        return (field, members) if construct(field, len(members), ceiling) else None

    count, found = most(trial, len(groups))
    if found is None:
        return None
    field, members = found
    standing = [
        (field.bank.shapes[field.rows[core, SHAPE]].orientation, field.matrix(core))
        for core in range(len(members))
    ]
    return count, FilledBox(number, tuple(members), locked, tuple(standing))


def squeeze_for(
    task: Task, box: FilledBox, members: Sequence[Member], level: int, progress: Progress = SILENT
) -> Squeeze:
    """Return the overlap search on one box for these copies."""
    room_mm = np.array(task.box.high_mm) - task.origin_mm
    kinds = np.array([member.kind for member in members], dtype=np.int64)
    return Squeeze(forms_for(task, box.locked, level, progress), kinds, room_mm, task.ordered)


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


def _with_more(
    task: Task, box: FilledBox, groups: Sequence[Group], count: int, evaluations: int, progress: Progress
) -> tuple[int, FilledBox]:
    """Try to bring more groups into a box that seems full; return how many it holds, and the box."""
    rng = np.random.default_rng(task.search.seed)
    while count < len(groups):
        members = [*box.members, *groups[count]]
        squeeze = squeeze_for(task, box, members, 0, progress)
        forms = squeeze.forms
        rows = np.zeros((len(members), 4), dtype=np.int64)
        rows[: len(box.members)] = lattice_rows(forms, box)
        rows[len(box.members) :, 0] = squeeze.starts[len(box.members) : len(members)]
        course = Course(rng, 0.0, rows, np.inf, rows.copy())
        if not squeeze.fit(course, evaluations, progress):
            break
        count, box = count + 1, box_at(forms, box, members, course.rows)
    return count, box


def construct(field: Field, count: int, ceiling: int) -> bool:
    """Place the first `count` cores of a field, large ones first; False if one finds no spot."""
    weights = [kind_weight(field.bank, int(kind)) for kind in field.kinds[:count]]
    for core in sorted(range(count), key=lambda core: (-weights[core], core)):
        tallest = int(field.room[field.bank.of_kind[field.kinds[core]], 3].max())
        near = field.top + tallest  # on top of all there is room: no need to look higher up first
        low_enough = near < ceiling and field.insert(core, near)
        if not low_enough and not field.insert(core, ceiling):
            return False
    return True


def field_of(task: Task, bank: Bank, places: Sequence[tuple[int, int, int]], kinds: Sequence[int]) -> Field:
    """Return an empty field for cores of these kinds, the locked ones (after them) in their places."""
    locked = list(range(bank.first_fixed, len(bank.shapes)))
    all_kinds = np.array([*kinds, *(bank.shapes[s].kind for s in locked)], dtype=np.int64)
    field = Field(bank, task.box, task.rules, all_kinds, task.ordered)
    for n, (shape, place) in enumerate(zip(locked, places, strict=True)):
        before = np.array(locked[:n], dtype=np.int64)
        bank.need(np.array([shape], dtype=np.int64), before, task.ordered)
        field.locked[len(kinds) + n] = True
        field.put(len(kinds) + n, np.array([shape, *place], dtype=np.int64))
    return field


def kind_weight(bank: Bank, kind: int) -> float:
    """Return how early a kind is placed: large cells and a bulky box first."""
    shape: Shape = bank.shapes[bank.of_kind[kind][0]]
    cells = shape.body.cells
    return float(np.count_nonzero(cells)) + 0.5 * cells.size


def box_placements(task: Task, box: FilledBox, clearance: Clearance) -> list[Placement]:
    """Return the placements of a filled box, settled."""
    placements = [
        placement_of(task.items[member.kind], member.key, box.number, orientation, matrix)
        for member, (orientation, matrix) in zip(box.members, box.places, strict=True)
    ]
    known = {item.core_id: item for item in task.items}
    bodies = settled(placed_bodies(known, placements), box.locked, task.box, task.rules, clearance)
    return [body.placement.model_copy(update={"matrix": matrix_rows(body.matrix)}) for body in bodies]


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
