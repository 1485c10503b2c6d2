"""Filling boxes one after the other: how many whole casting sets go into each.

Whole sets go into a box together; a box takes as many groups as the search brings apart in it, and the last
one is packed as low as the search's effort allows. Every core can be drawn upwards in some order.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from corelib.nesting.boxes import FILLING_LENIENCE, FilledBox, Task, box_of, lattice_rows, locked_bodies
from corelib.nesting.engine import lattices_of, squeeze_for
from corelib.nesting.quality import mesh_volume_mm3
from corelib.nesting.seeds import results_of
from corelib.nesting.squeezing import Course, Squeeze, Stand
from corelib.nesting.tiers import Group, Member, groups_to_place
from corelib.progress import SILENT, Progress

FIRST_FILL = 0.15  # share of a box's volume that its first trial takes
FIT_EFFORT = 4_000_000  # evaluations of a trial to bring so many groups into a box
MORE_ROUND = 6_000_000  # evaluations of a trial of one more group before all seeds are looked at
SHARE_FOR_MORE = 0.6  # of the time that is left, for more groups in a box that seems full
SEEDS = 2  # trials of one more group at once


def pack_boxes(
    task: Task,
    progress: Progress = SILENT,
    evaluations: int = 0,
    executor: Executor | None = None,
    ends_s: float | None = None,
) -> list[FilledBox] | None:
    """Return the filled boxes, or None where the lattice is too coarse for a core.

    `evaluations` is what may be spent on bringing one more set into a box that seems full.
    """
    task = replace(task, lenience=FILLING_LENIENCE)
    groups = groups_to_place(task.items, task.fixed)
    boxes: list[FilledBox] = []
    total, number = len(groups), 0
    while groups:
        locked = locked_bodies(task, number)
        span = progress.span(1 - len(groups) / total, 1.0)
        filled = Filling(task, FilledBox(number, (), locked, ()), groups, span).filled(
            evaluations, executor, ends_s
        )
        count = filled.count
        if count == 0 and not any(not body.item.is_zone for body in locked):
            if len(groups[0]) == 1:
                return None
            groups = [(member,) for member in groups[0]] + groups[1:]
            continue
        if count:
            boxes.append(filled.box)
        groups = groups[count:]
        number += 1
    return boxes


class Filling:
    """How many groups go into one box, from the first on, found by bringing them apart."""

    def __init__(self, task: Task, box: FilledBox, groups: Sequence[Group], progress: Progress) -> None:
        self.task, self.box, self.groups, self.progress = task, box, groups, progress
        self.count = 0
        self.room_mm3 = float(np.prod(np.array(task.box.high_mm) - task.origin_mm))
        self.volumes_mm3 = [mesh_volume_mm3(item.mesh) for item in task.items]

    def filled(self, evaluations: int, executor: Executor | None, ends_s: float | None) -> Filling:
        """Fill the box: many groups at a time while they go in, then fewer; the last with more effort."""
        bad = len(self.groups) + 1
        step = self._first_step()
        while self.count + 1 < bad:
            tried = min(self.count + step, bad - 1)
            if self._takes(tried, FIT_EFFORT):
                step = max(1, step // 2) if bad <= len(self.groups) else step
            else:
                bad, step = tried, max(1, (tried - self.count) // 2)
        until_s = np.inf if ends_s is None else ends_s - (1.0 - SHARE_FOR_MORE) * (ends_s - time.monotonic())
        while evaluations and self.count < len(self.groups):
            if not self._takes_one_more(evaluations, executor, until_s):
                break
        return self

    def _first_step(self) -> int:
        volume_mm3, count = 0.0, 0
        while count < len(self.groups) and volume_mm3 < FIRST_FILL * self.room_mm3:
            volume_mm3 += self._volume_mm3(count)
            count += 1
        return max(1, count)

    def _volume_mm3(self, number: int) -> float:
        return sum(self.volumes_mm3[member.kind] for member in self.groups[number])

    def _takes(self, count: int, evaluations: int) -> bool:
        """Try to bring so many groups into the box, from where those are that it holds."""
        return self._took(count, [fitted(self._try(count, evaluations, 0, 0), self.progress)])

    def _takes_one_more(self, evaluations: int, executor: Executor | None, until_s: float) -> bool:
        """Try to bring in one more group, on the better lattice, by several seeds in rounds."""
        count, level = self.count + 1, min(1, len(lattices_of(self.task)) - 1)
        each = min(MORE_ROUND, evaluations // SEEDS)
        tries = [self._try(count, each, level, seed) for seed in range(SEEDS)]
        if not all(one.evaluations for one in tries):
            return False
        progress = self.progress.span(0.0, 0.0)
        for _ in range(evaluations // (SEEDS * max(1, each))):
            if executor is None:
                found = [fitted(one, progress) for one in tries]
            else:
                found = results_of(executor, fitted, tries, lambda: progress(0.0, "nest"))
            if self._took(count, found):
                return True
            if time.monotonic() > until_s:
                return False
            tries = [replace(one, course=fit.course) for one, fit in zip(tries, found, strict=True)]
        return False

    def _try(self, count: int, evaluations: int, level: int, seed: int) -> Try:
        members = tuple(member for group in self.groups[:count] for member in group)
        is_full = sum(self._volume_mm3(number) for number in range(count)) > self.room_mm3
        return Try(self.task, self.box, members, 0 if is_full else evaluations, level, seed)

    def _took(self, count: int, found: Iterable[Fit]) -> bool:
        """Take over the first box that was found with so many groups in it."""
        for fit in found:
            if fit.box is not None:
                self.count, self.box = count, fit.box
                return True
        return False


@dataclass(frozen=True, eq=False)
class Try:
    """What a worker needs to try whether copies go into a box, from where some of them are."""

    task: Task
    box: FilledBox
    members: tuple[Member, ...]
    evaluations: int
    level: int
    seed: int
    course: Course | None = None
    """How far it has come."""


@dataclass(frozen=True, eq=False)
class Fit:
    """The box with all copies in it, None while they don't fit, and how far the try has come."""

    box: FilledBox | None
    course: Course | None


def fitted(one: Try, progress: Progress = SILENT) -> Fit:
    """Return how far a try comes with its evaluations."""
    progress(0.0, "nest")
    if not one.evaluations:
        return Fit(None, None)
    squeeze = squeeze_for(one.task, one.box, one.members, one.level, progress)
    if not squeeze.fits_under(float(squeeze.room_mm[2])):
        return Fit(None, None)
    course = one.course or _begun(one, squeeze)
    is_in = squeeze.fit(course, one.evaluations, progress)
    return Fit(box_of(squeeze.forms, one.box, one.members, course.good) if is_in else None, course)


def _begun(one: Try, squeeze: Squeeze) -> Course:
    """Return the start of a try: new copies anywhere, and with every second seed all of them."""
    rng = np.random.default_rng([one.task.search.seed, one.box.number, len(one.members), one.seed])
    rows = np.zeros((len(one.members), 4), dtype=np.int64)
    held = len(one.box.members) if one.seed % 2 == 0 else 0
    rows[:held] = lattice_rows(squeeze.forms, one.box)[:held]
    squeeze.scatter(rows, held, rng)
    return Course(rng, 0.0, Stand((), rows, np.inf), rows.copy())
