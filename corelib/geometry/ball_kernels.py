"""Compiled: nearest points of a mesh, balls between opposing faces, straight ways past faces."""

from __future__ import annotations

from typing import Any

import numpy as np

from corelib.kernels import kernel

_F1 = "Array(float64, 1, 'C', readonly=True)"
_F2 = "Array(float64, 2, 'C', readonly=True)"
_F3 = "Array(float64, 3, 'C', readonly=True)"
_TREE = f"{_F3}, {_F2}, int64"
MOST_STEPS = 24


@kernel(f"Tuple((float64, float64, float64))(float64, float64, float64, {_F2})")
def _nearest_on(x: Any, y: Any, z: Any, triangle: Any) -> Any:
    """The triangle's point nearest to x, y, z (Ericson, Real-Time Collision Detection, 2005, 5.1.5)."""
    a, b, c = triangle[0], triangle[1], triangle[2]
    abx, aby, abz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    acx, acy, acz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    apx, apy, apz = x - a[0], y - a[1], z - a[2]
    d1, d2 = abx * apx + aby * apy + abz * apz, acx * apx + acy * apy + acz * apz
    if d1 <= 0.0 and d2 <= 0.0:
        return a[0], a[1], a[2]
    bpx, bpy, bpz = x - b[0], y - b[1], z - b[2]
    d3, d4 = abx * bpx + aby * bpy + abz * bpz, acx * bpx + acy * bpy + acz * bpz
    if d3 >= 0.0 and d4 <= d3:
        return b[0], b[1], b[2]
    vc = d1 * d4 - d3 * d2
    if vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0:
        t = d1 / (d1 - d3)
        return a[0] + t * abx, a[1] + t * aby, a[2] + t * abz
    cpx, cpy, cpz = x - c[0], y - c[1], z - c[2]
    d5, d6 = abx * cpx + aby * cpy + abz * cpz, acx * cpx + acy * cpy + acz * cpz
    if d6 >= 0.0 and d5 <= d6:
        return c[0], c[1], c[2]
    vb = d5 * d2 - d1 * d6
    if vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
        t = d2 / (d2 - d6)
        return a[0] + t * acx, a[1] + t * acy, a[2] + t * acz
    va = d3 * d6 - d5 * d4
    if va <= 0.0 and d4 - d3 >= 0.0 and d5 - d6 >= 0.0:
        t = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        return b[0] + t * (c[0] - b[0]), b[1] + t * (c[1] - b[1]), b[2] + t * (c[2] - b[2])
    total = va + vb + vc
    if total == 0.0:
        return a[0], a[1], a[2]
    v, w = vb / total, vc / total
    return a[0] + v * abx + w * acx, a[1] + v * aby + w * acy, a[2] + v * abz + w * acz


@kernel(f"float64(float64, float64, float64, {_F1})")
def _box_distance2(x: Any, y: Any, z: Any, box: Any) -> Any:
    dx = max(box[0] - x, 0.0, x - box[3])
    dy = max(box[1] - y, 0.0, y - box[4])
    dz = max(box[2] - z, 0.0, z - box[5])
    return dx * dx + dy * dy + dz * dz


@kernel(f"float64[::1]({_F2}, {_TREE})")
def nearest_distances(points: Any, corners: Any, boxes: Any, leaves: Any) -> Any:
    """Distance of each point to the nearest triangle."""
    n = corners.shape[0]
    found = np.empty(points.shape[0])
    stack = np.empty(128, np.int64)
    for k in range(points.shape[0]):
        x, y, z = points[k, 0], points[k, 1], points[k, 2]
        best = np.inf
        stack[0] = 1
        top = 1
        while top > 0:
            top -= 1
            node = stack[top]
            if _box_distance2(x, y, z, boxes[node]) >= best:
                continue
            if node < leaves:
                left, right = 2 * node, 2 * node + 1
                if _box_distance2(x, y, z, boxes[left]) < _box_distance2(x, y, z, boxes[right]):
                    left, right = right, left
                stack[top] = left
                stack[top + 1] = right
                top += 2
                continue
            first = 4 * (node - leaves)
            for i in range(first, min(first + 4, n)):
                qx, qy, qz = _nearest_on(x, y, z, corners[i])
                best = min(best, (qx - x) ** 2 + (qy - y) ** 2 + (qz - z) ** 2)
        found[k] = np.sqrt(best)
    return found


