"""How a turned core's volume is spread over its height, in closed form from its triangles.

The section above which a surface net points up once is inside: A(z) = Σ P f(z), P the signed projection of a
triangle and f the share of it above z. Its integral is the volume below a height (own derivation, as in the
layers of a plan; here vectorised over a few heights, for bounds and wishes of the packing).
"""

from __future__ import annotations

import numpy as np

from corelib.geometry.pose import Array
from corelib.mesh.core import CoreMesh


def volume_below_mm3(mesh: CoreMesh, rotation: Array, heights_mm: Array) -> Array:
    """Return the volume of the turned mesh below each height, counted from its lowest point; exact."""
    points = mesh.vertices_mm @ rotation.T
    corners = points[mesh.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    projected = 0.5 * normals[:, 2]
    corners_z = np.sort(corners[:, :, 2] - corners[:, :, 2].min(), axis=1)
    kept = projected != 0.0
    projected, (a, b, c) = projected[kept], corners_z[kept].T
    mean = (a + b + c) / 3.0
    total = np.empty(len(heights_mm))
    with np.errstate(divide="ignore", invalid="ignore"):
        for n, z in enumerate(heights_mm):
            low = z - (z - a) ** 3 / (3.0 * (b - a) * (c - a))
            high = mean - (c - z) ** 3 / (3.0 * (c - b) * (c - a))
            share = np.where(z <= a, z, np.where(z >= c, mean, np.where(z < b, low, high)))
            total[n] = float((projected * share).sum())
    return total


def slab_volumes_mm3(mesh: CoreMesh, rotation: Array, low_mm: float, edges_mm: Array) -> Array:
    """Return the volume of a placed core in each slab between heights, its lowest point at `low_mm`."""
    return np.diff(volume_below_mm3(mesh, rotation, np.asarray(edges_mm) - low_mm))
