"""Where two bodies come nearest: the two points that their least distance lies between."""

from __future__ import annotations

import numpy as np

from corelib.geometry.distance import Tree, least_of_surfaces
from corelib.geometry.pose import Array
from corelib.kernels import kernel

NEAR = 1e-9  # share and mm by which the distance given may be short for rounding


def nearest_points_mm(first: Tree, second: Tree, shift_mm: Array, distance_mm: float) -> tuple[Array, Array]:
    """Return a point of each body, `distance_mm` apart, in the first one's frame.

    The second body is moved by `shift_mm`; `distance_mm` is their least distance and above 0.
    """
    _, (i, j) = least_of_surfaces(first, second, shift_mm, 2 * (distance_mm * (1.0 + NEAR) + NEAR))
    return nearest_of_triangles(first.triangles[i], second.triangles[j] + np.tile(shift_mm, 3))


def nearest_of_triangles(first: Array, second: Array) -> tuple[Array, Array]:
    """Return the nearest points of two triangles (9 numbers each) that don't meet.

    They lie on two edges, or on a corner and inside the other triangle.
    """
    ends = np.empty((2, 3))
    _nearest(first.reshape(3, 3), second.reshape(3, 3), ends)
    return ends[0], ends[1]


@kernel("f8(f8[:], f8[:])")
def _dot(a: Array, b: Array) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@kernel("f8(f8[:,::1], f8[:,::1], i8, i8, f8[:,::1], f8)")
def _foot(a: Array, b: Array, corner: int, side: int, ends: Array, best: float) -> float:
    """Take over corner of `a` and its foot on triangle `b` if the foot lies in it and they are nearer."""
    u, v, w = b[1] - b[0], b[2] - b[0], a[corner] - b[0]
    uu, uv, vv, wu, wv = _dot(u, u), _dot(u, v), _dot(v, v), _dot(w, u), _dot(w, v)
    square = uu * vv - uv * uv
    if square <= 0.0:
        return best
    beta, gamma = (vv * wu - uv * wv) / square, (uu * wv - uv * wu) / square
    if beta < 0.0 or gamma < 0.0 or beta + gamma > 1.0:
        return best
    apart = w - beta * u - gamma * v
    found = _dot(apart, apart)
    if found < best:
        ends[side] = a[corner]
        ends[1 - side] = a[corner] - apart
        return found
    return best


@kernel("void(f8[:,::1], f8[:,::1], f8[:,::1])")
def _nearest(a: Array, b: Array, ends: Array) -> None:
    """Set in `ends` the nearest points of two triangles (segments: Ericson, Collision Detection, 5.1.9)."""
    best = np.inf
    for i in range(3):
        best = _foot(a, b, i, 0, ends, best)
        best = _foot(b, a, i, 1, ends, best)
    for i in range(3):
        u = a[(i + 1) % 3] - a[i]
        for j in range(3):
            v, r = b[(j + 1) % 3] - b[j], a[i] - b[j]
            uu, vv, vr, ur, uv = _dot(u, u), _dot(v, v), _dot(v, r), _dot(u, r), _dot(u, v)
            denominator = uu * vv - uv * uv
            s = 0.0
            if uu > 0.0 and denominator > 1e-14 * uu * vv:
                s = min(1.0, max(0.0, (uv * vr - ur * vv) / denominator))
            t = (uv * s + vr) / vv if vv > 0.0 else 0.0
            if t < 0.0 or t > 1.0:
                t = min(1.0, max(0.0, t))
                s = min(1.0, max(0.0, (uv * t - ur) / uu)) if uu > 0.0 else 0.0
            apart = r + s * u - t * v
            found = _dot(apart, apart)
            if found < best:
                best = found
                ends[0] = a[i] + s * u
                ends[1] = b[j] + t * v
