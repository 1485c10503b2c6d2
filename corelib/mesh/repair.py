"""Repair of a mesh, only on request: what is done, in which order, and what it changed, measured.

Joining of near points, closing of rims with flat caps and turning of faces go through trimesh's and our own
passes; overlapping bodies are joined by manifold3d. The original file stays; nothing is repaired in silence.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.errors import MeshError
from corelib.geometry import solids
from corelib.geometry.triangle_tree import distances_mm, split_tree
from corelib.mesh.core import CoreMesh, Faces, Vertices
from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.readers_repair import filled_holes, turned_outward
from corelib.mesh.topology import edge_table, group, repeated_faces, split_bodies

JOIN_MM = 0.01
"""Points at most this far apart are joined."""
SPLIT_MM = 16.0
MOST_COMPARED = 20_000
_OVERLAPS = {"mesh.bodies_overlap", "mesh.bodies_touch_deep", "mesh.body_in_body", "mesh.speck_in_body"}


@dataclass(frozen=True)
class RepairStep:
    """One thing that was done, and to how many points, faces or bodies."""

    what: str
    count: int


@dataclass(frozen=True, eq=False)
class Repair:
    """A repaired mesh, what was done, and what it changed."""

    mesh: CoreMesh
    steps: tuple[RepairStep, ...]
    volume_before_mm3: float
    volume_mm3: float
    area_before_mm2: float
    area_mm2: float
    largest_distance_mm: float
    """Largest distance of the new surface to the old one, and of the old one to the new."""


Step = Callable[[Vertices, Faces], tuple[Vertices, Faces, int]]


def repair_mesh(vertices_mm: Vertices, faces: Faces, join_mm: float = JOIN_MM) -> Repair:
    """Return the repaired mesh. Raises MeshError if no sound mesh comes out."""
    before = inspect_mesh(vertices_mm, faces, "mm")
    if before.mesh is None:
        raise MeshError("mesh.not_repairable", remains=[finding.code for finding in before.findings])
    steps: tuple[tuple[str, Step], ...] = (
        ("points joined", lambda v, f: _joined(v, f, join_mm)),
        ("flat and repeated faces left out", _without_repeats),
        ("holes closed", filled_holes),
        ("faces turned", turned_outward),
        ("overlapping bodies joined", _united),
    )
    vertices, kept = before.mesh.vertices_mm, before.mesh.faces
    done = []
    for what, step in steps:
        vertices, kept, count = step(vertices, kept)
        if count:
            done.append(RepairStep(what, count))
    after = inspect_mesh(vertices, kept, "mm")
    if after.mesh is None or after.fatal is not None:
        raise MeshError("mesh.not_repairable", remains=[finding.code for finding in after.findings])
    return Repair(
        after.mesh,
        tuple(done),
        before.volume_mm3,
        after.volume_mm3,
        before.area_mm2,
        after.area_mm2,
        _largest_distance_mm(before.mesh, after.mesh),
    )


def _joined(vertices: Vertices, faces: Faces, join_mm: float) -> tuple[Vertices, Faces, int]:
    """Return the mesh with near points joined, each group at its first point."""
    from scipy.spatial import cKDTree

    pairs = cKDTree(vertices).query_pairs(join_mm, output_type="ndarray")
    if not len(pairs):
        return vertices, faces, 0
    label, count = group(len(vertices), pairs.astype(np.int32))
    first = np.full(count, len(vertices), np.int64)
    np.minimum.at(first, label, np.arange(len(vertices)))
    return vertices[first], label[faces].astype(np.int32), len(vertices) - count


def _without_repeats(vertices: Vertices, faces: Faces) -> tuple[Vertices, Faces, int]:
    """Return the mesh without flat faces, repeats, and faces that lie back to back (both of them)."""
    a, b, c = faces[:, 0], faces[:, 1], faces[:, 2]
    kept = faces[(a != b) & (b != c) & (c != a)]
    marks = repeated_faces(kept)
    drop = marks > 0
    if (marks == 2).any():
        keys = np.sort(kept, axis=1)
        _, group_of = np.unique(keys, axis=0, return_inverse=True)
        backed = np.isin(group_of, group_of[marks == 2])
        drop |= backed
    return vertices, kept[~drop], len(faces) - int((~drop).sum())


def _united(vertices: Vertices, faces: Faces) -> tuple[Vertices, Faces, int]:
    """Return the union of the bodies if some of them overlap; cavities stay with the body around them."""
    findings = {finding.code for finding in inspect_mesh(vertices, faces, "mm").findings}
    if not findings & _OVERLAPS:
        return vertices, faces, 0
    bodies = split_bodies(vertices, faces, edge_table(faces))
    positive = [body for body in range(bodies.count) if bodies.volume_mm3[body] > 0]
    try:
        outer = solids.union([solids.solid(vertices, faces[bodies.label == body]) for body in positive])
        for body in range(bodies.count):
            if body not in positive:
                outer = outer - solids.solid(vertices, faces[bodies.label == body][:, ::-1])
    except ValueError:
        return vertices, faces, 0
    joined_vertices, joined_faces = solids.triangles(outer)
    return joined_vertices, joined_faces, len(positive)


def _largest_distance_mm(first: CoreMesh, second: CoreMesh) -> float:
    return max(_one_way_mm(first, second), _one_way_mm(second, first))


def _one_way_mm(points_of: CoreMesh, surface_of: CoreMesh) -> float:
    tree = split_tree(surface_of.vertices_mm, surface_of.faces, SPLIT_MM)
    corners = points_of.vertices_mm[points_of.faces]
    points: NDArray[np.float64] = np.concatenate([points_of.vertices_mm, corners.mean(axis=1)])
    step = max(1, len(points) // MOST_COMPARED)
    return float(distances_mm(tree, points[::step]).max())
