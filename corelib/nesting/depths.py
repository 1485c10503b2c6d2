"""The depth tables of a job: one for each two bodies and relative rotation, and how pairs are looked up."""

from __future__ import annotations

import hashlib
import itertools
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import right_angle_orientations
from corelib.geometry.voxels import VoxelBody, turned
from corelib.nesting.nofit import Runs, Words, add_no_fit, grown_planes, margin_cells, no_fit_shape, runs_of
from corelib.nesting.penetration import Depths, Spans, set_depths, set_spans
from corelib.nesting.separation import (
    ABOVE,
    BELOW,
    EXTENT,
    FAR,
    FIRST,
    LINK,
    LOWEST,
    SPAN_DOWN,
    SPAN_FIRST,
    SPAN_X,
    STRIDE,
    Links,
)
from corelib.nesting.shelf import put_on_shelf, taken_from_shelf
from corelib.progress import SILENT, Progress

Key = tuple[int, int, int]
"""A table: the moving mould, its turn, the mould that stands still."""
THREADS = 2


def _turns() -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Return the 24 right-angled rotations, their inverses' numbers and the table of their products."""
    turns = np.array([o.rotation.round().astype(np.int64) for o in right_angle_orientations()])
    known = {turn.tobytes(): n for n, turn in enumerate(turns)}
    inverse = np.array([known[np.ascontiguousarray(turn.T).tobytes()] for turn in turns])
    product = np.array([[known[np.ascontiguousarray(a @ b).tobytes()] for b in turns] for a in turns])
    return turns, inverse, product


TURNS, INVERSE, PRODUCT = _turns()
UNTURNED = int(np.flatnonzero((np.eye(3, dtype=np.int64) == TURNS).all(axis=(1, 2)))[0])


@dataclass(eq=False)
class Mould:
    """A body as it is cut into cells, in one attitude; shapes are its right-angled turns.

    `alike[turn]` names the first turn with the same cells.
    """

    body: VoxelBody
    gap_mm: float
    is_zone: bool = False
    is_fixed: bool = False
    alike: NDArray[np.int64] = field(init=False)

    def __post_init__(self) -> None:
        known: dict[tuple[tuple[int, ...], bytes], int] = {}
        self.alike = np.arange(len(TURNS))
        if self.is_fixed:
            return
        for number, turn in enumerate(TURNS):
            cells = turned(self.body, turn.astype(float)).cells
            self.alike[number] = known.setdefault((cells.shape, np.packbits(cells).tobytes()), number)


@dataclass(frozen=True)
class Stance:
    """A shape: a mould and its turn, and where sand beds it and frees it, in cells above its lowest point."""

    mould: int
    turn: int
    bed: int
    free: int
    sunk: int
    is_fragile: bool = False


@dataclass(frozen=True)
class _Table:
    first: int
    shape: tuple[int, int, int]
    base: tuple[int, ...]
    spans: tuple[int, int, int]


