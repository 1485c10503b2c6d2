"""A tree of boxes over a mesh's triangles: crossings of the mesh with itself, and balls that touch it twice.

Triangles are sorted along a space-filling curve and grouped by fours; the tree over the groups is complete,
so it needs no pointers and is the same on every run.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.ball_kernels import (
    curve_places,
    halved_triangles,
    nearest_distances,
    normals_and_boxes,
    opposing_balls,
    scattered_points,
    segment_is_free,
)
from corelib.geometry.crossing_kernels import count_crossings
from corelib.geometry.pose import Array

Faces = NDArray[np.int32]
LEAF = 4
THREADS = 2


@dataclass(frozen=True, eq=False)
class TriangleTree:
    """The triangles of a mesh in tree order: corners, vertex numbers, unit normals, original face numbers.

    `own_boxes_mm` holds each triangle's low and high corner, `boxes_mm` those of node k (root 1, children 2k
    and 2k + 1); nodes from `leaves` on are the leaves, each with four triangles.
    """

    corners_mm: Array
    vertex_numbers: Faces
    normals: Array
    face_numbers: NDArray[np.int64]
    own_boxes_mm: Array
    boxes_mm: Array
    leaves: int


def triangle_tree(vertices_mm: Array, faces: Faces) -> TriangleTree:
    """Return the tree over a mesh's triangles."""
    return _tree(vertices_mm[faces], np.arange(len(faces)), faces)


def split_tree(vertices_mm: Array, faces: Faces, most_edge_mm: float) -> TriangleTree:
    """Return a tree over the mesh with its large triangles split: long slivers make poor boxes.

    `face_numbers` are those of the whole triangles; `vertex_numbers` are all 0.
    """
    corners, owners = split_triangles(vertices_mm[faces], most_edge_mm)
    return _tree(corners, owners, np.zeros((len(corners), 3), np.int32))


def split_triangles(corners_mm: Array, most_edge_mm: float) -> tuple[Array, NDArray[np.int64]]:
    """Return triangles halved at their longest edges down to `most_edge_mm`, and each one's owner."""
    pieces, owners = halved_triangles(np.ascontiguousarray(corners_mm), most_edge_mm)
    return pieces, owners


def _tree(corners: Array, numbers: NDArray[np.int64], faces: Faces) -> TriangleTree:
    order = np.argsort(curve_places(np.ascontiguousarray(corners)), kind="stable")
    corners = np.ascontiguousarray(corners[order])
    normals, own_boxes = normals_and_boxes(corners)
    leaves = 1
    while leaves * LEAF < len(corners):
        leaves *= 2
    return TriangleTree(
        corners,
        np.ascontiguousarray(faces[order]),
        normals,
        numbers[order],
        own_boxes,
        _node_boxes(own_boxes, leaves),
        leaves,
    )


def _node_boxes(own_boxes: Array, leaves: int) -> Array:
    padded = np.empty((leaves * LEAF, 6))
    padded[:, :3], padded[:, 3:] = np.inf, -np.inf
    padded[: len(own_boxes)] = own_boxes
    boxes = np.empty((2 * leaves, 6))
    boxes[0] = np.nan
    groups = padded.reshape(leaves, LEAF, 6)
    boxes[leaves:, :3] = groups[:, :, :3].min(axis=1)
    boxes[leaves:, 3:] = groups[:, :, 3:].max(axis=1)
    level = leaves
    while level > 1:
        children = boxes[level : 2 * level]
        level //= 2
        boxes[level : 2 * level, :3] = np.minimum(children[0::2, :3], children[1::2, :3])
        boxes[level : 2 * level, 3:] = np.maximum(children[0::2, 3:], children[1::2, 3:])
    return boxes


@dataclass(frozen=True, eq=False)
class Crossings:
    """Where a mesh crosses itself: pairs of faces, a point of each crossing, and how deep they cross."""

    faces: NDArray[np.int64]
    points_mm: Array
    depth_mm: Array


