"""Improvement of one box: overlap minimisation at a lowered height, with weights for each pair of cores.

All cores stand under a ceiling, overlapping where they must; the search moves them until nothing overlaps and
all can be drawn. Then the ceiling is lowered. Where it fails, it goes on from one of the least overlaps of
this height with two cores exchanged, and after some failures from the last good packing with a smaller step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array
from corelib.nesting.clearance import TOLERANCE_MM
from corelib.nesting.forms import Forms
from corelib.nesting.lattice import Rows
from corelib.nesting.separation import COUNTS, EVALUATIONS, LEAST, STALE, separate, stuck
from corelib.progress import SILENT, Progress

SAMPLES, LINES, SHAPES_TRIED = 8, 8, 8
"""Random places a shape, lines of a descent, and random shapes a move."""
PATIENCE = 200  # passes without less overlap after which an attempt is given up
CHUNK = 150_000  # evaluations between two reports of progress: some hundredths of a second
FAILURES = 4  # at one height, after which the step is halved
POOL = 8  # least overlaps kept at one height
LEAST_STEP, MOST_STEP, WIDENED = 0.002, 0.05, 1.25


@dataclass
class Attempt:
    """Bringing cores apart under one ceiling, as far as it has come; rows include what is fixed."""

    rows: Rows
    best: Rows
    weights: NDArray[np.float64]
    apart: NDArray[np.bool_]
    order: Rows
    state: NDArray[np.uint64]
    spent: Rows

    @classmethod
    def beginning(cls, rows: Rows, rng: np.random.Generator) -> Attempt:
        """Return an attempt that has not begun."""
        count, spent = len(rows), np.zeros(COUNTS, dtype=np.int64)
        spent[LEAST] = 1 << 60
        return cls(
            rows, rows.copy(), np.ones((count, count)), np.zeros((count, count), dtype=np.bool_),
            np.zeros(count, dtype=np.int64), rng.integers(1, 2**63, size=1).astype(np.uint64), spent,
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Stand:
    """Where all cores truly stand: matrices, the nearest rows, and the top above the lowest place."""

    matrices: tuple[Array, ...]
    rows: Rows
    top_mm: float


Press = Callable[[Rows, float, Progress], tuple[Stand | None, int]]
"""Takes rows and a ceiling; returns where cores stand once true gaps are kept, None if that fails, and the
effort in candidate evaluations."""


@dataclass
class Course:
    """How far one seed has come; plain values, so that a round can run in any process."""

    rng: np.random.Generator
    step: float
    """By what share of the height the ceiling is lowered after a success."""
    good: Stand
    rows: Rows
    level: int = 0
    """Number of the lattice that the rows are on."""
    ceiling_mm: float = np.inf
    failures: int = 0
    pool: list[tuple[int, Rows]] = field(default_factory=list)
    attempt: Attempt | None = None
    succeeded: bool = False
    """False while `good` is only where the search began."""
    scatters: bool = False
    """True for a seed that begins again from anywhere, not from the last good packing, where it fails."""


class Squeeze:
    """The search on one box's forms; `kinds[i]` is the item of core i, the fixed bodies come after."""

    def __init__(
        self,
        forms: Forms,
        kinds: NDArray[np.int64],
        room_mm: Array,
        ordered: bool,
        press: Press | None = None,
    ) -> None:
        self.press = press or self._as_they_are
        self.forms, self.kinds, self.room_mm, self.ordered = forms, kinds, room_mm, ordered
        fixed = len(forms.fixed_rows)
        count = len(kinds) + fixed
        self.loose = len(kinds)
        self.locked = np.arange(count) >= self.loose
        self.starts = np.append(forms.starts[kinds], np.zeros(fixed, dtype=np.int64))
        self.counts = np.append(forms.counts[kinds], np.zeros(fixed, dtype=np.int64))
        self.heights = np.array(
            [(f.stance.bed, f.stance.free, f.stance.sunk) for f in forms.forms], dtype=np.int64
        )
        sizes = np.array([float(np.prod(forms.forms[start].size_mm)) for start in forms.starts[kinds]])
        self.by_size = np.argsort(-sizes, kind="stable")
        self.settings = np.array([SAMPLES, LINES, SHAPES_TRIED], dtype=np.int64)
        self.scale = np.ones((count, count))
        self.depth = np.zeros((count, count), dtype=np.int64)
        self.rooms = forms.rooms(room_mm)

    def top_mm(self, rows: Rows) -> float:
        """Return the top of the highest core above the lowest place."""
        own = rows[: self.loose]
        return float(
            (own[:, 3] * self.forms.lattice.pitch_mm + self.forms.tops_mm[own[:, 0]]).max(initial=0.0)
        )

    def _as_they_are(self, rows: Rows, _ceiling_mm: float, _progress: Progress) -> tuple[Stand, int]:
        """Return where cores stand on a lattice that keeps the gaps by itself."""
        return Stand(tuple(self.forms.matrix(row) for row in rows), rows.copy(), self.top_mm(rows)), 0

    def everything(self, rows: Rows) -> Rows:
        """Return rows of the cores with those of what is fixed."""
        return np.concatenate([rows, self.forms.fixed_rows])

    def set_ceiling(self, course: Course, ceiling_mm: float) -> None:
        """Bring all cores of a course under a ceiling."""
        course.ceiling_mm, course.failures, course.pool, course.attempt = ceiling_mm, 0, [], None
        self._room_under(ceiling_mm)
        self._put_inside(course)

    def _room_under(self, ceiling_mm: float) -> None:
        room_mm = self.room_mm.copy()
        room_mm[2] = min(room_mm[2], ceiling_mm)
        self.rooms = self.forms.rooms(room_mm)

    def scatter(self, rows: Rows, first: int, rng: np.random.Generator) -> None:
        """Put the cores from number `first` on anywhere in the box."""
        for core in range(first, self.loose):
            self._scatter_one(rows, core, rng)

    def _scatter_one(self, rows: Rows, core: int, rng: np.random.Generator) -> None:
        shapes = np.arange(self.starts[core], self.starts[core] + self.counts[core])
        shape = rng.choice(shapes[self.rooms[shapes].min(axis=1) > 0])
        rows[core] = (shape, *(rng.integers(0, n) for n in self.rooms[shape]))

    def _put_inside(self, course: Course) -> None:
        """Push cores that stick out back in; what doesn't fit as it lies is turned and put anywhere."""
        for core in range(self.loose):
            room = self.rooms[course.rows[core, 0]]
            if room.min() > 0:
                course.rows[core, 1:] = np.minimum(course.rows[core, 1:], room - 1)
                continue
            self._scatter_one(course.rows, core, course.rng)

    def fits_under(self, ceiling_mm: float) -> bool:
        """Return True if every core has a shape that goes under the ceiling."""
        room_mm = self.room_mm.copy()
        room_mm[2] = min(room_mm[2], ceiling_mm)
        has_room = self.forms.rooms(room_mm).min(axis=1) > 0
        return all(
            has_room[start : start + count].any()
            for start, count in zip(self.starts[: self.loose], self.counts[: self.loose], strict=True)
        )

    def separate(self, course: Course, limit: int, progress: Progress = SILENT) -> tuple[bool | None, int]:
        """Try to bring a course's cores apart; return whether it worked, and the evaluations spent.

        False after PATIENCE passes without less overlap; None at the limit, where the next call goes on.
        """
        tables = self.forms.tables
        attempt = course.attempt or Attempt.beginning(self.everything(course.rows), course.rng)
        course.attempt, spent = None, attempt.spent
        begun = int(spent[EVALUATIONS])
        end = begun + limit
        while True:
            progress((spent[EVALUATIONS] - begun) / max(1, limit), "improve")
            left = separate(
                attempt.rows, self.starts, self.counts, self.locked, tables.links, self.rooms,
                attempt.weights, self.scale, attempt.apart, tables.depths, tables.spans, self.ordered,
                self.settings, self.depth, attempt.order, attempt.state, spent,
                min(end, int(spent[EVALUATIONS]) + CHUNK),
                attempt.best,
            )  # fmt: skip
            if left == 0:
                if not self.ordered or self._is_drawable(attempt, course.rng):
                    course.rows = attempt.rows[: self.loose].copy()
                    return True, int(spent[EVALUATIONS]) - begun
                spent[EVALUATIONS] += len(attempt.rows)
                spent[LEAST] = max(1, int(spent[LEAST]))
                spent[STALE] += 1
            if spent[STALE] > PATIENCE:
                course.rows = attempt.best[: self.loose].copy()
                course.pool.append((int(spent[LEAST]), course.rows.copy()))
                return False, int(spent[EVALUATIONS]) - begun
            if spent[EVALUATIONS] >= end:
                course.attempt = attempt
                return None, int(spent[EVALUATIONS]) - begun

    def _is_drawable(self, attempt: Attempt, rng: np.random.Generator) -> bool:
        """Return True if the cores can be drawn in some order; else bid two of them keep apart."""
        rows, count = attempt.rows, len(attempt.rows)
        path, first = np.zeros((count, count), dtype=np.bool_), np.zeros((count, count), dtype=np.bool_)
        tables = self.forms.tables
        if (
            stuck(rows, tables.links, tables.spans, self.heights, self.forms.lattice.fineness, path, first)
            == 0
        ):
            return True
        pairs = np.argwhere(path & first & ~(self.locked[:, None] & self.locked[None, :]))
        if len(pairs):
            i, j = pairs[rng.integers(len(pairs))]
            attempt.apart[i, j] = attempt.apart[j, i] = True
        return False

    def fit(self, course: Course, evaluations: int, progress: Progress = SILENT) -> bool:
        """Bring all cores of a course into the box as high as it is; False if the evaluations don't do.

        Called again, it goes on where it was.
        """
        if np.isfinite(course.ceiling_mm):
            self._room_under(course.ceiling_mm)
        else:
            self.set_ceiling(course, float(self.room_mm[2]))
        spent = 0
        while spent < evaluations:
            success, more = self.separate(course, evaluations - spent, progress)
            spent += more
            if success:
                stand, more = self.press(course.rows, float(self.room_mm[2]), progress)
                spent += more
                if stand is not None and stand.top_mm <= self.room_mm[2] + TOLERANCE_MM:
                    course.good, course.succeeded = stand, True
                    return True
                course.pool.append((0, course.rows.copy()))
            if success is not None:
                course.failures = 0
                self._disturb(course)
        return False

    def advance(self, course: Course, evaluations: int, progress: Progress = SILENT) -> int:
        """Lower a course's packing for about so many evaluations; return how many were spent."""
        spent = 0
        if np.isfinite(course.ceiling_mm):
            self._room_under(course.ceiling_mm)
        while spent < evaluations:
            if not np.isfinite(course.ceiling_mm) and not self._lower(course):
                break
            span = progress.span(spent / evaluations, 1.0)
            success, more = self.separate(course, evaluations - spent, span)
            spent += more
            stands, more = self._stands(course, span) if success else (False, 0)
            spent += more
            if stands:
                course.ceiling_mm, course.succeeded = np.inf, True
                course.step = min(MOST_STEP, course.step * WIDENED)
            elif success is not None:
                self._disturb(course)
        return spent

    def _stands(self, course: Course, progress: Progress) -> tuple[bool, int]:
        """Take over a course's cores if they stand lower than its best, with true gaps; tell the effort."""
        stand, spent = self.press(course.rows, course.ceiling_mm, progress)
        if stand is None or stand.top_mm > course.good.top_mm - TOLERANCE_MM:
            course.pool.append((0, course.rows.copy()))
            return False, spent
        course.good = stand
        return True, spent

    def _lower(self, course: Course) -> bool:
        """Lower the ceiling from the last good packing; return False if no core's shape goes under it."""
        course.rows = course.good.rows.copy()
        least = self.forms.lattice.pitch_mm * 0.5
        for step in (course.step, LEAST_STEP, 0.0):
            ceiling_mm = min(course.good.top_mm * (1.0 - step), course.good.top_mm - least)
            if self.fits_under(ceiling_mm):
                self.set_ceiling(course, ceiling_mm)
                return True
        return False

    def _disturb(self, course: Course) -> None:
        """Go on after a failure: from a packing of little overlap with two cores exchanged, or higher."""
        course.failures += 1
        if course.failures % FAILURES == 0:
            course.step = max(LEAST_STEP, course.step / 2)
            if self._lower(course):
                if course.scatters:
                    self.scatter(course.rows, 0, course.rng)
                return
        course.pool = sorted(course.pool, key=lambda entry: entry[0])[:POOL]
        pick = min(len(course.pool) - 1, int(abs(course.rng.normal(0.0, 0.25)) * len(course.pool)))
        course.rows = course.pool[pick][1].copy()
        half = max(2, self.loose // 2)
        if self.loose > 1:
            i, j = course.rng.choice(self.by_size[:half], 2, replace=False)
            course.rows[[i, j], 1:] = course.rows[[j, i], 1:]
        self._put_inside(course)
