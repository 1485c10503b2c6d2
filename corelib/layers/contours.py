"""Outlines of a core's layers: cut from its mesh, with holes and their outer rings, compensated for bleed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from corelib.errors import MeshError
from corelib.geometry import regions, solids
from corelib.layers.contour_kernels import (
    count_cuts,
    find_neighbours,
    find_parents,
    measure_rings,
    pack_cut_faces,
    walk_outlines,
    write_edges,
)
from corelib.layers.grid import PixelGrid
from corelib.layers.raster_kernels import census, count_row_pixels, ring_edges
from corelib.layers.section_kernels import ON_PLANE_MM, number_planes
from corelib.layers.sections import layer_count, placed_vertices
from corelib.mesh.core import CoreMesh

Series = NDArray[np.float64]
Longs = NDArray[np.int64]
Ints = NDArray[np.int32]

CENSUS_PITCH_MM = 0.5
"""Grid on which overlaps of a core's own bodies are looked for."""


@dataclass(frozen=True, eq=False)
class Outlines:
    """Outlines of consecutive layers in the turned core's own x, y (mm).

    Ring r is `points_mm[ring_starts[r]:ring_starts[r + 1]]`, not closed; layer i of these has the rings
    `layer_rings[i]` to before `layer_rings[i + 1]`. Outer rings run counter-clockwise and have parent -1;
    holes run clockwise and name their outer ring. `doubtful` lists layers (numbers within the core) whose
    bodies overlap or are inside out: there the rings are those of what is covered once or more.
    `vanished_mm2` is, layer by layer, what a draw-in leaves nothing of: parts thinner than twice the bleed.
    """

    first_layer: int
    points_mm: Series
    ring_starts: Longs
    layer_rings: Longs
    parent: NDArray[np.int32]
    doubtful: tuple[int, ...] = ()
    vanished_mm2: Series | None = None

    @property
    def count(self) -> int:
        """Number of layers."""
        return len(self.layer_rings) - 1

    @property
    def nbytes(self) -> int:
        """Memory that the arrays take."""
        return self.points_mm.nbytes + self.ring_starts.nbytes + self.layer_rings.nbytes + self.parent.nbytes

    @cached_property
    def edges_mm(self) -> Series:
        """Directed edges (x, y to x, y), in the order of the points."""
        edges: Series = ring_edges(self.points_mm, self.ring_starts)
        return edges

    @cached_property
    def edge_starts(self) -> Longs:
        """Where each layer's edges start (one more at the end)."""
        starts: Longs = self.ring_starts[self.layer_rings]
        return starts

    @cached_property
    def ring_area_mm2(self) -> Series:
        """Signed area of each ring: holes are negative."""
        return _measured(self.points_mm, self.ring_starts)[0]

    @cached_property
    def area_mm2(self) -> Series:
        """Area of each layer."""
        return self._by_layer(self.ring_area_mm2)

    @cached_property
    def boundary_mm(self) -> Series:
        """Boundary length of each layer, holes included."""
        edges = self.edges_mm
        length = np.hypot(edges[:, 2] - edges[:, 0], edges[:, 3] - edges[:, 1])
        layer = np.repeat(np.arange(self.count), np.diff(self.edge_starts))
        summed: Series = np.bincount(layer, weights=length, minlength=self.count).astype(np.float64)
        return summed

    @cached_property
    def hole_count(self) -> NDArray[np.int64]:
        """Number of holes in each layer."""
        return self._by_layer((self.parent >= 0).astype(np.float64)).astype(np.int64)

    def _by_layer(self, values: Series) -> Series:
        layer = np.repeat(np.arange(self.count), np.diff(self.layer_rings))
        summed: Series = np.bincount(layer, weights=values, minlength=self.count).astype(np.float64)
        return summed

    def rings(self, layer: int) -> list[Series]:
        """Return the rings of a layer of the core (numbered within the core)."""
        i = layer - self.first_layer
        return [
            self.points_mm[self.ring_starts[r] : self.ring_starts[r + 1]]
            for r in range(self.layer_rings[i], self.layer_rings[i + 1])
        ]


