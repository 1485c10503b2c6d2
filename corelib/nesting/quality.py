"""How good a packing is: fill, lower bounds on the height, and what limits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from corelib.geometry.pose import Array
from corelib.job.models import Packing
from corelib.mesh.core import CoreMesh
from corelib.nesting.clearance import Body, placed_bodies
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.orientations import turned_box_mm
from corelib.nesting.profile import volume_below_mm3
from corelib.nesting.tiers import whole_layers_mm

Limit = Literal["tallest core", "volume", "area", "search"]
AT_BOUND = 1.01
"""A height within this factor of a bound is limited by it."""
GRID = 129  # heights of a core at which its volume is known
TRIED = 41  # heights of the room that are tried for the bound by area
MOST_TRIANGLES = 200_000  # of all turns; with more the bound by area is left out (0)


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
    """From the cores' volumes, each grown by half the least gap."""
    area_bound_mm: float
    """From the sections of cores that can't lie above each other; 0 where they say nothing."""
    limited_by: Limit

    @property
    def bound_mm(self) -> float:
        """The greatest of the lower bounds."""
        return max(self.tallest_bound_mm, self.volume_bound_mm, self.area_bound_mm)

    @property
    def bound_by(self) -> Limit:
        """Which of them is the greatest."""
        bounds: dict[Limit, float] = {
            "tallest core": self.tallest_bound_mm,
            "volume": self.volume_bound_mm,
            "area": self.area_bound_mm,
        }
        return max(bounds, key=lambda name: bounds[name])

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
    kinds = {core: _kind(known[core]) for core in {body.item.core_id for body in bodies}}
    numbers = sorted({body.placement.box for body in bodies})
    return tuple(
        _one_box([b for b in bodies if b.placement.box == n], n, box, rules, kinds, known) for n in numbers
    )


def mesh_volume_mm3(mesh: CoreMesh) -> float:
    """Return the volume that a closed mesh bounds."""
    a, b, c = (mesh.vertices_mm[mesh.faces[:, corner]] for corner in range(3))
    return abs(float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum())) / 6.0


class _Kind:
    """What the bounds need to know of a core type; nothing of it depends on where copies lie."""

    def __init__(self, item: NestItem) -> None:
        self.gap_mm = item.gap_mm
        self.volume_mm3 = mesh_volume_mm3(item.mesh)
        self._mesh = item.mesh
        self._turns: list[tuple[float, Array]] = []
        footprints: list[float] = []
        for orientation in item.orientations:
            rotation = orientation.rotation
            if not any(np.abs(rotation[2] - other[2]).max() < 1e-9 for _, other in self._turns):
                low, high = turned_box_mm(item.mesh, rotation)  # a yaw changes no height
                self._turns.append((float(high[2] - low[2]), rotation))
                footprints.append(float(np.prod(high[:2] - low[:2])))
        self.footprint_mm2 = min(footprints)
        self.least_height_mm = min(height for height, _ in self._turns)
        self.triangles = len(item.mesh.faces) * len(self._turns)
        self._below: dict[int, Array] = {}

    def grown_mm3(self, gap_mm: float) -> float:
        """Return the least volume of the core grown by half a gap (Brunn-Minkowski inequality)."""
        ball = (4.0 / 3.0 * np.pi) ** (1.0 / 3.0)
        return float((self.volume_mm3 ** (1.0 / 3.0) + ball * gap_mm / 2.0) ** 3)

    def least_in_slab_mm3(self, room_mm: float, half_mm: float) -> float:
        """Return the least volume in the slab of `half_mm` about the middle of a room of that height.

        For cores whose every orientation is higher than half the room; volumes at grid heights bracket those
        between them, as the volume below a height only grows.
        """
        least = np.inf
        for n, (height_mm, rotation) in enumerate(self._turns):
            if height_mm > room_mm:
                continue
            grid = np.linspace(0.0, height_mm, GRID)
            if n not in self._below:
                self._below[n] = volume_below_mm3(self._mesh, rotation, grid)
            start = np.linspace(room_mm / 2 - half_mm - (room_mm - height_mm), room_mm / 2 - half_mm, GRID)
            index_low = np.searchsorted(grid, np.append(start, start[-1]).clip(0.0, height_mm), side="left")
            index_high = np.searchsorted(grid, start + 2 * half_mm, side="right") - 1
            below = self._below[n]
            # from any start between two grid starts: at least up to the earlier end, from the later start
            windows = below[index_high.clip(0)] - below[index_low[1:].clip(max=GRID - 1)]
            least = min(least, float(windows.clip(min=0.0).min()))
        return least


