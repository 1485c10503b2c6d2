"""Pressing a packing: all cores move at once, on exact distances, to where the highest one ends lower.

The lattice search keeps whole cells between cores and puts them on whole steps. Here nothing is rounded: for
every two cores that are near, the plane between their nearest points keeps them apart, and the moves that
lower the top the most under all these planes are a linear programme. Planes are right for small moves only,
so moves are bounded, true distances are measured afterwards, and where one is short its plane is added and
the programme solved again. After Li and Milenkovic, European Journal of Operational Research 1995
(compaction of a layout of polygons by a sequence of linear programmes), with planes of nearest points in
place of no-fit polygons.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csr_array

from corelib.geometry.distance import least_distance_mm
from corelib.geometry.nearest import nearest_points_mm
from corelib.geometry.pose import Array
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance
from corelib.nesting.model import NestBox, NestRules
from corelib.nesting.settling import BedRule, shifted
from corelib.progress import SILENT, Progress

MOST_TURNS = 60
CUTS = 8  # times that planes are added to one programme
REACH = 0.04  # of the cores' mean edge: how far a core may move along an axis in one turn, at first
LEAST_REACH = 0.02  # of the first reach
WIDENED, NARROWED = 1.5, 0.4
STILL, STILL_TURNS = 5e-4, 4  # turns that win less than this share of the height in all end the pressing
SINKING = 1e-3  # what the mean of all heights counts beside the top, so that all sink and make room
SHORT = 20.0  # what a missing mm of gap counts beside a mm of the top
HEALED = 0.8  # share of the missing gaps that a turn may leave
SHORT_TURNS = 5  # after which gaps that are still short are given up
OFF_LAYER = 1e-6  # layers
TOUCHING = 2e-7  # least distance at gap 0, as a share of the mean edge: touching can't be told from overlap


Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class _Planes:
    """How much nearer core i and body j (fixed ones are numbered after the cores) may come, by directions."""

    i: Numbers
    j: Numbers
    direction: Array
    """(n, 3), from i to j."""
    slack_mm: Array


def pressed(
    bodies: Sequence[Body],
    fixed: Sequence[Body],
    box: NestBox,
    rules: NestRules,
    clearance: Clearance,
    *,
    goal_mm: float = -np.inf,
    progress: Progress = SILENT,
) -> tuple[list[list[Body]], int]:
    """Return the bodies of one box after each turn that made it lower, and how many distances were measured.

    Gaps that are short at first are widened; all that is returned keeps gaps, walls and (as well as at first)
    beds, and lies on whole layers. Whether ways up stay free in some order is for the caller to prove. Ends
    with the first packing no higher than `goal_mm`. Returns nothing where gaps stay short or bodies touch.
    """
    press = _Press(bodies, fixed, box, rules, clearance)
    reach_mm = press.edge_mm * REACH
    least_mm, tops, found = reach_mm * LEAST_REACH, [np.inf], []
    for turn in range(MOST_TURNS):
        if not press.turn(reach_mm, partial(progress, turn / MOST_TURNS, "settle")):
            reach_mm *= NARROWED
            if reach_mm < least_mm:
                break
            continue
        reach_mm = min(press.edge_mm * REACH, reach_mm * WIDENED)
        if press.short_mm > 0.0:
            if turn >= SHORT_TURNS:
                break
            continue
        if press.top_mm < min(tops) - TOLERANCE_MM and press.keeps_gaps_on_layers():
            found.append(press.bodies())
            if press.top_mm <= goal_mm:
                break
        tops.append(press.top_mm)
        if len(tops) > STILL_TURNS and tops[-1 - STILL_TURNS] - tops[-1] < STILL * tops[-1]:
            break
    return found, press.measured


class _Press:
    """The bodies of one box while they are pressed."""

    def __init__(
        self,
        bodies: Sequence[Body],
        fixed: Sequence[Body],
        box: NestBox,
        rules: NestRules,
        clearance: Clearance,
    ) -> None:
        self.start, self.count, self.box, self.rules = list(bodies), len(bodies), box, rules
        every = [*bodies, *fixed]
        self.trees = [clearance.tree(body.item, body.matrix[:3, :3]) for body in every]
        self.places_mm = np.array([body.matrix[:3, 3] for body in every])
        self.edge_mm = float(np.mean([body.high_mm - body.low_mm for body in bodies]))
        gaps = np.array([body.item.gap_mm for body in every])
        self.need_mm = np.maximum(np.maximum(gaps[:, None], gaps[None, :]), TOUCHING * self.edge_mm)
        self.low_mm = np.array([body.low_mm for body in every])
        self.high_mm = np.array([body.high_mm for body in every])
        self.moved_mm = np.zeros((len(every), 3))
        self.layer_mm = self.rise_mm = rules.layer_thickness_mm
        """Cores rise by less than `rise_mm` to lie on layers: so much more is kept between them, upwards."""
        self.measured = 0
        self.short_mm = np.inf
        """Sum of the gaps that are missing; unknown at first."""
        self.beds = BedRule(bodies, fixed, rules) if rules.is_ordered else None

    @property
    def on_layers_mm(self) -> Array:
        """The moves so far, each core raised to the bottom of the next layer."""
        moved, n = self.moved_mm.copy(), self.count
        low = (self.low_mm + moved)[:n, 2]
        moved[:n, 2] += np.ceil(low / self.layer_mm - OFF_LAYER) * self.layer_mm - low
        return moved

    @property
    def top_mm(self) -> float:
        """Top of the highest core on whole layers."""
        return float((self.high_mm + self.on_layers_mm)[: self.count, 2].max())

    def bodies(self) -> list[Body]:
        """Return the cores where they are now, on whole layers."""
        moved = self.on_layers_mm
        return [shifted(body, moved[i]) for i, body in enumerate(self.start)]

    def keeps_gaps_on_layers(self) -> bool:
        """Return True if no gap is short of its own measure where the cores lie on whole layers."""
        rise_mm, self.rise_mm = self.rise_mm, 0.0
        short = self._planes(self.on_layers_mm, 0.0)
        self.rise_mm = rise_mm
        return short is not None and not len(short.i) and self.top_mm <= self.box.high_mm[2] + TOLERANCE_MM

    def turn(self, reach_mm: float, tick: Callable[[], None] = lambda: None) -> bool:
        """Move all cores to where the top is lowest within reach; return False if no such moves are found.

        Moves that leave gaps short are taken while they make them less short.
        """
        first = self._planes(self.moved_mm, 2.0 * np.sqrt(3.0) * reach_mm)
        if first is None:
            return False
        self.short_mm = min(self.short_mm, self._short_mm(first))
        planes = [first]
        for _ in range(CUTS):
            tick()
            moves = self._programme(planes, reach_mm)
            if moves is None:
                return False
            tried = self.moved_mm.copy()
            tried[: self.count] += moves
            short = self._planes(tried, 0.0)
            if short is None:
                return False
            left_mm = self._short_mm(short, tried - self.moved_mm)
            if left_mm == 0.0 or left_mm < HEALED * self.short_mm:
                self.moved_mm, self.short_mm = tried, left_mm
                return True
            planes.append(short)
        return False

    @staticmethod
    def _short_mm(planes: _Planes, moves_mm: Array | None = None) -> float:
        """Return the sum of the gaps that are missing after moves since the planes' turn began."""
        slack = planes.slack_mm
        if moves_mm is not None:
            slack = slack + (planes.direction * (moves_mm[planes.j] - moves_mm[planes.i])).sum(axis=1)
        return float((-slack[slack < -TOLERANCE_MM]).sum())

    def _planes(self, moved_mm: Array, reach_mm: float) -> _Planes | None:
        """Return the planes of pairs nearer than the gap and a reach, at no reach of those that are short.

        None where two bodies meet.
        """
        low, high, places = self.low_mm + moved_mm, self.high_mm + moved_mm, self.places_mm + moved_mm
        steps = moved_mm - self.moved_mm
        ends, directions, slacks = [], [], []
        for i in range(self.count):
            apart = np.maximum(low[i] - high[i + 1 :], low[i + 1 :] - high[i]).clip(min=0.0)
            bounds = self.need_mm[i, i + 1 :] + self.rise_mm + reach_mm
            for k in np.flatnonzero((apart**2).sum(axis=1) < bounds**2):
                j, bound_mm = i + 1 + int(k), float(bounds[k])
                shift = places[j] - places[i]
                self.measured += 1
                distance_mm = least_distance_mm(self.trees[i], self.trees[j], shift, bound_mm)
                if distance_mm == 0.0:
                    return None
                if distance_mm >= bound_mm:
                    continue
                p, q = nearest_points_mm(self.trees[i], self.trees[j], shift, distance_mm)
                direction = (q - p) / np.linalg.norm(q - p)
                need_mm = self.need_mm[i, j]
                slack_mm = distance_mm - need_mm - self.rise_mm * abs(direction[2])
                if reach_mm == 0.0 and slack_mm >= -min(TOLERANCE_MM, 0.5 * need_mm):
                    continue
                ends.append((i, j))
                directions.append(direction)
                slacks.append(slack_mm - float(direction @ (steps[j] - steps[i])))
        i_j = np.array(ends, dtype=np.int64).reshape(-1, 2)
        return _Planes(i_j[:, 0], i_j[:, 1], np.array(directions).reshape(-1, 3), np.array(slacks))

    def _programme(self, planes: Sequence[_Planes], reach_mm: float) -> Array | None:
        """Return the moves (n, 3) that lower the top the most, None if the planes leave none."""
        n, cuts = self.count, sum(len(cut.i) for cut in planes)
        columns = 3 * n + 1 + cuts
        low, high = self.low_mm[:n] + self.moved_mm[:n], self.high_mm[:n] + self.moved_mm[:n]
        rows: list[Numbers] = [np.repeat(np.arange(n), 2)]
        cols: list[Numbers] = [np.c_[3 * np.arange(n) + 2, np.full(n, 3 * n)].ravel()]
        values, limits = [np.tile([1.0, -1.0], n)], [-high[:, 2]]
        at = n
        for cut in planes:
            number = at + np.arange(len(cut.i))
            loose = cut.j < n
            for axis in range(3):
                rows += [number, number[loose]]
                cols += [3 * cut.i + axis, 3 * cut.j[loose] + axis]
                values += [cut.direction[:, axis], -cut.direction[loose, axis]]
            rows.append(number)
            cols.append(3 * n + 1 + number - n)
            values.append(np.full(len(number), -1.0))
            limits.append(cut.slack_mm)
            at += len(cut.i)
        if self.beds is not None:
            at = self._bed_rows(at, reach_mm, rows, cols, values, limits)
        matrix = csr_array(
            (np.concatenate(values), (np.concatenate(rows), np.concatenate(cols))), shape=(at, columns)
        )
        cost = np.concatenate([np.zeros(3 * n), [1.0], np.full(cuts, SHORT)])
        cost[2 : 3 * n : 3] = SINKING / n
        # a core that sticks out comes back in, as far as it reaches
        below = np.clip(np.array(self.box.low_mm) - low, -reach_mm, reach_mm)
        above = np.clip(np.array(self.box.high_mm) - high, -reach_mm, reach_mm)
        above = np.maximum(above, below)
        bounds = np.concatenate(
            [np.c_[below.ravel(), above.ravel()], [[-np.inf, np.inf]], np.tile([0.0, np.inf], (cuts, 1))]
        )
        found = linprog(cost, A_ub=matrix, b_ub=np.concatenate(limits), bounds=bounds, method="highs")
        return found.x[: 3 * n].reshape(n, 3) if found.status == 0 else None

    def _bed_rows(
        self, at: int, reach_mm: float, rows: list[Numbers], cols: list[Numbers], values: list[Array],
        limits: list[Array],
    ) -> int:  # fmt: skip
        """Add rows by which no core loses its bed before another that it outlasted; return the next row."""
        assert self.beds is not None
        low = (self.low_mm + self.moved_mm)[:, 2]
        slack = (low + self.beds.freed_mm)[:, None] - (low + self.beds.bedded_mm)[None, :]
        i, j = np.nonzero(self.beds.keeps & (slack < 2.0 * reach_mm))
        loose_i, loose_j = i < self.count, j < self.count
        number = at + np.arange(len(i))
        rows += [number[loose_i], number[loose_j]]
        cols += [3 * i[loose_i] + 2, 3 * j[loose_j] + 2]
        values += [np.full(int(loose_i.sum()), -1.0), np.full(int(loose_j.sum()), 1.0)]
        limits.append(slack[i, j].clip(min=0.0))
        return at + len(i)
