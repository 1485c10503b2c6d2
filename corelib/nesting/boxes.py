"""A job's boxes as the search fills them: what it works on, and where copies stand on a lattice and truly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from corelib.geometry.pose import Array, Orientation
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.clearance import Body, Clearance, placed_bodies
from corelib.nesting.forms import Forms
from corelib.nesting.lattice import Rows
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.settling import settled
from corelib.nesting.squeezing import Stand
from corelib.nesting.tiers import (
    Member,
    in_placement_order,
    matrix_rows,
    placement_of,
    whole_layers_mm,
)

LENIENCE = 0.8  # steps; sixty mixed cores end at 143 to 148 mm, with 0.3 at 153 and 157 (two seeds, 40 s)
FILLING_LENIENCE = 0.3  # under a lid pressing fails sooner: 37 sets in place of 32 at 0.5


@dataclass(frozen=True, eq=False)
class Task:
    """What the engine works on: all that a child process needs to know."""

    items: tuple[NestItem, ...]
    box: NestBox
    rules: NestRules
    search: Search
    fixed: tuple[Placement, ...] = ()
    lenience: float = LENIENCE
    """Share of a step by which the lattice may fall short of a gap."""

    @property
    def ordered(self) -> bool:
        """True if every core must be drawable in some order."""
        return self.rules.is_ordered

    @property
    def has_gaps(self) -> bool:
        """True if sand stands between any two bodies."""
        return min(item.gap_mm for item in self.items) > 0.0

    @property
    def proves_order(self) -> bool:
        """True if that is proved; at gap 0 neighbours share cells of any grid, and the search decides."""
        return self.ordered and self.has_gaps

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


def locked_bodies(task: Task, number: int) -> tuple[Body, ...]:
    """Return what is fixed in a box."""
    known = {item.core_id: item for item in task.items}
    return tuple(placed_bodies(known, [p for p in task.fixed if p.box == number]))


def lattice_rows(forms: Forms, box: FilledBox) -> Rows:
    """Return the rows nearest to where a box's copies are."""
    rows = [
        forms.row_of(member.kind, orientation, matrix)
        for member, (orientation, matrix) in zip(box.members, box.places, strict=True)
    ]
    return np.array(rows, dtype=np.int64).reshape(-1, 4)


def box_at(forms: Forms, box: FilledBox, members: Sequence[Member], rows: Rows) -> FilledBox:
    """Return the box with its copies at other rows of a lattice."""
    places = tuple((forms.forms[row[0]].orientation, forms.matrix(row)) for row in rows)
    return FilledBox(box.number, tuple(members), box.locked, places)


def box_of(forms: Forms, box: FilledBox, members: Sequence[Member], stand: Stand) -> FilledBox:
    """Return the box with its copies where they truly stand."""
    places = tuple(
        (forms.forms[row[0]].orientation, matrix)
        for row, matrix in zip(stand.rows, stand.matrices, strict=True)
    )
    return FilledBox(box.number, tuple(members), box.locked, places)


def stand_of(forms: Forms, task: Task, box: FilledBox) -> Stand:
    """Return where a box's copies stand now."""
    rows = lattice_rows(forms, box)
    tops = [
        float((task.items[member.kind].mesh.vertices_mm @ matrix[2, :3]).max() + matrix[2, 3])
        for member, (_, matrix) in zip(box.members, box.places, strict=True)
    ]
    matrices = tuple(matrix for _, matrix in box.places)
    return Stand(matrices, rows, max(tops, default=0.0) - float(task.origin_mm[2]))


def copies_at(task: Task, box: FilledBox) -> list[Placement]:
    """Return the placements of a box's copies as they stand."""
    return [
        placement_of(task.items[member.kind], member.key, box.number, orientation, matrix)
        for member, (orientation, matrix) in zip(box.members, box.places, strict=True)
    ]


@lru_cache(maxsize=4)
def box_placements(task: Task, box: FilledBox, clearance: Clearance) -> tuple[Placement, ...]:
    """Return the placements of a filled box, settled; those that the search leaves stay known."""
    placements = copies_at(task, box)
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
