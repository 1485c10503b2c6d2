"""How good a packing is: fill, lower bounds on the height, and what limits it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from corelib.job.models import Packing
from corelib.mesh.core import CoreMesh
from corelib.nesting.clearance import Body, placed_bodies
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.orientations import turned_box_mm
from corelib.nesting.tiers import whole_layers_mm

Limit = Literal["tallest core", "volume", "search"]
AT_BOUND = 1.01
"""A height within this factor of a bound is limited by it."""


@dataclass(frozen=True)
class BoxQuality:
    """One box: height of its contents above the floor, least heights that any packing of them needs."""

    box: int
    cores: int
    whole_sets: int
    height_mm: float
    fill_pct: float
    """Volume of the cores in percent of the box up to their top."""
    tallest_bound_mm: float
    volume_bound_mm: float
    limited_by: Limit

    @property
    def bound_mm(self) -> float:
        """The greater of the two lower bounds."""
        return max(self.tallest_bound_mm, self.volume_bound_mm)

    @property
    def above_bound_pct(self) -> float:
        """How far the height is above its bound; the true least height lies between."""
        return 100.0 * (self.height_mm / self.bound_mm - 1.0)


def packing_quality(
    items: Sequence[NestItem], box: NestBox, rules: NestRules, packing: Packing
) -> tuple[BoxQuality, ...]:
    """Return how good each box of a packing is."""
    known = {item.core_id: item for item in items}
    bodies = placed_bodies(known, [p for p in packing.placements if p.core in known])
    volumes = {item.core_id: mesh_volume_mm3(item.mesh) for item in items}
    flattest = {item.core_id: _least_height_mm(item) for item in items}
    numbers = sorted({body.placement.box for body in bodies})
    return tuple(
        _one_box([b for b in bodies if b.placement.box == n], n, box, rules, volumes, flattest, known)
        for n in numbers
    )


def mesh_volume_mm3(mesh: CoreMesh) -> float:
    """Return the volume that a closed mesh bounds."""
    a, b, c = (mesh.vertices_mm[mesh.faces[:, corner]] for corner in range(3))
    return abs(float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum())) / 6.0


def _least_height_mm(item: NestItem) -> float:
    boxes = (turned_box_mm(item.mesh, orientation.rotation) for orientation in item.orientations)
    return min(float(high[2] - low[2]) for low, high in boxes)


def _one_box(
    bodies: Sequence[Body],
    number: int,
    box: NestBox,
    rules: NestRules,
    volumes: dict[str, float],
    flattest: dict[str, float],
    known: dict[str, NestItem],
) -> BoxQuality:
    floor_mm = whole_layers_mm(box.low_mm[2], rules.layer_thickness_mm)
    height_mm = max(float(body.high_mm[2]) for body in bodies)
    volume_mm3 = sum(volumes[body.item.core_id] for body in bodies)
    usable_mm2 = float(np.prod(np.subtract(box.high_mm[:2], box.low_mm[:2])))
    tallest_mm = floor_mm + max(flattest[body.item.core_id] for body in bodies)
    least_mm = floor_mm + volume_mm3 / usable_mm2
    limit: Limit = "search"
    if height_mm <= AT_BOUND * tallest_mm:
        limit = "tallest core"
    elif height_mm <= AT_BOUND * least_mm:
        limit = "volume"
    return BoxQuality(
        box=number,
        cores=len(bodies),
        whole_sets=_whole_sets(bodies, known),
        height_mm=height_mm,
        fill_pct=100.0 * volume_mm3 / (box.inner_mm[0] * box.inner_mm[1] * height_mm),
        tallest_bound_mm=tallest_mm,
        volume_bound_mm=least_mm,
        limited_by=limit,
    )


def _whole_sets(bodies: Sequence[Body], known: dict[str, NestItem]) -> int:
    """Return how many casting sets lie in this box with all their cores."""
    wanted: dict[tuple[str, int], int] = {}
    for item in known.values():
        for key in item.copies:
            if key.set_id is not None and key.set_index is not None:
                wanted[key.set_id, key.set_index] = wanted.get((key.set_id, key.set_index), 0) + 1
    here: dict[tuple[str, int], int] = {}
    for body in bodies:
        p = body.placement
        if p.set_id is not None and p.set_index is not None:
            here[p.set_id, p.set_index] = here.get((p.set_id, p.set_index), 0) + 1
    return sum(count == wanted[key] for key, count in here.items())
