"""The door of the nesting: items, box and rules to a packing that the gate passes."""

from __future__ import annotations

from collections.abc import Sequence

from corelib.errors import InputError
from corelib.findings import has_stop
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.tiers import pack_in_tiers
from corelib.progress import SILENT, Progress


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
    _refuse_bad_fixed(items, box, rules, fixed)
    return pack_in_tiers(items, box, rules, fixed, progress)


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
