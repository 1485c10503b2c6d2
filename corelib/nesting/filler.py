"""Filler walls: how far the box's footprint can shrink around a packing, and which footprints there are."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np

from corelib.geometry.pose import Array
from corelib.job.models import Packing
from corelib.job.nesting_rules import FillerWalls
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.model import NestBox, NestItem

Footprint_mm = tuple[float, float]
MOST_TRIED = 64  # footprints; more are thinned out evenly


def filled_footprints(
    items: Sequence[NestItem], box: NestBox, walls: FillerWalls | None, packing: Packing
) -> tuple[Footprint_mm, ...]:
    """Return for each box the footprint that is filled with sand, walls at the right and at the back put in.

    The least one, in whole steps, in which all its cores keep their margin to the walls.
    """
    known = {item.core_id: item for item in items}
    bodies = placed_bodies(known, [place for place in packing.placements if place.core in known])
    count = 1 + max((body.placement.box for body in bodies), default=0)
    return tuple(
        _footprint(
            np.max([b.high_mm[:2] for b in bodies if b.placement.box == number], axis=0, initial=0.0),
            box,
            walls,
        )
        for number in range(count)
    )


def _footprint(far_mm: Array, box: NestBox, walls: FillerWalls | None) -> Footprint_mm:
    x, y = box.inner_mm[:2]
    if walls is None:
        return x, y
    free = np.subtract((x, y), far_mm + box.wall_margin_mm)
    steps = np.floor(np.minimum(free, walls.most_mm) / walls.step_mm + 1e-9).clip(min=0)
    return x - float(steps[0]) * walls.step_mm, y - float(steps[1]) * walls.step_mm


def smaller_footprints(box: NestBox, walls: FillerWalls) -> list[Footprint_mm]:
    """Return the footprints that whole steps of filler walls give, the smallest area first."""
    counts = [int(most / walls.step_mm + 1e-9) for most in walls.most_mm]
    found = [
        (box.inner_mm[0] - i * walls.step_mm, box.inner_mm[1] - j * walls.step_mm)
        for i, j in product(range(counts[0] + 1), range(counts[1] + 1))
        if i or j
    ]
    room_mm = 2 * box.wall_margin_mm
    found = sorted((xy for xy in found if min(xy) > room_mm), key=lambda xy: (xy[0] * xy[1], xy))
    if len(found) > MOST_TRIED:
        picked = np.linspace(0, len(found) - 1, MOST_TRIED).round().astype(int)
        found = [found[n] for n in np.unique(picked)]
    return found