@dataclass(frozen=True, eq=False)
class LayerEdges:
    """Directed edges of consecutive layers, straight from triangles; layer i has those from start i on."""

    first_layer: int
    edges_mm: Series
    edge_starts: Longs

    @property
    def nbytes(self) -> int:
        """Memory that the arrays take."""
        return self.edges_mm.nbytes + self.edge_starts.nbytes


def _measured(points_mm: Series, ring_starts: Longs) -> tuple[Series, Series]:
    area, bounds = np.empty(len(ring_starts) - 1), np.empty((len(ring_starts) - 1, 4))
    measure_rings(points_mm, ring_starts, area, bounds)
    return area, bounds


class CoreCutter:
    """Cuts one turned mesh at mid-layer, any range of its layers at a time."""

    def __init__(self, mesh: CoreMesh, rotation: Series, *, phase_mm: float, thickness_mm: float) -> None:
        self.mesh = mesh
        self.thickness_mm = thickness_mm
        self._placed, height_mm = placed_vertices(mesh, rotation, phase_mm)
        self.count = layer_count(height_mm, thickness_mm)
        number_planes(self._placed, 0.5 * thickness_mm, thickness_mm, 0, self.count, ON_PLANE_MM)

    @property
    def nbytes(self) -> int:
        """Bytes that it holds at most, with its mesh and the neighbours that it may come to look for."""
        mesh = self.mesh.vertices_mm.nbytes + 2 * self.mesh.faces.nbytes
        return int(self._placed.nbytes + mesh)

    @cached_property
    def _across(self) -> NDArray[np.int32]:
        across = np.empty(self.mesh.faces.shape, dtype=np.int32)
        without = find_neighbours(self.mesh.faces, len(self._placed), across)
        if without:
            raise MeshError("layers.mesh_open", edges=int(without))
        return across

    def edges(self, first: int, end: int) -> LayerEdges:
        """Return the directed edges of layers `first` to before `end`, straight from triangles."""
        first, end = max(first, 0), min(end, self.count)
        starts, _ = count_cuts(self._placed, self.mesh.faces, first, end)
        edges = np.empty((int(starts[-1]), 4))
        half = 0.5 * self.thickness_mm
        write_edges(self._placed, self.mesh.faces, half, self.thickness_mm, first, starts, edges)
        return LayerEdges(first, edges, starts)

    def row_pixels(self, first: int, end: int, grid: PixelGrid, shift_mm: tuple[float, float]) -> Ints:
        """Return the pixels of each row (layers, rows) straight from triangles, by winding: overlaps twice.

        No outline is linked and no row sorted: for bodies known to be clean.
        """
        first, end = max(first, 0), min(end, self.count)
        counts = np.zeros((end - first, grid.rows), dtype=np.int32)
        x, y = shift_mm
        count_row_pixels(
            self._placed,
            self.mesh.faces,
            0.5 * self.thickness_mm,
            self.thickness_mm,
            first,
            y if grid.swapped else x,
            x if grid.swapped else y,
            grid.swapped,
            grid.pitch_along_mm,
            grid.pitch_across_mm,
            grid.columns,
            counts,
        )
        return counts

    def outlines(self, first: int, end: int) -> Outlines:
        """Return the outlines of layers `first` to before `end`, overlaps and inverted bodies cleared.

        Raises MeshError if an edge of the mesh has a face on one side only.
        """
        cut, bounds = self.cut(first, end)
        return _cleared(cut, bounds)

    def cut(self, first: int, end: int) -> tuple[Outlines, Series]:
        """Return the outlines of layers `first` to before `end` as the mesh has them; each ring's bounds."""
        first, end = max(first, 0), min(end, self.count)
        starts, cut_faces = count_cuts(self._placed, self.mesh.faces, first, end)
        rows = pack_cut_faces(self._placed, self.mesh.faces, self._across, first, end, cut_faces)
        points = np.empty((int(starts[-1]), 2))
        ring_starts, layer_rings = walk_outlines(
            self._placed, rows, 0.5 * self.thickness_mm, self.thickness_mm, first, starts, points
        )
        area, bounds = _measured(points, ring_starts)
        parent = np.empty(len(area), dtype=np.int32)
        find_parents(points, ring_starts, layer_rings, bounds, area, parent)
        return Outlines(first, points, ring_starts, layer_rings, parent), bounds


