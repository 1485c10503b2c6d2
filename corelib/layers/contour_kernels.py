"""Kernels that cut a mesh into outlines: neighbours, walks from triangle to triangle, nesting.

A cut triangle has one edge that goes up through the plane and one that goes down. The outline runs from the
down edge to the up edge, so that the body lies on its left; the next triangle is the neighbour across the
up edge. Points are interpolated from the lower vertex to the upper, so that neighbours get the same bits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel
from corelib.layers.section_kernels import FACES, VERTICES

Series = NDArray[np.float64]
Longs = NDArray[np.int64]
Ints = NDArray[np.int32]

_LONGS = "Array(int64, 1, 'C', True)"
_NEIGHBOURS = "Array(int32, 2, 'C', True)"
_POINTS = "Array(float64, 2, 'C', True)"


@kernel(f"int64({FACES}, int64, int32[:, ::1])")
def find_neighbours(faces: Ints, vertex_count: int, across: Ints) -> int:
    """Write the half-edge (3·face + edge) across each edge; return how many have none (-1).

    Edge e of a face runs from corner e to corner e + 1. Half-edges are bucketed by their lower vertex; each
    is paired with one in the other direction. Where more than two faces meet at an edge, the first forward
    one goes with the first backward one and so on.
    """
    count = faces.shape[0]
    starts = np.zeros(vertex_count + 1, dtype=np.int64)
    for t in range(count):
        for e in range(3):
            starts[min(faces[t, e], faces[t, (e + 1) % 3]) + 1] += 1
    for v in range(vertex_count):
        starts[v + 1] += starts[v]
    filled = starts[:-1].copy()
    bucket = np.empty(3 * count, dtype=np.int32)
    across[:, :] = -1
    without = 3 * count
    for t in range(count):
        for e in range(3):
            a, b = faces[t, e], faces[t, (e + 1) % 3]
            low = min(a, b)
            for i in range(starts[low], filled[low]):
                other, edge = bucket[i] // 3, bucket[i] % 3
                if across[other, edge] < 0 and faces[other, edge] == b and faces[other, (edge + 1) % 3] == a:
                    across[other, edge] = 3 * t + e
                    across[t, e] = 3 * other + edge
                    without -= 2
                    break
            bucket[filled[low]] = 3 * t + e
            filled[low] += 1
    return without


@kernel(f"Tuple((int64[::1], int64))({VERTICES}, {FACES}, int64, int64)")
def count_cuts(placed_mm: Series, faces: Ints, first: int, end: int) -> tuple[Longs, int]:
    """Return, for planes `first` to before `end`, where each one's cuts start; and the faces that are cut."""
    steps = np.zeros(end - first + 1, dtype=np.int64)
    cut_faces = 0
    for t in range(faces.shape[0]):
        ka = kc = int(placed_mm[faces[t, 0], 3])
        for e in range(1, 3):
            k = int(placed_mm[faces[t, e], 3])
            ka, kc = min(ka, k), max(kc, k)
        ka, kc = max(ka, first), min(kc, end)
        if ka < kc:
            cut_faces += 1
            steps[ka - first] += 1
            steps[kc - first] -= 1
    starts = np.zeros(end - first + 1, dtype=np.int64)
    cut = 0
    for k in range(end - first):
        cut += steps[k]
        starts[k + 1] = starts[k] + cut
    return starts, cut_faces


@kernel(f"void({VERTICES}, int64, int64, float64, float64[:, ::1], int64)")
def put_crossing(placed_mm: Series, low: int, top: int, plane_mm: float, out: Series, row: int) -> None:
    """Write x, y at which the edge from vertex `low` (below) to `top` (above) meets the plane."""
    z = placed_mm[low, 2]
    share = min(max((plane_mm - z) / (placed_mm[top, 2] - z), 0.0), 1.0)
    for axis in range(2):
        start = placed_mm[low, axis]
        out[row, axis] = start + share * (placed_mm[top, axis] - start)


@kernel(f"void({VERTICES}, {FACES}, float64, float64, int64, {_LONGS}, float64[:, ::1])")
def write_edges(
    placed_mm: Series,
    faces: Ints,
    first_mm: float,
    step_mm: float,
    first: int,
    starts: Longs,
    edges_mm: Series,
) -> None:
    """Write the directed edges (x, y to x, y; body on the left) of each plane, straight from triangles."""
    end = first + starts.shape[0] - 1
    filled = starts.copy()
    ends = np.empty((2, 2))
    for t in range(faces.shape[0]):
        ka = kc = int(placed_mm[faces[t, 0], 3])
        for e in range(1, 3):
            k = int(placed_mm[faces[t, e], 3])
            ka, kc = min(ka, k), max(kc, k)
        for k in range(max(ka, first), min(kc, end)):
            plane_mm = first_mm + k * step_mm
            for e in range(3):
                p, q = faces[t, e], faces[t, (e + 1) % 3]
                p_above, q_above = k < placed_mm[p, 3], k < placed_mm[q, 3]
                if p_above and not q_above:
                    put_crossing(placed_mm, q, p, plane_mm, ends, 0)
                elif q_above and not p_above:
                    put_crossing(placed_mm, p, q, plane_mm, ends, 1)
            row = filled[k - first]
            edges_mm[row, 0], edges_mm[row, 1] = ends[0, 0], ends[0, 1]
            edges_mm[row, 2], edges_mm[row, 3] = ends[1, 0], ends[1, 1]
            filled[k - first] += 1


