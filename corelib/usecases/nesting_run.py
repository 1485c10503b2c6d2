"""Use case: a packing searched in a child, told as it gets better, for whoever watches it grow."""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from concurrent.futures import Executor
from pathlib import Path
from typing import Any

from corelib.allowance.compensation import printed_body
from corelib.child import Answer, Request, end_workers, make_executor
from corelib.findings import has_stop
from corelib.job.files import changed, job_from_document
from corelib.job.models import Job, Packing, Placement, Search
from corelib.job.operating_point import operating_point
from corelib.job.packing_edits import with_locked_only
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.packing import nest_build
from corelib.nesting.quality import BoxQuality, packing_quality
from corelib.plan.build import job_cores
from corelib.plan.nest_input import is_complete
from corelib.plan.packing import packed, plan_rules, riding_along
from corelib.progress import Progress
from corelib.usecases.nesting import UNBOUNDED_EFFORT


class _Search:
    """Searches for `packed`, which may call it more than once, and tells what is found with its boxes.

    All calls together take `seconds`. A packing is whole if every box in it has what rides along.
    """

    def __init__(self, executor: Executor | None, seconds: float | None, rides_along: bool) -> None:
        self.executor, self.rides_along = executor, rides_along
        self.ends_s = None if seconds is None else time.monotonic() + seconds
        self.effort = 0

    def __call__(
        self, items: Sequence[NestItem], box: NestBox, rules: NestRules, search: Search,
        *, fixed: Sequence[Placement] = (), progress: Progress,
    ) -> Packing:  # fmt: skip
        def listen(share: float, step: str, facts: dict[str, Any]) -> bool:
            if "found" in facts:
                facts = {
                    **facts,
                    **self._told(Packing.model_validate(facts["found"]), items, box, rules, fixed),
                }
            progress(share, step, **facts)  # raises Cancelled by itself
            return False

        left_s = None if self.ends_s is None else max(0.0, self.ends_s - time.monotonic())
        nesting = nest_build(
            items, box, rules, search,
            fixed=fixed, progress=Progress(listen), executor=self.executor, seconds=left_s,
        )  # fmt: skip
        self.effort = nesting.effort
        return nesting.packing

    def _told(
        self, packing: Packing, items: Sequence[NestItem], box: NestBox, rules: NestRules,
        fixed: Sequence[Placement],
    ) -> dict[str, Any]:  # fmt: skip
        boxes = packing_quality(items, box, rules, packing)
        fixed_boxes = {place.box for place in fixed}
        is_whole = not self.rides_along or {one.box for one in boxes} == fixed_boxes
        return {"boxes": [_figures(one) for one in boxes], "is_whole": is_whole}


def _figures(quality: BoxQuality) -> dict[str, Any]:
    return {
        "height_mm": quality.height_mm,
        "fill_pct": quality.fill_pct,
        "cores": quality.cores,
        "whole_sets": quality.whole_sets,
        "least_height_mm": quality.bound_mm,
        "limited_by": quality.limited_by,
    }


def run_nest(request: Request, progress: Progress) -> Answer:
    """Run in a child: search a packing of the job `document` (its folder is that of `job`).

    Locked placements stay. `seconds` ends the search after the round in which they pass; without it the
    job's own effort counts. `begin_with` is how many boxes the job is thought to need. Every better packing
    is reported as the fact `found`, with `boxes` (height and fill of each) and `is_whole` (False if a box
    lacks what rides along). The answer has `packing`, `boxes`, `search` (seed, effort reached), and
    `is_better`: False if the job has a packing that can be built and is as low in as few boxes.
    """
    path = Path(request["job"])
    job = job_from_document(request["document"], str(path))
    seconds = request.get("seconds")
    asked = Search(seed=job.search.seed, effort=job.search.effort if seconds is None else UNBOUNDED_EFFORT)
    bare = changed(with_locked_only(job), search=asked)
    point = operating_point(bare, path.parent)
    cores = job_cores(bare, path.parent, point, None, progress.span(0.0, 0.1))
    bodies = [printed_body(core, point.process) for core in cores]
    workers = os.cpu_count() or 1
    executor = make_executor(workers) if asked.effort and workers > 1 else None
    search = _Search(executor, seconds, bool(riding_along(bare)))
    span = progress.span(0.1, 1.0)
    try:
        packing, _, box, items = packed(bare, point, bodies, span, search, request.get("begin_with"))
    finally:
        if executor is not None:
            end_workers(executor)
    rules = plan_rules(point)
    return {
        "packing": packing.model_dump(mode="json", by_alias=True),
        "boxes": [_figures(one) for one in packing_quality(items, box, rules, packing)],
        "search": {"seed": asked.seed, "effort": search.effort},
        "is_better": _is_better(packing, job, items, box, rules),
    }


def _is_better(packing: Packing, job: Job, items: Sequence[NestItem], box: NestBox, rules: NestRules) -> bool:
    """Return False if the job's own packing can be built and takes no more boxes or height."""
    old = job.packing
    if old is None or not is_complete(old, items):
        return True
    findings = list(check_packing(items, box, rules, old))
    findings += [finding for order in extraction_orders(items, box, rules, old) for finding in order.findings]
    return has_stop(findings) or _score(packing, items, box, rules) < _score(old, items, box, rules)


def _score(packing: Packing, items: Sequence[NestItem], box: NestBox, rules: NestRules) -> tuple[int, float]:
    boxes = packing_quality(items, box, rules, packing)
    return len(boxes), round(sum(one.height_mm for one in boxes), 6)
