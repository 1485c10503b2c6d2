"""The packing engine: cores on a lattice by no-fit sets, box by box, then settled on exact distances.

Whole casting sets go into a box together; a box takes as many groups as its constructor finds room for, and
the last one is packed as low as the search's effort allows. Every core can be drawn upwards in some order.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.files import canonical_json
from corelib.geometry.pose import Array
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.bank import Bank, Lattice, Shape, fixed_shape
from corelib.nesting.clearance import Body, Clearance, placed_bodies
from corelib.nesting.field import Field
from corelib.nesting.lattice import NONE, SHAPE
from corelib.nesting.lowering import CORNERS, Budget, Squeeze
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.settling import settled
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
    packed = [item for item in task.items if item.copies]
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
    """One box as the constructor left it."""

    number: int
    members: tuple[Member, ...]
    locked: tuple[Body, ...]
    places: tuple[tuple[int, int, int], ...]
    field: Field


def pack_on_lattice(task: Task, progress: Progress = SILENT, evaluations: int = 0) -> list[FilledBox] | None:
    """Return the filled boxes, or None where the lattice is too coarse for a core.

    `evaluations` is what may be spent on bringing one more set into a box that seems full.
    """
    groups = groups_to_place(task.items, task.fixed)
    boxes: list[FilledBox] = []
    total, number = len(groups), 0
    bank = bank_for(task)
    known = {item.core_id: item for item in task.items}
    while groups:
        locked = placed_bodies(known, [p for p in task.fixed if p.box == number])
        places = lock_in(task, bank, locked)
        span = progress.span(1 - len(groups) / total, 1.0)
        filled = _fill_box(task, bank, places, groups, span, evaluations)
        if filled is None:
            if any(not body.item.is_zone for body in locked):
                number += 1
                continue
            if len(groups[0]) == 1:
                return None
            groups = [(member,) for member in groups[0]] + groups[1:]
            continue
        count, field, members = filled
        boxes.append(FilledBox(number, tuple(members), tuple(locked), places, field))
        groups = groups[count:]
        number += 1
    return boxes


BANKS_KEPT = 3
_banks: dict[str, Bank] = {}  # this process's last banks: the next search finds its own


def bank_for(task: Task) -> Bank:
    """Return the bank of a task's items, the one already there if nothing has changed."""
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
    lattice = lattice_for(task)
    content = canonical_json([items, lattice.pitch_mm, lattice.fineness])
    key = hashlib.sha256(content).hexdigest()
    if key not in _banks:
        while len(_banks) >= BANKS_KEPT:
            del _banks[next(iter(_banks))]
        _banks[key] = Bank(task.items, lattice)
    return _banks[key]


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
    task: Task,
    bank: Bank,
    places: Sequence[tuple[int, int, int]],
    groups: Sequence[Group],
    progress: Progress,
    evaluations: int,
) -> tuple[int, Field, list[Member]] | None:
    """Return how many groups go into one box, and the filled field; None if not one does."""
    ceiling = ceiling_of(task, bank)
    room_mm3 = float(np.prod(np.array(task.box.high_mm) - task.origin_mm))
    volumes = [bank.volume_mm3(kind) for kind in range(len(task.items))]

    def trial(count: int) -> tuple[Field, list[Member]] | None:
        progress(0.0, "nest")
        members = [member for group in groups[:count] for member in group]
        if sum(volumes[member.kind] for member in members) > room_mm3:
            return None
        field = field_of(task, bank, places, [member.kind for member in members])
        return (field, members) if construct(field, len(members), ceiling, ORDERS[0], CORNERS[0]) else None

    count, found = most(trial, len(groups))
    if found is None:
        return None
    field, members = found
    if count == len(groups):
        return count, best_construction(field, len(members), ceiling), members
    rng = np.random.default_rng(task.search.seed)
    while evaluations > 0 and count < len(groups):
        more = [*members, *groups[count]]
        tried = field_of(task, bank, places, [member.kind for member in more])
        move_rows(field, len(members), tried, len(more))
        squeeze = Squeeze(tried, core_sizes(tried), rng)
        if not squeeze.fit_under(ceiling, Budget(evaluations, progress)):
            break
        count, field, members = count + 1, tried, more
    return count, field, members


def move_rows(old: Field, old_count: int, new: Field, new_count: int) -> None:
    """Put the cores of a field where they are into a field that has room for more."""
    for core in range(old_count):
        if old.rows[core, SHAPE] != NONE:
            new.put(core, old.rows[core])
    assert new_count >= old_count


def core_sizes(field: Field) -> NDArray[np.float64]:
    """Return how large each core of a field is: its volume in cells and half its bounding box."""
    return np.array([kind_weight(field.bank, int(kind)) for kind in field.kinds])


Order = Callable[[Bank, int], tuple[float, ...]]
ORDERS: tuple[Order, ...] = (
    lambda bank, kind: (-kind_weight(bank, kind),),
    lambda bank, kind: (-max(bank.shapes[bank.of_kind[kind][0]].body.cells.shape),),
    lambda bank, kind: (-float(bank.shapes[bank.of_kind[kind][0]].body.cells.size),),
)
"""In which order cores are placed: what the constructor sorts by."""


def construct(field: Field, count: int, ceiling: int, order: Order, taste: tuple[int, ...]) -> bool:
    """Place the first `count` cores of a field one after the other; False if one finds no spot."""
    keys = [order(field.bank, int(kind)) for kind in field.kinds[:count]]
    for core in sorted(range(count), key=lambda core: (keys[core], core)):
        tallest = int(field.room[field.bank.of_kind[field.kinds[core]], 3].max())
        near = field.top + tallest  # on top of all there is room: no need to look higher up first
        low_enough = near < ceiling and field.insert(core, near, 0, taste)
        if not low_enough and not field.insert(core, ceiling, 0, taste):
            return False
    return True


def best_construction(field: Field, count: int, ceiling: int) -> Field:
    """Return the field, filled anew in the lowest of several orders if one is lower than it is now."""
    best, top = field.snapshot(), field.top
    for order in ORDERS:
        for taste in CORNERS[:2]:
            for core in range(count):
                field.remove(core)
            if construct(field, count, min(ceiling, top - 1), order, taste):
                best, top = field.snapshot(), field.top
    field.restore(best)
    return field


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
    placements = []
    field = box.field
    for core, member in enumerate(box.members):
        shape = field.bank.shapes[field.rows[core, SHAPE]]
        item = task.items[member.kind]
        placements.append(placement_of(item, member.key, box.number, shape.orientation, field.matrix(core)))
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
