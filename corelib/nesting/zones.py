"""Regions of the box to keep out of: as bodies for gate and search, and refused where they leave no room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from corelib.errors import InputError
from corelib.findings import Finding
from corelib.geometry.pose import Array, Orientation
from corelib.job.models import Placement
from corelib.mesh.core import CoreMesh
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules, Zone
from corelib.nesting.tiers import fitting_shapes, placement_of, whole_layers_mm

ZONE_ID = "keep-out-region"
"""Ids of the bodies that stand for regions begin so; no core of a job may have such an id."""
TOUCH_MM = 10 * TOLERANCE_MM  # a region without a gap may be touched: its body is smaller by this
_CORNERS = np.array([[x, y, z] for z in (0, 1) for y in (0, 1) for x in (0, 1)], dtype=np.float64)
_FACES = np.array(
    [
        [0, 2, 1], [1, 2, 3], [4, 5, 6], [5, 7, 6], [0, 1, 4], [1, 5, 4],
        [2, 6, 3], [3, 6, 7], [0, 4, 2], [2, 4, 6], [1, 3, 5], [3, 7, 5],
    ],
    dtype=np.int32,
)  # fmt: skip


def zone_items(box: NestBox) -> tuple[NestItem, ...]:
    """Return the box's regions as bodies to keep clear of, in the frame of the box; they have no copies."""
    return tuple(
        NestItem(f"{ZONE_ID}.{n}", _block(zone), (Orientation(),), zone.gap_mm, (), is_zone=True)
        for n, zone in enumerate(box.zones)
    )


def _block(zone: Zone) -> CoreMesh:
    low, high = np.array(zone.low_mm), np.array(zone.high_mm)
    if zone.gap_mm == 0.0:
        low, high = low + TOUCH_MM, high - TOUCH_MM
    return CoreMesh(low + _CORNERS * (high - low), _FACES)


def zone_placements(zones: Sequence[NestItem], boxes: int) -> tuple[Placement, ...]:
    """Return the fixed placements of the regions in so many boxes."""
    return tuple(
        placement_of(item, CopyKey(number), number, Orientation(), np.eye(4))
        for item in zones
        for number in range(boxes)
    )


def zone_findings(bodies: Sequence[Body], box: NestBox, clearance: Clearance) -> Iterator[Finding]:
    """Yield a stop for every core that comes too near a region."""
    for zone, item in zip(box.zones, zone_items(box), strict=True):
        at = item.mesh
        need_mm = max(zone.gap_mm, TOUCH_MM)
        for body in bodies:
            apart = np.maximum(body.low_mm - at.high_mm, at.low_mm - body.high_mm).clip(min=0.0)
            if float(np.sqrt((apart**2).sum())) >= need_mm - TOLERANCE_MM:
                continue
            stands = Body(
                placement_of(item, CopyKey(0), body.placement.box, Orientation(), np.eye(4)),
                item, np.eye(4), at.low_mm, at.high_mm,
            )  # fmt: skip
            distance_mm = clearance.distance_mm(body, stands, need_mm)
            if distance_mm < zone.gap_mm - TOLERANCE_MM or distance_mm == 0.0:
                facts = {"copy": body.placement.copy_number, "gap_mm": zone.gap_mm, "reason": zone.reason}
                yield Finding(
                    "nesting.in_zone", "stop", facts, core=body.item.core_id, box=body.placement.box
                )


def refuse_bad_zones(items: Sequence[NestItem], box: NestBox, rules: NestRules) -> None:
    """Raise InputError for a region outside the box, or if a core finds no room beside the regions.

    Room is judged by the core's bounding box: the first packing needs as much.
    """
    if not box.zones:
        return
    for zone in box.zones:
        if min(np.subtract(zone.high_mm, 0.0)) <= 0 or min(np.subtract(box.inner_mm, zone.low_mm)) <= 0:
            raise InputError("nesting.zone_outside", reason=zone.reason)
    for item in items:
        # a core that fits no box at all is refused by fitting_shapes with the dimension and by how much
        shapes = fitting_shapes(item, box, rules)
        if not any(_has_room(np.array(shape[:3]), item, box, rules) for shape in shapes):
            reasons = [zone.reason for zone in box.zones]
            raise InputError("nesting.no_room_beside_zones", core=item.core_id, reasons=reasons)


def _has_room(size_mm: Array, item: NestItem, box: NestBox, rules: NestRules) -> bool:
    """Return True if an upright block finds a place: pushed left, front and down it rests on something."""
    low = np.array([*box.low_mm[:2], whole_layers_mm(box.low_mm[2], rules.layer_thickness_mm)])
    gap = max([item.gap_mm, *(zone.gap_mm for zone in box.zones)])
    zone_low = np.array([zone.low_mm for zone in box.zones]) - gap
    zone_high = np.array([zone.high_mm for zone in box.zones]) + gap
    zone_high[:, 2] = [whole_layers_mm(z, rules.layer_thickness_mm) for z in zone_high[:, 2]]
    starts = [np.append(zone_high[:, axis], low[axis]) for axis in range(3)]
    corners = np.stack(np.meshgrid(*starts, indexing="ij"), axis=-1).reshape(-1, 3)
    inside = ((corners >= low - 1e-9) & (corners + size_mm <= np.array(box.high_mm) + 1e-9)).all(axis=1)
    for corner in corners[inside]:
        meets = (corner + size_mm > zone_low + 1e-9) & (corner < zone_high - 1e-9)
        if not meets.all(axis=1).any():
            return True
    return False


def without_zones(items: Sequence[NestItem], placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """Return the placements that are no regions."""
    zones = {item.core_id for item in items if item.is_zone}
    return tuple(placement for placement in placements if placement.core not in zones)
