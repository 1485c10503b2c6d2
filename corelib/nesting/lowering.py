"""Improvement: overlap minimisation at a lowered height, with weights for each pair of cores.

All cores have to go under a ceiling. A core that is out takes a free spot, or else the place of least
weighted overlap; the cores overlapped there go out in their turn, and the weight of each such pair is raised,
so that the same two do not push each other out for ever. When all are in, the ceiling is lowered. What stands
is always free of overlap and can be drawn, and the best packing so far is kept.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.nesting.field import Field, Snapshot
from corelib.nesting.lattice import NONE, SHAPE
from corelib.nesting.overlap import DIGITS, MOST_WEIGHT, find_least_overlap
from corelib.progress import SILENT, Progress

CORNERS = ((1000, 10, 1, 1), (1000, 10, -1, 1), (1000, 10, 1, -1), (1000, 10, -1, -1))
SHAPES_A_MOVE = 8  # at most; a random choice where a core has more
SIZE_WEIGHT = 3  # what the largest core weighs more than the smallest


@dataclass
class Budget:
    """How many candidate evaluations are left, and how they are reported."""

    evaluations: int
    progress: Progress = SILENT
    spent: int = 0

    @property
    def is_left(self) -> bool:
        """True until the evaluations are spent; reports progress and raises Cancelled."""
        self.progress(self.spent / max(1, self.evaluations), "improve")
        return self.spent < self.evaluations


class Squeeze:
    """A search over one box's field; `size[i]` tells how large core i is."""

    def __init__(self, field: Field, size: NDArray[np.float64], rng: np.random.Generator) -> None:
        count = len(size)
        self.field, self.size, self.rng = field, size, rng
        self.weights = np.zeros((count, count), dtype=np.int64)
        self.base = 1 + np.round(SIZE_WEIGHT * size / size.max()).astype(np.int64)
        self.hit = np.zeros(count, dtype=np.bool_)
        self.scratch = np.empty(field.scratch.size * (DIGITS + 1), dtype=np.uint64)
        self.state = np.uint64(rng.integers(1, 2**63))

    def lower(self, budget: Budget, floor: int) -> Snapshot:
        """Return the lowest packing found within the budget; stops at a top of `floor` cells."""
        box = self.field
        best, top = box.snapshot(), box.top
        while top > floor and budget.is_left:
            if not self.fit_under(top - 1, budget):
                break
            best, top = box.snapshot(), box.top
        box.restore(best)
        return best

    def fit_under(self, ceiling: int, budget: Budget) -> bool:
        """Bring every core under the ceiling; False if the budget ends before (cores are out then)."""
        box = self.field
        self.weights[:] = 0
        out = [int(core) for core in np.flatnonzero(box.tops > ceiling)]
        for core in out:
            box.remove(core)
        out += [int(core) for core in np.flatnonzero(box.rows[:, SHAPE] == NONE) if core not in out]
        while out:
            if not budget.is_left:
                return False
            if self.rng.random() < 0.5:
                out.sort(key=lambda core: (self.size[core], core))
            core = out.pop()
            before = box.evaluations
            if not box.insert(core, ceiling, 0, CORNERS[self.rng.integers(len(CORNERS))]):
                out += self._push_in(core, ceiling)
            budget.spent += box.evaluations - before
        return True

    def _push_in(self, core: int, ceiling: int) -> list[int]:
        """Put a core where it overlaps least; return the cores that went out for it."""
        box, bank = self.field, self.field.bank
        shapes = bank.of_kind[box.kinds[core]]
        if len(shapes) > SHAPES_A_MOVE:
            shapes = np.sort(self.rng.choice(shapes, SHAPES_A_MOVE, replace=False))
        weights = np.minimum(MOST_WEIGHT, self.base + self.weights[core])
        weights[box.locked] = 0
        box.evaluations += len(shapes) * len(box.placed)
        self.state = find_least_overlap(
            core, shapes, box.rows, weights, bank.pool, bank.table, bank.paths, box.room, box.heights,
            box.fragile, box.direct, box.ordered, ceiling, self.state, self.scratch, box.best, self.hit,
        )  # fmt: skip
        if box.best[1] == NONE:
            return [core, *self._shake()]
        pushed = [int(other) for other in np.flatnonzero(self.hit)]
        place = box.best[1:].copy()
        for other in pushed:
            box.remove(other)
        box.put(core, place)
        self.weights[core, pushed] += 1
        self.weights[pushed, core] += 1
        return pushed

    def _shake(self) -> list[int]:
        """Take out a few cores at random: nothing could be put in at all."""
        loose = [int(core) for core in self.field.placed if not self.field.locked[core]]
        picked = [int(core) for core in self.rng.permutation(loose)[:3]]
        for core in picked:
            self.field.remove(core)
        return picked
