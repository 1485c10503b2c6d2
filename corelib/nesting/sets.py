"""Casting sets and due dates over the boxes: sets that are split, boxes in the wrong order."""

from __future__ import annotations

from collections.abc import Sequence

from corelib.findings import Finding
from corelib.job.models import Packing
from corelib.nesting.model import NestItem

Copy = tuple[str, int]


def due_dates(items: Sequence[NestItem]) -> dict[Copy, str]:
    """Return the day by which each copy is needed, for those that have one."""
    return {
        (item.core_id, key.copy_number): key.due_date
        for item in items
        for key in item.copies
        if key.due_date is not None
    }


def set_findings(items: Sequence[NestItem], packing: Packing) -> list[Finding]:
    """Return a note on sets over more than one box, a check for a box out of the order of due dates."""
    return [*_split_sets(packing), *_wrong_order(items, packing)]


def _split_sets(packing: Packing) -> list[Finding]:
    boxes: dict[tuple[str, int], set[int]] = {}
    for place in packing.placements:
        if place.set_id is not None and place.set_index is not None:
            boxes.setdefault((place.set_id, place.set_index), set()).add(place.box)
    split = sorted(key for key, numbers in boxes.items() if len(numbers) > 1)
    return [
        Finding("nesting.set_split", "note", {"set": set_id, "count": sum(key[0] == set_id for key in split)})
        for set_id in sorted({set_id for set_id, _ in split})
    ]


def _wrong_order(items: Sequence[NestItem], packing: Packing) -> list[Finding]:
    """Yield one finding for each box that holds something due before what an earlier box holds."""
    due = due_dates(items)
    if not due:
        return []
    by_box: dict[int, list[tuple[str, Copy]]] = {}
    for place in packing.placements:
        copy = place.core, place.copy_number
        if copy in due:
            by_box.setdefault(place.box, []).append((due[copy], copy))
    findings = []
    latest: tuple[str, int] = ("", 0)
    for number, held in sorted(by_box.items()):
        day, (core, copy_number) = min(held)
        if day < latest[0]:
            facts = {"copy": copy_number, "due": day, "other_box": latest[1] + 1, "other_due": latest[0]}
            findings.append(Finding("nesting.due_in_later_box", "check", facts, core=core, box=number))
        latest = max(latest, (max(held)[0], number))
    return findings
