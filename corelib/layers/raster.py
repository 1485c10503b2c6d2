"""Draws the layers of a box as packed bits, one at a time, with the pixels and the reach of each row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.layers.build import layer_offset
from corelib.layers.cut_pose import CutPose
from corelib.layers.grid import PixelGrid
from corelib.layers.model import PlacedBody
from corelib.layers.raster_kernels import count_crossings, fill_rows, place_crossings, starts_of_rows
from corelib.layers.sections import layer_count
from corelib.layers.store import OutlineStore

Series = NDArray[np.float64]
NO_BITS = np.empty((0, 0), dtype=np.uint8)


@dataclass(frozen=True, eq=False)
class DrawnBody:
    """A placed body as it is drawn: what cuts it, its shift in x and y, and the layers that it lies in."""

    core_id: str
    copy_number: int
    pose: CutPose
    key: str
    shift_mm: tuple[float, float]
    first_layer: int
    end_layer: int


@dataclass(frozen=True, eq=False)
class LayerPixels:
    """One drawn layer: pixels of each row, first column and column after the last of each row.

    `over_pixels` and `negative_pixels` are those covered more than once, and those with negative winding.
    """

    layer: int
    row_pixels: NDArray[np.int32]
    reach: NDArray[np.int32]
    over_pixels: int
    negative_pixels: int

    @property
    def pixels(self) -> int:
        """Pixels that are on."""
        return int(self.row_pixels.sum())

    @property
    def window(self) -> tuple[int, int, int, int] | None:
        """First row, row after the last, first column, column after the last; None for an empty layer."""
        rows = np.flatnonzero(self.row_pixels)
        if not len(rows):
            return None
        reach = self.reach[rows]
        return int(rows[0]), int(rows[-1]) + 1, int(reach[:, 0].min()), int(reach[:, 1].max())


def drawn_bodies(placed: Sequence[PlacedBody], thickness_mm: float) -> tuple[DrawnBody, ...]:
    """Return how each body is drawn; blocks that are solid in part are left out: they have no outline."""
    bodies, known = [], {}
    for item in placed:
        if item.body.core.solid_share != 1.0:
            continue
        matrix = np.array(item.placement.matrix, dtype=np.float64)
        rotation = np.ascontiguousarray(matrix[:3, :3])
        turn = (item.body.mesh.content_sha256, rotation.tobytes())
        if turn not in known:
            z = item.body.mesh.vertices_mm[np.unique(item.body.mesh.faces)] @ rotation[2]
            known[turn] = (float(z.min()), float(z.max()))
        low_mm, high_mm = known[turn]
        start = layer_offset(low_mm + matrix[2, 3], thickness_mm)
        pose = CutPose(item.body, rotation, start.phase_mm, thickness_mm)
        count = layer_count(start.phase_mm + high_mm - low_mm, thickness_mm)
        bodies.append(
            DrawnBody(
                item.body.core_id,
                item.placement.copy_number,
                pose,
                pose.key,
                (float(matrix[0, 3]), float(matrix[1, 3])),
                start.layer,
                start.layer + count,
            )
        )
    return tuple(bodies)


class LayerDrawer:
    """Draws any layer of a box; one for each thread, as it keeps its buffers."""

    def __init__(self, bodies: Sequence[DrawnBody], grid: PixelGrid, store: OutlineStore) -> None:
        self.bodies = tuple(bodies)
        self.grid = grid
        self.store = store
        self._counts = np.zeros(grid.rows + 1, dtype=np.int64)
        self._codes = np.empty(1024, dtype=np.int32)

    def canvas(self) -> NDArray[np.uint8]:
        """Return an empty canvas for the whole box."""
        return np.zeros((self.grid.rows, self.grid.row_bytes), dtype=np.uint8)

    def draw(self, layer: int, bits: NDArray[np.uint8] = NO_BITS) -> LayerPixels:
        """Draw a layer into an empty canvas (or only count, without one)."""
        grid, counts = self.grid, self._counts
        edges = [
            self._edges(body, layer) for body in self.bodies if body.first_layer <= layer < body.end_layer
        ]
        edges.sort(key=lambda part: part[3])  # by place along the travel: rows come out nearly sorted
        counts[:] = 0
        for values, first, end, along, across in edges:
            count_crossings(values, first, end, along, across, grid.swapped, grid.pitch_across_mm, counts)
        crossings = starts_of_rows(counts)
        if crossings > len(self._codes):
            self._codes = np.empty(2 * crossings, dtype=np.int32)
        for values, first, end, along, across in edges:
            place_crossings(
                values,
                first,
                end,
                along,
                across,
                grid.swapped,
                grid.pitch_along_mm,
                grid.pitch_across_mm,
                grid.columns,
                grid.rows,
                counts,
                self._codes,
            )
        row_pixels = np.empty(grid.rows, dtype=np.int32)
        reach = np.empty((grid.rows, 2), dtype=np.int32)
        over, negative = fill_rows(counts, self._codes, bits, row_pixels, reach)
        return LayerPixels(layer, row_pixels, reach, over, negative)

    def _edges(self, body: DrawnBody, layer: int) -> tuple[Series, int, int, float, float]:
        """Return edges with the range that belongs to the layer, and the shifts along and across travel."""
        own = layer - body.first_layer
        block = self.store.edges(body.pose, own, body.key)
        x, y = body.shift_mm
        along, across = (y, x) if self.grid.swapped else (x, y)
        i = own - block.first_layer
        return block.edges_mm, int(block.edge_starts[i]), int(block.edge_starts[i + 1]), along, across