@lru_cache(maxsize=64)
def _kind(item: NestItem) -> _Kind:
    return _Kind(item)


def _area_bound_mm(kinds: Sequence[_Kind], usable_mm2: float, least_mm: float, height_mm: float) -> float:
    """Return the greatest tried height of the cores' room that their sections refuse, 0 if none is refused.

    Cores higher than half the room all cross a slab about its middle; what they hold of it must go in beside
    each other.
    """
    for room_mm in np.linspace(height_mm, least_mm, TRIED)[1:]:
        tall = [kind for kind in kinds if kind.least_height_mm > room_mm / 2 + 1e-9]
        if sum(kind.footprint_mm2 for kind in tall) <= usable_mm2:
            continue
        if sum(kind.triangles for kind in set(tall)) > MOST_TRIANGLES:
            continue
        half_mm = min(kind.least_height_mm for kind in tall) - room_mm / 2
        held = {id(kind): kind.least_in_slab_mm3(float(room_mm), half_mm) for kind in set(tall)}
        if sum(held[id(kind)] for kind in tall) > usable_mm2 * 2 * half_mm * (1 + 1e-9):
            return float(room_mm)
    return 0.0


def _one_box(
    bodies: Sequence[Body],
    number: int,
    box: NestBox,
    rules: NestRules,
    kinds: Mapping[str, _Kind],
    known: dict[str, NestItem],
) -> BoxQuality:
    here = [kinds[body.item.core_id] for body in bodies]
    floor_mm = whole_layers_mm(box.low_mm[2], rules.layer_thickness_mm)
    height_mm = max(float(body.high_mm[2]) for body in bodies)
    volume_mm3 = sum(kind.volume_mm3 for kind in here)
    usable_mm2 = float(np.prod(np.subtract(box.high_mm[:2], box.low_mm[:2])))
    # every core keeps the least of the gaps to every other, so as grown bodies they don't overlap
    gap_mm = min(kind.gap_mm for kind in here)
    grown_mm2 = float(np.prod(np.subtract(box.high_mm[:2], box.low_mm[:2]) + gap_mm))
    grown_mm3 = sum(kind.grown_mm3(gap_mm) for kind in here)
    volume_bound_mm = floor_mm + max(volume_mm3 / usable_mm2, grown_mm3 / grown_mm2 - gap_mm)
    tallest_mm = max(kind.least_height_mm for kind in here)
    area_mm = _area_bound_mm(here, usable_mm2, tallest_mm, height_mm - floor_mm)
    bounds: dict[Limit, float] = {
        "tallest core": floor_mm + tallest_mm,
        "volume": volume_bound_mm,
        "area": floor_mm + area_mm if area_mm else 0.0,
    }
    near = [name for name, bound_mm in bounds.items() if height_mm <= AT_BOUND * bound_mm]
    return BoxQuality(
        box=number,
        cores=len(bodies),
        whole_sets=_whole_sets(bodies, known),
        height_mm=height_mm,
        fill_pct=100.0 * volume_mm3 / (box.inner_mm[0] * box.inner_mm[1] * height_mm),
        tallest_bound_mm=bounds["tallest core"],
        volume_bound_mm=bounds["volume"],
        area_bound_mm=bounds["area"],
        limited_by=near[0] if near else "search",
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
