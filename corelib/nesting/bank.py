"""The shapes of a job on the lattice, and the pool of no-fit sets, filled as the search asks for them."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array, Orientation, moved
from corelib.geometry.voxels import VoxelBody, cells_in_grid, turned, voxels
from corelib.nesting.clearance import Body
from corelib.nesting.lattice import BASE_X, BASE_Y, BASE_Z, EXTENT_X, EXTENT_Y, NONE, OFFSET, WORDS
from corelib.nesting.model import NestItem
from corelib.nesting.nofit import (
    Runs,
    Words,
    add_no_fit,
    grown_planes,
    margin_cells,
    no_fit_shape,
    reversed_set,
    runs_of,
)
from corelib.nesting.orientations import is_right_angled
from corelib.nesting.quality import mesh_volume_mm3

QUARTER: Array = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
GAP, PATH = 0, 1
THREADS = 2
POOL_WORDS = 1 << 26  # 512 MB; untouched pages cost nothing


@dataclass(frozen=True)
class Lattice:
    """Pitch of places along x and y, and how many cells a pitch has; along z every cell is a place."""

    pitch_mm: float
    fineness: int
    stretch: float = 0.0
    """By what share the pitch is wider than the cores' sizes call for."""

    @property
    def cell_mm(self) -> float:
        """Edge of a cell, and the lattice's step along z."""
        return self.pitch_mm / self.fineness


@dataclass(frozen=True, eq=False)
class Shape:
    """One item in one orientation, as cells."""

    kind: int
    orientation: Orientation
    body: VoxelBody
    low_mm: Array
    """Lowest corner of the turned mesh about the core file's origin."""
    is_fixed: bool = False
    """A locked core in the cells of the box's own lattice: its grid's corner is a lattice point."""

    @property
    def sunk(self) -> int:
        """Whole empty cells under the body in its grid: its lattice height counts from above them."""
        return 0 if self.is_fixed else int(self.body.pad_mm[2] / self.body.pitch_mm + 1e-9)

    @property
    def height(self) -> int:
        """Cells from there to the body's top."""
        if self.is_fixed:
            return int(self.body.cells.shape[2])
        top_mm = self.body.pad_mm[2] + self.body.size_mm[2]
        return int(np.ceil(top_mm / self.body.pitch_mm - 1e-9)) - self.sunk

    @property
    def offset_mm(self) -> Array:
        """From the shape's lattice point to the lowest corner of its mesh."""
        return self.body.pad_mm - np.array([0.0, 0.0, self.sunk * self.body.pitch_mm])


