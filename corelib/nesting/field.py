"""One box on the lattice: the cores placed in it, free spots, and the precedence that keeps it unpackable."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array, rigid
from corelib.nesting.bank import Bank
from corelib.nesting.lattice import NONE, SHAPE, Z, enter, find_spot, leave, relation
from corelib.nesting.model import NestBox, NestRules
from corelib.nesting.tiers import whole_layers_mm

DEFAULT_TASTE = (1000, 10, 1, 1)


@dataclass(frozen=True, eq=False)
class Snapshot:
    """A state of the field to come back to."""

    rows: NDArray[np.int64]
    direct: NDArray[np.uint64]
    before: NDArray[np.uint64]


class Field:
    """The placed cores of one box; `kinds[i]` is the item of core i, placed or not."""

    def __init__(
        self, bank: Bank, box: NestBox, rules: NestRules, kinds: NDArray[np.int64], ordered: bool
    ) -> None:
        self.bank, self.kinds, self.ordered = bank, kinds, ordered
        count, words = len(kinds), -(-len(kinds) // 64)
        self.rows = np.full((count, 4), NONE, dtype=np.int64)
        self.direct = np.zeros((count, words), dtype=np.uint64)
        self.before = np.zeros((count, words), dtype=np.uint64)
        self.fragile = np.array([bank.items[kind].is_fragile for kind in kinds], dtype=np.bool_)
        self.zone = np.array([bank.items[kind].is_zone for kind in kinds], dtype=np.bool_)
        self.origin_mm = np.array([*box.low_mm[:2], whole_layers_mm(box.low_mm[2], rules.layer_thickness_mm)])
        self.room = room_of(bank, np.array(box.high_mm) - self.origin_mm)
        self.heights = bed_heights(bank, rules)
        self.scratch = np.empty(
            int(np.prod((self.room[:, :2] + 1).max(axis=0))) * self._words(), dtype=np.uint64
        )
        self.best = np.empty(5, dtype=np.int64)
        self.locked = np.zeros(count, dtype=np.bool_)
        self.evaluations = 0

    def _words(self) -> int:
        return int(self.room[:, 2].max() + 64) // 64

    @property
    def placed(self) -> NDArray[np.int64]:
        """Numbers of the placed cores."""
        return np.flatnonzero(self.rows[:, SHAPE] != NONE)

    @property
    def tops(self) -> NDArray[np.int64]:
        """Top of each core in cells; 0 where it is not placed, and for a zone to keep out of."""
        shape = self.rows[:, SHAPE]
        return np.where((shape == NONE) | self.zone, 0, self.rows[:, Z] + self.room[shape, 3])

    @property
    def top(self) -> int:
        """Top of the highest core in cells."""
        return int(self.tops.max(initial=0))

    def insert(self, core: int, ceiling: int, level: int = 0, taste: tuple[int, ...] = DEFAULT_TASTE) -> bool:
        """Place a core at its cheapest free spot below `ceiling`; return False if there is none."""
        shapes = self.bank.of_kind[self.kinds[core]]
        self.bank.need(shapes, np.unique(self.rows[self.placed, SHAPE]), self.ordered)
        self.evaluations += len(shapes) * max(1, len(self.placed))
        find_spot(
            core, shapes, self.rows, self.bank.pool, self.bank.table, self.bank.paths, self.room,
            self.heights, self.fragile, self.before, self.ordered, ceiling, level,
            np.array(taste, dtype=np.int64), self.scratch, self.best,
        )  # fmt: skip
        if self.best[1] == NONE:
            return False
        self.put(core, self.best[1:])
        return True

    def put(self, core: int, row: NDArray[np.int64]) -> None:
        """Place a core at (shape, x, y, z), which must be free."""
        if self.ordered:
            first, later = np.zeros_like(self.before[0]), np.zeros_like(self.before[0])
            shape, x, y, z = (int(value) for value in row)
            relation(
                core, shape, x, y, z, self.rows, self.bank.pool, self.bank.paths, self.heights, self.fragile,
                self.before, first, later,
            )  # fmt: skip
            enter(core, first, later, self.direct, self.before)
        self.rows[core] = row

    def remove(self, core: int) -> None:
        """Take a core out."""
        self.rows[core] = NONE
        if self.ordered:
            leave(core, self.direct, self.before)

    def snapshot(self) -> Snapshot:
        """Return the state."""
        return Snapshot(self.rows.copy(), self.direct.copy(), self.before.copy())

    def load(self, rows: NDArray[np.int64]) -> None:
        """Take over placements that are free of overlap and can be drawn."""
        for core in range(len(rows)):
            self.rows[core] = NONE
        self.direct[:], self.before[:] = 0, 0
        every = np.unique(rows[rows[:, SHAPE] != NONE, SHAPE])
        self.bank.need(every, every, self.ordered)
        for core in range(len(rows)):
            if rows[core, SHAPE] != NONE:
                self.put(core, rows[core])

    def least_top(self) -> int:
        """Return the least top that any packing can have: the tallest core in its flattest shape."""
        flattest = {kind: int(self.room[shapes, 3].min()) for kind, shapes in enumerate(self.bank.of_kind)}
        return max(flattest[int(kind)] for kind in self.kinds[~self.zone])

    def restore(self, state: Snapshot) -> None:
        """Go back to a state."""
        self.rows[:], self.direct[:], self.before[:] = state.rows, state.direct, state.before

    def matrix(self, core: int) -> Array:
        """Return the placement of a core on the lattice."""
        shape = self.bank.shapes[self.rows[core, SHAPE]]
        lattice = self.bank.lattice
        steps_mm = np.array([lattice.pitch_mm, lattice.pitch_mm, lattice.cell_mm])
        low_mm = self.origin_mm + self.rows[core, 1:] * steps_mm + shape.offset_mm
        return rigid(shape.orientation.rotation, low_mm - shape.low_mm)


def room_of(bank: Bank, room_mm: Array) -> NDArray[np.int64]:
    """Return for each shape its places along x, y, z, and its height in cells."""
    lattice = bank.lattice
    rows = []
    for shape in bank.shapes:
        spare_mm = room_mm - shape.offset_mm - shape.body.size_mm
        steps = spare_mm / (lattice.pitch_mm, lattice.pitch_mm, lattice.cell_mm)
        if shape.is_fixed:
            steps[:] = -1.0
        rows.append(
            (
                *(np.floor(steps * (1.0 + 2.0 * lattice.stretch) + 1e-9).astype(int) + 1).clip(min=0),
                shape.height,
            )
        )
    return np.array(rows, dtype=np.int64)


def bed_heights(bank: Bank, rules: NestRules) -> NDArray[np.int64]:
    """Return for each shape the sand heights, in cells, that bed it and at which it comes free."""
    rows = []
    for shape in bank.shapes:
        item = bank.items[shape.kind]
        if item.is_zone:  # neither needs a bed nor comes free
            rows.append((-(10**6), 10**6))
            continue
        bed = int(np.ceil(shape.height * rules.bedded_share))
        free = max(bed, int(shape.height * rules.freed_share))
        rows.append((-(10**6) if item.held_by_hand else bed, free))
    return np.array(rows, dtype=np.int64)
