"""A portfolio of seeds that lowers one box in rounds; the same result on any number of workers.

In a round every seed gets the same number of candidate evaluations. The results are compared in the order of
the seeds, and a seed that has fallen behind goes on from the best; who computed what, and when, makes no
difference.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterable
from concurrent.futures import Executor, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from corelib.job.models import Packing
from corelib.nesting.boxes import (
    FILLING_LENIENCE,
    FilledBox,
    Task,
    box_of,
    locked_bodies,
    packing_of,
    packing_score,
    stand_of,
)
from corelib.nesting.clearance import Clearance
from corelib.nesting.engine import forms_for, lattices_of, make_forms, squeeze_for
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.filling import pack_boxes
from corelib.nesting.forms import Forms
from corelib.nesting.gate import check_packing
from corelib.nesting.seeds import results_of
from corelib.nesting.squeezing import Course
from corelib.nesting.tiers import groups_to_place
from corelib.progress import SILENT, Progress

STEPS = (0.02, 0.05)
"""By what share of the height each seed lowers the ceiling at first: one seed for each."""
FIRST_ROUND, LONGEST_ROUND = 500_000, 8_000_000
"""Candidate evaluations of a seed in a round: from some hundredths of a second to a second or two."""
BASE_EFFORT = 4_000_000
"""Candidate evaluations that every search gets, on top of the effort asked for."""
MORE_SETS = 200_000_000  # at most, for bringing one more set into a box that seems full
FINER_AFTER = 60_000_000
"""Candidate evaluations after which the seeds go on on the second lattice: its tables take seconds."""
STALE = 6  # rounds without a lower packing after which the last seed goes on on the third lattice, then all


@dataclass(frozen=True, eq=False)
class Round:
    """What a worker needs for one seed's round."""

    task: Task
    box: FilledBox
    course: Course
    evaluations: int


