"""A portfolio of seeds that lowers one box in rounds; the same result on any number of workers.

A round gives every seed the same number of candidate evaluations from the best packing so far; the results
are compared in the order of the seeds, so who computed them, and when, makes no difference.
"""

from __future__ import annotations

import time
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.job.models import Packing
from corelib.nesting.clearance import Clearance, placed_bodies
from corelib.nesting.engine import (
    FilledBox,
    Task,
    bank_for,
    core_sizes,
    field_of,
    lock_in,
    pack_on_lattice,
    packing_of,
    packing_score,
)
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.lowering import Budget, Squeeze
from corelib.progress import SILENT, Progress

SEEDS = 2
ROUND = 1_500_000
"""Candidate evaluations of a seed in a round: two to five seconds."""


@dataclass(frozen=True, eq=False)
class Round:
    """What a worker needs for one seed's round."""

    task: Task
    number: int
    kinds: tuple[int, ...]
    rows: NDArray[np.int64]
    round_number: int
    seed: int
    evaluations: int


class Portfolio:
    """The search over one filled box; `run_round` improves the box's field in place."""

    def __init__(self, task: Task, box: FilledBox, effort: int, executor: Executor | None) -> None:
        self.task, self.box, self.effort, self.executor = task, box, effort, executor
        self.spent = 0
        self.rounds = 0

    @property
    def goes_on(self) -> bool:
        """True while there is effort left and height to win."""
        return self.spent < self.effort and self.box.field.top > self.box.field.least_top()

    @property
    def share(self) -> float:
        """Share of the effort that is spent."""
        return min(1.0, self.spent / max(1, self.effort))

    def run_round(self, progress: Progress) -> bool:
        """Run one round; return True if the box became lower."""
        field = self.box.field
        each = max(1, min(ROUND, (self.effort - self.spent) // SEEDS))
        kinds = tuple(member.kind for member in self.box.members)
        rounds = [
            Round(self.task, self.box.number, kinds, field.rows.copy(), self.rounds, seed, each)
            for seed in range(SEEDS)
        ]
        if self.executor is None:
            width = (1.0 - self.share) * min(1.0, each * SEEDS / max(1, self.effort - self.spent))
            spans = [
                progress.span(self.share + width * n / SEEDS, self.share + width * (n + 1) / SEEDS)
                for n in range(SEEDS)
            ]
            found = [play(job, span) for job, span in zip(rounds, spans, strict=True)]
        else:
            found = self._by_workers(rounds, progress)
        self.rounds += 1
        self.spent += each * SEEDS
        top, rows = min(((top, rows) for top, rows in found), key=lambda pair: pair[0])
        if top >= field.top:
            return False
        field.load(rows)
        return True

    def _by_workers(self, rounds: list[Round], progress: Progress) -> list[tuple[int, NDArray[np.int64]]]:
        assert self.executor is not None
        futures = [self.executor.submit(play, job) for job in rounds]
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
    clearance = Clearance()
    more = min(task.search.effort // 8, ROUND)
    boxes = pack_on_lattice(task, progress.span(0.0, 0.2), more)
    if boxes is None:
        return first, 0
    best = _better(task, packing_of(task, boxes, clearance), first, clearance)
    progress(0.2, "nest", found=best.model_dump(mode="json", by_alias=True))
    portfolio = Portfolio(task, boxes[-1], task.search.effort, executor)
    later = progress.span(0.2, 1.0)
    while portfolio.goes_on and (ends_s is None or time.monotonic() < ends_s):
        if portfolio.run_round(later):
            best = _better(task, packing_of(task, boxes, clearance), best, clearance)
            later(portfolio.share, "nest", found=best.model_dump(mode="json", by_alias=True))
    return best, portfolio.spent


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


def play(job: Round, progress: Progress = SILENT) -> tuple[int, NDArray[np.int64]]:
    """Return the top and rows that one seed reaches in one round."""
    task, bank = job.task, bank_for(job.task)
    known = {item.core_id: item for item in task.items}
    places = lock_in(task, bank, placed_bodies(known, [p for p in task.fixed if p.box == job.number]))
    field = field_of(task, bank, places, job.kinds)
    field.load(job.rows)
    rng = np.random.default_rng([task.search.seed, job.seed, job.round_number])
    Squeeze(field, core_sizes(field), rng).lower(Budget(job.evaluations, progress), field.least_top())
    return field.top, field.rows.copy()
