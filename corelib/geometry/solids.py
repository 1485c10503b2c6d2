"""Solids: the only door to manifold3d. Meshes go in and come out as arrays, in double precision.

manifold3d is imported when a solid is first needed: most plans need none.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Vertices = NDArray[np.float64]
Faces = NDArray[np.int32]
Corners = tuple[tuple[float, float, float], tuple[float, float, float]]
Solid = Any
"""A manifold3d.Manifold; opaque to every other module."""


def solid(vertices_mm: Vertices, faces: Faces) -> Solid:
    """Return the solid that a closed mesh bounds; raises ValueError if it bounds none."""
    import manifold3d

    if len(faces) and (int(faces.max()) >= len(vertices_mm) or int(faces.min()) < 0):
        raise ValueError("a face names a vertex that does not exist")  # manifold3d would end the process
    if not np.isfinite(vertices_mm).all():
        raise ValueError("a vertex is not finite")
    mesh = manifold3d.Mesh64(
        vert_properties=np.array(vertices_mm, dtype=np.float64, order="C"),  # copies: read-only arrays
        tri_verts=np.array(faces, dtype=np.uint64, order="C"),  # are refused
    )
    made = manifold3d.Manifold(mesh)
    if made.status() != manifold3d.Error.NoError:
        raise ValueError(made.status().name)
    return made


def placed(whole: Solid, matrix: Vertices) -> Solid:
    """Return the solid taken through a 4×4 matrix."""
    return whole.transform(np.ascontiguousarray(matrix[:3]))


def least_gap_mm(first: Solid, second: Solid, search_mm: float) -> float:
    """Return the least distance of two solids, 0 where they overlap, at most `search_mm`.

    A search length just above the distance of interest is far quicker than a generous one.
    """
    return float(first.min_gap(second, search_mm))


def overlap_depth_mm(first: Solid, second: Solid) -> float:
    """Return about how deep two solids overlap: twice the overlap's volume over its surface, 0 for none."""
    common = first ^ second
    surface_mm2 = common.surface_area()
    return 2.0 * float(common.volume()) / float(surface_mm2) if surface_mm2 > 0 else 0.0


def union(made: Sequence[Solid]) -> Solid:
    """Return the union of solids."""
    import manifold3d

    return manifold3d.Manifold.batch_boolean(list(made), manifold3d.OpType.Add)


def difference(whole: Solid, cut: Solid) -> Solid:
    """Return the solid less what the cut covers."""
    return whole - cut


def without_slivers(made: Solid, tolerance_mm: float) -> Solid:
    """Return the solid with shorter edges merged, so that it stays closed in single precision."""
    return made.simplify(tolerance_mm)


def volume_mm3(made: Solid) -> float:
    """Return the solid's volume."""
    return float(made.volume())


def area_mm2(made: Solid) -> float:
    """Return the solid's surface area."""
    return float(made.surface_area())


def boxes(blocks_mm: Sequence[Corners], cuts_mm: Sequence[Corners] = ()) -> Solid:
    """Return the union of upright blocks less upright cuts, each given by its low and high corner."""
    return _union_of_boxes(blocks_mm) - _union_of_boxes(cuts_mm)


def _union_of_boxes(corners_mm: Sequence[Corners]) -> Solid:
    import manifold3d

    made = [
        manifold3d.Manifold.cube([h - w for w, h in zip(low, high, strict=True)]).translate(low)
        for low, high in corners_mm
    ]
    return manifold3d.Manifold.batch_boolean(made, manifold3d.OpType.Add) if made else manifold3d.Manifold()


def stack(prisms: Sequence[tuple[Sequence[Vertices], float, float]]) -> Solid:
    """Return the union of upright prisms: the rings of each (holes the other way), its floor and its top.

    Prisms that stand on one another become one body without a face between them.
    """
    import manifold3d

    return union(
        [
            manifold3d.CrossSection(list(rings), manifold3d.FillRule.Positive)
            .extrude(high - low)
            .translate([0.0, 0.0, low])
            for rings, low, high in prisms
        ]
    )


def triangles(made: Solid) -> tuple[Vertices, Faces]:
    """Return the solid's vertices and faces."""
    mesh = made.to_mesh64()
    vertices: Vertices = np.ascontiguousarray(mesh.vert_properties[:, :3], dtype=np.float64)
    return vertices, np.ascontiguousarray(mesh.tri_verts, dtype=np.int32)


def positive_rings(rings_mm: Sequence[Vertices]) -> list[Vertices]:
    """Return the rings around what directed rings cover with a winding number above 0; overlaps once."""
    import manifold3d

    section = manifold3d.CrossSection(list(rings_mm), manifold3d.FillRule.Positive)
    return [np.ascontiguousarray(ring, dtype=np.float64) for ring in section.to_polygons()]
