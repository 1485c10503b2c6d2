"""The layers of a box: a sum of its cores' sections, each shifted to the layer at which the core starts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from corelib.errors import InputError
from corelib.geometry.vertices import used_vertices
from corelib.layers.cut_pose import CutPose
from corelib.layers.model import BoxLayers, PlacedBody
from corelib.layers.section_kernels import ON_PLANE_MM
from corelib.layers.sections import SectionCache, Sections
from corelib.mesh.core import CoreMesh

if TYPE_CHECKING:  # a plan needs no outlines, and their kernels take time to load
    from corelib.layers.store import OutlineStore

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
            turned = used_vertices(mesh.vertices_mm, mesh.faces) @ rotation.T
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
    outlines: OutlineStore | None = None,
) -> BoxLayers:
    """Return all layers of a box, from its floor to the last cover layer above the highest core.

    `base_layers` is the least number of layers; that the first core lies above them is the packing's floor
    margin's business. A core below the floor raises InputError. With `outlines`, printed areas of cores with
    a bleed allowance are those of their offset contours. Without, they are closed forms with a stated error:
    A - b·P for a sideways draw-in b (error b·P, for outlines longer than π·b), less the under-faces within
    the dry layers below (error: the faces that look up there, as far as they may lie over them).
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
        _add_printed(sums, item, own, thickness_mm, cache, outlines)
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
    sums: _Sums,
    item: PlacedBody,
    stand: Stand,
    thickness_mm: float,
    cache: SectionCache,
    outlines: OutlineStore | None,
) -> None:
    start = layer_offset(float(stand.low_mm[2]), thickness_mm)
    pose = CutPose(item.body, stand.rotation, start.phase_mm, thickness_mm)
    sections = cache.sections(
        item.body.mesh, stand.rotation, phase_mm=start.phase_mm, thickness_mm=thickness_mm
    )
    if outlines is not None and pose.is_compensated:
        area, boundary = outlines.printed_areas(pose)
        error = np.zeros(len(area))
    else:
        area, error = _estimated(pose, sections, cache)
        boundary = sections.boundary_mm
    layers = slice(start.layer, start.layer + sections.count)
    share = item.body.core.solid_share
    sums.printed_area_mm2[layers] += share * area
    sums.area_error_mm2[layers] += share * error
    sums.boundary_mm[layers] += boundary
    extent = sums.extent_mm[layers]
    np.minimum(extent[:, :2], stand.low_mm[:2], out=extent[:, :2])
    np.maximum(extent[:, 2:], stand.high_mm[:2], out=extent[:, 2:])


def _estimated(pose: CutPose, sections: Sections, cache: SectionCache) -> tuple[Series, Series]:
    """Return printed areas without contours, and what they may be off by.

    An under-face loses the wider of the sideways draw-in and its own reach over the dry layers.
    """
    whole = np.abs(sections.area_mm2)
    bleed_mm = pose.body.bleed_xy_mm
    loss = bleed_mm * sections.boundary_mm
    error = np.abs(loss)
    if pose.dry:
        under = cache.under_faces(
            pose.body.mesh,
            pose.rotation,
            phase_mm=pose.phase_mm,
            thickness_mm=pose.thickness_mm,
            dry_mm=pose.dry * pose.thickness_mm,
            draw_in_mm=max(bleed_mm, 0.0),
        )
        reached = _within_dry(under.above_mm2, under.whole_mm2, pose.dry)
        least = np.clip(sections.area_mm2 - _from_below(sections.area_mm2, 0.0, pose.dry), 0.0, reached)
        error = error + reached - least
        loss = loss - bleed_mm * under.flat_boundary_mm
        loss = loss + _within_dry(under.flat_above_mm2, under.flat_mm2, pose.dry)
    return np.clip(sections.area_mm2 - loss, 0.0, None), np.minimum(error, whole)


def _from_below(values: Series, lowest: float, dry: int) -> Series:
    """Return each layer's value `dry` layers further down; below the core it is `lowest`."""
    lower: Series = np.concatenate([np.full(dry, lowest), values])[: len(values)]
    return lower


def _within_dry(above_mm2: Series, whole_mm2: float, dry: int) -> Series:
    return _from_below(above_mm2, whole_mm2, dry) - above_mm2


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
