"""Compiled passes over triangle meshes: welding by exact bits, edges, bodies, duplicate faces.

All are linear in the number of triangles, keep first-seen order, and so give the same result on every run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel
from corelib.mesh.core import Faces, Vertices

Ints = NDArray[np.int32]
Floats = NDArray[np.float64]

_ROWS = "Array(int64, 2, 'C', readonly=True)"
_POINTS = "Array(float64, 2, 'C', readonly=True)"
_FACES = "Array(int32, 2, 'C', readonly=True)"
_CHOSEN = "Array(boolean, 1, 'C', readonly=True)"
_LABELS = "Array(int32, 1, 'C', readonly=True)"


@kernel(f"Tuple((int32[::1], int32[::1]))({_ROWS})")
def _weld_rows(rows: Any) -> Any:
    """Number equal rows alike: (index of each distinct row's first appearance, number of every row)."""
    n = rows.shape[0]
    bits = 4
    while (1 << bits) < 2 * n:
        bits += 1
    mask = np.int64((1 << bits) - 1)
    table = np.full(1 << bits, -1, np.int32)
    first = np.empty(n, np.int32)
    number = np.empty(n, np.int32)
    count = 0
    for i in range(n):
        a, b, c = rows[i, 0], rows[i, 1], rows[i, 2]
        h = a * np.int64(-7046029254386353131)
        h = (h ^ (h >> np.int64(29))) + b * np.int64(-4417276706812531889)
        h = (h ^ (h >> np.int64(32))) * np.int64(-8663945395140668459) + c * np.int64(1609587929392839161)
        h ^= h >> np.int64(31)
        h *= np.int64(-7046029254386353131)
        slot = (h ^ (h >> np.int64(28))) & mask
        while True:
            k = table[slot]
            if k < 0:
                table[slot] = count
                first[count] = i
                number[i] = count
                count += 1
                break
            j = first[k]
            if rows[j, 0] == a and rows[j, 1] == b and rows[j, 2] == c:
                number[i] = k
                break
            slot = (slot + 1) & mask
    return first[:count].copy(), number


@kernel(f"Tuple((int32[:, ::1], int32[::1], int32[::1], int32[::1], int32[:, ::1]))({_FACES})")
def _edge_pass(faces: Any) -> Any:
    """Edges, their uses in both directions, the edge of each half-edge, each edge's first two faces."""
    m = faces.shape[0]
    half_edges = 3 * m
    bits = 4
    while (1 << bits) < 3 * m + 2:
        bits += 1
    mask = np.int64((1 << bits) - 1)
    table = np.full(1 << bits, -1, np.int32)
    edges = np.empty((half_edges, 2), np.int32)
    forward = np.zeros(half_edges, np.int32)
    backward = np.zeros(half_edges, np.int32)
    edge_of = np.empty(half_edges, np.int32)
    owners = np.full((half_edges, 2), -1, np.int32)
    count = 0
    for f in range(m):
        for s in range(3):
            a = faces[f, s]
            b = faces[f, (s + 1) % 3]
            lo, hi = (a, b) if a < b else (b, a)
            h = (np.int64(lo) << np.int64(32)) | np.int64(hi)
            h *= np.int64(-7046029254386353131)
            h ^= h >> np.int64(32)
            h *= np.int64(-4417276706812531889)
            slot = (h ^ (h >> np.int64(29))) & mask
            while True:
                k = table[slot]
                if k < 0:
                    table[slot] = count
                    k = np.int32(count)
                    edges[k, 0] = lo
                    edges[k, 1] = hi
                    count += 1
                    break
                if edges[k, 0] == lo and edges[k, 1] == hi:
                    break
                slot = (slot + 1) & mask
            edge_of[3 * f + s] = k
            if a < b:
                forward[k] += 1
            else:
                backward[k] += 1
            if owners[k, 0] < 0:
                owners[k, 0] = f
            elif owners[k, 1] < 0:
                owners[k, 1] = f
    return (
        edges[:count].copy(),
        forward[:count].copy(),
        backward[:count].copy(),
        edge_of,
        owners[:count].copy(),
    )


@kernel(f"Tuple((int32[::1], int64))(int64, {_FACES})")
def _components(count: Any, links: Any) -> Any:
    """Label 0.. of each item, linked items alike, labels in order of first appearance; number of labels."""
    parent = np.arange(count, dtype=np.int32)
    for k in range(links.shape[0]):
        a = links[k, 0]
        b = links[k, 1]
        while parent[a] != a:
            parent[a] = parent[parent[a]]
            a = parent[a]
        while parent[b] != b:
            parent[b] = parent[parent[b]]
            b = parent[b]
        if a < b:
            parent[b] = a
        elif b < a:
            parent[a] = b
    label = np.full(count, -1, np.int32)
    labels = 0
    for i in range(count):
        root = np.int32(i)
        while parent[root] != root:
            root = parent[root]
        if label[root] < 0:
            label[root] = labels
            labels += 1
        label[i] = label[root]
    return label, np.int64(labels)


@kernel(f"float64[:, ::1]({_POINTS}, {_FACES}, {_LABELS}, int64)")
def _measure_bodies(vertices: Any, faces: Any, label: Any, count: Any) -> Any:
    """A row a body: volume by its orientation, area, low x y z, high x y z."""
    rows = np.zeros((count, 8))
    rows[:, 2:5] = np.inf
    rows[:, 5:8] = -np.inf
    for f in range(faces.shape[0]):
        row = rows[label[f]]
        for s in range(3):
            for axis in range(3):
                x = vertices[faces[f, s], axis]
                row[2 + axis] = min(row[2 + axis], x)
                row[5 + axis] = max(row[5 + axis], x)
    for f in range(faces.shape[0]):
        row = rows[label[f]]
        a, b, c = vertices[faces[f, 0]], vertices[faces[f, 1]], vertices[faces[f, 2]]
        ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
        nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        px = a[0] - 0.5 * (row[2] + row[5])
        py = a[1] - 0.5 * (row[3] + row[6])
        pz = a[2] - 0.5 * (row[4] + row[7])
        row[0] += (px * nx + py * ny + pz * nz) / 6.0
        row[1] += 0.5 * np.sqrt(nx * nx + ny * ny + nz * nz)
    return rows


@kernel(f"int8[::1]({_FACES})")
def _repeated_faces(faces: Any) -> Any:
    """0 for a first face; 1 for a repeat of an earlier one; 2 for a repeat with the other side out."""
    m = faces.shape[0]
    bits = 4
    while (1 << bits) < 2 * m:
        bits += 1
    mask = np.int64((1 << bits) - 1)
    table = np.full(1 << bits, -1, np.int32)
    repeat = np.zeros(m, np.int8)
    for f in range(m):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        while b < a or c < a:  # turn the least index to the front: keeps the side that is out
            a, b, c = b, c, a
        low, high = (b, c) if b < c else (c, b)
        h = np.int64(a) * np.int64(-7046029254386353131) + np.int64(low)
        h = (h ^ (h >> np.int64(32))) * np.int64(-4417276706812531889) + np.int64(high)
        h = (h ^ (h >> np.int64(29))) * np.int64(-8663945395140668459)
        slot = (h ^ (h >> np.int64(32))) & mask
        while True:
            g = table[slot]
            if g < 0:
                table[slot] = f
                break
            p, q, r = faces[g, 0], faces[g, 1], faces[g, 2]
            while q < p or r < p:
                p, q, r = q, r, p
            if p == a and q == b and r == c:
                repeat[f] = 1
                break
            if p == a and q == c and r == b:
                repeat[f] = 2
                break
            slot = (slot + 1) & mask
    return repeat


@kernel(f"float64({_POINTS}, {_FACES}, {_LABELS}, {_CHOSEN}, float64[::1])")
def _winding(vertices: Any, faces: Any, label: Any, chosen: Any, point: Any) -> Any:
    """How often the chosen bodies wind about a point: about 1 inside one, 0 outside (sum of solid angles)."""
    total = 0.0
    for f in range(faces.shape[0]):
        if not chosen[label[f]]:
            continue
        ax, ay, az = vertices[faces[f, 0]] - point
        bx, by, bz = vertices[faces[f, 1]] - point
        cx, cy, cz = vertices[faces[f, 2]] - point
        la = np.sqrt(ax * ax + ay * ay + az * az)
        lb = np.sqrt(bx * bx + by * by + bz * bz)
        lc = np.sqrt(cx * cx + cy * cy + cz * cz)
        triple = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
        ab, bc, ca = ax * bx + ay * by + az * bz, bx * cx + by * cy + bz * cz, cx * ax + cy * ay + cz * az
        total += 2.0 * np.arctan2(triple, la * lb * lc + ab * lc + bc * la + ca * lb)
    return total / (4.0 * np.pi)


def weld(corners: NDArray[np.floating]) -> tuple[Vertices, Faces]:
    """Return vertices and faces of loose triangles (m, 3, 3): corners with equal bits become one vertex."""
    with np.errstate(invalid="ignore"):  # a signalling NaN of a damaged file: found later as not finite
        points = np.ascontiguousarray(corners, dtype=np.float64).reshape(-1, 3) + 0.0  # no negative zeros
    first, number = _weld_rows(points.view(np.int64))
    return points[first], number.reshape(-1, 3)


@dataclass(frozen=True, eq=False)
class EdgeTable:
    """Each undirected edge once: its vertices, its uses in each direction, its first two faces."""

    edges: Ints
    forward: Ints
    backward: Ints
    edge_of_half_edge: Ints
    owners: Ints

    @property
    def uses(self) -> Ints:
        """Faces at each edge."""
        total: Ints = self.forward + self.backward
        return total


def edge_table(faces: Faces) -> EdgeTable:
    """Return the edges of the faces."""
    return EdgeTable(*_edge_pass(faces))


@dataclass(frozen=True, eq=False)
class Bodies:
    """The connected bodies of a mesh: the body of each face, and each body's measures."""

    label: Ints
    volume_mm3: Floats
    area_mm2: Floats
    low_mm: Floats
    high_mm: Floats

    @property
    def count(self) -> int:
        """Number of bodies."""
        return len(self.volume_mm3)


def split_bodies(vertices_mm: Vertices, faces: Faces, table: EdgeTable) -> Bodies:
    """Return the bodies: faces that share an edge which no third face uses belong together."""
    links = np.ascontiguousarray(table.owners[table.uses == 2])
    label, count = _components(len(faces), links)
    rows = _measure_bodies(vertices_mm, faces, label, count)
    return Bodies(label, rows[:, 0].copy(), rows[:, 1].copy(), rows[:, 2:5].copy(), rows[:, 5:8].copy())


def group(count: int, links: Ints) -> tuple[Ints, int]:
    """Return a label for each of `count` items, linked ones alike, and the number of labels."""
    label, labels = _components(count, np.ascontiguousarray(links, dtype=np.int32))
    return label, int(labels)


def repeated_faces(faces: Faces) -> NDArray[np.int8]:
    """Return 1 for each repeat of an earlier face, 2 for one with the other side out, else 0."""
    marks: NDArray[np.int8] = _repeated_faces(faces)
    return marks


def winding_number(
    vertices_mm: Vertices, faces: Faces, label: Ints, chosen: NDArray[np.bool_], point_mm: Floats
) -> float:
    """Return how often the chosen bodies wind about a point: near 1 in one of them, near 0 outside all."""
    return float(_winding(vertices_mm, faces, label, chosen, np.ascontiguousarray(point_mm)))