class DepthTables:
    """Depth tables (and, where an order of drawing is kept, spans) for all pairs of stances."""

    def __init__(
        self,
        moulds: Sequence[Mould],
        stances: Sequence[Stance],
        cell_mm: float,
        fineness: int,
        ordered: bool,
        progress: Progress = SILENT,
    ) -> None:
        self.moulds, self.stances = moulds, stances
        self.cell_mm, self.fineness, self.ordered = cell_mm, fineness, ordered
        self.depths: Depths
        self.spans: Spans
        self.links: Links
        self._cells = [[int(n) for n in mould.body.cells.shape] for mould in moulds]
        name = self._name()
        found = taken_from_shelf(name)
        if found is not None:
            self.depths, self.spans, self.links = found
            return
        keys, pairs = self._pairs()
        self.tables = self._plan(keys)
        self._make_all(keys, progress)
        self._link(pairs)
        put_on_shelf(name, self.depths, self.spans, self.links)
        kept = taken_from_shelf(name)
        if kept is not None:  # pages shared with all who search this job, in place of a copy of our own
            self.depths, self.spans, self.links = kept

    def _pairs(self) -> tuple[list[Key], list[tuple[int, int, Key, bool]]]:
        """Return the tables' keys (moving mould, turn, other mould) and, for each pair, key and mirroring."""
        keys: dict[Key, None] = {}
        pairs = []
        for s, t in itertools.product(range(len(self.stances)), repeat=2):
            p, q = self.stances[s], self.stances[t]
            if self.moulds[p.mould].is_fixed and self.moulds[q.mould].is_fixed:
                continue
            mirrored = self._comes_first(q.mould, p.mould)
            moving, still = (q, p) if mirrored else (p, q)
            turn = self.moulds[moving.mould].alike[PRODUCT[INVERSE[still.turn], moving.turn]]
            key = moving.mould, int(turn), still.mould
            keys.setdefault(key)
            pairs.append((s, t, key, mirrored))
        return list(keys), pairs

    def _comes_first(self, a: int, b: int) -> bool:
        """Return True if mould a is the one to be turned against b: the one with fewer different turns."""
        if a == b:
            return False
        rank = [(self.moulds[m].is_fixed, len(set(self.moulds[m].alike.tolist())), m) for m in (a, b)]
        return rank[0] < rank[1]

    def _gap_mm(self, p: int, q: int) -> float:
        return max(self.moulds[p].gap_mm, self.moulds[q].gap_mm)

    def _plan(self, keys: Sequence[Key]) -> dict[Key, _Table]:
        """Return where each table and its spans lie."""
        f, tables = self.fineness, {}
        size = spans = 0
        for p, turn, q in keys:
            margin = margin_cells(self._gap_mm(p, q), self.cell_mm, f)
            cells = np.abs(TURNS[turn]) @ self._cells[p]
            x, y, z = (int(n) for n in (cells + np.array(self._cells[q]) + 2 * margin) // f - 1)
            base = 1 - (margin + cells) // f
            starts = spans, spans + y * z, spans + y * z + x * z
            tables[p, turn, q] = _Table(size, (x, y, z), tuple(base.tolist()), starts)
            size += x * y * z
            spans += (y * z + x * z + x * y) if self.ordered else 0
        self.size, self.span_count = size, spans
        return tables

    def _make_all(self, keys: Sequence[Key], progress: Progress) -> None:
        """Make all tables."""
        self.depths = np.zeros(max(1, self.size), dtype=np.uint8)
        self.spans = np.zeros((self.span_count, 3), dtype=np.int16)
        runs: dict[tuple[int, int], Runs] = {}
        grown: dict[tuple[int, float], Words] = {}
        for p, turn, q in keys:
            if (p, turn) not in runs:
                runs[p, turn] = runs_of(turned(self.moulds[p].body, TURNS[turn].astype(float)).cells)
            for gap_mm in {self._gap_mm(p, q), 0.0} if self.ordered else {self._gap_mm(p, q)}:
                if (q, gap_mm) not in grown:
                    cells = self.moulds[q].body.cells
                    grown[q, gap_mm] = grown_planes(cells, gap_mm, self.cell_mm, self.fineness)
        threads = ThreadPoolExecutor(THREADS)
        try:
            made = threads.map(lambda key: self._make(key, runs, grown), keys)
            for count, _ in enumerate(made):
                progress(count / len(keys), "nest")
        finally:
            threads.shutdown(cancel_futures=True)

    def _name(self) -> str:
        """Return a hash of all that the tables and links are made from."""
        digest = hashlib.sha256()
        for mould in self.moulds:
            digest.update(
                repr((mould.body.cells.shape, mould.gap_mm, mould.is_zone, mould.is_fixed)).encode()
            )
            digest.update(np.packbits(mould.body.cells).tobytes())
        digest.update(repr((self.cell_mm, self.fineness, self.ordered, list(self.stances))).encode())
        return digest.hexdigest()

    def _make(
        self, key: Key, runs: dict[tuple[int, int], Runs], grown: dict[tuple[int, float], Words]
    ) -> None:  # fmt: skip
        """Make one table, and its spans along the three axes."""
        p, turn, q = key
        f, table = self.fineness, self.tables[key]
        cells = [int(n) for n in np.abs(TURNS[turn]) @ self._cells[p]]
        out = self.depths[table.first : table.first + int(np.prod(table.shape))].reshape(table.shape)
        gap_mm = self._gap_mm(p, q)
        set_depths(self._words(runs[p, turn], cells, q, gap_mm, grown[q, gap_mm]), f - 1, f, out)
        if not self.ordered:
            return
        path = out
        if gap_mm > 0.0:
            margin = margin_cells(gap_mm, self.cell_mm, f) // f
            inner = np.zeros([n - 2 * margin for n in table.shape], dtype=np.uint8)
            set_depths(self._words(runs[p, turn], cells, q, 0.0, grown[q, 0.0]), f - 1, f, inner)
            path = np.pad(inner, margin)
        for axis, start in enumerate(table.spans):
            flat = [table.shape[a] for a in range(3) if a != axis]
            set_spans(path, axis, self.spans[start : start + flat[0] * flat[1]].reshape(*flat, 3))

    def _words(self, runs: Runs, cells: Sequence[int], q: int, gap_mm: float, grown: Words) -> Words:
        """Return the no-fit set of a turned body against mould q."""
        f = self.fineness
        margin = margin_cells(gap_mm, self.cell_mm, f)
        words, nx, ny, _ = no_fit_shape(tuple(cells), grown, self._cells[q][2] + 2 * margin, f)
        out = np.zeros((words, nx, ny), dtype=np.uint64)
        add_no_fit(runs, grown, cells[2], f, out)
        return out

    def _link(self, pairs: Sequence[tuple[int, int, Key, bool]]) -> None:
        self.links = np.zeros((len(self.stances), len(self.stances), LINK), dtype=np.int64)
        for s, t, key, mirrored in pairs:
            self.links[s, t] = self._link_of(self.stances[s], self.stances[t], key, mirrored)

    def _link_of(self, p: Stance, q: Stance, key: Key, mirrored: bool) -> NDArray[np.int64]:
        """Return how the offset of p against q is looked up: see the columns in `separation`."""
        f, table, link = self.fineness, self.tables[key], np.zeros(LINK, dtype=np.int64)
        moving, still = (q, p) if mirrored else (p, q)
        cells = [self._extent(moving), self._extent(still)]
        back = TURNS[still.turn].T
        strides = (table.shape[1] * table.shape[2], table.shape[2], 1)
        first = table.first
        along, flipped = [0, 0, 0], [False, False, False]
        for axis in range(3):  # of the table
            own = int(np.abs(back[axis]).argmax())  # of the box
            sign = int(back[axis, own]) * (-1 if mirrored else 1)
            spare = (cells[0][own] - cells[1][own]) // f
            extent, base = table.shape[axis], table.base[axis]
            if mirrored:
                low = 1 - base - extent if sign < 0 else base + spare
            else:
                low = base if sign > 0 else 1 - spare - base - extent
            link[LOWEST + own], link[EXTENT + own] = low, extent
            link[STRIDE + own] = sign * strides[axis]
            first += (extent - 1) * strides[axis] if sign < 0 else 0
            along[own], flipped[own] = axis, sign < 0
        link[FIRST] = first
        link[SPAN_DOWN] = -1
        if self.ordered and not (self.moulds[p.mould].is_zone or self.moulds[q.mould].is_zone):
            self._link_spans(link, p, q, key, along, flipped)
        return link

    def _extent(self, stance: Stance) -> list[int]:
        return [int(n) for n in np.abs(TURNS[stance.turn]) @ self._cells[stance.mould]]

    def _link_spans(
        self, link: NDArray[np.int64], p: Stance, q: Stance, key: Key, along: list[int],
        flipped: list[bool],
    ) -> None:  # fmt: skip
        """Fill in the columns of the way up."""
        table = self.tables[key]
        up = along[2]
        flat = [a for a in range(3) if a != up]
        stride = {flat[0]: table.shape[flat[1]], flat[1]: 1}
        first = table.spans[up]
        for own in (0, 1):
            step, extent = stride[along[own]], table.shape[along[own]]
            link[SPAN_X + own] = -step if flipped[own] else step
            first += (extent - 1) * step if flipped[own] else 0
        link[SPAN_FIRST], link[SPAN_DOWN] = first, int(flipped[2])
        f, low = self.fineness, int(link[LOWEST + 2])
        # offsets in lattice steps, counted from the lowest: rounded to where neither waits for the other
        link[BELOW] = (q.free - p.bed - p.sunk + q.sunk) // f - low
        link[ABOVE] = -((p.free - q.bed + p.sunk - q.sunk) // f) - low
        if p.is_fragile:
            link[BELOW] = -FAR
        if q.is_fragile:
            link[ABOVE] = FAR
