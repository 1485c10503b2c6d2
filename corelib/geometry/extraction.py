"""Straight ways up on voxels: which body stands over which, and where.

All spans of cells in a column are kept, so that hooks and hollows are seen. The cells are of one grid for all
bodies of a box and enclose them, so that a way found clear is clear. A tilted way is a straight one after a
shear of the box.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array
from corelib.geometry.voxels import cells_in_grid
from corelib.kernels import kernel

Spans = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Columns:
    """A placed body as spans of cells: rows (x, y, low z, high z) of the common grid, sorted by x and y."""

    spans: Spans
    pitch_mm: float


def columns_of(
    vertices_mm: Array, faces: NDArray[np.int32], pitch_mm: float, tilt: tuple[float, float] = (0.0, 0.0)
) -> Columns:
    """Return the spans of a placed body's cells (box frame, grid lines at whole multiples of the pitch).

    `tilt` is how far the way goes along x and y for each mm that it rises.
    """
    if tilt != (0.0, 0.0):
        vertices_mm = vertices_mm - vertices_mm[:, 2:] * np.array([[tilt[0], tilt[1], 0.0]])
    used = vertices_mm[np.unique(faces)]
    first = np.floor(used.min(axis=0) / pitch_mm + 1e-9).astype(int)
    last = np.ceil(used.max(axis=0) / pitch_mm - 1e-9).astype(int)
    x, y, z = (int(count) for count in (last - first).clip(min=1))
    cells = cells_in_grid(vertices_mm, faces, first * pitch_mm, pitch_mm, (x, y, z))
    padded = np.zeros((x, y, z + 2), dtype=np.int8)
    padded[:, :, 1:-1] = cells
    steps = np.diff(padded, axis=2)
    cx, cy, low = np.nonzero(steps == 1)
    _, _, high = np.nonzero(steps == -1)
    rows = np.stack([cx + first[0], cy + first[1], low + first[2], high + first[2]], axis=1)
    return Columns(np.ascontiguousarray(rows.astype(np.int32)), pitch_mm)


def blocking(first: Columns, second: Columns) -> tuple[int, NDArray[np.int64]]:
    """Return who is in whose way up, and a cell where.

    1: the first meets the second on its way up; 2: the second meets the first; 3: both, they interlock.
    """
    place = np.zeros((2, 3), dtype=np.int64)
    found = int(_blocking(first.spans, second.spans, place))
    return found, place


def lifts_clear(moving: Columns, others: Sequence[Columns]) -> bool:
    """Return True if a body can go straight up past the others: the independent check of an order."""
    return all(blocking(moving, other)[0] & 1 == 0 for other in others)


@kernel("i8(i4[:,::1], i4[:,::1], i8[:,::1])")
def _blocking(first: Spans, second: Spans, place: NDArray[np.int64]) -> int:
    """Walk both lists of spans by column; place[0] is where the first is blocked, place[1] the second."""
    found = 0
    j0 = 0
    for i in range(first.shape[0]):
        x, y = first[i, 0], first[i, 1]
        while j0 < second.shape[0] and (second[j0, 0] < x or (second[j0, 0] == x and second[j0, 1] < y)):
            j0 += 1
        j = j0
        while j < second.shape[0] and second[j, 0] == x and second[j, 1] == y:
            middle = first[i, 2] + first[i, 3] - second[j, 2] - second[j, 3]
            if middle < 0 and found & 1 == 0:
                found |= 1
                place[0, 0], place[0, 1], place[0, 2] = x, y, second[j, 2]
            if middle > 0 and found & 2 == 0:
                found |= 2
                place[1, 0], place[1, 1], place[1, 2] = x, y, first[i, 2]
            j += 1
    return found
