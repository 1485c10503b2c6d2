"""Simplified copies of meshes for the screen; no figure is ever taken from them.

Vertices are gathered in the cells of a grid, and each cell is drawn at the point that lies closest to the
planes of its triangles (quadric error metric: Garland and Heckbert, SIGGRAPH 1997; on a grid: Lindstrom,
SIGGRAPH 2000), so that edges stay where they are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vertices = NDArray[np.float64]
Faces = NDArray[np.int64]

REST_TRIANGLES = 4000
MOVING_TRIANGLES = 1000
KEPT_SINGULAR_SHARE = 1e-2


@dataclass(frozen=True, eq=False)
class DisplayMesh:
    """A mesh to draw: vertices (n, 3) in mm, faces (m, 3)."""

    vertices_mm: Vertices
    faces: Faces


def simplified(vertices_mm: Vertices, faces: Faces, most_triangles: int) -> DisplayMesh:
    """Return a copy with at most `most_triangles` triangles; a small mesh is returned as it is."""
    vertices = np.asarray(vertices_mm, dtype=np.float64)
    faces = np.asarray(faces, dtype=np.int64)
    if len(faces) <= most_triangles:
        return DisplayMesh(vertices, faces)
    cells = _first_guess(vertices, faces, most_triangles)
    for _ in range(24):
        kept = _clustered(vertices, faces, cells)
        if len(kept.faces) <= most_triangles:
            return kept
        cells *= math.sqrt(most_triangles / len(kept.faces)) * 0.98
    return kept


def _first_guess(vertices: Vertices, faces: Faces, most_triangles: int) -> float:
    """Return the cells along the longest side: a surface of area A has about 2 A / cell² triangles."""
    corners = vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = 0.5 * float(np.linalg.norm(normals, axis=1).sum())
    side = float(np.ptp(vertices, axis=0).max())
    return max(2.0, side * math.sqrt(most_triangles / max(2.0 * area, 1e-12)) * 1.15)


def _clustered(vertices: Vertices, faces: Faces, cells: float) -> DisplayMesh:
    low = vertices.min(axis=0)
    size = float(np.ptp(vertices, axis=0).max()) / cells or 1.0
    grid = np.floor((vertices - low) / size).astype(np.int64)
    across = grid.max() + 1
    keys = (grid[:, 0] * across + grid[:, 1]) * across + grid[:, 2]
    _, cluster = np.unique(keys, return_inverse=True)
    cluster = cluster.reshape(-1)
    points = _best_points(vertices, faces, cluster, low + (grid + 0.5) * size, size)
    return DisplayMesh(points, _without_collapsed(cluster[faces]))


def _without_collapsed(faces: Faces) -> Faces:
    """Return the triangles that still have three corners, each once."""
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    first = faces.argmin(axis=1)[:, None]
    turned = np.take_along_axis(faces, (first + np.arange(3)) % 3, axis=1)
    return np.unique(turned, axis=0)


def _best_points(
    vertices: Vertices, faces: Faces, cluster: Faces, centres: Vertices, size: float
) -> Vertices:
    """Return each cluster's point of least squared distance to its triangles' planes."""
    count = int(cluster.max()) + 1
    share = np.bincount(cluster, minlength=count)
    mean = np.stack([np.bincount(cluster, vertices[:, k], count) / share for k in range(3)], axis=1)
    corners = vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    owner = cluster[faces].ravel()
    normal = np.repeat(normals, 3, axis=0)
    reach = np.einsum("ij,ij->i", normal, corners[:, 0].repeat(3, axis=0) - mean[owner])
    pull = np.stack([np.bincount(owner, normal[:, i] * reach, count) for i in range(3)], axis=1)
    form = np.empty((count, 3, 3))
    for i in range(3):
        for j in range(i, 3):
            form[:, i, j] = form[:, j, i] = np.bincount(owner, normal[:, i] * normal[:, j], count)
    values, axes = np.linalg.eigh(form)
    held = values > KEPT_SINGULAR_SHARE * values[:, 2:]
    inverse = np.where(held, 1.0 / np.where(held, values, 1.0), 0.0)
    step = np.einsum("nij,nj,nkj,nk->ni", axes, inverse, axes, pull)
    half = 0.75 * size
    return mean + np.clip(step, -half, half)
