"""Large jobs part by part: so many copies that the engine can look at, box after box, equal boxes only once.

A part is about two boxes' worth of copies in their order; its full boxes are kept and the rest goes on into
the next part. Where the next copies are of the same types as those of a full box, the box is repeated. Where
many small copies leave a box with room above them, the next part is packed on top.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from corelib.errors import InputError
from corelib.geometry.pose import Orientation
from corelib.job.models import Placement
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.orientations import turned_box_mm
from corelib.nesting.quality import mesh_volume_mm3
from corelib.nesting.tiers import MOST_BOXES, Group, groups_to_place, whole_layers_mm
from corelib.progress import Progress

MOST_TYPES = 100  # core types in a part
PART_SHARE = 0.7  # of the box's volume that a part's cores have: more than fits one box

NestPart = Callable[
    [Sequence[NestItem], NestBox, Sequence[Placement], float], tuple[tuple[Placement, ...], int]
]
"""Packs a part: items, box, fixed placements, share of the whole job; returns placements and effort."""


@dataclass(frozen=True)
class _Pattern:
    """A full box to repeat: the types of its groups, its placements in their order, and what stood in it."""

    kinds: tuple[tuple[int, ...], ...]
    placements: tuple[Placement, ...]
    fixed: frozenset[object]


def nest_in_parts(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    fixed: Sequence[Placement],
    most_copies: int,
    most_shapes: int,
    nest: NestPart,
    progress: Progress,
) -> tuple[tuple[Placement, ...], int]:
    """Return placements of all copies, fixed ones too, and the effort; raises InputError as `nest` does."""
    placed: list[Placement] = list(fixed)
    total = sum(len(item.copies) for item in items) - len(fixed)
    number, effort, floor_mm = 0, 0, box.floor_margin_mm
    pattern: _Pattern | None = None
    while groups := groups_to_place(items, placed):
        if number > MOST_BOXES:
            raise InputError("nesting.too_many_boxes", most=MOST_BOXES + 1)
        progress(1.0 - sum(len(group) for group in groups) / total, "nest")
        here = [p.model_copy(update={"box": p.box - number}) for p in fixed if p.box >= number]
        if pattern is not None and floor_mm == box.floor_margin_mm:
            again = _repeated(pattern, items, groups, here, number)
            if again:
                placed += again
                number += 1
                continue
        part = _part(items, groups, box, most_copies)
        raised = replace(box, floor_margin_mm=floor_mm)
        own = _with_copies_of(items, part, here, most_shapes)
        try:
            found, spent = nest(own, raised, here, sum(len(group) for group in part) / total)
        except InputError:
            if floor_mm == box.floor_margin_mm:
                raise
            number, floor_mm = number + 1, box.floor_margin_mm  # no room on top: the next box
            continue
        effort += spent
        stood = {(p.core, p.copy_number) for p in here}
        new = [p for p in found if (p.core, p.copy_number) not in stood]
        last = max(p.box for p in new)
        kept = new if len(part) == len(groups) else [p for p in new if p.box < max(1, last)]
        placed += [p.model_copy(update={"box": p.box + number}) for p in kept]
        if last > 0:
            pattern = _pattern(items, groups, kept, here) if floor_mm == box.floor_margin_mm else pattern
            number, floor_mm = number + last, box.floor_margin_mm
        elif here:
            number += 1  # what is fixed may stand anywhere: nothing is packed on top
        else:
            floor_mm = _next_floor_mm(items, kept, rules)
    return tuple(placed), effort


def _part(items: Sequence[NestItem], groups: Sequence[Group], box: NestBox, most_copies: int) -> list[Group]:
    """Return the first groups that make a part: enough for more than a box, and not too many."""
    room_mm3 = PART_SHARE * float(np.prod(np.subtract(box.high_mm, box.low_mm)))
    volume = [mesh_volume_mm3(item.mesh) for item in items]
    part: list[Group] = []
    copies, held_mm3, kinds = 0, 0.0, set[int]()
    for group in groups:
        kinds |= {member.kind for member in group}
        copies += len(group)
        if part and (copies > most_copies or held_mm3 > room_mm3 or len(kinds) > MOST_TYPES):
            break
        part.append(group)
        held_mm3 += sum(volume[member.kind] for member in group)
    return part


def _with_copies_of(
    items: Sequence[NestItem], part: Sequence[Group], fixed: Sequence[Placement], most_shapes: int
) -> list[NestItem]:
    """Return the items with the part's copies and the fixed ones, orientations thinned out if too many."""
    wanted: dict[int, set[int]] = {}
    for group in part:
        for member in group:
            wanted.setdefault(member.kind, set()).add(member.key.copy_number)
    for place in fixed:
        kind = next(n for n, item in enumerate(items) if item.core_id == place.core)
        wanted.setdefault(kind, set()).add(place.copy_number)
    most = max(1, most_shapes // len(wanted))
    own = []
    for kind, numbers in sorted(wanted.items()):
        item = items[kind]
        copies = tuple(key for key in item.copies if key.copy_number in numbers)
        own.append(replace(_fewer_turns(item, most), copies=copies))
    return own


def _fewer_turns(item: NestItem, most: int) -> NestItem:
    """Return the item with at most so many orientations, those of different sizes first."""
    if len(item.orientations) <= most:
        return item
    sizes: set[tuple[float, ...]] = set()
    other: list[Orientation] = []
    alike: list[Orientation] = []
    for orientation in item.orientations:
        low, high = turned_box_mm(item.mesh, orientation.rotation)
        size = tuple((high - low).round(6).tolist())
        (alike if size in sizes else other).append(orientation)
        sizes.add(size)
    return replace(item, orientations=tuple([*other, *alike][:most]))


def _kinds(groups: Sequence[Group]) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(member.kind for member in group) for group in groups)


