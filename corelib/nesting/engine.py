"""The packing engine: cores on a lattice by no-fit sets, box by box, then settled on exact distances.

Whole casting sets go into a box together; a box takes as many groups as its constructor finds room for, and
the last one is packed as low as the search's effort allows. Every core can be drawn upwards in some order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corelib.geometry.pose import Array
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.bank import Bank, Lattice, Shape, fixed_shape
from corelib.nesting.clearance import Body, Clearance, placed_bodies
from corelib.nesting.field import Field
from corelib.nesting.lattice import SHAPE
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

EDGE_CELLS = 20.0  # lattice pitches along a core's mean edge
MOST_COLUMNS = 40_000  # lattice columns of a box
FINENESS = 2
MOST_SHAPES = 700


@dataclass(frozen=True, eq=False)
class Task:
    """What the engine works on: all that a child process needs to know."""

    items: tuple[NestItem, ...]
    box: NestBox
    rules: NestRules
    search: Search
    fixed: tuple[Placement, ...] = ()
    ordered: bool = True

    @property
    def origin_mm(self) -> Array:
        """Lattice point 0, 0, 0: the lowest corner that a core may reach, on a whole layer."""
        x, y, z = self.box.low_mm
        return np.array([x, y, whole_layers_mm(z, self.rules.layer_thickness_mm)])


def lattice_for(task: Task) -> Lattice:
    """Return a lattice fine enough for the cores and coarse enough for the box."""
    copies = np.array([len(item.copies) for item in task.items], dtype=np.float64)
    edges = np.array([item.mesh.size_mm.mean() for item in task.items])
    edge_mm = float((copies * edges).sum() / copies.sum())
    room = np.array(task.box.high_mm) - task.origin_mm
    pitch_mm = max(edge_mm / EDGE_CELLS, float(np.sqrt(room[0] * room[1] / MOST_COLUMNS)))
    return Lattice(pitch_mm, FINENESS)


def pack_on_lattice(task: Task, clearance: Clearance, progress: Progress = SILENT) -> Packing | None:
    """Return a packing, or None where the lattice is too coarse for a core or has not memory enough."""
    if not any(item.copies for item in task.items):
        return Packing(placements=task.fixed)
    groups = groups_to_place(task.items, task.fixed)
    placements = list(task.fixed)
    total, number = len(groups), 0
    lattice = lattice_for(task)
    bank: Bank | None = None
    while groups:
        known = {item.core_id: item for item in task.items}
        locked = placed_bodies(known, [p for p in task.fixed if p.box == number])
        if bank is None or locked or bank.first_fixed < len(bank.shapes):
            kinds = {item.core_id: kind for kind, item in enumerate(task.items)}
            fixed = [fixed_shape(kinds[b.item.core_id], b, lattice, task.origin_mm) for b in locked]
            bank = Bank(task.items, lattice, [shape for shape, _ in fixed])
            places = [place for _, place in fixed]
        filled = _fill_box(task, bank, places, groups, progress.span(1 - len(groups) / total, 1.0))
        if filled is None:
            if locked:
                number += 1
                continue
            if len(groups[0]) == 1:
                return None
            groups = [(member,) for member in groups[0]] + groups[1:]
            continue
        count, field, members = filled
        placements += _box_placements(task, field, members, locked, number, clearance)
        groups = groups[count:]
        number += 1
    return Packing(placements=in_placement_order(placements))


def _fill_box(
    task: Task,
    bank: Bank,
    places: Sequence[tuple[int, int, int]],
    groups: Sequence[Group],
    progress: Progress,
) -> tuple[int, Field, list[Member]] | None:
    """Return how many groups go into one box, and the filled field; None if not one does."""
    ceiling = int((task.box.high_mm[2] - task.origin_mm[2]) / bank.lattice.cell_mm + 1e-9)
    weights = np.array([kind_weight(bank, kind) for kind in range(len(task.items))])

    def trial(count: int) -> tuple[Field, list[Member]] | None:
        progress(0.0, "nest")
        members = [member for group in groups[:count] for member in group]
        field = field_of(task, bank, places, [member.kind for member in members])
        order = np.argsort(-weights[[member.kind for member in members]], kind="stable")
        whole = all(field.insert(int(core), ceiling) for core in order)
        return (field, members) if whole else None

    count, found = most(trial, len(groups))
    return None if found is None else (count, *found)


def field_of(task: Task, bank: Bank, places: Sequence[tuple[int, int, int]], kinds: Sequence[int]) -> Field:
    """Return an empty field for cores of these kinds, the locked ones (after them) in their places."""
    locked = list(range(bank.first_fixed, len(bank.shapes)))
    all_kinds = np.array([*kinds, *(bank.shapes[s].kind for s in locked)], dtype=np.int64)
    field = Field(bank, task.box, task.rules, all_kinds, task.ordered)
    for n, (shape, place) in enumerate(zip(locked, places, strict=True)):
        before = np.array(locked[:n], dtype=np.int64)
        bank.need(np.array([shape], dtype=np.int64), before)
        field.put(len(kinds) + n, np.array([shape, *place], dtype=np.int64))
    return field


def kind_weight(bank: Bank, kind: int) -> float:
    """Return how early a kind is placed: large cells and a bulky box first."""
    shape: Shape = bank.shapes[bank.of_kind[kind][0]]
    cells = shape.body.cells
    return float(np.count_nonzero(cells)) + 0.5 * cells.size


def _box_placements(
    task: Task,
    field: Field,
    members: Sequence[Member],
    locked: Sequence[Body],
    number: int,
    clearance: Clearance,
) -> list[Placement]:
    """Return the placements of a filled box, settled."""
    placements = []
    for core, member in enumerate(members):
        shape = field.bank.shapes[field.rows[core, SHAPE]]
        item = task.items[member.kind]
        placements.append(placement_of(item, member.key, number, shape.orientation, field.matrix(core)))
    known = {item.core_id: item for item in task.items}
    bodies = settled(placed_bodies(known, placements), locked, task.box, task.rules, clearance)
    return [body.placement.model_copy(update={"matrix": matrix_rows(body.matrix)}) for body in bodies]


def packing_score(task: Task, packing: Packing) -> tuple[int, float]:
    """Return how bad a packing is: boxes, then the sum of their heights."""
    known = {item.core_id: item for item in task.items}
    tops: dict[int, float] = {}
    for body in placed_bodies(known, packing.placements):
        tops[body.placement.box] = max(tops.get(body.placement.box, 0.0), float(body.high_mm[2]))
    return len(tops), round(sum(tops.values()), 6)