def self_crossings(tree: TriangleTree, least_depth_mm: float = 1e-3, most: int = 100_000) -> Crossings:
    """Return the pairs of faces that cross by more than `least_depth_mm`, neighbours included.

    Faces that only touch, or lie upon one another in one plane, don't cross.
    """
    pairs, points, depth = count_crossings(
        tree.corners_mm,
        tree.vertex_numbers,
        tree.own_boxes_mm,
        tree.boxes_mm,
        tree.leaves,
        least_depth_mm,
        most,
    )
    return Crossings(tree.face_numbers[pairs], points, depth)


@dataclass(frozen=True, eq=False)
class SurfaceSamples:
    """Points spread over a surface: place, unit normal, area that each stands for, its face in tree order."""

    points_mm: Array
    normals: Array
    areas_mm2: Array
    triangles: NDArray[np.int64]


def surface_samples(tree: TriangleTree, spacing_mm: float) -> SurfaceSamples:
    """Return samples that cover the whole surface: one for each cube of `spacing_mm` and side it looks to.

    Each is one of the points that lie in rows over every triangle, at most the spacing apart.
    """
    points, areas, triangles = scattered_points(tree.corners_mm, spacing_mm)
    normals = tree.normals[triangles]
    cells = np.floor((points - points.min(axis=0)) / spacing_mm).astype(np.int64)
    axis = np.abs(normals).argmax(axis=1)
    looks = 2 * axis + (normals[np.arange(len(axis)), axis] > 0)
    counts = cells.max(axis=0) + 1
    keys = ((cells[:, 0] * counts[1] + cells[:, 1]) * counts[2] + cells[:, 2]) * 6 + looks
    _, first, cube = np.unique(keys, return_index=True, return_inverse=True)
    summed: Array = np.bincount(cube, areas).astype(np.float64)
    chosen = triangles[first]
    return SurfaceSamples(
        np.ascontiguousarray(points[first]), np.ascontiguousarray(tree.normals[chosen]), summed, chosen
    )


def opposing_widths(
    tree: TriangleTree,
    samples: SurfaceSamples,
    most_mm: float,
    *,
    inward: bool,
    least_opening_cos: float = -0.5,
) -> tuple[Array, NDArray[np.int64]]:
    """Return for each sample the width of solid behind it (or of the gap before it), and the face opposite.

    The width is the diameter of the largest ball that touches the surface at the sample and meets no face
    that looks against it (normals more than 120° apart); inf where it is `most_mm` or more. So a wall has
    its thickness, a rod its diameter, a wedge goes to 0, and a square edge is not taken for a thin wall.
    """
    side = -1.0 if inward else 1.0
    parts = np.array_split(np.arange(len(samples.points_mm)), THREADS)

    def one(part: NDArray[np.int64]) -> tuple[Array, NDArray[np.int64]]:
        radii, hits = opposing_balls(
            samples.points_mm[part],
            samples.normals[part],
            side,
            tree.corners_mm,
            tree.normals,
            tree.boxes_mm,
            tree.leaves,
            0.5 * most_mm,
            least_opening_cos,
        )
        return radii, hits

    with ThreadPoolExecutor(THREADS) as threads:
        answers = list(threads.map(one, parts))
    width = 2.0 * np.concatenate([radii for radii, _ in answers])
    hits = np.concatenate([found for _, found in answers])
    return np.where(hits >= 0, width, np.inf), hits


def ways_are_free(tree: TriangleTree, starts_mm: Array, ends_mm: Array) -> NDArray[np.bool_]:
    """Return for each straight way whether it meets no face between its ends (each end left out by 1e-6)."""
    free: NDArray[np.bool_] = segment_is_free(
        np.ascontiguousarray(starts_mm),
        np.ascontiguousarray(ends_mm),
        tree.corners_mm,
        tree.boxes_mm,
        tree.leaves,
    )
    return free


def distances_mm(tree: TriangleTree, points_mm: Array) -> Array:
    """Return the distance of each point to the mesh's surface."""
    parts = np.array_split(np.ascontiguousarray(points_mm), THREADS)
    with ThreadPoolExecutor(THREADS) as threads:
        found = threads.map(
            lambda part: nearest_distances(
                np.ascontiguousarray(part), tree.corners_mm, tree.boxes_mm, tree.leaves
            ),
            parts,
        )
        return np.concatenate(list(found))
