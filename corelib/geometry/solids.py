"""Solids on manifold3d: the only door to it, imported when first needed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from corelib.geometry.pose import Array

if TYPE_CHECKING:
    from manifold3d import Manifold
    from numpy.typing import NDArray


def solid(vertices_mm: Array, faces: NDArray[np.int32]) -> Manifold | None:
    """Return a closed mesh as a solid, or None if it is none (open, odd or self-crossing facets)."""
    import manifold3d

    # copies, since manifold3d takes no read-only arrays
    mesh = manifold3d.Mesh64(np.array(vertices_mm, order="C"), np.array(faces, dtype=np.uint64, order="C"))
    mesh.merge()  # welds what a reader left unwelded
    body = manifold3d.Manifold(mesh)
    if body.status() != manifold3d.Error.NoError or body.is_empty():
        return None
    return body


def placed(body: Manifold, matrix: Array) -> Manifold:
    """Return the solid taken through a 4×4 matrix."""
    return body.transform(np.ascontiguousarray(matrix[:3]))


def least_gap_mm(first: Manifold, second: Manifold, search_mm: float) -> float:
    """Return the least distance of two solids, 0 where they overlap, at most `search_mm`.

    A search length just above the distance of interest is far quicker than a generous one.
    """
    return float(first.min_gap(second, search_mm))


def overlap_depth_mm(first: Manifold, second: Manifold) -> float:
    """Return about how deep two solids overlap: twice the overlap's volume over its surface, 0 for none."""
    common = first ^ second
    area_mm2 = common.surface_area()
    return 2.0 * common.volume() / area_mm2 if area_mm2 > 0 else 0.0


BoxCorners = tuple[tuple[float, float, float], tuple[float, float, float]]


def boxes(added_mm: tuple[BoxCorners, ...], cut_mm: tuple[BoxCorners, ...] = ()) -> Manifold:
    """Return the union of upright boxes (lowest and highest corner) less other boxes."""
    import manifold3d

    def box(corners: BoxCorners) -> Manifold:
        low, high = corners
        size = tuple(h - a for a, h in zip(low, high, strict=True))
        return manifold3d.Manifold.cube(size).translate(low)

    body = manifold3d.Manifold.batch_boolean([box(c) for c in added_mm], manifold3d.OpType.Add)
    for corners in cut_mm:
        body = body - box(corners)
    return body


def triangles(body: Manifold) -> tuple[Array, NDArray[np.int32]]:
    """Return a solid's vertices in mm (n, 3) and faces (m, 3)."""
    mesh = body.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3].copy(), np.asarray(mesh.tri_verts).astype(np.int32)


def volume_mm3(body: Manifold) -> float:
    """Return a solid's volume."""
    return float(body.volume())