@kernel(
    f"Tuple((float64, int64, float64, float64, float64))({_F1}, {_F1}, float64, float64,"
    f" {_F3}, {_F2}, {_F2}, int64, float64, int64[::1])"
)
def _nearest_opposing(
    point: Any, normal: Any, side: Any, radius: Any, corners: Any, face_normals: Any, boxes: Any, leaves: Any,
    opening_cos: Any, stack: Any,
) -> Any:  # fmt: skip
    """Squared distance, face and place of the opposing face point nearest to the ball's centre, if inside."""
    px, py, pz = point[0], point[1], point[2]
    nx, ny, nz = normal[0], normal[1], normal[2]
    mx, my, mz = side * nx, side * ny, side * nz
    x, y, z = px + radius * mx, py + radius * my, pz + radius * mz
    best = radius * radius * (1.0 - 1e-9)
    hit = -1
    bx, by, bz = 0.0, 0.0, 0.0
    stack[0] = 1
    top = 1
    while top > 0:
        top -= 1
        node = stack[top]
        if _box_distance2(x, y, z, boxes[node]) >= best:
            continue
        if node < leaves:
            left, right = 2 * node, 2 * node + 1
            if _box_distance2(x, y, z, boxes[left]) < _box_distance2(x, y, z, boxes[right]):
                left, right = right, left
            stack[top] = left
            stack[top + 1] = right
            top += 2
            continue
        first = 4 * (node - leaves)
        for i in range(first, min(first + 4, corners.shape[0])):
            f = face_normals[i]
            if f[0] * nx + f[1] * ny + f[2] * nz > opening_cos:
                continue
            qx, qy, qz = _nearest_on(x, y, z, corners[i])
            distance2 = (qx - x) ** 2 + (qy - y) ** 2 + (qz - z) ** 2
            if distance2 < best and (qx - px) * mx + (qy - py) * my + (qz - pz) * mz > 0.0:
                best, hit = distance2, i
                bx, by, bz = qx, qy, qz
    return best, hit, bx, by, bz


@kernel(
    f"Tuple((float64[::1], int64[::1]))({_F2}, {_F2}, float64, {_F3}, {_F2}, {_F2}, int64, float64, float64)"
)
def opposing_balls(
    points: Any, normals: Any, side: Any, corners: Any, face_normals: Any, boxes: Any, leaves: Any,
    most: Any, opening_cos: Any,
) -> Any:  # fmt: skip
    """Radius of the largest ball at each point that meets no opposing face, and the face that stops it.

    The ball shrinks: from the face point q nearest to its centre among the opposing faces, the ball through
    the point and q is next, until none is nearer than its radius.
    """
    radii = np.full(points.shape[0], most)
    hits = np.full(points.shape[0], -1, np.int64)
    stack = np.empty(128, np.int64)
    for k in range(points.shape[0]):
        point, normal = points[k], normals[k]
        for _ in range(MOST_STEPS):
            _, hit, qx, qy, qz = _nearest_opposing(
                point, normal, side, radii[k], corners, face_normals, boxes, leaves, opening_cos, stack
            )
            if hit < 0:
                break
            dx, dy, dz = qx - point[0], qy - point[1], qz - point[2]
            ahead = side * (dx * normal[0] + dy * normal[1] + dz * normal[2])
            smaller = 0.5 * (dx * dx + dy * dy + dz * dz) / ahead
            hits[k] = hit
            settled = smaller >= radii[k] * (1.0 - 1e-7)
            radii[k] = min(radii[k], smaller)
            if settled:
                break
    return radii, hits


