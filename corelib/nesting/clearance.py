"""True distances between placed cores: one tree for each core and rotation, kept for the next question."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from corelib.geometry.pose import Array
from corelib.job.models import Placement
from corelib.nesting.model import NestItem
from corelib.nesting.orientations import turned_box_mm

if TYPE_CHECKING:
    from corelib.geometry.distance import Tree, TreeOrder

TOLERANCE_MM = 1e-6
"""What rounding to 12 digits in a file may cost; distances short by no more than this are kept."""


@dataclass(frozen=True, eq=False)
class Body:
    """One placed copy with its matrix and its bounding box in the build box."""

    placement: Placement
    item: NestItem
    matrix: Array
    low_mm: Array
    high_mm: Array


def placed_bodies(known: dict[str, NestItem], placements: Sequence[Placement]) -> list[Body]:
    """Return the placements with their exact bounding boxes."""
    boxes: dict[tuple[str, bytes], tuple[Array, Array]] = {}
    bodies = []
    for placement in placements:
        item, matrix = known[placement.core], np.array(placement.matrix)
        key = placement.core, matrix[:3, :3].tobytes()
        if key not in boxes:
            boxes[key] = turned_box_mm(item.mesh, matrix[:3, :3])
        low, high = boxes[key]
        bodies.append(Body(placement, item, matrix, low + matrix[:3, 3], high + matrix[:3, 3]))
    return bodies


def close_pairs(bodies: Sequence[Body]) -> Iterator[tuple[Body, Body]]:
    """Yield the pairs of one box whose bounding boxes come nearer than their gap, in a fixed order."""
    for number in sorted({body.placement.box for body in bodies}):
        mates = sorted((b for b in bodies if b.placement.box == number), key=lambda b: float(b.low_mm[0]))
        low = np.array([body.low_mm for body in mates])
        high = np.array([body.high_mm for body in mates])
        gap = np.array([body.item.gap_mm for body in mates])
        widest = float(gap.max())
        for i, body in enumerate(mates):
            end = int(np.searchsorted(low[:, 0], high[i, 0] + widest, side="right"))
            later = slice(i + 1, end)
            apart = np.maximum(low[later] - high[i], low[i] - high[later])
            distance = np.sqrt((apart.clip(min=0.0) ** 2).sum(axis=1))
            need = np.maximum(gap[later], gap[i])
            near = (distance < need - TOLERANCE_MM) | (apart.max(axis=1) < -TOLERANCE_MM)
            for j in np.flatnonzero(near):
                yield body, mates[i + 1 + int(j)]


class Clearance:
    """Distances between the bodies of some items."""

    def __init__(self) -> None:
        self._orders: dict[str, TreeOrder] = {}
        self._trees: dict[tuple[str, bytes], Tree] = {}

    def tree(self, item: NestItem, rotation: Array) -> Tree:
        """Return the tree of an item in a rotation."""
        from corelib.geometry.distance import tree_order, turned_tree

        key = item.core_id, rotation.tobytes()
        if key not in self._trees:
            if item.core_id not in self._orders:
                self._orders[item.core_id] = tree_order(item.mesh.vertices_mm, item.mesh.faces)
            self._trees[key] = turned_tree(item.mesh.vertices_mm, self._orders[item.core_id], rotation)
        return self._trees[key]

    def distance_mm(self, first: Body, second: Body, bound_mm: float) -> float:
        """Return the least distance of two bodies, 0 where they cross, at most `bound_mm`."""
        # imported when first needed: packings whose bounding boxes stand clear load no kernels
        from corelib.geometry.distance import least_distance_mm

        shift_mm = second.matrix[:3, 3] - first.matrix[:3, 3]
        return least_distance_mm(
            self.tree(first.item, first.matrix[:3, :3]),
            self.tree(second.item, second.matrix[:3, :3]),
            shift_mm,
            bound_mm,
        )
