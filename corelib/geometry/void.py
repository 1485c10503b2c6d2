"""The empty room in and around a body, in cells: what loose sand can leave, and what stays.

A cell is free if a ball of the clean-out diameter comes from outside to where it covers the cell. What is
not free lies behind an opening that is too small, or has no opening at all; small rests in corners are free
for practice and not counted. Openings are told within one cell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array
from corelib.geometry.void_kernels import labelled, seen_from_outside, squared_distances, steps_from
from corelib.geometry.voxels import Cells, inside_cells

Faces = NDArray[np.int32]
How = Literal["closed", "behind a small opening", "round corners"]

MOST_CELLS = 12_000_000
SLOT_DEPTHS = 3.0
"""A slot that can be looked into is left out up to this many clean-out diameters deep."""
SIGHT_SHARE = 0.9
HIDDEN_DEPTHS = 5.0
"""A passage that can't be looked into is a finding from this many clean-out diameters beyond sight."""


@dataclass(frozen=True)
class TrappedSand:
    """Loose sand that stays: how it is held, its volume, its middle, and how deep it lies."""

    how: How
    volume_mm3: float
    place_mm: tuple[float, float, float]
    depth_mm: float


@dataclass(frozen=True, eq=False)
class Surroundings:
    """A body in its grid with room around: solid cells, pitch, lowest corner."""

    solid: Cells
    pitch_mm: float
    low_mm: Array

    def place_mm(self, cell: Array) -> tuple[float, float, float]:
        """Centre of a cell (or mean of cells) in the mesh's frame."""
        x, y, z = np.round(self.low_mm + (cell + 0.5) * self.pitch_mm, 3)
        return float(x), float(y), float(z)


def pitch_for(size_mm: Array, clean_out_mm: float, least_mm: float = 1.0) -> float:
    """Return the cell size: 1 mm, finer for small openings, coarser where the grid would grow too large."""
    coarsest = float(np.prod(size_mm + 4 * clean_out_mm) / MOST_CELLS) ** (1 / 3)
    return max(min(least_mm, clean_out_mm / 4), coarsest)


def surroundings(vertices_mm: Array, faces: Faces, clean_out_mm: float, pitch_mm: float) -> Surroundings:
    """Return the body's cells with room for a clean-out ball on every side."""
    used = vertices_mm[np.unique(faces)]
    low, high = used.min(axis=0), used.max(axis=0)
    pad = math.ceil(0.5 * clean_out_mm / pitch_mm) + 2
    counts = np.maximum(1, np.ceil((high - low) / pitch_mm - 1e-9)).astype(int)
    grid_low = 0.5 * (low + high) - (0.5 * counts + pad) * pitch_mm
    nx, ny, nz = (int(count) + 2 * pad for count in counts)
    solid = inside_cells(vertices_mm, faces, grid_low, (nx, ny, nz), pitch_mm)
    return Surroundings(solid, pitch_mm, grid_low)


def trapped_sand(around: Surroundings, clean_out_mm: float) -> tuple[TrappedSand, ...]:
    """Return the places where loose sand stays, the largest first."""
    empty = ~around.solid
    radius2 = (0.5 * clean_out_mm / around.pitch_mm) ** 2
    passable = empty & (squared_distances(around.solid) >= radius2)
    rim = np.zeros_like(passable)
    for axis in range(3):
        ends = [slice(None)] * 3
        for end in (0, -1):
            ends[axis] = end  # type: ignore[call-overload]
            rim[tuple(ends)] = True
    way = steps_from(rim & passable, passable, True)
    reached = way >= 0
    free = empty & (squared_distances(reached) <= radius2)
    seen = seen_from_outside(empty)
    found = _held(around, empty, free, seen, clean_out_mm)
    found += _hidden(around, reached, seen, clean_out_mm)
    return tuple(sorted(found, key=lambda trapped: (-trapped.volume_mm3, trapped.place_mm)))


def _held(
    around: Surroundings, empty: Cells, free: Cells, seen: Cells, clean_out_mm: float
) -> list[TrappedSand]:
    """Return closed voids and rooms behind an opening that is too small."""
    rest = empty & ~free
    if not rest.any():
        return []
    depth = steps_from(free, empty, False)
    label, count = labelled(rest)
    found = []
    for cells in _groups(label, count):
        deepest = int(depth[cells].max())
        depth_mm = deepest * around.pitch_mm
        closed = deepest < 0
        if not closed and depth_mm <= clean_out_mm:
            continue
        open_slot = seen[cells].mean() >= SIGHT_SHARE and depth_mm <= SLOT_DEPTHS * clean_out_mm
        if not closed and open_slot:
            continue
        how: How = "closed" if closed else "behind a small opening"
        found.append(_trapped(around, cells, how, 0.0 if closed else depth_mm))
    return found


def _hidden(around: Surroundings, reached: Cells, seen: Cells, clean_out_mm: float) -> list[TrappedSand]:
    """Return passages wide enough, but out of straight sight over a long way."""
    beyond = steps_from(reached & seen, reached, True)
    far = beyond * around.pitch_mm > HIDDEN_DEPTHS * clean_out_mm
    if not far.any():
        return []
    hidden = reached & ~seen
    wide = squared_distances(hidden) <= (0.5 * clean_out_mm / around.pitch_mm) ** 2
    label, count = labelled(wide & ~around.solid & ~seen)
    found = []
    for cells in _groups(label, count):
        depth_mm = float(beyond[cells].max()) * around.pitch_mm
        if depth_mm > HIDDEN_DEPTHS * clean_out_mm:
            found.append(_trapped(around, cells, "round corners", depth_mm))
    return found


Group = tuple[NDArray[Any], ...]


def _groups(label: NDArray[np.int32], count: int) -> list[Group]:
    """Return the cells of each group."""
    places = np.flatnonzero(label)
    order = np.argsort(label.ravel()[places], kind="stable")
    places = places[order]
    ends = np.searchsorted(label.ravel()[places], np.arange(1, count + 2))
    split = np.split(places, ends[1:-1])
    x, y, z = label.shape
    return [np.unravel_index(part, (x, y, z)) for part in split]


def _trapped(around: Surroundings, cells: Group, how: How, depth_mm: float) -> TrappedSand:
    middle = np.array([axis.mean() for axis in cells])
    nearest = int(np.argmin(sum((axis - at) ** 2 for axis, at in zip(cells, middle, strict=True))))
    place = np.array([float(axis[nearest]) for axis in cells])
    volume_mm3 = len(cells[0]) * around.pitch_mm**3
    return TrappedSand(how, volume_mm3, around.place_mm(place), depth_mm)
