"""Repairs that go through trimesh: holes closed, faces turned. Part of the one door to trimesh."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.mesh.core import Faces, Vertices
from corelib.mesh.topology import EdgeTable, Ints, edge_table, split_bodies


def filled_holes(vertices: Vertices, faces: Faces) -> tuple[Vertices, Faces, int]:
    """Return the mesh with its rims closed, and how many were: each loop of open edges gets a fan of faces.

    The fan's tip is the rim's middle, so a flat rim gets a flat cap; a rim that branches stays open.
    """
    loops = _rims(faces, edge_table(faces))
    if not loops:
        return vertices, faces, 0
    points, more = [vertices], [faces]
    for loop in loops:
        tip = sum(len(part) for part in points)
        if len(loop) == 3:
            more.append(np.array([loop], dtype=np.int32))
            continue
        points.append(vertices[loop].mean(axis=0)[None])
        following = np.roll(loop, -1)
        more.append(np.column_stack([loop, following, np.full(len(loop), tip)]).astype(np.int32))
    return np.concatenate(points), np.concatenate(more), len(loops)


def _rims(faces: Faces, table: EdgeTable) -> list[Ints]:
    """Return the simple loops of open edges, directed so that a cap on them looks the right way out."""
    uses = table.uses[table.edge_of_half_edge]
    half = np.flatnonzero(uses == 1)
    starts, ends = faces.ravel()[half], np.roll(faces, -1, axis=1).ravel()[half]
    following: dict[int, int] = {}
    for start, end in zip(ends.tolist(), starts.tolist(), strict=True):  # against the faces' own direction
        if start in following:
            following[start] = -1  # the rim branches here
        else:
            following[start] = end
    loops: list[Ints] = []
    seen: set[int] = set()
    for first in sorted(following):
        loop = [first]
        while first not in seen and (at := following.get(loop[-1], -1)) >= 0 and at != first:
            if at in seen or len(loop) > len(following):
                break
            loop.append(at)
        closed = following.get(loop[-1], -1) == first and len(loop) > 2
        if closed and not seen.intersection(loop):
            loops.append(np.array(loop, dtype=np.int32))
            seen.update(loop)
    return loops


def turned_outward(vertices: Vertices, faces: Faces) -> tuple[Vertices, Faces, int]:
    """Return the mesh with its faces turned alike and outward, and how many were turned.

    trimesh makes neighbours agree; then each body that no other holds is turned so that its volume is
    positive, and a body within another so that it is a cavity only if it was one.
    """
    import trimesh

    table = edge_table(faces)
    turned = faces
    if (table.forward != table.backward).any():
        mesh = trimesh.Trimesh(vertices, faces, process=False)
        trimesh.repair.fix_winding(mesh)
        turned = np.ascontiguousarray(mesh.faces, dtype=np.int32)
    bodies = split_bodies(vertices, turned, edge_table(turned))
    inverted = bodies.volume_mm3 < 0
    for body in np.flatnonzero(inverted):
        held = np.all(bodies.low_mm <= bodies.low_mm[body], axis=1)
        held &= np.all(bodies.high_mm >= bodies.high_mm[body], axis=1)
        held[body] = False
        if not held.any():
            chosen = bodies.label == body
            turned = turned.copy()
            turned[chosen] = turned[chosen][:, ::-1]
    before, after = np.sort(faces, axis=1), np.sort(turned, axis=1)
    if not np.array_equal(before, after):
        return vertices, faces, 0
    return vertices, turned, int((_parity(faces) != _parity(turned)).sum())


def _parity(faces: Faces) -> NDArray[np.int8]:
    """Return 1 for faces whose corners run upward from the least one, else 0: tells a turned face."""
    least = faces.argmin(axis=1)
    rows = np.arange(len(faces))
    following, last = faces[rows, (least + 1) % 3], faces[rows, (least + 2) % 3]
    parity: NDArray[np.int8] = (following < last).astype(np.int8)
    return parity
