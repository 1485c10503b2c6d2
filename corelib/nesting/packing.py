"""The door of the nesting: items, box and rules to a packing that the gate passes."""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Any

from corelib.errors import InputError
from corelib.findings import has_stop
from corelib.job.models import Packing, Placement, Search
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.gate import check_packing
from corelib.nesting.improving import with_wishes
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.parts import nest_in_parts
from corelib.nesting.pixels import on_pixels
from corelib.nesting.tiers import in_placement_order, pack_in_tiers
from corelib.nesting.whole_layers import on_layers
from corelib.nesting.zones import refuse_bad_zones, zone_items, zone_placements
from corelib.progress import SILENT, Progress

MOST_COPIES = 600
MOST_SHAPES = 700
"""Jobs with more copies or more orientations in all than this are packed part by part."""
PART_COPIES = 300
LOCKED_FAULTS = {
    "nesting.overlap": "nesting.locked_overlap",
    "nesting.gap_short": "nesting.locked_gap_short",
    "nesting.outside_box": "nesting.locked_outside",
    "nesting.in_zone": "nesting.locked_in_zone",
}
"""What the gate finds on locked cores, and the error that says so before the work starts."""


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

    A large job stays in rows and tiers if no effort is asked for, else it is packed part by part. Every
    better packing on the way is reported as the fact `found` of the step `nest`.
    """
    items = sorted(items, key=lambda item: item.core_id)
    refuse_bad_zones(items, box, rules)
    _refuse_bad_fixed(items, box, rules, fixed)
    first = pack_in_tiers(items, box, rules, fixed, progress.span(0.0, 0.05))
    assert not has_stop(check_packing(items, box, rules, first)), "the first packing is valid by construction"
    progress(0.05, "nest", found=first.model_dump(mode="json", by_alias=True))
    count = sum(len(item.copies) for item in items) - len(fixed)
    ends_s = None if seconds is None else time.monotonic() + seconds
    if count == 0:
        return Nesting(first, 0)
    if is_large(items, fixed):
        if search.effort == 0:  # a plan has to be there in seconds
            return Nesting(first, 0)
        return _in_parts(items, box, rules, search, fixed, first, progress.span(0.05, 1.0), executor, ends_s)
    return _searched(items, box, rules, search, fixed, first, progress.span(0.05, 1.0), executor, ends_s)


def is_large(items: Sequence[NestItem], fixed: Sequence[Placement] = ()) -> bool:
    """Return True if there are too many copies or orientations to look at all of them at once."""
    count = sum(len(item.copies) for item in items) - len(fixed)
    return count > MOST_COPIES or sum(len(item.orientations) for item in items) > MOST_SHAPES


def _searched(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    search: Search,
    fixed: Sequence[Placement],
    first: Packing,
    progress: Progress,
    executor: Executor | None,
    ends_s: float | None,
) -> Nesting:
    """Return the better of the first packing and what the engine finds."""
    # imported here, so that a plan whose packing is given never loads the engine's kernels
    from corelib.nesting.boxes import Task
    from corelib.nesting.portfolio import search_packing

    zones = zone_items(box)
    boxes = 1 + max((placement.box for placement in first.placements), default=0)
    stands = (*fixed, *zone_placements(zones, boxes))
    task = Task((*items, *zones), box, rules, search, stands)
    packing, effort = search_packing(task, first, progress.span(0.0, 0.9), executor, ends_s)
    return Nesting(_finished(items, box, rules, packing, fixed, progress.span(0.9, 1.0)), effort)


def _in_parts(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    search: Search,
    fixed: Sequence[Placement],
    first: Packing,
    progress: Progress,
    executor: Executor | None,
    ends_s: float | None,
) -> Nesting:
    """Return a large job's packing, part by part; the first packing where that is better."""

    def quiet(_share: float, step: str, _facts: dict[str, Any]) -> bool:
        progress(0.0, step)  # raises Cancelled by itself; a part's packings are no packings of the job
        return False

    def part(
        own: Sequence[NestItem], space: NestBox, there: Sequence[Placement], share: float
    ) -> tuple[tuple[Placement, ...], int]:
        asked = Search(seed=search.seed, effort=int(search.effort * share))
        begun = pack_in_tiers(own, space, rules, there)
        now_s = time.monotonic()
        until_s = None if ends_s is None else now_s + share * max(0.0, ends_s - now_s)
        found = _searched(own, space, rules, asked, there, begun, Progress(quiet), executor, until_s)
        return found.packing.placements, found.effort

    placements, effort = nest_in_parts(
        items, box, rules, fixed, PART_COPIES, MOST_SHAPES, part, progress.span(0.0, 0.95)
    )
    packing = Packing(placements=in_placement_order(placements))
    if _height_score(items, packing) >= _height_score(items, first):
        return Nesting(first, effort)
    return Nesting(packing, effort)


def _height_score(items: Sequence[NestItem], packing: Packing) -> tuple[int, float]:
    """Return the number of boxes and the sum of their heights."""
    tops: dict[int, float] = {}
    for body in placed_bodies({item.core_id: item for item in items}, packing.placements):
        tops[body.placement.box] = max(tops.get(body.placement.box, 0.0), float(body.high_mm[2]))
    return len(tops), round(sum(tops.values()), 6)


def _finished(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    packing: Packing,
    fixed: Sequence[Placement],
    progress: Progress,
) -> Packing:
    """Return the packing on whole layers; wishes met better and whole pixels where that is asked for."""
    packing = on_layers(items, box, rules, packing)
    if rules.wishes is not None and rules.wishes.any_stated:
        packing = with_wishes(items, box, rules, packing, fixed, progress.span(0.0, 0.8))
    if rules.pixel_mm is not None:
        snapped = on_pixels(items, box, rules, packing, progress.span(0.8, 1.0))
        if not has_stop(check_packing(items, box, rules, snapped)):
            packing = snapped
    return packing


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
        number = None if first.box is None else first.box + 1
        code = LOCKED_FAULTS.get(first.code, "nesting.locked_is_bad")
        raise InputError(code, core=first.core, box=number, fault=first.code, **first.facts)
