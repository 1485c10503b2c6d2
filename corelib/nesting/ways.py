"""Ways by which a placed core leaves the box: straight up, at a tilt, sideways, or slid aside and then up.

All are judged on cells of one grid that enclose the cores, so that a way found clear is clear. Who is in
whose way up is refined on smaller cells before two cores are called interlocked.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array, moved
from corelib.nesting.clearance import Body
from corelib.nesting.model import NestBox

if TYPE_CHECKING:
    from corelib.geometry.extraction import Columns

Tilt = tuple[float, float]
Move = tuple[float, float, float]
UP: Tilt = (0.0, 0.0)
TILTS: tuple[Tilt, ...] = tuple(
    (round(slope * float(np.cos(angle)), 6), round(slope * float(np.sin(angle)), 6))
    for slope in (0.2, 0.5, 1.0)
    for angle in np.radians(np.arange(0, 360, 45))
)
"""Ways that are tried where straight up is blocked: mm along x and y for each mm that the core rises."""
SIDES: tuple[Tilt, ...] = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
MOST_CELL_MM, LEAST_CELL_MM = 3.0, 0.4
REFINED = 3  # times that the cells are halved for a pair that seems to interlock
MOST_CELLS = 25_000_000  # of one core: it is not refined beyond (some 200 MB)
TILTED_CELLS = 1_000_000  # of the largest core, for ways of which many are tried
SLIDE_CELLS = 6_000_000  # of the box, for slides
LONGEST_SLIDE_MM = 400.0


@dataclass(frozen=True)
class Way:
    """How a core leaves: `moves` in mm one after the other, the last of them beyond the box."""

    kind: Literal["up", "tilted", "sideways", "slid"]
    moves: tuple[Move, ...]

    @property
    def tilt(self) -> Tilt:
        """How far it goes along x and y for each mm that it rises at last; 0, 0 for one that stays level."""
        x, y, z = self.moves[-1]
        return (round(x / z, 6), round(y / z, 6)) if z > 0 else UP


class Ways:
    """Who is in whose way among the bodies of one box."""

    def __init__(self, bodies: Sequence[Body], box: NestBox) -> None:
        self.bodies, self.box = bodies, box
        gaps = [body.item.gap_mm for body in bodies]
        wanted_mm = min(MOST_CELL_MM, max(LEAST_CELL_MM, min(gaps, default=0.0) / 2))
        largest_mm3 = max((float(np.prod(body.high_mm - body.low_mm)) for body in bodies), default=0.0)
        self.cell_mm = max(wanted_mm, (largest_mm3 / MOST_CELLS) ** (1.0 / 3.0))
        self.tilted_cell_mm = max(wanted_mm, (largest_mm3 / TILTED_CELLS) ** (1.0 / 3.0))
        self._columns: dict[tuple[int, Tilt, float], Columns] = {}
        self._aside: dict[tuple[int, Tilt], Columns] = {}

    def columns(self, i: int, tilt: Tilt = UP, cell_mm: float | None = None) -> Columns:
        """Return the spans of a body's cells along a way up."""
        from corelib.geometry.extraction import columns_of

        pitch_mm = self.cell_mm if cell_mm is None else cell_mm
        key = i, tilt, pitch_mm
        if key not in self._columns:
            body = self.bodies[i]
            points = moved(body.item.mesh.vertices_mm, body.matrix)
            self._columns[key] = columns_of(points, body.item.mesh.faces, pitch_mm, tilt)
        return self._columns[key]

    def relation(self, i: int, j: int) -> tuple[int, Move]:
        """Return 1 if i is blocked by j, 2 if j by i, 3 for both; and a place where, in mm."""
        from corelib.geometry.extraction import blocking

        found, place = 0, np.zeros((2, 3), dtype=np.int64)
        pitch_mm = self.cell_mm
        for halved in range(REFINED + 1):
            finer_mm = self.cell_mm / 2**halved
            if halved and max(self._cells(i, finer_mm), self._cells(j, finer_mm)) > MOST_CELLS:
                break
            pitch_mm = finer_mm
            found, place = blocking(self.columns(i, UP, pitch_mm), self.columns(j, UP, pitch_mm))
            if found != 3:
                break
        x, y, z = ((place[0 if found & 1 else 1] + 0.5) * pitch_mm).tolist()
        return found, (x, y, z)

    def _cells(self, i: int, pitch_mm: float) -> float:
        return float(np.prod((self.bodies[i].high_mm - self.bodies[i].low_mm) / pitch_mm + 1.0))

    def up(self, i: int) -> Way:
        """Return the straight way up."""
        return Way("up", ((0.0, 0.0, self._rise_mm(i)),))

    def _rise_mm(self, i: int) -> float:
        return float(self.box.inner_mm[2] - self.bodies[i].low_mm[2])

    def tilted(self, i: int, others: Sequence[int]) -> Way | None:
        """Return the steepest way at a tilt past the others, None if none of those tried is clear."""
        rise_mm = self._rise_mm(i)
        for tilt in TILTS:
            if self._clears(i, others, tilt):
                return Way("tilted", ((tilt[0] * rise_mm, tilt[1] * rise_mm, rise_mm),))
        return None

    def sideways(self, i: int, others: Sequence[int]) -> Way | None:
        """Return a level way out of a box whose sides are open, None if none is clear."""
        for side in SIDES if self.box.sides_open else ():
            if self._leaves_aside(i, others, side):
                far_mm = self._way_out_mm(i, side)
                return Way("sideways", ((side[0] * far_mm, side[1] * far_mm, 0.0),))
        return None

    def _clears(self, i: int, others: Sequence[int], tilt: Tilt) -> bool:
        """Return True if core i can leave along a tilted way past the others and the box's walls."""
        from corelib.geometry.extraction import lifts_clear

        body, rise_mm = self.bodies[i], self._rise_mm(i)
        for axis in (0, 1):
            drift_mm = tilt[axis] * rise_mm
            if self.box.sides_open:
                break
            if body.low_mm[axis] + min(0.0, drift_mm) < 0.0:
                return False
            if body.high_mm[axis] + max(0.0, drift_mm) > self.box.inner_mm[axis]:
                return False
        cell_mm = self.tilted_cell_mm
        return lifts_clear(self.columns(i, tilt, cell_mm), [self.columns(j, tilt, cell_mm) for j in others])

    def _leaves_aside(self, i: int, others: Sequence[int], side: Tilt) -> bool:
        """Return True if core i can leave level: straight up after the box is laid on its other side."""
        from corelib.geometry.extraction import lifts_clear

        return lifts_clear(self._lying(i, side), [self._lying(j, side) for j in others])

    def _lying(self, i: int, side: Tilt) -> Columns:
        from corelib.geometry.extraction import columns_of

        if (i, side) not in self._aside:
            body = self.bodies[i]
            points = moved(body.item.mesh.vertices_mm, body.matrix)
            if side[0] + side[1] < 0:
                points = points * (-1.0, -1.0, 1.0)  # half a turn about the vertical
            order = [1, 2, 0] if side[0] else [2, 0, 1]
            lying = np.ascontiguousarray(points[:, order])
            self._aside[i, side] = columns_of(lying, body.item.mesh.faces, self.tilted_cell_mm)
        return self._aside[i, side]

    def _way_out_mm(self, i: int, side: Tilt) -> float:
        axis = 0 if side[0] else 1
        body = self.bodies[i]
        if side[axis] > 0:
            return float(self.box.inner_mm[axis] - body.low_mm[axis])
        return float(body.high_mm[axis])

    def slid(self, i: int, others: Sequence[int]) -> Way | None:
        """Return the shortest slide along x or y after which straight up is clear, None if there is none."""
        inner = np.array(self.box.inner_mm)
        pitch_mm = max(self.cell_mm, float(np.prod(inner) / SLIDE_CELLS) ** (1.0 / 3.0))
        shape = np.ceil(inner / pitch_mm).astype(int) + 1
        taken = np.zeros((int(shape[0]), int(shape[1]), int(shape[2])), dtype=np.bool_)
        for j in others:
            _put(self.columns(j, UP, pitch_mm), taken)
        above = np.maximum.accumulate(taken[:, :, ::-1], axis=2)[:, :, ::-1]
        own = _cells_of(self.columns(i, UP, pitch_mm))
        own = own[(own >= 0).all(axis=1) & (own < shape).all(axis=1)]
        found = [
            (steps, side) for side in SIDES if (steps := self._steps(own, side, taken, above, pitch_mm, i))
        ]
        if not found:
            return None
        steps, side = min(found, key=lambda pair: pair[0])
        far_mm = steps * pitch_mm
        return Way("slid", ((side[0] * far_mm, side[1] * far_mm, 0.0), (0.0, 0.0, self._rise_mm(i))))

    def _steps(
        self,
        own: NDArray[np.int64],
        side: Tilt,
        taken: NDArray[np.bool_],
        above: NDArray[np.bool_],
        pitch_mm: float,
        i: int,
    ) -> int:
        """Return after how many steps of a cell the way up is clear, 0 for never."""
        step = np.array([int(side[0]), int(side[1]), 0])
        if taken[tuple(own.T)].any():
            return 0
        for n, at in enumerate(self._shifts(step, pitch_mm, i), start=1):
            cells = tuple((own + at).T)
            if max(c.max() - s for c, s in zip(cells, taken.shape, strict=True)) >= 0 or taken[cells].any():
                return 0
            if not above[cells].any():
                return n
        return 0

    def _shifts(self, step: NDArray[np.int64], pitch_mm: float, i: int) -> Iterator[NDArray[np.int64]]:
        """Yield the shifts in cells along a side as far as the box's walls (or a stated length) allow."""
        body, inner = self.bodies[i], np.array(self.box.inner_mm)
        ahead = np.where(step > 0, inner - body.high_mm, body.low_mm)[step != 0]
        room_mm = min(LONGEST_SLIDE_MM, float(ahead[0]))
        for n in range(1, int(room_mm / pitch_mm) + 1):
            yield n * step

    def has_grip(self, i: int, others: Sequence[int]) -> bool:
        """Return True if fingers or a gripper reach core i from two opposite sides, or need no room."""
        grip = self.bodies[i].item.grip
        if grip is None:
            return True
        return any(
            all(self._is_free(low, high, others) for low, high in self._sides(i, axis)) for axis in (0, 1)
        )

    def _sides(self, i: int, axis: int) -> list[tuple[Array, Array]]:
        """Return the two regions beside core i along an axis that its grip needs."""
        body = self.bodies[i]
        grip = body.item.grip
        assert grip is not None, "asked for only where a grip is stated"
        low, high = body.low_mm.copy(), body.high_mm.copy()
        across = 1 - axis
        middle, half = (low[across] + high[across]) / 2.0, min(grip.width_mm, high[across] - low[across]) / 2
        low[across], high[across] = middle - half, middle + half
        low[2], high[2] = max(low[2], high[2] - grip.reach_mm), np.inf
        near, far = (low.copy(), high.copy()), (low.copy(), high.copy())
        near[0][axis], near[1][axis] = low[axis] - grip.beside_mm, low[axis]
        far[0][axis], far[1][axis] = high[axis], high[axis] + grip.beside_mm
        return [near, far]

    def _is_free(self, low_mm: Array, high_mm: Array, others: Sequence[int]) -> bool:
        """Return True if no other core and no wall reaches into a region that is open upwards."""
        inside = (low_mm[:2] >= -1e-9).all() and (high_mm[:2] <= np.array(self.box.inner_mm[:2]) + 1e-9).all()
        if not inside and not self.box.sides_open:
            return False
        for j in others:
            body = self.bodies[j]
            if (body.low_mm >= high_mm).any() or (body.high_mm <= low_mm).any():
                continue
            spans = self.columns(j).spans
            cell_mm = self.cell_mm
            meets = (
                ((spans[:, 0] + 1) * cell_mm > low_mm[0])
                & (spans[:, 0] * cell_mm < high_mm[0])
                & ((spans[:, 1] + 1) * cell_mm > low_mm[1])
                & (spans[:, 1] * cell_mm < high_mm[1])
                & (spans[:, 3] * cell_mm > low_mm[2])
            )
            if meets.any():
                return False
        return True


def _put(columns: Columns, taken: NDArray[np.bool_]) -> None:
    """Mark a body's cells in a grid over the box."""
    cells = _cells_of(columns)
    inside = (cells >= 0).all(axis=1) & (cells < taken.shape).all(axis=1)
    taken[tuple(cells[inside].T)] = True


def _cells_of(columns: Columns) -> NDArray[np.int64]:
    """Return a body's cells as rows (x, y, z)."""
    spans = columns.spans.astype(np.int64)
    length = spans[:, 3] - spans[:, 2]
    rows = np.repeat(np.arange(len(spans)), length)
    first = np.repeat(np.cumsum(length) - length, length)
    z = spans[rows, 2] + np.arange(len(rows)) - first
    return np.stack([spans[rows, 0], spans[rows, 1], z], axis=1)
