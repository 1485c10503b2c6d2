"""The door of the nesting: items, box and rules to a packing that the gate passes."""

from __future__ import annotations

from collections.abc import Sequence

from corelib.errors import InputError
from corelib.findings import has_stop
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.clearance import Clearance
from corelib.nesting.engine import MOST_SHAPES, Task, pack_on_lattice, packing_score
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.tiers import pack_in_tiers
from corelib.progress import SILENT, Progress

MOST_COPIES = 600


def pack_build(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    search: Search,
    *,
    fixed: Sequence[Placement] = (),
    progress: Progress = SILENT,
) -> Packing:
    """Return a packing of all copies, `fixed` ones left where they are.

    Deterministic for equal input. Raises InputError for a core that fits in no allowed orientation and for
    fixed placements that break a gap or a margin.
    """
    items = sorted(items, key=lambda item: item.core_id)
    _refuse_bad_fixed(items, box, rules, fixed)
    first = pack_in_tiers(items, box, rules, fixed, progress.span(0.0, 0.1))
    task = Task(tuple(items), box, rules, search, tuple(fixed))
    if not _is_for_engine(task):
        return first
    clearance = Clearance()
    packing = pack_on_lattice(task, clearance, progress.span(0.1, 1.0))
    if packing is None or packing_score(task, packing) >= packing_score(task, first):
        return first
    findings = check_packing(items, box, rules, packing, clearance)
    return first if has_stop(findings) else packing


def _is_for_engine(task: Task) -> bool:
    """Return True if the job is of a size that the engine packs in reasonable time."""
    copies = sum(len(item.copies) for item in task.items)
    return 0 < copies <= MOST_COPIES and sum(len(i.orientations) for i in task.items) <= MOST_SHAPES


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
