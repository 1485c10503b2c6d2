"""The outlines that one plane cuts out of a closed mesh: what a layer looks like, for the eye."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


def outlines_at(vertices_mm: Points, faces: NDArray[np.int32], z_mm: float) -> tuple[Points, Indices]:
    """Return the outlines at height z: points (n, 2) and the index of the first point of each outline.

    A vertex exactly on the plane counts as above it (half-open), so no nudging is needed. An outline runs
    along the mesh's edges; in an open mesh it may end early.
    """
    above = vertices_mm[:, 2] >= z_mm
    sides = above[faces]
    cut = faces[sides.any(axis=1) & ~sides.all(axis=1)].astype(np.int64)
    if not len(cut):
        return np.zeros((0, 2)), np.zeros(0, dtype=np.int64)
    rising, falling = _crossed_edges(cut, above)
    order, starts = _walked(_next_triangle(rising, falling, len(vertices_mm)))
    return _crossings(vertices_mm, rising[order], z_mm), starts


def _crossed_edges(cut: Indices, above: NDArray[np.bool_]) -> tuple[Indices, Indices]:
    """Return each cut triangle's edge that rises through the plane and the one that falls, from → to."""
    ends = np.stack([cut, np.roll(cut, -1, axis=1)], axis=2)
    here, there = above[ends[..., 0]], above[ends[..., 1]]
    each = np.arange(len(cut))
    return ends[each, (~here & there).argmax(axis=1)], ends[each, (here & ~there).argmax(axis=1)]


def _next_triangle(rising: Indices, falling: Indices, vertex_count: int) -> Indices:
    """Return for each triangle the one whose rising edge is its falling edge; itself where there is none."""
    entry = rising[:, 0] * vertex_count + rising[:, 1]
    leave = falling[:, 1] * vertex_count + falling[:, 0]
    order = np.argsort(entry, kind="stable")
    place = np.minimum(np.searchsorted(entry[order], leave), len(entry) - 1)
    found = order[place]
    return np.where(entry[found] == leave, found, np.arange(len(entry)))


def _walked(following: Indices) -> tuple[Indices, Indices]:
    """Return the triangles in the order of the outlines, and where each outline starts."""
    after: list[int] = following.tolist()
    seen = bytearray(len(after))
    order: list[int] = []
    starts: list[int] = []
    for first in range(len(after)):
        if seen[first]:
            continue
        starts.append(len(order))
        triangle = first
        while not seen[triangle]:
            seen[triangle] = 1
            order.append(triangle)
            triangle = after[triangle]
    return np.array(order, dtype=np.int64), np.array(starts, dtype=np.int64)


def _crossings(vertices_mm: Points, edges: Indices, z_mm: float) -> Points:
    """Return where the edges cross the plane; both triangles of an edge get the same point."""
    low, high = vertices_mm[edges.min(axis=1)], vertices_mm[edges.max(axis=1)]
    share = (z_mm - low[:, 2]) / (high[:, 2] - low[:, 2])
    points: Points = low[:, :2] + share[:, None] * (high[:, :2] - low[:, :2])
    return points
