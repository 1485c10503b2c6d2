"""Compiled: pairs of triangles of one mesh that cross each other."""

from __future__ import annotations

from typing import Any

import numpy as np

from corelib.kernels import kernel

_F1 = "Array(float64, 1, 'C', readonly=True)"
_F2 = "Array(float64, 2, 'C', readonly=True)"
_F3 = "Array(float64, 3, 'C', readonly=True)"
_I2 = "Array(int32, 2, 'C', readonly=True)"


@kernel(f"Tuple((float64, float64, float64, float64))({_F2}, {_F2}, int64)")
def _edge_through(edge: Any, triangle: Any, start: Any) -> Any:
    """Where the edge from corner `start` passes through the triangle, and how deep; depth 0 if it doesn't."""
    p0, p1 = edge[start], edge[(start + 1) % 3]
    a, b, c = triangle[0], triangle[1], triangle[2]
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    length = np.sqrt(nx * nx + ny * ny + nz * nz)
    if length == 0.0:
        return 0.0, 0.0, 0.0, 0.0
    d0 = ((p0[0] - a[0]) * nx + (p0[1] - a[1]) * ny + (p0[2] - a[2]) * nz) / length
    d1 = ((p1[0] - a[0]) * nx + (p1[1] - a[1]) * ny + (p1[2] - a[2]) * nz) / length
    if d0 * d1 >= 0.0:
        return 0.0, 0.0, 0.0, 0.0
    t = d0 / (d0 - d1)
    x, y, z = p0[0] + t * (p1[0] - p0[0]), p0[1] + t * (p1[1] - p0[1]), p0[2] + t * (p1[2] - p0[2])
    wx, wy, wz = x - a[0], y - a[1], z - a[2]
    uu, uv, vv = ux * ux + uy * uy + uz * uz, ux * vx + uy * vy + uz * vz, vx * vx + vy * vy + vz * vz
    wu, wv = wx * ux + wy * uy + wz * uz, wx * vx + wy * vy + wz * vz
    det = uu * vv - uv * uv
    if det <= 0.0:
        return 0.0, 0.0, 0.0, 0.0
    s, r = (vv * wu - uv * wv) / det, (uu * wv - uv * wu) / det
    if s < -1e-9 or r < -1e-9 or s + r > 1.0 + 1e-9:
        return 0.0, 0.0, 0.0, 0.0
    return min(abs(d0), abs(d1)), x, y, z


@kernel(f"boolean({_F1}, {_F1})")
def _apart(a: Any, b: Any) -> Any:
    """Whether two boxes (low x y z, high x y z) have a gap between them."""
    return a[0] > b[3] or a[1] > b[4] or a[2] > b[5] or a[3] < b[0] or a[4] < b[1] or a[5] < b[2]


@kernel(f"Tuple((float64, float64, float64, float64))({_F3}, {_I2}, int64, int64)")
def _pair(corners: Any, numbers: Any, i: Any, j: Any) -> Any:
    """Depth and place of the crossing of two triangles; edges at a corner that both share are left out."""
    a, b = corners[i], corners[j]
    shared = 0
    at_i, at_j = -1, -1
    for p in range(3):
        for q in range(3):
            if numbers[i, p] == numbers[j, q]:
                shared += 1
                at_i, at_j = p, q
    best, x, y, z = 0.0, 0.0, 0.0, 0.0
    if shared >= 2:
        return best, x, y, z
    for start in range(3):
        if shared == 0 or start == (at_i + 1) % 3:
            depth, px, py, pz = _edge_through(a, b, start)
            if depth > best:
                best, x, y, z = depth, px, py, pz
        if shared == 0 or start == (at_j + 1) % 3:
            depth, px, py, pz = _edge_through(b, a, start)
            if depth > best:
                best, x, y, z = depth, px, py, pz
    return best, x, y, z


@kernel(
    f"Tuple((int64[:, ::1], float64[:, ::1], float64[::1]))"
    f"({_F3}, {_I2}, {_F2}, {_F2}, int64, float64, int64)"
)
def count_crossings(
    corners: Any, numbers: Any, own_boxes: Any, boxes: Any, leaves: Any, least: Any, most: Any
) -> Any:
    """Pairs of triangles (`most` at most) that cross deeper than `least`, a point and the depth of each."""
    n = corners.shape[0]
    pairs = np.empty((most, 2), np.int64)
    points = np.empty((most, 3))
    depths = np.empty(most)
    found = 0
    stack = np.empty(128, np.int64)
    for leaf in range((n + 3) // 4):
        own = boxes[leaves + leaf]
        stack[0] = 1
        top = 1
        while top > 0:
            top -= 1
            node = stack[top]
            if _apart(boxes[node], own):
                continue
            if node < leaves:
                last = node
                while last < leaves:
                    last = 2 * last + 1
                if last - leaves >= leaf:
                    stack[top] = 2 * node
                    stack[top + 1] = 2 * node + 1
                    top += 2
                continue
            other = node - leaves
            if other < leaf:
                continue
            for i in range(4 * leaf, min(4 * leaf + 4, n)):
                for j in range(4 * other, min(4 * other + 4, n)):
                    if j <= i or found >= most or _apart(own_boxes[i], own_boxes[j]):
                        continue
                    depth, x, y, z = _pair(corners, numbers, i, j)
                    if depth > least:
                        pairs[found, 0], pairs[found, 1] = i, j
                        points[found, 0], points[found, 1], points[found, 2] = x, y, z
                        depths[found] = depth
                        found += 1
    return pairs[:found].copy(), points[:found].copy(), depths[:found].copy()
