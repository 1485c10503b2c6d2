"""The first packing: bounding boxes in rows and tiers, over as many boxes as needed, always valid.

Cores stand in rows along x, rows make a tier, tiers are stacked. Each core type takes one of its allowed
orientations; flat, middling and upright choices are tried and the best one of each box is kept. Casting
sets stay whole in a box wherever a whole set fits one. Fixed placements are kept clear of.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, TypeVar

import numpy as np

from corelib.errors import InputError
from corelib.geometry.pose import Array, Orientation, moved, rigid
from corelib.job.models import Matrix, Packing, Placement
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules
from corelib.nesting.orientations import turned_box_mm
from corelib.progress import SILENT, Progress

MOST_BOXES = 1000
NO_DATE = "9999-12-31"  # what has no due date comes last
SLACK_MM = 1e-9  # keeps a core that exactly fits from being refused by rounding


class Shape(NamedTuple):
    """A core type's bounding box in one orientation."""

    dx_mm: float
    dy_mm: float
    dz_mm: float
    orientation: Orientation
    low_mm: tuple[float, float, float]


class Obstacle(NamedTuple):
    """What must be kept clear of: a fixed core's bounding box, or a region to keep out of."""

    low_mm: tuple[float, float, float]
    high_mm: tuple[float, float, float]
    gap_mm: float


class Spot(NamedTuple):
    """Where one copy of a type goes: lowest corner of its bounding box."""

    kind: int
    x_mm: float
    y_mm: float
    z_mm: float


class Member(NamedTuple):
    """One copy to be placed: number of its core type, and its key."""

    kind: int
    key: CopyKey


Group = tuple[Member, ...]
Found = TypeVar("Found")
Choice = Callable[[Shape], tuple[float, ...]]

CHOICES: tuple[Choice, ...] = (
    lambda shape: (shape.dz_mm, shape.dy_mm, shape.dx_mm),  # flat, long side along the row
    lambda shape: (shape.dz_mm, shape.dx_mm, shape.dy_mm),  # flat, long side across the row
    lambda shape: (-shape.dz_mm, shape.dy_mm, shape.dx_mm),  # upright
    lambda shape: (-shape.dz_mm, shape.dx_mm, shape.dy_mm),
    lambda shape: (shape.dy_mm, shape.dz_mm, shape.dx_mm),  # thin across the row
    lambda shape: (shape.dx_mm, shape.dz_mm, shape.dy_mm),  # thin along the row
)


def whole_layers_mm(height_mm: float, thickness_mm: float) -> float:
    """Return the least whole multiple of the layer thickness that is not below the height."""
    return math.ceil(height_mm / thickness_mm - 1e-9) * thickness_mm


def pack_in_tiers(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    fixed: Sequence[Placement] = (),
    progress: Progress = SILENT,
) -> Packing:
    """Return a valid packing in rows and tiers.

    Raises InputError for a core that fits no box, or finds no room beside the regions to keep out of.
    """
    items = sorted(items, key=lambda item: item.core_id)
    shapes = [fitting_shapes(item, box, rules) for item in items]
    groups = groups_to_place(items, fixed)
    placements: list[Placement] = list(fixed)
    total, box_number = len(groups), 0
    while groups:
        progress(1.0 - len(groups) / total, "pack")
        if box_number > MOST_BOXES:
            raise InputError("nesting.too_many_boxes", most=MOST_BOXES + 1)
        locked = _obstacles(items, fixed, box_number)
        obstacles = locked + [Obstacle(zone.low_mm, zone.high_mm, zone.gap_mm) for zone in box.zones]
        count, spots, chosen = _fill(items, shapes, groups, box, rules, obstacles)
        if count == 0 and not locked:
            if len(groups[0]) == 1:  # it fits an empty box: the regions to keep out of leave it no room
                core, reasons = items[groups[0][0].kind].core_id, [zone.reason for zone in box.zones]
                raise InputError("nesting.no_room_beside_zones", core=core, reasons=reasons)
            groups = [(member,) for member in groups[0]] + groups[1:]
            total = max(total, len(groups))
            continue
        members = [member for group in groups[:count] for member in group]
        placements += _placements(items, chosen, members, spots, box_number)
        groups = groups[count:]
        box_number += 1
    return Packing(placements=in_placement_order(placements))


