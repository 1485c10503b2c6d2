"""The door of the nesting: items, box and rules to a packing that the gate passes."""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

from corelib.errors import InputError
from corelib.findings import has_stop
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.clearance import Clearance
from corelib.nesting.engine import MOST_SHAPES, Task, pack_on_lattice, packing_of, packing_score
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.portfolio import SEEDS, Portfolio
from corelib.nesting.tiers import pack_in_tiers
from corelib.progress import SILENT, Progress

MOST_COPIES = 600
"""More copies than this are packed in rows and tiers."""


@dataclass(frozen=True)
class Nesting:
    """A packing and the search effort (candidate evaluations) that made it."""

    packing: Packing
    effort: int


def pack_build(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    search: Search,
    *,
    fixed: Sequence[Placement] = (),
    progress: Progress = SILENT,
    executor: Executor | None = None,
) -> Packing:
    """Return a packing of all copies, `fixed` ones left where they are.

    Deterministic for equal input, on any number of workers. Raises InputError for a core that fits in no
    allowed orientation and for fixed placements that break a gap or a margin.
    """
    return nest_build(items, box, rules, search, fixed=fixed, progress=progress, executor=executor).packing


def nest_build(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    search: Search,
    *,
    fixed: Sequence[Placement] = (),
    progress: Progress = SILENT,
    executor: Executor | None = None,
    seconds: float | None = None,
) -> Nesting:
    """Return a packing and the effort reached; `seconds` ends the search at the end of a round.

    Every better packing on the way is reported as the fact `found` of the step `nest`.
    """
    started_s = time.monotonic()
    items = sorted(items, key=lambda item: item.core_id)
    _refuse_bad_fixed(items, box, rules, fixed)
    best = pack_in_tiers(items, box, rules, fixed, progress.span(0.0, 0.05))
    assert not has_stop(check_packing(items, box, rules, best)), "the first packing is valid by construction"
    task = Task(tuple(items), box, rules, search, tuple(fixed))
    if not _is_for_engine(task):
        return Nesting(best, 0)
    clearance = Clearance()
    boxes = pack_on_lattice(task, clearance, progress.span(0.05, 0.2), search.effort // 8)
    if boxes is None:
        return Nesting(best, 0)
    best = _better(task, packing_of(task, boxes, clearance), best, clearance)
    portfolio = Portfolio(task, boxes[-1], search.effort, executor)
    later = progress.span(0.2, 1.0)
    while portfolio.goes_on and (seconds is None or time.monotonic() - started_s < seconds):
        if portfolio.run_round(later):
            best = _better(task, packing_of(task, boxes, clearance), best, clearance)
            later(portfolio.share, "nest", found=best.model_dump(mode="json", by_alias=True))
    return Nesting(best, portfolio.spent)


def _better(task: Task, packing: Packing, best: Packing, clearance: Clearance) -> Packing:
    """Return the new packing if it is better and passes the gate, else the best so far."""
    if packing_score(task, packing) >= packing_score(task, best):
        return best
    findings = check_packing(task.items, task.box, task.rules, packing, clearance)
    return best if has_stop(findings) else packing


def _is_for_engine(task: Task) -> bool:
    """Return True if the job is of a size that the engine packs in reasonable time."""
    count = sum(len(item.copies) for item in task.items) - len(task.fixed)
    shapes = sum(len(item.orientations) for item in task.items)
    return 0 < count <= MOST_COPIES and shapes <= MOST_SHAPES


def _refuse_bad_fixed(
    items: Sequence[NestItem], box: NestBox, rules: NestRules, fixed: Sequence[Placement]
) -> None:
    """Raise InputError if the fixed placements can't stay as they are."""
    if not fixed:
        return
    findings = check_packing(items, box, rules, Packing(placements=tuple(fixed)))
    bad = [finding for finding in findings if finding.code != "nesting.copy_missing"]
    if has_stop(bad):
        first = bad[0]
        raise InputError("nesting.locked_is_bad", core=first.core, fault=first.code, **first.facts)


__all__ = ["SEEDS", "Nesting", "nest_build", "pack_build"]
