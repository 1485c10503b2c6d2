"""Least change: a packing whose cores stay where they are while a job's wants change.

Copies of a core are alike, so a core that lay in the box for one order may serve another; only what has no
place yet is placed, and only what can't stay is moved.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from corelib.job.models import Packing, Placement
from corelib.nesting.clearance import Clearance
from corelib.nesting.gate import check_packing
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules

Copy = tuple[str, int]
"""A core's id and copy number."""


@dataclass(frozen=True)
class Changes:
    """What a new packing does to the old one; a core that is `dropped` is no longer wanted."""

    kept: tuple[Copy, ...]
    moved: tuple[Copy, ...]
    added: tuple[Copy, ...]
    dropped: tuple[Copy, ...]


def rekeyed(items: Sequence[NestItem], packing: Packing) -> tuple[Placement, ...]:
    """Return the packing's placements that are still wanted, each for one of the copies now wanted."""
    kept: list[Placement] = []
    for item in items:
        old = [place for place in packing.placements if place.core == item.core_id]
        for key, place in _matched(list(item.copies), sorted(old, key=lambda p: (p.box, p.copy_number))):
            named = {"copy_number": key.copy_number, "set_id": key.set_id, "set_index": key.set_index}
            kept.append(place.model_copy(update=named))
    return tuple(kept)


def _matched(wanted: list[CopyKey], old: list[Placement]) -> list[tuple[CopyKey, Placement]]:
    """Return pairs of copy and place: the same copy first, then the same set, then any."""
    pairs: list[tuple[CopyKey, Placement]] = []
    sames: tuple[Callable[[CopyKey, Placement], bool], ...] = (
        lambda key, place: (key.copy_number, *_owner(key)) == (place.copy_number, *_owner(place)),
        lambda key, place: key.set_id is not None and _owner(key) == _owner(place),
        lambda key, place: _owner(key) == _owner(place),
        lambda key, place: True,
    )
    for same in sames:
        for place in list(old):
            key = next((key for key in wanted if same(key, place)), None)
            if key is not None:
                pairs.append((key, place))
                wanted.remove(key)
                old.remove(place)
    return pairs


def _owner(of: CopyKey | Placement) -> tuple[str | None, int | None]:
    return of.set_id, of.set_index


def can_stay(
    items: Sequence[NestItem], box: NestBox, rules: NestRules, placements: Sequence[Placement]
) -> tuple[Placement, ...]:
    """Return the placements that the gate lets stand beside each other; locked ones are all kept."""
    kept, clearance = list(placements), Clearance()
    while True:
        found = check_packing(items, box, rules, Packing(placements=tuple(kept)), clearance)
        bad = {(f.core, f.facts["copy"]) for f in found if f.severity == "stop" and "copy" in f.facts}
        left = [p for p in kept if p.locked or (p.core, p.copy_number) not in bad]
        if len(left) == len(kept):
            return tuple(kept)
        kept = left


def changes_between(old: Packing, before: Sequence[Placement], after: Packing) -> Changes:
    """Return what changed from the placements `before` (those of `old` still wanted) to the packing after."""
    was = {(p.core, p.copy_number): (p.box, p.matrix) for p in before}
    now = {(p.core, p.copy_number): (p.box, p.matrix) for p in after.placements}
    counts: dict[str, int] = {}
    for place in before:
        counts[place.core] = counts.get(place.core, 0) + 1
    dropped: list[Copy] = []
    for core in sorted({p.core for p in old.placements}):
        numbers = sorted(p.copy_number for p in old.placements if p.core == core)
        dropped += [(core, number) for number in numbers[counts.get(core, 0) :]]
    return Changes(
        kept=tuple(sorted(key for key in now if was.get(key) == now[key])),
        moved=tuple(sorted(key for key in now if key in was and was[key] != now[key])),
        added=tuple(sorted(now.keys() - was.keys())),
        dropped=tuple(dropped),
    )
