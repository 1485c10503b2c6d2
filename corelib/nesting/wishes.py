"""How well a packing meets the job's wishes: heavy cores low, sets together, even printed area."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from corelib.geometry.pose import Array
from corelib.job.models import Packing, Placement
from corelib.job.nesting_rules import Wishes
from corelib.nesting.clearance import Body, placed_bodies
from corelib.nesting.model import NestItem
from corelib.nesting.profile import volume_below_mm3
from corelib.nesting.quality import mesh_volume_mm3

Wish = Literal["heavy_low", "sets_together", "even_area"]
SLABS = 48  # of a box's height, for the printed area
GRID = 33  # heights of a core at which its volume is known, for the printed area


@dataclass(frozen=True)
class WishMet:
    """How well one box meets one wish.

    `heavy_low`: share of pairs of cores, weighted by how much their volumes differ, in which the heavier one
    lies lower (50 % is chance). `sets_together`: how much nearer cores lie to their set's centre than to the
    box's (0 % is chance); `figure` is the mean distance in mm. `even_area`: mean printed area in percent of
    the largest.
    """

    box: int
    wish: Wish
    met_pct: float
    figure: float | None = None


class BoxWishes:
    """The wishes of one box: what each is worth for its bodies, as shares from 0 to 1."""

    def __init__(self, wishes: Wishes, items: Sequence[NestItem]) -> None:
        self.weights: dict[Wish, float] = {
            "heavy_low": wishes.heavy_low,
            "sets_together": wishes.sets_together,
            "even_area": wishes.even_area,
        }
        self.volumes: Mapping[str, float] = {i.core_id: mesh_volume_mm3(i.mesh) for i in items}

    def stated(self) -> list[Wish]:
        """Return the wishes that have a weight."""
        return [wish for wish, weight in self.weights.items() if weight > 0]

    def worth(self, bodies: Sequence[Body]) -> float:
        """Return the weighted sum of how well the wishes are met."""
        return sum(self.weights[wish] * self.met(wish, bodies) for wish in self.stated())

    def met(self, wish: Wish, bodies: Sequence[Body]) -> float:
        """Return how well one wish is met, from 0 to 1."""
        if wish == "heavy_low":
            return self._heavy_low(bodies)
        if wish == "even_area":
            return self._even_area(bodies)
        near, far = set_distances_mm(bodies)
        return max(0.0, 1.0 - near / far) if far > 0 else 1.0

    def _heavy_low(self, bodies: Sequence[Body]) -> float:
        volume = np.array([self.volumes[body.item.core_id] for body in bodies])
        height = np.array([body.low_mm[2] + body.high_mm[2] for body in bodies]) / 2.0
        heavier = (volume[:, None] - volume[None, :]).clip(min=0.0)
        higher = height[:, None] - height[None, :]
        told = heavier[np.abs(higher) > 1e-6].sum()
        return float(heavier[higher < -1e-6].sum() / told) if told > 0 else 1.0

    def _even_area(self, bodies: Sequence[Body]) -> float:
        low = min(float(body.low_mm[2]) for body in bodies)
        high = max(float(body.high_mm[2]) for body in bodies)
        edges = np.linspace(low, high, SLABS + 1)
        held = np.zeros(SLABS)
        for body in bodies:
            heights, below = _below(body.item, body.matrix[:3, :3].tobytes())
            held += np.diff(np.interp(edges - body.low_mm[2], heights, below))
        return float(held.mean() / held.max())


@lru_cache(maxsize=512)
def _below(item: NestItem, rotation: bytes) -> tuple[Array, Array]:
    """Return heights of a turned core and its volume below each."""
    turn = np.frombuffer(rotation).reshape(3, 3)
    z = item.mesh.vertices_mm[item.mesh.faces.ravel()] @ turn[2]
    heights = np.linspace(0.0, float(z.max() - z.min()), GRID)
    return heights, volume_below_mm3(item.mesh, turn, heights)


def centre_mm(body: Body) -> Array:
    """Return the middle of a body's bounding box."""
    middle: Array = (body.low_mm + body.high_mm) / 2.0
    return middle


def owner(place: Placement) -> tuple[str, int] | None:
    """Return the casting set that a placement belongs to, None for a loose core."""
    return None if place.set_id is None or place.set_index is None else (place.set_id, place.set_index)


def set_distances_mm(bodies: Sequence[Body]) -> tuple[float, float]:
    """Return the mean distance of cores of sets to their set's centre, and to the centre of them all."""
    sets: dict[tuple[str, int], list[Array]] = {}
    for body in bodies:
        key = owner(body.placement)
        if key is not None:
            sets.setdefault(key, []).append(centre_mm(body))
    if not sets:
        return 0.0, 0.0
    every = np.concatenate([np.array(points) for points in sets.values()])
    own = [np.linalg.norm(np.array(points) - np.mean(points, axis=0), axis=1) for points in sets.values()]
    return float(np.concatenate(own).mean()), float(np.linalg.norm(every - every.mean(axis=0), axis=1).mean())


def wishes_met(items: Sequence[NestItem], wishes: Wishes, packing: Packing) -> tuple[WishMet, ...]:
    """Return how well each box meets each wish that has a weight."""
    worth = BoxWishes(wishes, items)
    known = {item.core_id: item for item in items}
    bodies = placed_bodies(known, [place for place in packing.placements if place.core in known])
    found = []
    for number in sorted({body.placement.box for body in bodies}):
        here = [body for body in bodies if body.placement.box == number]
        for wish in worth.stated():
            figure = set_distances_mm(here)[0] if wish == "sets_together" else None
            found.append(WishMet(number, wish, 100.0 * worth.met(wish, here), figure))
    return tuple(found)
