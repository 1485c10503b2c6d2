"""Least distance between two placed meshes, exact on their triangles, by trees of bounding boxes.

A tree is built once for a mesh in one rotation; a query takes only the shift between two such trees, and
stops looking beyond a stated distance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from corelib.geometry.pose import Array
from corelib.kernels import kernel

LEAF = 4  # triangles in a leaf


@dataclass(frozen=True, eq=False)
class Tree:
    """Triangles (n, 9) in tree order, and the boxes (nodes, 6: low, high) of a complete binary tree."""

    triangles: Array
    boxes: Array
    witnesses: Array
    """A point of each connected part with that part's bounding box: (parts, 3 + 6)."""


@dataclass(frozen=True, eq=False)
class TreeOrder:
    """What no rotation changes: the faces in tree order, and the vertices of each connected part."""

    faces: NDArray[np.int64]
    parts: tuple[NDArray[np.int64], ...]


def tree_order(vertices_mm: Array, faces: NDArray[np.int32]) -> TreeOrder:
    """Return the faces sorted along a space-filling (Morton) curve, and the connected parts."""
    corners = vertices_mm[faces]
    middle = corners.mean(axis=1)
    low, high = middle.min(axis=0), middle.max(axis=0)
    extent = float((high - low).max()) or 1.0
    grid = ((middle - low) / extent * 1023).astype(np.int64)
    code = np.zeros(len(grid), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            code |= ((grid[:, axis] >> bit) & 1) << (3 * bit + axis)
    ordered = faces[np.argsort(code, kind="stable")].astype(np.int64)
    return TreeOrder(ordered, _parts(vertices_mm, faces))


def _parts(vertices_mm: Array, faces: NDArray[np.int32]) -> tuple[NDArray[np.int64], ...]:
    """Return the vertex numbers of each connected part (vertices at one place are one)."""
    _, welded = np.unique(vertices_mm, axis=0, return_inverse=True)
    joined = welded.reshape(-1)[faces]
    start = np.concatenate([joined[:, 0], joined[:, 1]])
    end = np.concatenate([joined[:, 1], joined[:, 2]])
    count = int(joined.max()) + 1
    graph = coo_array((np.ones(len(start), dtype=np.int8), (start, end)), shape=(count, count))
    number, label = connected_components(graph, directed=False)
    of_vertex = label[welded.reshape(-1)[np.unique(faces)]]
    used = np.unique(faces)
    return tuple(used[of_vertex == part] for part in range(number) if (of_vertex == part).any())


def turned_tree(vertices_mm: Array, order: TreeOrder, rotation: Array) -> Tree:
    """Return the tree of the mesh after a rotation about its origin."""
    points = vertices_mm @ rotation.T
    triangles = np.ascontiguousarray(points[order.faces].reshape(-1, 9))
    leaves = 1
    while leaves * LEAF < len(triangles):
        leaves *= 2
    boxes = np.empty((2 * leaves, 6))
    _fit(triangles, leaves, boxes)
    witnesses = [
        np.concatenate([points[part[0]], points[part].min(axis=0), points[part].max(axis=0)])
        for part in order.parts
    ]
    return Tree(triangles, boxes, np.array(witnesses))


def least_distance_mm(first: Tree, second: Tree, shift_mm: Array, bound_mm: float) -> float:
    """Return the least distance of two bodies, the second moved by `shift_mm`, at most `bound_mm`.

    0 where the surfaces cross or one body (or a part of it) lies inside the other.
    """
    distance, _ = least_of_surfaces(first, second, shift_mm, bound_mm)
    if distance > 0 and (_holds_part(first, second, shift_mm) or _holds_part(second, first, -shift_mm)):
        return 0.0
    return float(distance)


def least_of_surfaces(
    first: Tree, second: Tree, shift_mm: Array, bound_mm: float
) -> tuple[float, NDArray[np.int64]]:
    """Return the least distance of two surfaces, at most `bound_mm`, and the two triangles that have it.

    The triangles are -1 where nothing is nearer than the bound.
    """
    pair = np.full(2, -1, dtype=np.int64)
    distance = _least(
        first.triangles, first.boxes, second.triangles, second.boxes, np.ascontiguousarray(shift_mm),
        bound_mm, pair,
    )  # fmt: skip
    return float(distance), pair


def _holds_part(outer: Tree, inner: Tree, shift_mm: Array) -> bool:
    """Return True if a part of `inner` (moved) lies in `outer`; their surfaces are known not to cross."""
    low, high = outer.boxes[1, :3], outer.boxes[1, 3:]
    for row in inner.witnesses:
        if (row[3:6] + shift_mm < low).any() or (row[6:9] + shift_mm > high).any():
            continue
        if abs(_winding(outer.triangles, row[:3] + shift_mm)) > 0.5:
            return True
    return False


@kernel("void(f8[:,::1], i8, f8[:,::1])")
def _fit(triangles: Array, leaves: int, boxes: Array) -> None:
    """Set the boxes: node 1 is the root, node n has the children 2 n and 2 n + 1; empty is inside out."""
    count = triangles.shape[0]
    for leaf in range(leaves):
        node = leaves + leaf
        for axis in range(3):
            low, high = np.inf, -np.inf
            for t in range(leaf * count // leaves, (leaf + 1) * count // leaves):
                for corner in range(3):
                    value = triangles[t, 3 * corner + axis]
                    low, high = min(low, value), max(high, value)
            boxes[node, axis], boxes[node, 3 + axis] = low, high
    for node in range(leaves - 1, 0, -1):
        for axis in range(3):
            boxes[node, axis] = min(boxes[2 * node, axis], boxes[2 * node + 1, axis])
            boxes[node, 3 + axis] = max(boxes[2 * node, 3 + axis], boxes[2 * node + 1, 3 + axis])
    boxes[0] = 0.0


@kernel("f8(f8[:,::1], i8, f8[:,::1], i8, f8[::1])")
def _box_square(a: Array, i: int, b: Array, j: int, shift: Array) -> float:
    """Return the squared distance of two boxes, infinite if one is empty."""
    total = 0.0
    for axis in range(3):
        apart = max(a[i, axis] - b[j, 3 + axis] - shift[axis], b[j, axis] + shift[axis] - a[i, 3 + axis])
        if apart > 0.0:
            total += apart * apart
    return total


@kernel("f8(f8[:], f8[:])")
def _point_triangle_square(p: Array, t: Array) -> float:
    """Return the squared distance of a point and a triangle (Ericson, Collision Detection, 5.1.5)."""
    abx, aby, abz = t[3] - t[0], t[4] - t[1], t[5] - t[2]
    acx, acy, acz = t[6] - t[0], t[7] - t[1], t[8] - t[2]
    apx, apy, apz = p[0] - t[0], p[1] - t[1], p[2] - t[2]
    d1, d2 = abx * apx + aby * apy + abz * apz, acx * apx + acy * apy + acz * apz
    bpx, bpy, bpz = p[0] - t[3], p[1] - t[4], p[2] - t[5]
    d3, d4 = abx * bpx + aby * bpy + abz * bpz, acx * bpx + acy * bpy + acz * bpz
    cpx, cpy, cpz = p[0] - t[6], p[1] - t[7], p[2] - t[8]
    d5, d6 = abx * cpx + aby * cpy + abz * cpz, acx * cpx + acy * cpy + acz * cpz
    vc, vb, va = d1 * d4 - d3 * d2, d5 * d2 - d1 * d6, d3 * d6 - d5 * d4
    if d1 <= 0.0 and d2 <= 0.0:
        v, w = 0.0, 0.0
    elif d3 >= 0.0 and d4 <= d3:
        v, w = 1.0, 0.0
    elif d6 >= 0.0 and d5 <= d6:
        v, w = 0.0, 1.0
    elif vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0:
        v, w = d1 / (d1 - d3), 0.0
    elif vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
        v, w = 0.0, d2 / (d2 - d6)
    elif va <= 0.0 and d4 - d3 >= 0.0 and d5 - d6 >= 0.0:
        w = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        v = 1.0 - w
    else:
        total = va + vb + vc
        if total == 0.0:
            v, w = 0.0, 0.0
        else:
            v, w = vb / total, vc / total
    x, y, z = apx - v * abx - w * acx, apy - v * aby - w * acy, apz - v * abz - w * acz
    return x * x + y * y + z * z


@kernel("f8(f8, f8, f8, f8, f8, f8, f8, f8, f8, f8, f8, f8)")
def _segments_square(
    px: float, py: float, pz: float, ux: float, uy: float, uz: float,
    qx: float, qy: float, qz: float, vx: float, vy: float, vz: float,
) -> float:  # fmt: skip
    """Return the squared distance of the segments p + s u and q + t v (Ericson, 5.1.9)."""
    rx, ry, rz = px - qx, py - qy, pz - qz
    a, e = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz
    f, c = vx * rx + vy * ry + vz * rz, ux * rx + uy * ry + uz * rz
    b = ux * vx + uy * vy + uz * vz
    denominator = a * e - b * b
    s = 0.0
    if a > 0.0 and denominator > 1e-14 * a * e:
        s = min(1.0, max(0.0, (b * f - c * e) / denominator))
    t = (b * s + f) / e if e > 0.0 else 0.0
    if t < 0.0:
        t = 0.0
        s = min(1.0, max(0.0, -c / a)) if a > 0.0 else 0.0
    elif t > 1.0:
        t = 1.0
        s = min(1.0, max(0.0, (b - c) / a)) if a > 0.0 else 0.0
    x, y, z = rx + s * ux - t * vx, ry + s * uy - t * vy, rz + s * uz - t * vz
    return x * x + y * y + z * z


@kernel("b1(f8[:], f8[:])")
def _pierces(a: Array, b: Array) -> bool:
    """Return True if an edge of triangle a passes through triangle b."""
    ux, uy, uz = b[3] - b[0], b[4] - b[1], b[5] - b[2]
    vx, vy, vz = b[6] - b[0], b[7] - b[1], b[8] - b[2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    square = nx * nx + ny * ny + nz * nz
    if square == 0.0:
        return False
    for i in range(3):
        j = (i + 1) % 3
        sx, sy, sz = a[3 * i] - b[0], a[3 * i + 1] - b[1], a[3 * i + 2] - b[2]
        ex, ey, ez = a[3 * j] - b[0], a[3 * j + 1] - b[1], a[3 * j + 2] - b[2]
        ds, de = nx * sx + ny * sy + nz * sz, nx * ex + ny * ey + nz * ez
        if ds == de or (ds > 0.0) == (de > 0.0):
            continue
        share = ds / (ds - de)
        x, y, z = sx + share * (ex - sx), sy + share * (ey - sy), sz + share * (ez - sz)
        # barycentric coordinates by the signs of three small triangles' normals
        wx, wy, wz = uy * z - uz * y, uz * x - ux * z, ux * y - uy * x
        gamma = (wx * nx + wy * ny + wz * nz) / square
        wx, wy, wz = y * vz - z * vy, z * vx - x * vz, x * vy - y * vx
        beta = (wx * nx + wy * ny + wz * nz) / square
        if gamma >= 0.0 and beta >= 0.0 and gamma + beta <= 1.0:
            return True
    return False


@kernel("f8(f8[:], f8[:], f8)")
def _triangles_square(a: Array, b: Array, best: float) -> float:
    """Return the squared distance of two triangles, or `best` if that is less."""
    for corner in range(3):
        best = min(best, _point_triangle_square(a[3 * corner : 3 * corner + 3], b))
        best = min(best, _point_triangle_square(b[3 * corner : 3 * corner + 3], a))
    for i in range(3):
        j = 3 * ((i + 1) % 3)
        ux, uy, uz = a[j] - a[3 * i], a[j + 1] - a[3 * i + 1], a[j + 2] - a[3 * i + 2]
        for k in range(3):
            m = 3 * ((k + 1) % 3)
            vx, vy, vz = b[m] - b[3 * k], b[m + 1] - b[3 * k + 1], b[m + 2] - b[3 * k + 2]
            best = min(
                best,
                _segments_square(
                    a[3 * i], a[3 * i + 1], a[3 * i + 2], ux, uy, uz,
                    b[3 * k], b[3 * k + 1], b[3 * k + 2], vx, vy, vz,
                ),
            )  # fmt: skip
    if best > 0.0 and (_pierces(a, b) or _pierces(b, a)):
        return 0.0
    return best


@kernel("f8(f8[:,::1], f8[:,::1], i8, i8, f8[:,::1], f8[:,::1], i8, i8, f8[::1], f8, i8[::1])")
def _leaves_square(
    ta: Array, boxes_a: Array, leaf_a: int, leaves_a: int,
    tb: Array, boxes_b: Array, leaf_b: int, leaves_b: int, shift: Array, best: float,
    pair: NDArray[np.int64],
) -> float:  # fmt: skip
    """Return the least squared distance of the triangles of two leaves, or `best`; set whose in `pair`."""
    moved = np.empty(9)
    count_a, count_b = ta.shape[0], tb.shape[0]
    for j in range(leaf_b * count_b // leaves_b, (leaf_b + 1) * count_b // leaves_b):
        for n in range(9):
            moved[n] = tb[j, n] + shift[n % 3]
        for i in range(leaf_a * count_a // leaves_a, (leaf_a + 1) * count_a // leaves_a):
            apart = 0.0
            for axis in range(3):
                low_a = min(ta[i, axis], ta[i, 3 + axis], ta[i, 6 + axis])
                high_a = max(ta[i, axis], ta[i, 3 + axis], ta[i, 6 + axis])
                low_b = min(moved[axis], moved[3 + axis], moved[6 + axis])
                high_b = max(moved[axis], moved[3 + axis], moved[6 + axis])
                gap = max(low_a - high_b, low_b - high_a)
                if gap > 0.0:
                    apart += gap * gap
            if apart < best:
                square = _triangles_square(ta[i], moved, best)
                if square < best:
                    best, pair[0], pair[1] = square, i, j
                if best == 0.0:
                    return 0.0
    return best


@kernel("f8(f8[:,::1], f8[:,::1], f8[:,::1], f8[:,::1], f8[::1], f8, i8[::1])")
def _least(
    ta: Array, boxes_a: Array, tb: Array, boxes_b: Array, shift: Array, bound: float, pair: NDArray[np.int64]
) -> float:
    """Return the least distance of two sets of triangles, the second moved by `shift`, at most `bound`."""
    leaves_a, leaves_b = boxes_a.shape[0] // 2, boxes_b.shape[0] // 2
    stack = np.empty((256, 2), dtype=np.int64)
    stack[0, 0], stack[0, 1] = 1, 1
    depth = 1
    best = bound * bound
    while depth > 0:
        depth -= 1
        i, j = stack[depth, 0], stack[depth, 1]
        if _box_square(boxes_a, i, boxes_b, j, shift) >= best:
            continue
        if i >= leaves_a and j >= leaves_b:
            best = _leaves_square(
                ta, boxes_a, i - leaves_a, leaves_a, tb, boxes_b, j - leaves_b, leaves_b, shift, best, pair
            )
            if best == 0.0:
                return 0.0
            continue
        size_a = boxes_a[i, 3] - boxes_a[i, 0] + boxes_a[i, 4] - boxes_a[i, 1] + boxes_a[i, 5] - boxes_a[i, 2]
        size_b = boxes_b[j, 3] - boxes_b[j, 0] + boxes_b[j, 4] - boxes_b[j, 1] + boxes_b[j, 5] - boxes_b[j, 2]
        if j >= leaves_b or (i < leaves_a and size_a >= size_b):
            near, far, k, m = 2 * i, 2 * i + 1, j, j
            if _box_square(boxes_a, far, boxes_b, j, shift) < _box_square(boxes_a, near, boxes_b, j, shift):
                near, far = far, near
        else:
            near, far, k, m = i, i, 2 * j, 2 * j + 1
            if _box_square(boxes_a, i, boxes_b, m, shift) < _box_square(boxes_a, i, boxes_b, k, shift):
                k, m = m, k
        stack[depth, 0], stack[depth, 1] = far, m  # the nearer pair comes off the stack first
        stack[depth + 1, 0], stack[depth + 1, 1] = near, k
        depth += 2
    return np.sqrt(best)


@kernel("f8(f8[:,::1], f8[::1])")
def _winding(triangles: Array, point: Array) -> float:
    """Return how often the surface winds about the point (van Oosterom and Strackee 1983)."""
    total = 0.0
    for t in range(triangles.shape[0]):
        ax, ay, az = triangles[t, 0] - point[0], triangles[t, 1] - point[1], triangles[t, 2] - point[2]
        bx, by, bz = triangles[t, 3] - point[0], triangles[t, 4] - point[1], triangles[t, 5] - point[2]
        cx, cy, cz = triangles[t, 6] - point[0], triangles[t, 7] - point[1], triangles[t, 8] - point[2]
        la = np.sqrt(ax * ax + ay * ay + az * az)
        lb = np.sqrt(bx * bx + by * by + bz * bz)
        lc = np.sqrt(cx * cx + cy * cy + cz * cz)
        det = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
        ab = ax * bx + ay * by + az * bz
        bc = bx * cx + by * cy + bz * cz
        ca = cx * ax + cy * ay + cz * az
        total += np.arctan2(det, la * lb * lc + ab * lc + bc * la + ca * lb)
    return total / (2.0 * np.pi)