@kernel(f"boolean(float64, float64, float64, float64, float64, float64, {_F2})")
def _crosses(px: Any, py: Any, pz: Any, dx: Any, dy: Any, dz: Any, triangle: Any) -> Any:
    """Whether the way from p along d meets the triangle (Möller and Trumbore, J. Graph. Tools 2, 1997)."""
    a, b, c = triangle[0], triangle[1], triangle[2]
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    hx, hy, hz = dy * vz - dz * vy, dz * vx - dx * vz, dx * vy - dy * vx
    det = ux * hx + uy * hy + uz * hz
    if det == 0.0:
        return False
    sx, sy, sz = px - a[0], py - a[1], pz - a[2]
    s = (sx * hx + sy * hy + sz * hz) / det
    if s < 0.0 or s > 1.0:
        return False
    gx, gy, gz = sy * uz - sz * uy, sz * ux - sx * uz, sx * uy - sy * ux
    r = (dx * gx + dy * gy + dz * gz) / det
    if r < 0.0 or s + r > 1.0:
        return False
    t = (vx * gx + vy * gy + vz * gz) / det
    return 1e-6 < t < 1.0 - 1e-6


@kernel(f"boolean[::1]({_F2}, {_F2}, {_TREE})")
def segment_is_free(starts: Any, ends: Any, corners: Any, boxes: Any, leaves: Any) -> Any:
    """Whether no triangle lies across each straight way, its outermost millionths left out."""
    n = corners.shape[0]
    free = np.ones(starts.shape[0], np.bool_)
    stack = np.empty(128, np.int64)
    for k in range(starts.shape[0]):
        px, py, pz = starts[k, 0], starts[k, 1], starts[k, 2]
        dx, dy, dz = ends[k, 0] - px, ends[k, 1] - py, ends[k, 2] - pz
        stack[0] = 1
        top = 1
        while top > 0 and free[k]:
            top -= 1
            node = stack[top]
            box = boxes[node]
            if (
                box[0] > max(px, px + dx)
                or box[3] < min(px, px + dx)
                or box[1] > max(py, py + dy)
                or box[4] < min(py, py + dy)
                or box[2] > max(pz, pz + dz)
                or box[5] < min(pz, pz + dz)
            ):
                continue
            if node < leaves:
                stack[top] = 2 * node
                stack[top + 1] = 2 * node + 1
                top += 2
                continue
            first = 4 * (node - leaves)
            for i in range(first, min(first + 4, n)):
                if _crosses(px, py, pz, dx, dy, dz, corners[i]):
                    free[k] = False
                    break
    return free


