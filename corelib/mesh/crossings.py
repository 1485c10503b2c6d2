"""Does a mesh cross itself? Crossing faces, and bodies that overlap and would count twice."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.findings import Severity
from corelib.geometry import solids
from corelib.geometry.triangle_tree import self_crossings, triangle_tree
from corelib.mesh.core import CoreMesh
from corelib.mesh.defects import HONEST_SHARE, MeshFindings
from corelib.mesh.topology import Bodies, winding_number

LEAST_CROSSING_MM = 1e-3
"""Faces that pass each other by less are taken as touching."""
DEEP_CROSSING_MM = 0.3
"""Crossings from this depth on, about a layer, forbid the build until somebody has looked."""
MOST_BODIES = 200
SAMPLED_FACES = 16
_INSIDE_MM = 1e-3


def judge_crossings(mesh: CoreMesh, bodies: Bodies, volume_mm3: float, findings: MeshFindings) -> None:
    """Find faces that cross, and say by how much overlapping bodies count twice."""
    crossings = self_crossings(triangle_tree(mesh.vertices_mm, mesh.faces), LEAST_CROSSING_MM)
    sides = bodies.label[crossings.faces]
    within = sides[:, 0] == sides[:, 1]
    if within.any():
        deepest_mm = float(crossings.depth_mm[within].max())
        severity: Severity = "stop" if deepest_mm >= DEEP_CROSSING_MM else "check"
        order = np.argsort(-crossings.depth_mm[within], kind="stable")
        places = crossings.points_mm[within][order]
        facts = {"count": int(within.sum()), "depth_mm": deepest_mm}
        findings.add("mesh.crosses_itself", severity, places, **facts)
    places = crossings.points_mm[~within]
    if not len(places) and not findings.has("mesh.speck_in_body"):
        places = _covered_places(mesh, bodies)
    if len(places):
        _judge_overlap(mesh, bodies, volume_mm3, places, findings)


def _covered_places(mesh: CoreMesh, bodies: Bodies) -> NDArray[np.float64]:
    """Return points just within one body that also lie in another: overlaps whose faces are flush."""
    outer = np.flatnonzero(bodies.volume_mm3 > 0)
    if not 1 < len(outer) <= MOST_BODIES:
        return np.empty((0, 3))
    found = []
    for body in outer:
        touching = np.all(bodies.low_mm < bodies.high_mm[body], axis=1)
        touching &= np.all(bodies.high_mm > bodies.low_mm[body], axis=1)
        touching[body] = False
        if touching[outer].any():
            found += _covered(mesh, bodies, int(body), touching)
    return np.array(found).reshape(-1, 3)


def _covered(
    mesh: CoreMesh, bodies: Bodies, body: int, others: NDArray[np.bool_]
) -> list[NDArray[np.float64]]:
    """Return points just within the body that its neighbours, less their cavities, cover too."""
    own = np.flatnonzero(bodies.label == body)
    corners = mesh.vertices_mm[mesh.faces[own[:: max(1, len(own) // SAMPLED_FACES)]]]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normals, axis=1)
    points = corners.mean(axis=1) - _INSIDE_MM * normals / np.where(length > 0, length, 1.0)[:, None]

    def turns(point: NDArray[np.float64]) -> float:
        return winding_number(mesh.vertices_mm, mesh.faces, bodies.label, others, point)

    return [point for point in points if turns(point) > 0.5]


def _judge_overlap(
    mesh: CoreMesh, bodies: Bodies, volume_mm3: float, places: NDArray[np.float64], findings: MeshFindings
) -> None:
    """Measure by their union how much overlapping bodies count twice."""
    parts = [mesh.faces[bodies.label == body] for body in range(bodies.count)]
    try:
        solid = [solids.solid(mesh.vertices_mm, part) for part in parts]
        twice_mm3 = sum(solids.volume_mm3(part) for part in solid) - solids.volume_mm3(solids.union(solid))
    except ValueError:  # a body that touches itself in an edge: no solid for the kernel
        findings.add("mesh.bodies_cross", "stop", places, count=len(places))
        return
    honest = twice_mm3 <= HONEST_SHARE * volume_mm3
    code = "mesh.bodies_touch_deep" if honest else "mesh.bodies_overlap"
    findings.add(code, "check" if honest else "stop", places, volume_mm3=twice_mm3)
