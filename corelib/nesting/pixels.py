"""Copies on whole pixels in x and y: alike in the images wherever they lie."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from corelib.findings import Finding
from corelib.geometry.pose import Array
from corelib.job.models import Packing
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance, placed_bodies
from corelib.nesting.improving import keeps_off
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.settling import shifted
from corelib.nesting.tiers import in_placement_order, matrix_rows
from corelib.nesting.zones import zone_items, zone_placements
from corelib.progress import SILENT, Progress

NEAR = 2  # pixels to each side that are tried
PASSES = 4  # a core that is stuck may come free when others have moved


def on_pixels(
    items: Sequence[NestItem], box: NestBox, rules: NestRules, packing: Packing, progress: Progress = SILENT
) -> Packing:
    """Return the packing with each copy moved by less than three pixels, its origin on whole pixels.

    Copies that are locked, or whose gaps leave no whole pixel free, stay where they are (a note says so).
    """
    if rules.pixel_mm is None:
        return packing
    known = {item.core_id: item for item in items}
    bodies = placed_bodies(known, packing.placements)
    clearance = Clearance()
    zones = zone_items(box)
    boxes = 1 + max((body.placement.box for body in bodies), default=0)
    stands = placed_bodies({zone.core_id: zone for zone in zones}, zone_placements(zones, boxes))
    for turn in range(PASSES):
        changed = False
        for i, body in enumerate(bodies):
            progress((turn + i / len(bodies)) / PASSES, "settle")
            if body.placement.locked or is_on_pixels(body.matrix, rules.pixel_mm):
                continue
            here = [b for k, b in enumerate(bodies) if k != i and b.placement.box == body.placement.box]
            here += [zone for zone in stands if zone.placement.box == body.placement.box]
            found = _on_pixel(body, here, box, rules.pixel_mm, clearance)
            if found is not None:
                bodies[i], changed = found, True
        if not changed:
            break
    placements = [b.placement.model_copy(update={"matrix": matrix_rows(b.matrix)}) for b in bodies]
    return Packing(placements=in_placement_order(placements))


def is_on_pixels(matrix: Array, pixel_mm: tuple[float, float]) -> bool:
    """Return True if a placement's origin lies on whole pixels."""
    pixels = matrix[:2, 3] / pixel_mm
    return bool(np.abs(pixels - pixels.round()).max() < 1e-6)


def _on_pixel(
    body: Body, others: Sequence[Body], box: NestBox, pixel_mm: tuple[float, float], clearance: Clearance
) -> Body | None:
    """Return the body on the nearest pixel that keeps all gaps and margins, None if none near does."""
    at = body.matrix[:2, 3] / pixel_mm
    steps = np.arange(-NEAR, NEAR + 1)
    tried = np.stack(np.meshgrid(at[0].round() + steps, at[1].round() + steps), axis=-1).reshape(-1, 2)
    away = np.abs((tried - at) * pixel_mm).sum(axis=1)
    for n in np.lexsort((tried[:, 1], tried[:, 0], away)):
        moved = shifted(body, np.append((tried[n] - at) * pixel_mm, 0.0))
        beyond = np.concatenate([np.subtract(box.low_mm, moved.low_mm), moved.high_mm - box.high_mm])
        if beyond.max() <= TOLERANCE_MM and keeps_off(moved, others, clearance):
            return moved
    return None


def pixel_findings(
    items: Sequence[NestItem], packing: Packing, pixel_mm: tuple[float, float] | None
) -> list[Finding]:
    """Return a note for each core with copies between pixels, where all were to lie on whole ones."""
    if pixel_mm is None:
        return []
    off: dict[str, int] = {}
    known = {item.core_id for item in items}
    for place in packing.placements:
        if place.core in known and not is_on_pixels(np.array(place.matrix), pixel_mm):
            off[place.core] = off.get(place.core, 0) + 1
    return [Finding("nesting.off_pixels", "note", {"count": off[core]}, core=core) for core in sorted(off)]