def _stands(fixed: Sequence[Placement], number: int = 0) -> frozenset[object]:
    return frozenset((p.core, p.matrix) for p in fixed if p.box == number)


def _pattern(
    items: Sequence[NestItem], groups: Sequence[Group], kept: Sequence[Placement], fixed: Sequence[Placement]
) -> _Pattern | None:
    """Return the first box of a part as a pattern, None if it doesn't hold just the first groups."""
    first = {(p.core, p.copy_number): p for p in kept if p.box == 0}
    placements: list[Placement] = []
    count = 0
    while len(placements) < len(first) and count < len(groups):
        names = [(items[member.kind].core_id, member.key.copy_number) for member in groups[count]]
        if not all(name in first for name in names):
            return None
        placements += [first[name] for name in names]
        count += 1
    return _Pattern(_kinds(groups[:count]), tuple(placements), _stands(fixed))


def _repeated(
    pattern: _Pattern,
    items: Sequence[NestItem],
    groups: Sequence[Group],
    fixed: Sequence[Placement],
    number: int,
) -> list[Placement]:
    """Return the pattern's box with the next groups' copies, nothing if they or the fixed ones differ."""
    count = len(pattern.kinds)
    if len(groups) < count or _kinds(groups[:count]) != pattern.kinds or _stands(fixed) != pattern.fixed:
        return []
    members = [member for group in groups[:count] for member in group]
    return [
        place.model_copy(
            update={
                "box": number,
                "copy_number": member.key.copy_number,
                "set_id": member.key.set_id,
                "set_index": member.key.set_index,
            }
        )
        for place, member in zip(pattern.placements, members, strict=True)
    ]


def _next_floor_mm(items: Sequence[NestItem], kept: Sequence[Placement], rules: NestRules) -> float:
    """Return where the next part may begin above the placements of a box."""
    bodies = placed_bodies({item.core_id: item for item in items}, kept)
    top_mm = max(float(body.high_mm[2]) for body in bodies) + max(item.gap_mm for item in items)
    return whole_layers_mm(top_mm, rules.layer_thickness_mm)
