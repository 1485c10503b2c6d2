"""The layers of a box: a sum of its cores' sections, each shifted to the layer at which the core starts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.errors import InputError
from corelib.layers.model import BoxLayers, PlacedBody
from corelib.layers.section_kernels import ON_PLANE_MM
from corelib.layers.sections import SectionCache, Sections
from corelib.mesh.core import CoreMesh

Series = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Stand:
    """How a mesh stands in the box: its turn, and where its turned bounds lie (mm)."""

    rotation: Series
    low_mm: Series
    high_mm: Series


@dataclass(frozen=True)
class LayerOffset:
    """The layer in which a mesh starts, and how far above that layer's bottom its lowest point lies."""

    layer: int
    phase_mm: float


def layer_offset(lowest_mm: float, thickness_mm: float) -> LayerOffset:
    """Return layer and phase of a height above the box floor, to a millionth of a millimetre.

    Float noise on whole multiples of the thickness gives phase 0, so that copies at different levels find
    the same sections in the cache.

    >>> layer_offset(0.3 + 0.3 + 0.3, 0.3)
    LayerOffset(layer=3, phase_mm=0.0)
    """
    layer = int(np.floor((lowest_mm + ON_PLANE_MM) / thickness_mm))
    steps = round((lowest_mm - layer * thickness_mm) / ON_PLANE_MM)
    return LayerOffset(layer, max(0, steps) * ON_PLANE_MM)


class _Stands:
    """Bounds of turned meshes, found once for each mesh and rotation."""

    def __init__(self) -> None:
        self._bounds: dict[tuple[str, bytes], tuple[Series, Series]] = {}

    def of(self, mesh: CoreMesh, matrix: Series) -> Stand:
        rotation = np.ascontiguousarray(matrix[:3, :3])
        key = (mesh.content_sha256, rotation.tobytes())
        if key not in self._bounds:
            used = np.unique(mesh.faces)
            turned = mesh.vertices_mm[used] @ rotation.T
            self._bounds[key] = (turned.min(axis=0), turned.max(axis=0))
        low, high = self._bounds[key]
        return Stand(rotation, low + matrix[:3, 3], high + matrix[:3, 3])


@dataclass(eq=False)
class _Sums:
    """Growing sums of one box: arrays of equal length, long enough for the highest core."""

    printed_area_mm2: Series
    nominal_area_mm2: Series
    area_error_mm2: Series
    boundary_mm: Series
    extent_mm: Series

    @classmethod
    def of(cls, count: int) -> _Sums:
        extent = np.tile(np.array([np.inf, np.inf, -np.inf, -np.inf]), (count, 1))
        return cls(np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count), extent)


def box_layers(
    box: int,
    placed: Sequence[PlacedBody],
    *,
    thickness_mm: float,
    base_layers: int,
    cover_layers: int,
    cache: SectionCache,
) -> BoxLayers:
    """Return all layers of a box, from its floor to the last cover layer above the highest core.

    `base_layers` is the least number of layers; that the first core lies above them is the packing's floor
    margin's business. A core below the floor raises InputError. With a sideways draw-in b and no contours,
    the printed area is A - b·P; it is stated with an error of b·P, which holds for outlines longer than π·b.
    """
    stands = _Stands()
    matrices = [np.array(item.placement.matrix, dtype=np.float64) for item in placed]
    printed = [stands.of(item.body.mesh, matrix) for item, matrix in zip(placed, matrices, strict=True)]
    nominal = [stands.of(item.body.core.mesh, matrix) for item, matrix in zip(placed, matrices, strict=True)]
    for item, stand in zip(placed, printed, strict=True):
        _refuse_below_floor(item, stand)
    highest_mm = max((float(stand.high_mm[2]) for stand in (*printed, *nominal)), default=0.0)
    filled = max(base_layers, int(np.ceil((highest_mm - ON_PLANE_MM) / thickness_mm)))
    sums = _Sums.of(filled + 1)  # one more: phases are rounded to ON_PLANE_MM
    for item, own, core in zip(placed, printed, nominal, strict=True):
        _add_printed(sums, item, own, thickness_mm, cache)
        _add_nominal(sums, item, core, thickness_mm, cache)
    return _box_layers(box, sums, filled, thickness_mm, base_layers, cover_layers)


def _refuse_below_floor(item: PlacedBody, stand: Stand) -> None:
    low_mm = float(stand.low_mm[2])
    if low_mm < -ON_PLANE_MM:
        raise InputError("layers.core_below_floor", core=item.body.core_id, low_mm=round(low_mm, 6))


def _sections(mesh: CoreMesh, stand: Stand, thickness_mm: float, cache: SectionCache) -> tuple[int, Sections]:
    start = layer_offset(float(stand.low_mm[2]), thickness_mm)
    sections = cache.sections(mesh, stand.rotation, phase_mm=start.phase_mm, thickness_mm=thickness_mm)
    return start.layer, sections


def _add_printed(
    sums: _Sums, item: PlacedBody, stand: Stand, thickness_mm: float, cache: SectionCache
) -> None:
    start, sections = _sections(item.body.mesh, stand, thickness_mm, cache)
    layers = slice(start, start + sections.count)
    share = item.body.core.solid_share
    loss = item.body.bleed_xy_mm * sections.boundary_mm
    sums.printed_area_mm2[layers] += share * np.maximum(sections.area_mm2 - loss, 0.0)
    sums.area_error_mm2[layers] += share * np.minimum(np.abs(loss), np.abs(sections.area_mm2))
    sums.boundary_mm[layers] += sections.boundary_mm
    extent = sums.extent_mm[layers]
    np.minimum(extent[:, :2], stand.low_mm[:2], out=extent[:, :2])
    np.maximum(extent[:, 2:], stand.high_mm[:2], out=extent[:, 2:])


def _add_nominal(
    sums: _Sums, item: PlacedBody, stand: Stand, thickness_mm: float, cache: SectionCache
) -> None:
    start, sections = _sections(item.body.core.mesh, stand, thickness_mm, cache)
    area = item.body.core.solid_share * sections.area_mm2
    first = max(0, -start)  # a nominal core may be taller than the printed one by its allowance
    sums.nominal_area_mm2[start + first : start + sections.count] += area[first:]


def _box_layers(
    box: int, sums: _Sums, filled: int, thickness_mm: float, base_layers: int, cover_layers: int
) -> BoxLayers:
    count = filled + cover_layers

    def full(values: Series) -> Series:
        padded = np.zeros(count)
        padded[:filled] = values[:filled]
        padded.flags.writeable = False
        return padded

    extent = np.full((count, 4), np.nan)
    printed = sums.printed_area_mm2[:filled] > 0
    extent[:filled][printed] = sums.extent_mm[:filled][printed]
    extent.flags.writeable = False
    z_mm: Series = np.arange(count, dtype=np.float64) * thickness_mm
    z_mm.flags.writeable = False
    return BoxLayers(
        box=box,
        thickness_mm=thickness_mm,
        base_layers=base_layers,
        cover_layers=cover_layers,
        z_mm=z_mm,
        printed_area_mm2=full(sums.printed_area_mm2),
        nominal_area_mm2=full(sums.nominal_area_mm2),
        area_error_mm2=full(sums.area_error_mm2),
        boundary_mm=full(sums.boundary_mm),
        extent_mm=extent,
    )