class Portfolio:
    """The search over one filled box; `run_round` improves it."""

    def __init__(self, task: Task, box: FilledBox, executor: Executor | None, progress: Progress) -> None:
        self.task, self.box, self.executor = task, box, executor
        self.effort = task.search.effort + BASE_EFFORT
        self.spent, self.round, self.stale = 0, FIRST_ROUND, 0
        self.top_mm = np.inf
        self.levels = len(lattices_of(task)) if self.effort > FINER_AFTER else 1
        self.courses = [self._course(n, 0, progress) for n in range(len(STEPS))]
        self.is_stuck = False
        self.maker = ThreadPoolExecutor(1)
        self.is_over = threading.Event()
        self.made: dict[int, Future[Forms]] = {}
        if self.levels > 1:
            self._make_ready(1)
        if executor is not None:  # workers get ready while the first round runs here
            for _ in STEPS:
                executor.submit(prepare, task, box)

    def _course(self, number: int, level: int, progress: Progress) -> Course:
        """Return a course that begins where the box's cores are now."""
        squeeze = squeeze_for(self.task, self.box, self.box.members, level, progress)
        stand = stand_of(squeeze.forms, self.task, self.box)
        rng = np.random.default_rng([self.task.search.seed, number, level, self.spent])
        return Course(rng, STEPS[number], stand, stand.rows.copy(), level, scatters=number % 2 == 1)

    def _make_ready(self, level: int) -> None:
        """Begin to make a lattice's tables beside the rounds, for the shelf."""

        def is_over(_share: float, _step: str, _facts: dict[str, Any]) -> bool:
            return self.is_over.is_set()

        if level < self.levels and level not in self.made:
            self.made[level] = self.maker.submit(
                make_forms, self.task, self.box.locked, level, Progress(is_over)
            )

    def close(self) -> None:
        """Stop what is still being made."""
        self.is_over.set()
        self.maker.shutdown(wait=False, cancel_futures=True)

    @property
    def goes_on(self) -> bool:
        """True while there is effort left and height to win."""
        return self.spent < self.effort and not self.is_stuck

    @property
    def share(self) -> float:
        """Share of the effort that is spent."""
        return min(1.0, self.spent / max(1, self.effort))

    def run_round(self, progress: Progress) -> bool:
        """Run one round; return True if the box became lower."""
        seeds = len(self.courses)
        each = max(1, min(self.round, (self.effort - self.spent) // seeds))
        self.round = min(LONGEST_ROUND, 2 * self.round)
        jobs = [Round(self.task, self.box, course, each) for course in self.courses]
        if self.executor is None or self.spent == 0:
            width = (1.0 - self.share) * min(1.0, each * seeds / max(1, self.effort - self.spent))
            found = [
                play(job, progress.span(self.share + width * n / seeds, self.share + width * (n + 1) / seeds))
                for n, job in enumerate(jobs)
            ]
        else:
            found = results_of(self.executor, play, jobs, lambda: progress(self.share, "improve"))
        self.courses = [course for course, _ in found]
        self.spent += each * seeds
        self.is_stuck = all(spent == 0 for _, spent in found)
        return self._merge(progress)

    def _merge(self, progress: Progress) -> bool:
        """Take over the best course's packing, and let the others go on from it; True if it is lower."""
        best = min(self.courses, key=lambda course: (not course.succeeded, course.good.top_mm))
        is_lower = best.succeeded and best.good.top_mm < self.top_mm
        if is_lower:
            self.top_mm, self.stale = best.good.top_mm, 0
            forms = forms_for(self.task, self.box.locked, best.level, progress)
            self.box = box_of(forms, self.box, self.box.members, best.good)
        else:
            self.stale += 1
        for number, course in enumerate(self.courses):
            behind = course.good.top_mm > best.good.top_mm or not course.succeeded
            if course.level == best.level and behind and best.succeeded:
                course.good, course.succeeded = best.good, True
                course.ceiling_mm, course.attempt = np.inf, None
            elif course.level != best.level and is_lower:
                self.courses[number] = self._course(number, course.level, progress)
        self._refine(progress)
        return is_lower

    def _refine(self, progress: Progress) -> None:
        """Let seeds go on on a finer lattice: all after some effort, then one by one where nothing is won."""
        level = min(course.level for course in self.courses)
        last = len(self.courses) - 1
        if level == 0 and self.levels > 1 and self.spent >= FINER_AFTER:
            self._go_on(range(last + 1), 1, progress)
        elif level == 1 and self.levels > 2:
            if self.stale == STALE // 2:
                self._make_ready(2)
            elif self.stale == STALE:
                self._go_on([last], 2, progress)
            elif self.stale == 2 * STALE:
                self._go_on(range(last + 1), 2, progress)

    def _go_on(self, numbers: Iterable[int], level: int, progress: Progress) -> None:
        """Begin seeds anew on a lattice, from the box as it is, once its tables are there."""
        self._make_ready(level)
        while not self.made[level].done():
            progress(self.share, "improve")
            wait([self.made[level]], timeout=0.1)
        self.made[level].result()
        for number in numbers:
            if self.courses[number].level != level:
                self.courses[number] = self._course(number, level, progress)


def search_packing(
    task: Task, first: Packing, progress: Progress, executor: Executor | None, ends_s: float | None
) -> tuple[Packing, int]:
    """Return the best packing that passes the gate, and the candidate evaluations spent.

    `ends_s` (of the monotonic clock) ends the search after the round in which it passes. Every better packing
    is reported as the fact `found`.
    """
    if task.search.effort == 0:  # a plan has to be there in seconds: one set of tables for all
        task = replace(task, lenience=FILLING_LENIENCE)
    clearance, best = Clearance(), first
    boxes = [_box_of(task, first)] if _is_one_box(first) else None
    if boxes is None:
        more = min(task.search.effort // 8, MORE_SETS)
        boxes = pack_boxes(task, progress.span(0.0, 0.2), more, executor, ends_s)
        if boxes is None:
            return first, 0
        best = _better(task, packing_of(task, boxes, clearance), first, clearance, progress.span(0.2, 0.2))
        progress(0.2, "nest", found=best.model_dump(mode="json", by_alias=True))
    portfolio = Portfolio(task, boxes[-1], executor, progress.span(0.2, 0.25))
    later = progress.span(0.25, 1.0)
    try:
        while portfolio.goes_on and (ends_s is None or time.monotonic() < ends_s):
            if portfolio.run_round(later):
                packing = packing_of(task, [*boxes[:-1], portfolio.box], clearance)
                here = later.span(portfolio.share, portfolio.share)
                best = _better(task, packing, best, clearance, here)
                later(portfolio.share, "nest", found=best.model_dump(mode="json", by_alias=True))
    finally:
        portfolio.close()
    return best, max(0, portfolio.spent - BASE_EFFORT)


def _is_one_box(packing: Packing) -> bool:
    return all(placement.box == 0 for placement in packing.placements)


def _box_of(task: Task, packing: Packing) -> FilledBox:
    """Return a packing's only box as the search takes it."""
    stands = {(place.core, place.copy_number): place for place in packing.placements}
    members = [member for group in groups_to_place(task.items, task.fixed) for member in group]
    own = [stands[task.items[member.kind].core_id, member.key.copy_number] for member in members]
    places = tuple((place.orientation, np.array(place.matrix)) for place in own)
    return FilledBox(0, tuple(members), locked_bodies(task, 0), places)


def _better(task: Task, packing: Packing, best: Packing, clearance: Clearance, progress: Progress) -> Packing:
    """Return the new packing if it is better and passes the gate, else the best so far."""
    if packing_score(task, packing) >= packing_score(task, best):
        return best
    findings = list(check_packing(task.items, task.box, task.rules, packing, clearance))
    if task.proves_order:
        for box in extraction_orders(task.items, task.box, task.rules, packing, progress.span(0.0, 0.0)):
            findings += box.findings
    return best if any(finding.severity != "note" for finding in findings) else packing


def prepare(task: Task, box: FilledBox) -> None:
    """Load what a round needs into a worker."""
    forms_for(task, box.locked, 0)


def play(job: Round, progress: Progress = SILENT) -> tuple[Course, int]:
    """Return how far one seed comes in one round, and the candidate evaluations it took."""
    squeeze = squeeze_for(job.task, job.box, job.box.members, job.course.level, progress)
    spent = squeeze.advance(job.course, job.evaluations, progress)
    return job.course, spent