@kernel(f"Tuple((float64[:, :, ::1], int64[::1]))({_F3}, float64)")
def halved_triangles(corners: Any, most_edge: Any) -> Any:
    """Each triangle halved at its longest edge until no edge is longer than `most_edge`, and its owner."""
    room = 2 * corners.shape[0] + 16
    pieces = np.empty((room, 3, 3))
    owners = np.empty(room, np.int64)
    count = 0
    stack = np.empty((256, 3, 3))
    for i in range(corners.shape[0]):
        stack[0] = corners[i]
        top = 1
        while top > 0:
            top -= 1
            piece = stack[top].copy()
            longest, at = 0.0, 0
            for k in range(3):
                p, q = piece[k], piece[(k + 1) % 3]
                length = (q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2 + (q[2] - p[2]) ** 2
                if length > longest:
                    longest, at = length, k
            if longest <= most_edge * most_edge or top > 250:
                if count == room:
                    pieces = np.concatenate((pieces, np.empty_like(pieces)))
                    owners = np.concatenate((owners, np.empty_like(owners)))
                    room *= 2
                pieces[count] = piece
                owners[count] = i
                count += 1
                continue
            for axis in range(3):
                a, b, c = piece[at, axis], piece[(at + 1) % 3, axis], piece[(at + 2) % 3, axis]
                middle = 0.5 * (a + b)
                stack[top, 0, axis], stack[top, 1, axis], stack[top, 2, axis] = middle, b, c
                stack[top + 1, 0, axis], stack[top + 1, 1, axis], stack[top + 1, 2, axis] = a, middle, c
            top += 2
    return pieces[:count].copy(), owners[:count].copy()


@kernel(f"Tuple((float64[:, ::1], float64[::1], int64[::1]))({_F3}, float64)")
def scattered_points(corners: Any, spacing: Any) -> Any:
    """Points in rows over each triangle, at most `spacing` apart; their areas and triangles."""
    n = corners.shape[0]
    room = 4 * n + 16
    points = np.empty((room, 3))
    areas = np.empty(room)
    owners = np.empty(room, np.int64)
    count = 0
    for i in range(n):
        longest, at = 0.0, 0
        for k in range(3):
            p, q = corners[i, k], corners[i, (k + 1) % 3]
            length = np.sqrt((q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2 + (q[2] - p[2]) ** 2)
            if length > longest:
                longest, at = length, k
        a, b, c = corners[i, at], corners[i, (at + 1) % 3], corners[i, (at + 2) % 3]
        ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
        wx, wy, wz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        double = np.sqrt(wx * wx + wy * wy + wz * wz)
        if double == 0.0:
            continue
        rows = max(1, int(np.ceil(double / longest / spacing)))
        for row in range(rows):
            up = (row + 0.5) / rows
            columns = max(1, int(np.ceil(longest * (1.0 - up) / spacing)))
            share = (1.0 - up) / rows
            for column in range(columns):
                if count == room:
                    points = np.concatenate((points, np.empty_like(points)))
                    areas = np.concatenate((areas, np.empty_like(areas)))
                    owners = np.concatenate((owners, np.empty_like(owners)))
                    room *= 2
                along = (column + 0.5) / columns * (1.0 - up)
                for axis in range(3):
                    points[count, axis] = a[axis] + along * (b[axis] - a[axis]) + up * (c[axis] - a[axis])
                areas[count] = double * share / columns
                owners[count] = i
                count += 1
    return points[:count].copy(), areas[:count].copy(), owners[:count].copy()


@kernel(f"int64[::1]({_F3})")
def curve_places(corners: Any) -> Any:
    """Each triangle's place along a Morton curve through the middles of all triangles (20 bits an axis)."""
    n = corners.shape[0]
    middles = np.empty((n, 3))
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for i in range(n):
        for axis in range(3):
            x = corners[i, 0, axis] + corners[i, 1, axis] + corners[i, 2, axis]
            middles[i, axis] = x
            low[axis] = min(low[axis], x)
            high[axis] = max(high[axis], x)
    extent = max(high[0] - low[0], high[1] - low[1], high[2] - low[2])
    scale = (2.0**20 - 1.0) / extent if extent > 0.0 else 0.0
    places = np.empty(n, np.int64)
    for i in range(n):
        place = np.int64(0)
        for axis in range(3):
            spread = np.int64((middles[i, axis] - low[axis]) * scale)
            spread = (spread | (spread << 32)) & 0x1F00000000FFFF
            spread = (spread | (spread << 16)) & 0x1F0000FF0000FF
            spread = (spread | (spread << 8)) & 0x100F00F00F00F00F
            spread = (spread | (spread << 4)) & 0x10C30C30C30C30C3
            spread = (spread | (spread << 2)) & 0x1249249249249249
            place |= spread << axis
        places[i] = place
    return places


@kernel(f"Tuple((float64[:, ::1], float64[:, ::1]))({_F3})")
def normals_and_boxes(corners: Any) -> Any:
    """Unit normal (0 for a flat triangle) and bounding box (low x y z, high x y z) of each triangle."""
    n = corners.shape[0]
    normals, boxes = np.zeros((n, 3)), np.empty((n, 6))
    for i in range(n):
        a, b, c = corners[i, 0], corners[i, 1], corners[i, 2]
        ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
        nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        length = np.sqrt(nx * nx + ny * ny + nz * nz)
        if length > 0.0:
            normals[i, 0], normals[i, 1], normals[i, 2] = nx / length, ny / length, nz / length
        for axis in range(3):
            boxes[i, axis] = min(a[axis], b[axis], c[axis])
            boxes[i, 3 + axis] = max(a[axis], b[axis], c[axis])
    return normals, boxes