def in_placement_order(placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """Return placements by box, core and copy: the order in which every packing is kept."""
    return tuple(sorted(placements, key=lambda p: (p.box, p.core, p.copy_number)))


def fitting_shapes(item: NestItem, box: NestBox, rules: NestRules) -> tuple[Shape, ...]:
    """Return the item's bounding boxes that fit the build box, one for each distinct size."""
    floor_mm = whole_layers_mm(box.low_mm[2], rules.layer_thickness_mm)
    room = np.subtract(box.high_mm, (box.low_mm[0], box.low_mm[1], floor_mm))
    fitting: dict[tuple[float, ...], Shape] = {}
    least: tuple[float, int, Orientation] | None = None
    for orientation in item.orientations:
        low, high = turned_box_mm(item.mesh, orientation.rotation)
        size = high - low
        excess = size - room
        worst = int(excess.argmax())
        if least is None or excess[worst] < least[0]:
            least = float(excess[worst]), worst, orientation
        if excess[worst] <= SLACK_MM:
            dx, dy, dz = size.tolist()
            shape = Shape(dx, dy, dz, orientation, tuple(low.tolist()))
            fitting.setdefault(tuple(size.round(6).tolist()), shape)
    if not fitting:
        assert least is not None, "an item has at least one orientation"
        raise InputError(
            "nesting.core_too_large",
            core=item.core_id,
            dimension="xyz"[least[1]],
            excess_mm=round(least[0], 3),
            room_mm=round(float(room[least[1]]), 3),
            orientation=least[2].label,
        )
    return tuple(fitting.values())


def groups_to_place(items: Sequence[NestItem], fixed: Sequence[Placement]) -> list[Group]:
    """Return the copies to place: due ones first, whole casting sets before loose copies, large ones first.

    As boxes are filled in this order, nothing lies in a later box than what is due after it.
    """
    placed = {(p.core, p.copy_number) for p in fixed}
    sets: dict[tuple[str, int], list[Member]] = {}
    loose: list[Member] = []
    for kind, item in enumerate(items):
        for key in item.copies:
            if (item.core_id, key.copy_number) in placed:
                continue
            if key.set_id is None:
                loose.append(Member(kind, key))
            else:
                sets.setdefault((key.set_id, key.set_index or 0), []).append(Member(kind, key))
    volume = [math.prod(item.mesh.size_mm.tolist()) for item in items]
    loose.sort(key=lambda member: (-volume[member.kind], member.kind, member.key.copy_number))
    groups = [tuple(members) for _, members in sorted(sets.items())] + [(member,) for member in loose]
    return sorted(groups, key=lambda group: group[0].key.due_date or NO_DATE)


def _obstacles(items: Sequence[NestItem], fixed: Sequence[Placement], box_number: int) -> list[Obstacle]:
    known = {item.core_id: item for item in items}
    obstacles = []
    for placement in fixed:
        if placement.box == box_number and placement.core in known:
            item = known[placement.core]
            vertices = moved(item.mesh.vertices_mm, np.array(placement.matrix))
            low, high = vertices.min(axis=0), vertices.max(axis=0)
            obstacles.append(Obstacle(tuple(low.tolist()), tuple(high.tolist()), item.gap_mm))
    return obstacles


def _fill(
    items: Sequence[NestItem],
    shapes: Sequence[tuple[Shape, ...]],
    groups: Sequence[Group],
    box: NestBox,
    rules: NestRules,
    obstacles: Sequence[Obstacle],
) -> tuple[int, list[Spot], list[Shape]]:
    """Return how many groups, from the first, fill one box best, their spots, and each type's shape."""
    best: tuple[int, float] = (0, math.inf)
    spots: list[Spot] = []
    chosen: list[Shape] = []
    for choice in CHOICES:
        picked = [min(kind_shapes, key=choice) for kind_shapes in shapes]

        def trial(count: int, picked: list[Shape] = picked) -> list[Spot] | None:
            members = [member.kind for group in groups[:count] for member in group]
            gap_mm = max([items[kind].gap_mm for kind in set(members)] + [o.gap_mm for o in obstacles])
            return Tiers(box, rules.layer_thickness_mm, gap_mm, obstacles).all_in(members, picked)

        count, found = most(trial, len(groups))
        if found is None:
            continue
        height_mm = max((spot.z_mm + picked[spot.kind].dz_mm for spot in found), default=math.inf)
        if count > best[0] or (count == best[0] and height_mm < best[1] - SLACK_MM):
            best, spots, chosen = (count, height_mm), found, picked
    return best[0], spots, chosen


def most(trial: Callable[[int], Found | None], limit: int) -> tuple[int, Found | None]:
    """Return the largest count (by doubling, then halving) for which the trial finds something."""
    good, bad = 0, limit + 1
    best: Found | None = None
    while bad - good > 1:
        count = min(2 * good + 1, limit) if bad > limit else (good + bad) // 2
        found = trial(count)
        if found is None:
            bad = count
        else:
            good, best = count, found
    return good, best


def _placements(
    items: Sequence[NestItem],
    chosen: Sequence[Shape],
    members: Sequence[Member],
    spots: Sequence[Spot],
    box_number: int,
) -> list[Placement]:
    """Return placements of the members at the spots of their types, copies in order of their sets."""
    waiting: dict[int, list[CopyKey]] = {}
    for member in reversed(members):
        waiting.setdefault(member.kind, []).append(member.key)
    placements = []
    for spot in spots:
        shape = chosen[spot.kind]
        shift_mm = np.array(spot[1:]) - np.array(shape.low_mm)
        matrix = rigid(shape.orientation.rotation, shift_mm)
        key = waiting[spot.kind].pop()
        placements.append(placement_of(items[spot.kind], key, box_number, shape.orientation, matrix))
    return placements


def matrix_rows(matrix: Array) -> Matrix:
    """Return a 4×4 array as a placement holds it."""
    first, second, third, last = (tuple(row) for row in matrix.tolist())
    return first, second, third, last


def placement_of(
    item: NestItem, key: CopyKey, box_number: int, orientation: Orientation, matrix: Array
) -> Placement:
    """Return the placement of one copy."""
    return Placement(
        core=item.core_id,
        copy_number=key.copy_number,
        set_id=key.set_id,
        set_index=key.set_index,
        box=box_number,
        orientation=orientation,
        matrix=matrix_rows(matrix),
    )


@dataclass
class _Row:
    z_mm: float
    tier_height_mm: float
    y_mm: float
    depth_mm: float
    next_x_mm: float


@dataclass
class _Tier:
    z_mm: float
    height_mm: float
    next_y_mm: float


@dataclass
class Tiers:
    """One box being filled with rows and tiers."""

    box: NestBox
    thickness_mm: float
    gap_mm: float
    obstacles: Sequence[Obstacle]
    rows: list[_Row] = field(default_factory=list)
    tiers: list[_Tier] = field(default_factory=list)

    def all_in(self, kinds: Sequence[int], shapes: Sequence[Shape]) -> list[Spot] | None:
        """Return a spot for every copy, high ones first, or None if they don't all go in."""
        x, y, z = (
            high - low + self.gap_mm for low, high in zip(self.box.low_mm, self.box.high_mm, strict=True)
        )
        need = sum(math.prod(extent + self.gap_mm for extent in shapes[kind][:3]) for kind in kinds)
        if need > x * y * z * (1 + 1e-9):
            return None
        order = sorted(kinds, key=lambda k: (-shapes[k].dz_mm, -shapes[k].dy_mm, -shapes[k].dx_mm, k))
        spots: list[Spot] = []
        row_from = tier_from = 0  # what has refused a type refuses its later copies too
        last = -1
        for kind in order:
            if kind != last:
                row_from = tier_from = 0
                last = kind
            shape = shapes[kind]
            while row_from < len(self.rows):
                spot = self._in_row(self.rows[row_from], kind, shape)
                if spot is not None:
                    break
                row_from += 1
            else:
                while tier_from < len(self.tiers):
                    spot = self._new_row(self.tiers[tier_from], kind, shape)
                    if spot is not None:
                        break
                    tier_from += 1
                else:
                    spot = self._new_tier(kind, shape)
            if spot is None:
                return None
            spots.append(spot)
        return spots

    def _free_x(self, x_mm: float, y_mm: float, z_mm: float, shape: Shape) -> float | None:
        """Return the least x from x_mm on at which the shape meets no obstacle and no wall."""
        clear = False
        while not clear:
            clear = True
            for low, high, _ in self.obstacles:
                if (
                    x_mm < high[0] + self.gap_mm
                    and low[0] - self.gap_mm < x_mm + shape.dx_mm
                    and y_mm < high[1] + self.gap_mm
                    and low[1] - self.gap_mm < y_mm + shape.dy_mm
                    and z_mm < high[2] + self.gap_mm
                    and low[2] - self.gap_mm < z_mm + shape.dz_mm
                ):
                    x_mm = high[0] + self.gap_mm
                    clear = False
        return x_mm if x_mm + shape.dx_mm <= self.box.high_mm[0] + SLACK_MM else None

    def _in_row(self, row: _Row, kind: int, shape: Shape) -> Spot | None:
        if shape.dy_mm > row.depth_mm + SLACK_MM or shape.dz_mm > row.tier_height_mm + SLACK_MM:
            return None
        x_mm = self._free_x(row.next_x_mm, row.y_mm, row.z_mm, shape)
        if x_mm is None:
            return None
        row.next_x_mm = x_mm + shape.dx_mm + self.gap_mm
        return Spot(kind, x_mm, row.y_mm, row.z_mm)

    def _new_row(self, tier: _Tier, kind: int, shape: Shape) -> Spot | None:
        if shape.dz_mm > tier.height_mm + SLACK_MM:
            return None
        y_mm = tier.next_y_mm
        while y_mm + shape.dy_mm <= self.box.high_mm[1] + SLACK_MM:
            x_mm = self._free_x(self.box.low_mm[0], y_mm, tier.z_mm, shape)
            if x_mm is not None:
                row = _Row(tier.z_mm, tier.height_mm, y_mm, shape.dy_mm, x_mm + shape.dx_mm + self.gap_mm)
                self.rows.append(row)
                tier.next_y_mm = y_mm + shape.dy_mm + self.gap_mm
                return Spot(kind, x_mm, y_mm, tier.z_mm)
            y_mm = min(
                (o.high_mm[1] + self.gap_mm for o in self.obstacles if o.high_mm[1] + self.gap_mm > y_mm),
                default=math.inf,
            )
        return None

    def _new_tier(self, kind: int, shape: Shape) -> Spot | None:
        z_mm = self.box.low_mm[2]
        if self.tiers:
            z_mm = self.tiers[-1].z_mm + self.tiers[-1].height_mm + self.gap_mm
        z_mm = whole_layers_mm(z_mm, self.thickness_mm)
        while z_mm + shape.dz_mm <= self.box.high_mm[2] + SLACK_MM:
            tier = _Tier(z_mm, shape.dz_mm, self.box.low_mm[1])
            spot = self._new_row(tier, kind, shape)
            if spot is not None:
                self.tiers.append(tier)
                return spot
            above = [o.high_mm[2] + self.gap_mm for o in self.obstacles if o.high_mm[2] + self.gap_mm > z_mm]
            z_mm = whole_layers_mm(min(above), self.thickness_mm) if above else math.inf
        return None
