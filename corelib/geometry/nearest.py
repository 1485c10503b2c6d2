"""Where two bodies come nearest: the two points that their least distance lies between.

The distance itself is known. Halving the triangles of either body, and asking each time which half still has
that distance, leaves one pair of triangles after some thirty quick questions.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np

from corelib.geometry.distance import Tree, TreeOrder, least_distance_mm, turned_tree
from corelib.geometry.pose import Array

NEAR = 1e-9  # share and mm by which a half may miss the distance for rounding


def nearest_points_mm(first: Tree, second: Tree, shift_mm: Array, distance_mm: float) -> tuple[Array, Array]:
    """Return a point of each body, `distance_mm` apart, in the first one's frame.

    The second body is moved by `shift_mm`; `distance_mm` is their least distance and above 0.
    """
    bound_mm = distance_mm * (1.0 + NEAR) + NEAR
    i = _triangle(first, lambda half: least_distance_mm(half, second, shift_mm, 2 * bound_mm) <= bound_mm)
    one = _part(first, i, i + 1)
    j = _triangle(second, lambda half: least_distance_mm(one, half, shift_mm, 2 * bound_mm) <= bound_mm)
    return nearest_of_triangles(first.triangles[i], second.triangles[j] + np.tile(shift_mm, 3))


def _triangle(tree: Tree, holds: Callable[[Tree], bool]) -> int:
    """Return the number of a triangle for which `holds` is true of every part that it lies in."""
    start, stop = 0, len(tree.triangles)
    while stop - start > 1:
        middle = (start + stop) // 2
        if holds(_part(tree, start, middle)):
            stop = middle
        else:
            start = middle
    return start


def _part(tree: Tree, start: int, stop: int) -> Tree:
    """Return a tree of some of the triangles."""
    points = tree.triangles[start:stop].reshape(-1, 3)
    order = TreeOrder(np.arange(len(points), dtype=np.int64).reshape(-1, 3), ())
    return turned_tree(points, order, np.eye(3))


def nearest_of_triangles(first: Array, second: Array) -> tuple[Array, Array]:
    """Return the nearest points of two triangles (9 numbers each) that don't meet.

    They lie on two edges, or on a corner and inside the other triangle.
    """
    a, b = first.reshape(3, 3), second.reshape(3, 3)
    pairs = [_of_segments(a[i], a[(i + 1) % 3], b[j], b[(j + 1) % 3]) for i, j in product(range(3), repeat=2)]
    pairs += [(corner, foot) for corner in a if (foot := _foot(corner, b)) is not None]
    pairs += [(foot, corner) for corner in b if (foot := _foot(corner, a)) is not None]
    return min(pairs, key=lambda pair: float(((pair[0] - pair[1]) ** 2).sum()))


def _foot(point: Array, triangle: Array) -> Array | None:
    """Return the point's foot on the triangle's plane if it lies in the triangle."""
    u, v, w = triangle[1] - triangle[0], triangle[2] - triangle[0], point - triangle[0]
    normal = np.cross(u, v)
    square = float(normal @ normal)
    if square == 0.0:
        return None
    gamma, beta = float(np.cross(u, w) @ normal) / square, float(np.cross(w, v) @ normal) / square
    if gamma < 0.0 or beta < 0.0 or gamma + beta > 1.0:
        return None
    foot: Array = triangle[0] + beta * u + gamma * v
    return foot


def _of_segments(p: Array, p_end: Array, q: Array, q_end: Array) -> tuple[Array, Array]:
    """Return the nearest points of two segments (Ericson, Real-Time Collision Detection, 2005, 5.1.9)."""
    u, v, r = p_end - p, q_end - q, p - q
    a, e, f, c, b = (float(x) for x in (u @ u, v @ v, v @ r, u @ r, u @ v))
    denominator = a * e - b * b
    s = min(1.0, max(0.0, (b * f - c * e) / denominator)) if a > 0.0 and denominator > 1e-14 * a * e else 0.0
    t = (b * s + f) / e if e > 0.0 else 0.0
    if not 0.0 <= t <= 1.0:
        t = min(1.0, max(0.0, t))
        s = min(1.0, max(0.0, (b * t - c) / a)) if a > 0.0 else 0.0
    return p + s * u, q + t * v
