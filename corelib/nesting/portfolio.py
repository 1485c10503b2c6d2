"""A portfolio of seeds that lowers one box in rounds; the same result on any number of workers.

In a round every seed gets the same number of candidate evaluations. The results are compared in the order of
the seeds, and a seed that has fallen behind goes on from the best; who computed what, and when, makes no
difference.
"""

from __future__ import annotations

import time
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np

from corelib.job.models import Packing
from corelib.nesting.clearance import Clearance
from corelib.nesting.engine import (
    FilledBox,
    Task,
    box_at,
    forms_for,
    lattice_rows,
    lattices_of,
    locked_bodies,
    pack_boxes,
    packing_of,
    packing_score,
    squeeze_for,
)
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.squeezing import Course
from corelib.nesting.tiers import groups_to_place
from corelib.progress import SILENT, Progress

STEPS = (0.02, 0.05)
"""By what share of the height each seed lowers the ceiling at first: one seed for each."""
FIRST_ROUND, LONGEST_ROUND = 500_000, 8_000_000
"""Candidate evaluations of a seed in a round: from some hundredths of a second to a second or two."""
BASE_EFFORT = 3_000_000
"""Candidate evaluations that every search gets, on top of the effort asked for."""
MORE_SETS = 40_000_000  # at most, for bringing one more set into a box that seems full
STALE = 5  # rounds without a lower packing after which the last seed goes on on the fine lattice


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
        self.levels = len(lattices_of(task)) if task.search.effort else 1
        self.courses = [self._course(n, 0, progress) for n in range(len(STEPS))]
        self.is_stuck = False
        if executor is not None:  # workers get ready while the first round runs here
            for _ in STEPS:
                executor.submit(prepare, task, box)

    def _course(self, number: int, level: int, progress: Progress) -> Course:
        """Return a course that begins where the box's cores are now."""
        squeeze = squeeze_for(self.task, self.box, self.box.members, level, progress)
        rows = lattice_rows(squeeze.forms, self.box)
        rng = np.random.default_rng([self.task.search.seed, number, level, self.spent])
        return Course(rng, STEPS[number], rows.copy(), squeeze.top_mm(rows), rows, level)

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
            found = self._by_workers(jobs, progress)
        self.courses = [course for course, _ in found]
        self.spent += each * seeds
        self.is_stuck = all(spent == 0 for _, spent in found)
        return self._merge(progress)

    def _merge(self, progress: Progress) -> bool:
        """Take over the best course's packing, and let the others go on from it; True if it is lower."""
        best = min(self.courses, key=lambda course: (not course.succeeded, course.good_top_mm))
        is_lower = best.succeeded and best.good_top_mm < self.top_mm
        if is_lower:
            self.top_mm, self.stale = best.good_top_mm, 0
            forms = forms_for(self.task, self.box.locked, best.level, progress)
            self.box = box_at(forms, self.box, self.box.members, best.good)
        else:
            self.stale += 1
        for number, course in enumerate(self.courses):
            behind = course.good_top_mm > best.good_top_mm or not course.succeeded
            if course.level == best.level and behind and best.succeeded:
                course.good, course.good_top_mm = best.good.copy(), best.good_top_mm
                course.succeeded, course.ceiling_mm, course.attempt = True, np.inf, None
            elif course.level > best.level and is_lower:
                self.courses[number] = self._course(number, course.level, progress)
        if self.stale == STALE and self.levels > 1 and self.courses[-1].level == 0:
            self.courses[-1] = self._course(len(self.courses) - 1, 1, progress)
        return is_lower

    def _by_workers(self, jobs: list[Round], progress: Progress) -> list[tuple[Course, int]]:
        assert self.executor is not None
        futures = [self.executor.submit(play, job) for job in jobs]
        found = []
        for future in futures:
            while True:
                progress(self.share, "improve")
                try:
                    found.append(future.result(timeout=0.1))
                    break
                except TimeoutError:
                    continue
        return found


def search_packing(
    task: Task, first: Packing, progress: Progress, executor: Executor | None, ends_s: float | None
) -> tuple[Packing, int]:
    """Return the best packing that passes the gate, and the candidate evaluations spent.

    `ends_s` (of the monotonic clock) ends the search after the round in which it passes. Every better packing
    is reported as the fact `found`.
    """
    clearance, best = Clearance(), first
    boxes = [_box_of(task, first)] if _is_one_box(first) else None
    if boxes is None:
        boxes = pack_boxes(task, progress.span(0.0, 0.2), min(task.search.effort // 8, MORE_SETS))
        if boxes is None:
            return first, 0
        best = _better(task, packing_of(task, boxes, clearance), first, clearance)
        progress(0.2, "nest", found=best.model_dump(mode="json", by_alias=True))
    portfolio = Portfolio(task, boxes[-1], executor, progress.span(0.2, 0.25))
    later = progress.span(0.25, 1.0)
    while portfolio.goes_on and (ends_s is None or time.monotonic() < ends_s):
        if portfolio.run_round(later):
            best = _better(task, packing_of(task, [*boxes[:-1], portfolio.box], clearance), best, clearance)
            later(portfolio.share, "nest", found=best.model_dump(mode="json", by_alias=True))
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


def _better(task: Task, packing: Packing, best: Packing, clearance: Clearance) -> Packing:
    """Return the new packing if it is better and passes the gate, else the best so far."""
    if packing_score(task, packing) >= packing_score(task, best):
        return best
    findings = list(check_packing(task.items, task.box, task.rules, packing, clearance))
    # at gap 0 neighbours share cells of any grid: there the search's own relation has to do
    if task.ordered and min(item.gap_mm for item in task.items) > 0.0:
        for box in extraction_orders(task.items, task.box, task.rules, packing):
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