class Bank:
    """Shapes of all items and the no-fit sets between them; locked cores come and go with the box."""

    def __init__(self, items: Sequence[NestItem], lattice: Lattice, pool_words: int = POOL_WORDS) -> None:
        self.items = items
        self.lattice = lattice
        self.shapes: list[Shape] = []
        self.of_kind: list[NDArray[np.int64]] = []
        for kind, item in enumerate(items):
            start = len(self.shapes)
            self.shapes += shapes_of(kind, item, lattice)
            self.of_kind.append(np.arange(start, len(self.shapes), dtype=np.int64))
        self.first_fixed = len(self.shapes)
        self.pool: Words = np.empty(pool_words, dtype=np.uint64)
        self.used = 0
        self.built = 0
        self._heights: dict[tuple[int, int, int], int] = {}
        self._set_tables(np.full((2, self.first_fixed, self.first_fixed, 7), NONE, dtype=np.int64))
        self._quarters = self._quarter_turns()
        self._own_quarters = self._quarters
        self._runs: dict[int, Runs] = {}
        self._grown: dict[tuple[int, float], Words] = {}

    def _set_tables(self, tables: NDArray[np.int64]) -> None:
        self.tables = tables
        self.table = tables[GAP]
        """The sets with the gap kept: where a core may lie."""
        self.paths = tables[PATH]
        """The sets without a gap: who stands in whose way up."""

    def lock(self, fixed: Sequence[Shape]) -> None:
        """Take over the locked cores of a box as shapes of their own, in place of those before."""
        own, count = self.first_fixed, self.first_fixed + len(fixed)
        if not fixed and len(self.shapes) == own:
            return
        self.shapes = [*self.shapes[:own], *fixed]
        tables = np.full((2, count, count, 7), NONE, dtype=np.int64)
        tables[:, :own, :own] = self.tables[:, :own, :own]
        self._set_tables(tables)
        self._quarters = np.full((count, 4), NONE, dtype=np.int64)
        self._quarters[:own] = self._own_quarters
        self._quarters[:, 0] = np.arange(count)
        self._runs = {s: runs for s, runs in self._runs.items() if s < own}
        self._grown = {key: planes for key, planes in self._grown.items() if key[0] < own}
        self._heights = {key: n for key, n in self._heights.items() if key[1] < own and key[2] < own}

    def _quarter_turns(self) -> NDArray[np.int64]:
        """Return for each shape the shape after 0, 1, 2, 3 quarter turns about the vertical, or NONE."""
        table = np.full((len(self.shapes), 4), NONE, dtype=np.int64)
        for s, shape in enumerate(self.shapes):
            rotation = shape.orientation.rotation
            table[s, 0] = s
            if shape.is_fixed:
                continue
            for quarter in range(1, 4):
                rotation = QUARTER @ rotation
                cells = np.rot90(shape.body.cells, quarter)
                for t in self.of_kind[shape.kind]:
                    other = self.shapes[t]
                    same_turn = np.abs(other.orientation.rotation - rotation).max() < 1e-9
                    if same_turn or np.array_equal(other.body.cells, cells):
                        table[s, quarter] = t if np.array_equal(other.body.cells, cells) else NONE
                        break
        return table

    def need(self, moving: NDArray[np.int64], placed: NDArray[np.int64], ordered: bool = False) -> None:
        """See that the sets of the moving shapes against the placed ones are there; raises MemoryError."""
        try:
            self._provide(moving, placed, ordered)
        except MemoryError:
            self.tables[:] = NONE
            self._heights.clear()
            self.used = 0
            self._provide(moving, placed, ordered)

    def _provide(self, moving: NDArray[np.int64], placed: NDArray[np.int64], ordered: bool) -> None:
        """Build what is missing, or turn and mirror it from a set that is there."""
        missing = [
            (way, int(moving[a]), int(placed[b]))
            for way in ((GAP, PATH) if ordered else (GAP,))
            for a, b in np.argwhere(self.tables[way][np.ix_(moving, placed)][:, :, 0] == NONE)
        ]
        for way, p, q in missing:
            if way == PATH and (self._is_zone(p) or self._is_zone(q)):
                self.tables[way, p, q] = 0  # an empty set: a zone stands in nobody's way up
        missing = [pair for pair in missing if self.tables[pair][0] == NONE]
        if not missing:
            return
        wanted: list[tuple[int, int, int]] = []
        known = set(self._heights)
        for pair in missing:
            if pair not in known and not any(image in known for image in self._images(*pair)):
                wanted.append(pair)
                known.add(pair)
        for way, p, q in wanted:
            self._runs_of(p)
            self._grown_of(q, self.gap_mm(way, p, q))
        if len(wanted) < 2 * THREADS:
            for pair in wanted:
                self._keep(*pair, *self._build(*pair))
        else:
            with ThreadPoolExecutor(THREADS) as threads:
                found = threads.map(lambda pair: self._build(*pair), wanted)
                for pair, made in zip(wanted, found, strict=True):
                    self._keep(*pair, *made)
        for pair in missing:
            if pair not in self._heights:
                self._derive(*pair)

    def _is_zone(self, shape: int) -> bool:
        return self.items[self.shapes[shape].kind].is_zone

    def volume_mm3(self, kind: int) -> float:
        """Return what a kind's mesh takes up at least."""
        return mesh_volume_mm3(self.items[kind].mesh)

    def gap_mm(self, way: int, p: int, q: int) -> float:
        """Return the gap between two shapes' cores, 0 for their way up."""
        if way == PATH:
            return 0.0
        return max(self.items[self.shapes[p].kind].gap_mm, self.items[self.shapes[q].kind].gap_mm)

    def _images(self, way: int, p: int, q: int) -> list[tuple[int, int, int]]:
        """Return the pairs of the same set, turned (the first four) or mirrored and turned."""
        turns = [(int(a), int(b)) for a, b in zip(self._quarters[p], self._quarters[q], strict=True)]
        turns = [(NONE, NONE) if NONE in pair else pair for pair in turns]
        return [(way, a, b) for a, b in turns] + [(way, b, a) for a, b in turns]

    def _runs_of(self, s: int) -> Runs:
        if s not in self._runs:
            self._runs[s] = runs_of(self.shapes[s].body.cells)
        return self._runs[s]

    def _grown_of(self, s: int, gap_mm: float) -> Words:
        key = s, gap_mm
        if key not in self._grown:
            cells = self.shapes[s].body.cells
            self._grown[key] = grown_planes(cells, gap_mm, self.lattice.cell_mm, self.lattice.fineness)
        return self._grown[key]

    def _build(self, way: int, p: int, q: int) -> tuple[Words, tuple[int, int, int], int]:
        """Return the set of shape p against shape q: words, base place and number of heights."""
        fineness, gap_mm = self.lattice.fineness, self.gap_mm(way, p, q)
        body, fixed = self.shapes[p].body.cells.shape, self.shapes[q].body.cells.shape
        margin = margin_cells(gap_mm, self.lattice.cell_mm, fineness)
        grown = self._grown_of(q, gap_mm)
        words, nx, ny, heights = no_fit_shape(body, grown, fixed[2] + 2 * margin, fineness)
        out = np.zeros((words, nx, ny), dtype=np.uint64)
        add_no_fit(self._runs_of(p), grown, body[2], fineness, out)
        base = (
            -margin // fineness - (body[0] - 1) // fineness,
            -margin // fineness - (body[1] - 1) // fineness,
            1 - margin - body[2],
        )
        return out, base, heights

    def _keep(
        self, way: int, p: int, q: int, words: Words, base: tuple[int, int, int], heights: int
    ) -> None:  # fmt: skip
        """Put a set into the pool."""
        self.built += 1
        self._store(way, p, q, words, base, heights)

    def _derive(self, way: int, a: int, b: int) -> None:
        """Make a set from one that is its image by quarter turns, mirrored or not."""
        images = self._images(way, a, b)
        number = next(n for n, image in enumerate(images) if image in self._heights)
        _, p, q = images[number]
        heights = self._heights[images[number]]
        entry = self.tables[way, p, q]
        nx, ny, count = int(entry[EXTENT_X]), int(entry[EXTENT_Y]), int(entry[WORDS])
        words = self.pool[entry[OFFSET] : entry[OFFSET] + count * nx * ny].reshape(count, nx, ny)
        base_z = int(entry[BASE_Z]) - self.shapes[p].sunk + self.shapes[q].sunk
        base = int(entry[BASE_X]), int(entry[BASE_Y]), base_z
        if number >= 4:
            mirrored = np.zeros_like(words)
            reversed_set(np.ascontiguousarray(words), heights, mirrored)
            base = 1 - base[0] - nx, 1 - base[1] - ny, 1 - base[2] - heights
            words, p, q = mirrored, q, p
        quarter = -number % 4  # image n is a, b after n quarter turns: so many are still to go
        place = self._turned_base(p, q, a, b, base, words.shape, quarter)
        self._store(way, a, b, np.rot90(words, quarter, axes=(1, 2)), place, heights)

    def _turned_base(
        self,
        p: int,
        q: int,
        a: int,
        b: int,
        base: tuple[int, int, int],
        extent: tuple[int, ...],
        quarter: int,
    ) -> tuple[int, int, int]:
        """Return the base place after quarter turns: centres turn about centres, low corners follow."""
        f = self.lattice.fineness
        size_p, size_q = self.shapes[p].body.cells.shape, self.shapes[q].body.cells.shape
        size_a, size_b = self.shapes[a].body.cells.shape, self.shapes[b].body.cells.shape
        # twice the offset of centres, in pitches, at the set's two ends
        low = [2 * base[i] + (size_p[i] - size_q[i]) // f for i in (0, 1)]
        high = [low[i] + 2 * (extent[1 + i] - 1) for i in (0, 1)]
        for _ in range(quarter):
            low, high = [-high[1], low[0]], [-low[1], high[0]]
        x, y = ((low[i] - (size_a[i] - size_b[i]) // f) // 2 for i in (0, 1))
        return x, y, base[2]

    def _store(
        self, way: int, a: int, b: int, words: Words, base: tuple[int, int, int], heights: int
    ) -> None:  # fmt: skip
        end = self.used + words.size
        if end > len(self.pool):
            raise MemoryError("the pool of no-fit sets is full")
        self.pool[self.used : end].reshape(words.shape)[:] = words
        base_z = base[2] + self.shapes[a].sunk - self.shapes[b].sunk
        extent = words.shape[1], words.shape[2], words.shape[0]
        self.tables[way, a, b] = (self.used, base[0], base[1], base_z, *extent)
        self._heights[way, a, b] = heights
        self.used = end


def shapes_of(kind: int, item: NestItem, lattice: Lattice) -> list[Shape]:
    """Return the item's shapes, one for each distinct set of cells."""
    mesh, cell_mm = item.mesh, lattice.cell_mm
    whole: VoxelBody | None = None
    found: dict[tuple[tuple[int, ...], bytes], Shape] = {}
    for orientation in item.orientations:
        rotation = orientation.rotation
        if is_right_angled(rotation):
            whole = whole or voxels(mesh.vertices_mm, mesh.faces, cell_mm, lattice.fineness)
            body = turned(whole, rotation)
            ends = np.stack([mesh.low_mm, mesh.high_mm]) @ rotation.T
        else:
            ends = mesh.vertices_mm[np.unique(mesh.faces)] @ rotation.T
            body = voxels(mesh.vertices_mm @ rotation.T, mesh.faces, cell_mm, lattice.fineness)
        key = body.cells.shape, np.packbits(body.cells).tobytes()
        found.setdefault(key, Shape(kind, orientation, body, ends.min(axis=0)))
    return list(found.values())


def fixed_shape(
    kind: int, body: Body, lattice: Lattice, origin_mm: Array
) -> tuple[Shape, tuple[int, int, int]]:
    """Return a locked core as a shape of its own, and its lattice place (which may lie outside the box)."""
    f, cell_mm = lattice.fineness, lattice.cell_mm
    steps_mm = np.array([lattice.pitch_mm, lattice.pitch_mm, cell_mm])
    place = np.floor((body.low_mm - origin_mm) / steps_mm + 1e-9).astype(int)
    low_mm = origin_mm + place * steps_mm
    cells = np.ceil((body.high_mm - low_mm) / cell_mm - 1e-9).astype(int)
    x, y, z = (int(-(-count // f) * f) for count in cells.clip(min=1))
    points = moved(body.item.mesh.vertices_mm, body.matrix)
    found = cells_in_grid(points, body.item.mesh.faces, low_mm, cell_mm, (x, y, z))
    size_mm = (x * cell_mm, y * cell_mm, z * cell_mm)
    shape = Shape(kind, body.placement.orientation, VoxelBody(found, cell_mm, size_mm), low_mm, is_fixed=True)
    return shape, (int(place[0]), int(place[1]), int(place[2]))