@kernel(f"int32[:, ::1]({VERTICES}, {FACES}, {_NEIGHBOURS}, int64, int64, int64)")
def pack_cut_faces(
    placed_mm: Series, faces: Ints, across: Ints, first: int, end: int, cut_faces: int
) -> Ints:
    """Return the faces that planes `first` to before `end` cut, in the order of their first plane.

    A row is one cache line's half: the half-edges across (in numbers of these rows), the corners, first
    plane and plane after the last. Walking rows in this order stays in the cache.
    """
    count = faces.shape[0]
    spans = np.empty((count, 2), dtype=np.int32)
    starts = np.zeros(end - first + 1, dtype=np.int64)
    for t in range(count):
        ka = kc = int(placed_mm[faces[t, 0], 3])
        for e in range(1, 3):
            k = int(placed_mm[faces[t, e], 3])
            ka, kc = min(ka, k), max(kc, k)
        spans[t, 0], spans[t, 1] = max(ka, first), min(kc, end)
        if spans[t, 0] < spans[t, 1]:
            starts[spans[t, 0] - first + 1] += 1
    for k in range(end - first):
        starts[k + 1] += starts[k]
    row_of = np.full(count, -1, dtype=np.int32)
    for t in range(count):
        if spans[t, 0] < spans[t, 1]:
            row_of[t] = starts[spans[t, 0] - first]
            starts[spans[t, 0] - first] += 1
    rows = np.empty((cut_faces, 8), dtype=np.int32)
    for t in range(count):
        row = row_of[t]
        if row < 0:
            continue
        for e in range(3):
            other = across[t, e]
            rows[row, e] = -1 if row_of[other // 3] < 0 else 3 * row_of[other // 3] + other % 3
            rows[row, 3 + e] = faces[t, e]
        rows[row, 6], rows[row, 7] = spans[t, 0], spans[t, 1]
    return rows


@kernel(f"int64({VERTICES}, int32[:, ::1], int64, int64, float64, int32[::1], float64[:, ::1], int64)")
def walk(
    placed_mm: Series,
    rows: Ints,
    start: int,
    k: int,
    plane_mm: float,
    seen: Ints,
    points_mm: Series,
    point: int,
) -> int:
    """Write one outline's points from `point` on, starting in row `start`; return the place after the last.

    Across an up edge from p to q the next face has the corners q, p and one more, w: if w is above, its
    up edge goes from p to w, else from w to q. So each step reads one row and one vertex.
    """
    edge = 0
    while not (
        k < placed_mm[rows[start, 3 + (edge + 1) % 3], 3] and k >= placed_mm[rows[start, 3 + edge], 3]
    ):
        edge += 1
    t = start
    p, q = rows[t, 3 + edge], rows[t, 3 + (edge + 1) % 3]
    px, py, pz = placed_mm[p, 0], placed_mm[p, 1], placed_mm[p, 2]
    qx, qy, qz = placed_mm[q, 0], placed_mm[q, 1], placed_mm[q, 2]
    while True:
        seen[t] = k
        share = min(max((plane_mm - pz) / (qz - pz), 0.0), 1.0)
        points_mm[point, 0], points_mm[point, 1] = px + share * (qx - px), py + share * (qy - py)
        point += 1
        half_edge = rows[t, edge]
        t = half_edge // 3
        if t == start:
            return point
        entered = half_edge - 3 * t
        edge = entered + 1 if entered < 2 else 0
        w = rows[t, 3 + (edge + 1 if edge < 2 else 0)]
        if k < placed_mm[w, 3]:
            qx, qy, qz = placed_mm[w, 0], placed_mm[w, 1], placed_mm[w, 2]
        else:
            px, py, pz = placed_mm[w, 0], placed_mm[w, 1], placed_mm[w, 2]
            edge = edge + 1 if edge < 2 else 0


@kernel(
    f"Tuple((int64[::1], int64[::1]))({VERTICES}, int32[:, ::1], float64, float64, int64, {_LONGS}, "
    "float64[:, ::1])"
)
def walk_outlines(
    placed_mm: Series,
    rows: Ints,
    first_mm: float,
    step_mm: float,
    first: int,
    starts: Longs,
    points_mm: Series,
) -> tuple[Longs, Longs]:
    """Write the points of all outlines, plane after plane.

    Returns where each outline starts among the points (one more at the end), and where each plane's
    outlines start among the outlines (likewise). Every half-edge must have its neighbour.
    """
    planes = starts.shape[0] - 1
    ring_starts = np.empty(starts[planes] // 2 + 2, dtype=np.int64)
    plane_rings = np.zeros(planes + 1, dtype=np.int64)
    seen = np.full(rows.shape[0], -1, dtype=np.int32)
    active = np.empty(rows.shape[0], dtype=np.int32)
    live = waiting = rings = point = 0
    for plane in range(planes):
        k = first + plane
        plane_mm = first_mm + k * step_mm
        while waiting < rows.shape[0] and rows[waiting, 6] <= k:
            active[live] = waiting
            live += 1
            waiting += 1
        kept = 0
        for i in range(live):
            t = active[i]
            if rows[t, 7] <= k:
                continue
            active[kept] = t
            kept += 1
            if seen[t] != k:
                ring_starts[rings] = point
                rings += 1
                point = walk(placed_mm, rows, t, k, plane_mm, seen, points_mm, point)
        live = kept
        plane_rings[plane + 1] = rings
    ring_starts[rings] = point
    return ring_starts[: rings + 1].copy(), plane_rings


@kernel(f"void({_POINTS}, {_LONGS}, float64[::1], float64[:, ::1])")
def measure_rings(points_mm: Series, ring_starts: Longs, area_mm2: Series, bounds_mm: Series) -> None:
    """Write each outline's signed area (relative to its first point) and its low and high x, y."""
    for r in range(area_mm2.shape[0]):
        first, end = ring_starts[r], ring_starts[r + 1]
        x0, y0 = points_mm[first, 0], points_mm[first, 1]
        low_x = high_x = x0
        low_y = high_y = y0
        doubled = 0.0
        px, py = points_mm[end - 1, 0] - x0, points_mm[end - 1, 1] - y0
        for i in range(first, end):
            qx, qy = points_mm[i, 0] - x0, points_mm[i, 1] - y0
            doubled += px * qy - qx * py
            px, py = qx, qy
            low_x, high_x = min(low_x, points_mm[i, 0]), max(high_x, points_mm[i, 0])
            low_y, high_y = min(low_y, points_mm[i, 1]), max(high_y, points_mm[i, 1])
        area_mm2[r] = 0.5 * doubled
        bounds_mm[r, 0], bounds_mm[r, 1] = low_x, low_y
        bounds_mm[r, 2], bounds_mm[r, 3] = high_x, high_y


@kernel(f"boolean({_POINTS}, int64, int64, float64, float64)")
def holds(points_mm: Series, first: int, end: int, x: float, y: float) -> bool:
    """Return True if the ring holds the point (even-odd, half-open in y)."""
    inside = False
    j = end - 1
    for i in range(first, end):
        yi, yj = points_mm[i, 1], points_mm[j, 1]
        if (yi > y) != (yj > y):
            at = points_mm[j, 0] + (y - yj) / (yi - yj) * (points_mm[i, 0] - points_mm[j, 0])
            if x < at:
                inside = not inside
        j = i
    return inside


@kernel(f"void({_POINTS}, {_LONGS}, {_LONGS}, {_POINTS}, Array(float64, 1, 'C', True), int32[::1])")
def find_parents(
    points_mm: Series,
    ring_starts: Longs,
    plane_rings: Longs,
    bounds_mm: Series,
    area_mm2: Series,
    parent: Ints,
) -> None:
    """Write for each hole (negative area) the smallest outer ring of its plane that holds it; -1 for none.

    Outer rings get -1. A hole is tried only against outers whose bounds hold its own.
    """
    for plane in range(plane_rings.shape[0] - 1):
        for r in range(plane_rings[plane], plane_rings[plane + 1]):
            parent[r] = -1
            if area_mm2[r] >= 0.0:
                continue
            x, y = points_mm[ring_starts[r], 0], points_mm[ring_starts[r], 1]
            smallest = np.inf
            for o in range(plane_rings[plane], plane_rings[plane + 1]):
                if area_mm2[o] <= 0.0 or area_mm2[o] >= smallest or area_mm2[o] < -area_mm2[r]:
                    continue
                if bounds_mm[o, 0] > bounds_mm[r, 0] or bounds_mm[o, 1] > bounds_mm[r, 1]:
                    continue
                if bounds_mm[o, 2] < bounds_mm[r, 2] or bounds_mm[o, 3] < bounds_mm[r, 3]:
                    continue
                if holds(points_mm, ring_starts[o], ring_starts[o + 1], x, y):
                    smallest = area_mm2[o]
                    parent[r] = o
