"""Sections of a mesh across an axis: area, centroid, second moments, and extreme fibres, without polygons.

Each triangle that a plane cuts gives one directed piece of the section's outline; Green's theorem turns the
pieces into areas and moments, so nothing has to be joined into loops. All parts of a section count as one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array
from corelib.kernels import kernel

_F1 = "Array(float64, 1, 'C', readonly=True)"
_F2 = "Array(float64, 2, 'C', readonly=True)"
_F3 = "Array(float64, 3, 'C', readonly=True)"
_I2 = "Array(int32, 2, 'C', readonly=True)"
_SEGMENT = "Tuple((boolean, float64, float64, float64, float64))"


@kernel(f"{_SEGMENT}({_F2}, float64)")
def _outline_piece(triangle: Any, height: Any) -> Any:
    """The directed piece of outline in which the plane cuts the triangle: inside lies to its left."""
    xs, ys = np.empty(2), np.empty(2)
    count = 0
    for k in range(3):
        p, q = triangle[k], triangle[(k + 1) % 3]
        if (p[2] >= height) != (q[2] >= height):
            t = (height - p[2]) / (q[2] - p[2])
            end = 1 if q[2] >= height else 0  # outward faces: the piece runs to where an edge goes up
            xs[end] = p[0] + t * (q[0] - p[0])
            ys[end] = p[1] + t * (q[1] - p[1])
            count += 1
    return count == 2, xs[0], ys[0], xs[1], ys[1]


@kernel(f"float64[:, ::1]({_F2}, {_I2}, {_F1})")
def _moments(vertices: Any, faces: Any, heights: Any) -> Any:
    """A row a plane: ∫dA, ∫x, ∫y, ∫x², ∫y², ∫xy."""
    rows = np.zeros((heights.shape[0], 6))
    triangle = np.empty((3, 3))
    for f in range(faces.shape[0]):
        for k in range(3):
            triangle[k] = vertices[faces[f, k]]
        low = min(triangle[0, 2], triangle[1, 2], triangle[2, 2])
        high = max(triangle[0, 2], triangle[1, 2], triangle[2, 2])
        first = np.searchsorted(heights, low)
        for h in range(first, heights.shape[0]):
            if heights[h] > high:
                break
            cut, x1, y1, x2, y2 = _outline_piece(triangle, heights[h])
            if not cut:
                continue
            c = x1 * y2 - x2 * y1
            rows[h, 0] += c / 2
            rows[h, 1] += (x1 + x2) * c / 6
            rows[h, 2] += (y1 + y2) * c / 6
            rows[h, 3] += (x1 * x1 + x1 * x2 + x2 * x2) * c / 12
            rows[h, 4] += (y1 * y1 + y1 * y2 + y2 * y2) * c / 12
            rows[h, 5] += (x1 * y2 + 2 * x1 * y1 + 2 * x2 * y2 + x2 * y1) * c / 24
    return rows


@kernel(f"float64[:, ::1]({_F2}, {_I2}, {_F1}, {_F2}, {_F3})")
def _extremes(vertices: Any, faces: Any, heights: Any, centres: Any, weights: Any) -> Any:
    """Largest |w · (p − centre)| over each section's outline, for each of the plane's directions w."""
    found = np.zeros((heights.shape[0], weights.shape[1]))
    triangle = np.empty((3, 3))
    for f in range(faces.shape[0]):
        for k in range(3):
            triangle[k] = vertices[faces[f, k]]
        low = min(triangle[0, 2], triangle[1, 2], triangle[2, 2])
        high = max(triangle[0, 2], triangle[1, 2], triangle[2, 2])
        for h in range(np.searchsorted(heights, low), heights.shape[0]):
            if heights[h] > high:
                break
            cut, x1, y1, x2, y2 = _outline_piece(triangle, heights[h])
            if not cut:
                continue
            for d in range(weights.shape[1]):
                a, b = weights[h, d, 0], weights[h, d, 1]
                first = abs(a * (x1 - centres[h, 0]) + b * (y1 - centres[h, 1]))
                second = abs(a * (x2 - centres[h, 0]) + b * (y2 - centres[h, 1]))
                found[h, d] = max(found[h, d], first, second)
    return found


@dataclass(frozen=True, eq=False)
class SectionMoments:
    """Sections at `heights_mm`: area, centroid, and second moments about the centroid's axes."""

    heights_mm: Array
    area_mm2: Array
    centre_mm: Array
    second_moments_mm4: Array
    """(n, 2, 2): ∫x² , ∫xy; ∫xy, ∫y² about the centroid."""


def section_moments(vertices_mm: Array, faces: NDArray[np.int32], heights_mm: Array) -> SectionMoments:
    """Return the sections of a closed mesh by the planes z = `heights_mm` (rising)."""
    rows = _moments(vertices_mm, faces, np.ascontiguousarray(heights_mm))
    area = rows[:, 0]
    share = np.where(area > 0, area, 1.0)
    centre = np.column_stack([rows[:, 1] / share, rows[:, 2] / share])
    xx = rows[:, 3] - share * centre[:, 0] ** 2
    yy = rows[:, 4] - share * centre[:, 1] ** 2
    xy = rows[:, 5] - share * centre[:, 0] * centre[:, 1]
    tensor = np.stack([np.stack([xx, xy], axis=1), np.stack([xy, yy], axis=1)], axis=1)
    return SectionMoments(np.asarray(heights_mm), area, centre, tensor)


def fibre_stress_of_unit_moment(
    vertices_mm: Array, faces: NDArray[np.int32], sections: SectionMoments, rolls_deg: Array
) -> Array:
    """Return the largest stress per moment (1/mm³) in each section, for loads along each roll direction.

    Bending of a section that need not be symmetric: σ(p) = M·(p − c)ᵀ T⁻¹ d, T the second moments and d the
    load's direction. Infinite where the section has no area or no stiffness.
    """
    angles = np.radians(rolls_deg)
    directions = np.column_stack([np.cos(angles), np.sin(angles)])
    tensor = sections.second_moments_mm4
    det = tensor[:, 0, 0] * tensor[:, 1, 1] - tensor[:, 0, 1] ** 2
    stiff = (sections.area_mm2 > 0) & (det > 1e-9 * (tensor[:, 0, 0] + tensor[:, 1, 1]) ** 2)
    safe = np.where(stiff[:, None, None], tensor, np.eye(2))
    weights = np.linalg.solve(
        safe[:, None], np.broadcast_to(directions[..., None], (len(det), len(angles), 2, 1))
    )
    found = _extremes(
        vertices_mm,
        faces,
        np.ascontiguousarray(sections.heights_mm),
        np.ascontiguousarray(sections.centre_mm),
        np.ascontiguousarray(weights[..., 0]),
    )
    stresses: Array = np.where(stiff[:, None], found, np.inf)
    return stresses
