"""Use case: search a better packing for a job, show how good it is, and write it into the job if asked."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from corelib.allowance.compensation import printed_body
from corelib.child import make_executor
from corelib.findings import Finding, has_stop, in_order
from corelib.job.files import changed, read_job, write_job
from corelib.job.models import Job, Packing, Search
from corelib.job.operating_point import operating_point
from corelib.job.packing_edits import with_locked_only
from corelib.nesting.extraction import Extraction, extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.packing import nest_build
from corelib.nesting.quality import BoxQuality, packing_quality
from corelib.plan.build import job_cores
from corelib.plan.packing import packed, plan_rules
from corelib.progress import SILENT, Progress
from corelib.wording import finding_wording

UNBOUNDED_EFFORT = 10**12


@dataclass(frozen=True)
class NestResult:
    """The packing found, its boxes, how they are unpacked, and the search that made it."""

    packing: Packing
    search: Search
    boxes: tuple[BoxQuality, ...]
    orders: tuple[Extraction, ...]
    findings: tuple[Finding, ...]
    lines: tuple[str, ...]

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
    scheduler: str | None = None,
    language: str = "en",
    progress: Progress = SILENT,
) -> NestResult:
    """Return a packing of the job, locked placements kept; with `write` it is written into the job.

    `seconds` ends the search after the round in which they pass, else the job's own effort counts. Raises
    a CorestowError.
    """
    job = read_job(job_path)
    asked = Search(
        seed=job.search.seed if seed is None else seed,
        effort=job.search.effort if seconds is None else UNBOUNDED_EFFORT,
    )
    bare = changed(with_locked_only(job), search=asked)
    found = _search(bare, job_path.parent, seconds, scheduler, language, progress)
    if write:
        write_job(changed(job, packing=found.packing, search=found.search), job_path)
    return found


def _search(
    job: Job, folder: Path, seconds: float | None, scheduler: str | None, language: str, progress: Progress
) -> NestResult:
    point = operating_point(job, folder)
    cores = job_cores(job, folder, point, None, progress.span(0.0, 0.15))
    bodies = [printed_body(core, point.process) for core in cores]
    efforts = [0]
    workers = os.cpu_count() or 1
    executor = make_executor(workers, scheduler) if job.search.effort and (scheduler or workers > 1) else None

    def pack(*arguments: object, **options: object) -> Packing:
        nesting = nest_build(*arguments, **options, executor=executor, seconds=seconds)  # type: ignore[arg-type]
        efforts.append(nesting.effort)
        return nesting.packing

    try:
        packing, _, box, items = packed(job, point, bodies, progress.span(0.15, 0.95), pack)
    finally:
        if executor is not None:
            executor.shutdown(wait=False, cancel_futures=True)
    rules = plan_rules(point)
    findings = list(check_packing(items, box, rules, packing))
    orders = extraction_orders(items, box, rules, packing)
    findings += [finding for order in orders for finding in order.findings]
    boxes = packing_quality(items, box, rules, packing)
    search = Search(seed=job.search.seed, effort=efforts[-1])
    names = {core.item.id: core.item.name for core in cores}
    ordered = in_order(findings)
    lines = (*_box_lines(boxes), *_order_lines(orders), *_finding_lines(ordered, names, language))
    return NestResult(packing, search, boxes, orders, ordered, (*lines, _search_line(search)))


def _box_lines(boxes: tuple[BoxQuality, ...]) -> list[str]:
    lines = []
    for one in boxes:
        bound = "tallest core" if one.tallest_bound_mm >= one.volume_bound_mm else "volume"
        sets = f", {one.whole_sets} whole sets" if one.whole_sets else ""
        lines.append(
            f"Box {one.box + 1}: {one.cores} cores{sets}, height {one.height_mm:.1f} mm, filled to "
            f"{one.fill_pct:.1f} %; no packing is lower than {one.bound_mm:.1f} mm ({bound}), "
            f"{one.above_bound_pct:.0f} % above it; limited by: {one.limited_by}"
        )
    return lines


def _order_lines(orders: tuple[Extraction, ...]) -> list[str]:
    lines = []
    for order in orders:
        tilted = sum(draw.tilt != (0.0, 0.0) for stage in order.stages for draw in stage.draws)
        way = "all straight up" if not tilted else f"{tilted} at a tilt"
        left = f", {len(order.left)} can't be drawn" if order.left else ""
        lines.append(f"Unpacking box {order.box + 1}: {len(order.stages)} sand levels, {way}{left}")
    return lines


def _finding_lines(findings: tuple[Finding, ...], names: dict[str, str], language: str) -> list[str]:
    lines = []
    for finding in findings:
        name = names.get(finding.core) if finding.core else None
        text = finding_wording(finding, name, language)
        lines.append(f"  {finding.severity.upper():6} {text.message} {text.next}")
    return lines


def _search_line(search: Search) -> str:
    return f"Search: seed {search.seed}, {search.effort} candidate evaluations"
