"""Where a line of sight meets a mesh (Möller and Trumbore, Journal of Graphics Tools 2 (1), 1997)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array

EDGE = 1e-9  # how far outside a triangle a hit may lie, so that none slips through an edge


def ray_hits_mm(vertices_mm: Array, faces: NDArray[np.int32], start_mm: Array, direction: Array) -> Array:
    """Return the distances along a ray at which it passes through triangles, nearest first.

    `direction` has length 1; a ray that runs along a triangle does not pass through it.
    """
    corners = vertices_mm[faces]
    origin, first, second = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    across = np.cross(direction, second)
    determinant = np.einsum("ij,ij->i", first, across)
    crosses = np.abs(determinant) > 0.0
    inverse = np.where(crosses, 1.0 / np.where(crosses, determinant, 1.0), 0.0)
    to_start = start_mm - origin
    u = np.einsum("ij,ij->i", to_start, across) * inverse
    over = np.cross(to_start, first)
    v = (over @ direction) * inverse
    along = np.einsum("ij,ij->i", second, over) * inverse
    inside = crosses & (u >= -EDGE) & (v >= -EDGE) & (u + v <= 1.0 + EDGE) & (along > 0.0)
    return np.sort(along[inside])


def nearest_vertex_mm(vertices_mm: Array, faces: NDArray[np.int32], place_mm: Array) -> Array:
    """Return the used vertex nearest to a place."""
    used = vertices_mm[np.unique(faces)]
    nearest: Array = used[int(((used - place_mm) ** 2).sum(axis=1).argmin())]
    return nearest
