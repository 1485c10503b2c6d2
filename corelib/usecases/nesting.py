"""Use case: search a better packing for a job, show how good it is, and write it into the job if asked."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from corelib.allowance.body import PrintedBody
from corelib.allowance.compensation import printed_body
from corelib.child import end_workers, make_executor
from corelib.errors import Cancelled
from corelib.export.nesting_text import (
    box_lines,
    change_lines,
    finding_lines,
    most_sets_text,
    order_lines,
    search_line,
    wish_lines,
)
from corelib.findings import Finding, has_stop, in_order
from corelib.job.files import changed, read_job, write_job
from corelib.job.models import Job, Packing, Placement, Search
from corelib.job.operating_point import operating_point
from corelib.job.packing_edits import with_locked_only
from corelib.job.profiles import OperatingPoint
from corelib.layers.cache import LayerCache
from corelib.mesh.core import LoadedCore
from corelib.nesting.extraction import Extraction, extraction_orders
from corelib.nesting.keeping import Changes, can_stay, changes_between, rekeyed
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.packing import nest_build
from corelib.nesting.quality import BoxQuality, packing_quality
from corelib.nesting.wishes import wishes_met
from corelib.plan.build import job_cores
from corelib.plan.full_boxes import BoxFiller
from corelib.plan.nest_input import nest_box, nest_items
from corelib.plan.packing import job_rules, packed, plan_rules, riding_along
from corelib.plan.packing_findings import packing_findings
from corelib.progress import SILENT, Progress

UNBOUNDED_EFFORT = 10**12


@dataclass(frozen=True)
class NestResult:
    """The packing found, its boxes, how they are unpacked, and the search that made it.

    After a cancel it is the best packing so far, which passed gate and order when it was found; `orders` is
    empty then. `changes` is None unless the job's packing was to be kept.
    """

    packing: Packing
    search: Search
    boxes: tuple[BoxQuality, ...]
    orders: tuple[Extraction, ...]
    findings: tuple[Finding, ...]
    lines: tuple[str, ...]
    changes: Changes | None = None
    was_cancelled: bool = False

    @property
    def has_stop(self) -> bool:
        """True if the packing must not be built."""
        return has_stop(self.findings)


def nest_job(
    job_path: Path,
    *,
    seconds: float | None = None,
    seed: int | None = None,
    write: bool = False,
    keep: bool = False,
    scheduler: str | None = None,
    language: str = "en",
    progress: Progress = SILENT,
) -> NestResult:
    """Return a packing of the job, locked placements kept; with `write` it is written into the job.

    `seconds` ends the search after the round in which they pass, else the job's own effort counts. `keep`
    leaves every core of the job's packing where it is unless it can't stay or a box more would be needed.
    A cancel (by `progress`, or a keyboard interrupt) ends the search with the best packing so far. Raises a
    CorestowError.
    """
    job = read_job(job_path)
    effort = job.search.effort if seconds is None else UNBOUNDED_EFFORT
    asked = Search(seed=job.search.seed if seed is None else seed, effort=effort)
    work = _Work(changed(job, search=asked), job_path.parent, seconds, scheduler, progress)
    found = work.kept(language) if keep and job.packing is not None else work.nested(language)
    if write:
        write_job(changed(job, packing=found.packing, search=found.search), job_path)
    return found


def most_sets_line(job_path: Path, *, language: str = "en", progress: Progress = SILENT) -> str:
    """Return how many whole casting sets of each kind a full box holds, in a sentence."""
    job = read_job(job_path)
    point = operating_point(job, job_path.parent)
    cores = job_cores(job, job_path.parent, point, None, progress.span(0.0, 0.15))
    bodies = [printed_body(core, point.process) for core in cores]
    sets = BoxFiller(job, point, bodies, LayerCache()).most_sets(progress.span(0.15, 1.0))
    return most_sets_text(sets, language)


@dataclass
class _Search:
    """One search for `packed`, which may call it more than once; keeps the best packing over a cancel."""

    executor: Executor | None
    seconds: float | None
    effort: int = 0
    was_cancelled: bool = False

    def __call__(
        self, items: Sequence[NestItem], box: NestBox, rules: NestRules, search: Search,
        *, fixed: Sequence[Placement] = (), progress: Progress = SILENT,
    ) -> Packing:  # fmt: skip
        found: list[Packing] = []
        if self.was_cancelled:  # only what is quick
            return nest_build(items, box, rules, Search(seed=search.seed), fixed=fixed).packing

        def listen(share: float, step: str, facts: dict[str, Any]) -> bool:
            if "found" in facts:
                found[:] = [Packing.model_validate(facts["found"])]
            progress(share, step, **facts)
            return False

        try:
            nesting = nest_build(
                items, box, rules, search,
                fixed=fixed, progress=Progress(listen), executor=self.executor, seconds=self.seconds,
            )  # fmt: skip
        except (Cancelled, KeyboardInterrupt):
            if not found:
                raise
            self.was_cancelled = True
            return found[0]
        self.effort = max(self.effort, nesting.effort)  # short trials may follow
        return nesting.packing


class _Work:
    """A job made ready for the search: its point, cores and printed bodies."""

    def __init__(
        self, job: Job, folder: Path, seconds: float | None, scheduler: str | None, progress: Progress
    ) -> None:
        self.job, self.seconds, self.scheduler, self.progress = job, seconds, scheduler, progress
        self.point: OperatingPoint = operating_point(job, folder)
        self.cores: tuple[LoadedCore, ...] = job_cores(
            job, folder, self.point, None, progress.span(0.0, 0.15)
        )
        self.bodies: list[PrintedBody] = [printed_body(core, self.point.process) for core in self.cores]

    def nested(self, language: str) -> NestResult:
        """Return the packing of everything that isn't locked."""
        return self._result(with_locked_only(self.job), language)

    def kept(self, language: str) -> NestResult:
        """Return the packing in which as few cores as possible move."""
        old = self.job.packing
        assert old is not None, "asked for only where there is a packing"
        rules = plan_rules(self.point)
        box = nest_box(self.job, self.point, rules.layer_thickness_mm)
        boxes = 1 + max((place.box for place in old.placements), default=0)
        items = nest_items(self.job, self.point, self.bodies, riding_along(self.job, boxes))
        before = rekeyed(items, old)
        stay = can_stay(items, box, rules, before)
        found = self._result(_with_fixed(self.job, stay), language)
        if 1 + max(place.box for place in found.packing.placements) > boxes and not found.was_cancelled:
            # rather than open a box more, the last box may be packed anew
            fewer = [place for place in stay if place.locked or place.box < boxes - 1]
            again = self._result(_with_fixed(self.job, fewer), language)
            if max(p.box for p in again.packing.placements) < max(p.box for p in found.packing.placements):
                found = again
        return _with_changes(found, old, before, {c.item.id: c.item.name for c in self.cores}, language)

    def _result(self, job: Job, language: str) -> NestResult:
        workers = os.cpu_count() or 1
        wanted = job.search.effort and (self.scheduler or workers > 1)
        executor = make_executor(workers, self.scheduler) if wanted else None
        search = _Search(executor, self.seconds)
        try:
            packing, _, box, items = packed(
                job, self.point, self.bodies, self.progress.span(0.15, 0.95), search
            )
        finally:
            if executor is not None:
                end_workers(executor)
        rules = job_rules(job, self.point)
        orders: tuple[Extraction, ...] = ()
        findings: tuple[Finding, ...] = ()
        if not search.was_cancelled:
            try:
                orders = extraction_orders(items, box, rules, packing, self.progress.span(0.95, 1.0))
                findings = in_order(packing_findings(items, box, rules, packing, orders, job.search.effort))
            except (Cancelled, KeyboardInterrupt):
                orders, search.was_cancelled = (), True
        boxes = packing_quality(items, box, rules, packing)
        reached = Search(seed=job.search.seed, effort=search.effort)
        names = {core.item.id: core.item.name for core in self.cores}
        lines = (
            *box_lines(boxes, language),
            *wish_lines(wishes_met(items, job.wishes, packing), language),
            *order_lines(orders, language),
            *finding_lines(findings, names, language),
            search_line(reached.seed, reached.effort, search.was_cancelled, language),
        )
        return NestResult(
            packing, reached, boxes, orders, findings, lines, was_cancelled=search.was_cancelled
        )  # fmt: skip


def _with_fixed(job: Job, stay: Sequence[Placement]) -> Job:
    """Return the job with placements that all stay where they are."""
    fixed = [place.model_copy(update={"locked": True}) for place in stay]
    return changed(job, packing=Packing(placements=tuple(fixed)).model_dump(by_alias=True))


def _with_changes(
    found: NestResult, old: Packing, before: Sequence[Placement], names: dict[str, str], language: str
) -> NestResult:
    """Return the result with what moved, and with the locks that the user set and no others."""
    locked = {(p.core, p.copy_number) for p in before if p.locked}
    placements = tuple(
        place.model_copy(update={"locked": (place.core, place.copy_number) in locked})
        for place in found.packing.placements
    )
    packing = Packing(placements=placements)
    changes = changes_between(old, before, packing)
    return NestResult(
        packing, found.search, found.boxes, found.orders, found.findings,
        (*found.lines, *change_lines(changes, names, language)), changes, found.was_cancelled,
    )  # fmt: skip
