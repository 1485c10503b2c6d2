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
from corelib.nesting.lattice import NONE
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

QUARTER: Array = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
GAP, PATH = 0, 1
THREADS = 2
POOL_WORDS = 1 << 26  # 512 MB; untouched pages cost nothing


@dataclass(frozen=True)
class Lattice:
    """Pitch of places along x and y, and how many cells a pitch has; along z every cell is a place."""

    pitch_mm: float
    fineness: int

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
    """Shapes of all items and the no-fit sets between them."""

    def __init__(
        self,
        items: Sequence[NestItem],
        lattice: Lattice,
        fixed: Sequence[Shape] = (),
        pool_words: int = POOL_WORDS,
    ) -> None:
        self.items = items
        self.lattice = lattice
        self.shapes: list[Shape] = []
        self.of_kind: list[NDArray[np.int64]] = []
        for kind, item in enumerate(items):
            start = len(self.shapes)
            self.shapes += shapes_of(kind, item, lattice)
            self.of_kind.append(np.arange(start, len(self.shapes), dtype=np.int64))
        self.first_fixed = len(self.shapes)
        self.shapes += fixed
        count = len(self.shapes)
        self.tables = np.full((2, count, count, 7), NONE, dtype=np.int64)
        self.table = self.tables[GAP]
        """The sets with the gap kept: where a core may lie."""
        self.paths = self.tables[PATH]
        """The sets without a gap: who stands in whose way up."""
        self.pool: Words = np.empty(pool_words, dtype=np.uint64)
        self.used = 0
        self.built = 0
        self._quarters = self._quarter_turns()
        self._runs: dict[int, Runs] = {}
        self._grown: dict[tuple[int, float], Words] = {}

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
        """Build the sets of the moving shapes against the placed ones, as far as they are missing."""
        wanted: list[tuple[int, int, int]] = []
        known: set[tuple[int, int, int]] = set()
        for way in (GAP, PATH) if ordered else (GAP,):
            for a, b in np.argwhere(self.tables[way][np.ix_(moving, placed)][:, :, 0] == NONE):
                pair = way, int(moving[a]), int(placed[b])
                if pair not in known:
                    wanted.append(pair)
                    known.update(self._images(*pair))
        if not wanted:
            return
        for way, p, q in wanted:
            self._runs_of(p)
            self._grown_of(q, self.gap_mm(way, p, q))
        with ThreadPoolExecutor(THREADS) as threads:
            for pair, found in zip(wanted, threads.map(lambda pair: self._build(*pair), wanted), strict=True):
                self._keep(*pair, *found)

    def volume_mm3(self, kind: int) -> float:
        """Return what a kind's mesh takes up at least."""
        mesh = self.items[kind].mesh
        a, b, c = (mesh.vertices_mm[mesh.faces[:, corner]] for corner in range(3))
        return abs(float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum())) / 6.0

    def gap_mm(self, way: int, p: int, q: int) -> float:
        """Return the gap between two shapes' cores, 0 for their way up."""
        if way == PATH:
            return 0.0
        return max(self.items[self.shapes[p].kind].gap_mm, self.items[self.shapes[q].kind].gap_mm)

    def _images(self, way: int, p: int, q: int) -> list[tuple[int, int, int]]:
        """Return the pairs that follow from one by quarter turns and by changing sides."""
        turns = [(int(a), int(b)) for a, b in zip(self._quarters[p], self._quarters[q], strict=True)]
        good = [(a, b) for a, b in turns if a != NONE and b != NONE]
        return [(way, a, b) for a, b in good] + [(way, b, a) for a, b in good]

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

    def _keep(self, way: int, p: int, q: int, out: Words, base: tuple[int, int, int], heights: int) -> None:
        """Put a set and its images into the pool."""
        self.built += 1
        table = self.tables[way]
        for quarter in range(4):
            a, b = int(self._quarters[p, quarter]), int(self._quarters[q, quarter])
            if a == NONE or b == NONE or table[a, b, 0] != NONE:
                continue
            words = np.ascontiguousarray(np.rot90(out, quarter, axes=(1, 2)))
            place = self._turned_base(p, q, a, b, base, out.shape, quarter)
            self._store(way, a, b, words, place)
            if table[b, a, 0] == NONE:
                mirrored = np.zeros_like(words)
                reversed_set(words, heights, mirrored)
                extent = words.shape[1], words.shape[2], heights
                self._store(way, b, a, mirrored, [1 - at - n for at, n in zip(place, extent, strict=True)])

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

    def _store(self, way: int, a: int, b: int, words: Words, base: Sequence[int]) -> None:
        end = self.used + words.size
        if end > len(self.pool):
            raise MemoryError("the pool of no-fit sets is full")
        self.pool[self.used : end] = words.ravel()
        base_z = base[2] + self.shapes[a].sunk - self.shapes[b].sunk
        extent = words.shape[1], words.shape[2], words.shape[0]
        self.tables[way, a, b] = (self.used, base[0], base[1], base_z, *extent)
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