def _cleared(cut: Outlines, bounds_mm: Series) -> Outlines:
    """Return outlines in which layers with overlapping or inverted bodies are made by positive fill."""
    suspect = _suspect_layers(cut, bounds_mm)
    if not suspect:
        return cut
    rings, counts = [], []
    for i in range(cut.count):
        of_layer = cut.rings(cut.first_layer + i)
        if i in suspect:
            of_layer = solids.positive_rings([ring for ring in of_layer if len(ring) >= 3])
        rings += of_layer
        counts.append(len(of_layer))
    points = np.concatenate(rings) if rings else np.empty((0, 2))
    ring_starts = np.concatenate([[0], np.cumsum([len(ring) for ring in rings], dtype=np.int64)])
    layer_rings = np.concatenate([[0], np.cumsum(counts, dtype=np.int64)])
    area, bounds = _measured(points, ring_starts)
    parent = np.empty(len(area), dtype=np.int32)
    find_parents(points, ring_starts, layer_rings, bounds, area, parent)
    doubtful = tuple(cut.first_layer + i for i in suspect)
    return Outlines(cut.first_layer, points, ring_starts, layer_rings, parent, doubtful)


def _suspect_layers(cut: Outlines, bounds_mm: Series) -> list[int]:
    """Return places of layers with points covered twice or inside out, by a grid, or holes without outer."""
    area = cut.ring_area_mm2
    over, negative = np.empty(cut.count, dtype=np.int64), np.empty(cut.count, dtype=np.int64)
    census(cut.points_mm, cut.ring_starts, cut.layer_rings, bounds_mm, area, CENSUS_PITCH_MM, over, negative)
    wrong = over + negative > 0
    orphans = np.flatnonzero((cut.parent < 0) & (area < 0))
    wrong[np.searchsorted(cut.layer_rings, orphans, side="right") - 1] = True
    return [int(i) for i in np.flatnonzero(wrong)]


def printed_outlines(cutter: CoreCutter, bleed_xy_mm: float, dry: int, first: int, end: int) -> Outlines:
    """Return the outlines to print: drawn in by the sideways bleed, dry above faces that look down.

    A point of layer j is printed if it lies deeper than the bleed in layer j and inside the body in the
    `dry` layers below.
    """
    first, end = max(first, 0), min(end, cutter.count)
    cut = cutter.outlines(max(first - dry, 0), end)
    if not dry and not bleed_xy_mm:
        return cut
    body = regions.regions(cut.points_mm, cut.ring_starts, cut.layer_rings, cut.parent)
    if first < dry:  # below the core's lowest layer there is nothing
        body = regions.joined([regions.none(dry - first), body])
    printed, vanished = body[dry:], None
    if bleed_xy_mm:
        printed = regions.drawn_in(printed, bleed_xy_mm)
    if bleed_xy_mm > 0:  # what the printed part would not bleed back into
        back = regions.areas_mm2(regions.drawn_in(printed, -bleed_xy_mm))
        vanished = np.maximum(regions.areas_mm2(body[dry:]) - back, 0.0)
    for below in range(1, dry + 1):
        printed = regions.common(printed, body[dry - below : len(body) - below])
    doubtful = tuple(layer for layer in cut.doubtful if layer >= first)
    return Outlines(first, *regions.rings(printed), doubtful, vanished)
