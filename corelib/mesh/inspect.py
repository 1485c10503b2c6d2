"""Is a mesh sound? Each defect a finding with its place; some leave no honest figure.

A surface with holes or with faces turned over has a volume and areas that are off by at most what caps on
its rims would enclose. A rim of length P can be capped with an area of at most P²/4π (isoperimetric
inequality), and a layer's area is off by at most that, so the volume by at most that times the height.
Where this bound is more than a thousandth of the volume, the figures aren't honest and the plan stops.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.findings import Finding, Severity, in_order
from corelib.job.models import LengthUnit
from corelib.mesh.core import CoreMesh, Faces, Vertices
from corelib.mesh.crossings import judge_crossings
from corelib.mesh.defects import FATAL, HONEST_SHARE, MeshFindings
from corelib.mesh.topology import (
    Bodies,
    EdgeTable,
    edge_table,
    group,
    repeated_faces,
    split_bodies,
    winding_number,
)
from corelib.units import MM_PER

LEAST_SIZE_MM, MOST_SIZE_MM = 20.0, 2000.0
"""A core's longest side outside this range asks: is the unit right?"""
LARGEST_COORDINATE_MM = 1e7
MOST_FACE_VISITS = 50_000_000
"""How many faces may be looked at to find which of many bodies lies in which: some seconds."""
THINNEST_MM = 1e-3
"""A body whose volume over area is less has no inside worth the name."""


@dataclass(frozen=True, eq=False)
class Inspection:
    """A mesh with its measures and findings; `mesh` is None if its numbers can't be used at all."""

    mesh: CoreMesh | None
    volume_mm3: float
    area_mm2: float
    bodies: int
    findings: tuple[Finding, ...]

    @property
    def fatal(self) -> Finding | None:
        """The finding after which no figure is honest, if there is one."""
        return next((finding for finding in self.findings if finding.code in FATAL), None)


def inspect_mesh(
    vertices_mm: Vertices, faces: Faces, unit: LengthUnit, core: str | None = None
) -> Inspection:
    """Return the measures and findings of a welded mesh in mm that was stated in `unit`."""
    refused = _unusable_numbers(vertices_mm, core)
    if refused is not None:
        return Inspection(None, 0.0, 0.0, 0, (refused,))
    findings = MeshFindings(core)
    kept = _without_flat_faces(vertices_mm, faces, findings)
    if not len(kept):
        findings.add("mesh.only_flat_faces", "stop", faces=len(faces))
        return Inspection(None, 0.0, 0.0, 0, tuple(findings.found))
    mesh = CoreMesh(vertices_mm, kept)
    table = edge_table(mesh.faces)
    bodies = split_bodies(mesh.vertices_mm, mesh.faces, table)
    volume_mm3, area_mm2 = float(bodies.volume_mm3.sum()), float(bodies.area_mm2.sum())
    _judge_size(mesh, unit, findings)
    _judge_repeats(mesh, findings)
    _judge_edges(mesh, table, volume_mm3, findings)
    if findings.fatal is None:
        _judge_bodies(mesh, bodies, volume_mm3, findings)
    if findings.fatal is None:
        judge_crossings(mesh, bodies, volume_mm3, findings)
    return Inspection(mesh, volume_mm3, area_mm2, bodies.count, in_order(findings.found))


def _unusable_numbers(vertices_mm: Vertices, core: str | None) -> Finding | None:
    bad = int((~np.isfinite(vertices_mm)).any(axis=1).sum())
    if bad:
        return Finding("mesh.not_finite", "stop", {"points": bad}, core)
    largest = float(np.abs(vertices_mm).max()) if len(vertices_mm) else 0.0
    if largest > LARGEST_COORDINATE_MM:
        facts = {"largest_mm": largest, "most_mm": LARGEST_COORDINATE_MM}
        return Finding("mesh.coordinates_absurd", "stop", facts, core)
    return None


def _without_flat_faces(vertices_mm: Vertices, faces: Faces, findings: MeshFindings) -> Faces:
    """Return the faces with three distinct corners; the others bound nothing and change no figure."""
    a, b, c = faces[:, 0], faces[:, 1], faces[:, 2]
    flat = (a == b) | (b == c) | (c == a)
    if flat.any():
        findings.add("mesh.flat_faces", "note", vertices_mm[a[flat]], count=int(flat.sum()))
        return faces[~flat]
    return faces


def _judge_size(mesh: CoreMesh, unit: LengthUnit, findings: MeshFindings) -> None:
    longest_mm = float(mesh.size_mm.max())
    if LEAST_SIZE_MM <= longest_mm <= MOST_SIZE_MM:
        return
    number = longest_mm / MM_PER[unit]
    likely = [
        f"{number * factor:.4g} mm if {name}"
        for name, factor in MM_PER.items()
        if LEAST_SIZE_MM <= number * factor <= MOST_SIZE_MM
    ]
    findings.add(
        "mesh.size_implausible",
        "check",
        longest_mm=longest_mm,
        unit=unit,
        likely=likely or ["no unit gives a usual size"],
    )


def _judge_repeats(mesh: CoreMesh, findings: MeshFindings) -> None:
    marks = repeated_faces(mesh.faces)
    repeated = np.flatnonzero(marks)
    if len(repeated):
        places = mesh.vertices_mm[mesh.faces[repeated]].mean(axis=1)
        backed = int((marks == 2).sum())
        findings.add("mesh.repeated_faces", "check", places, count=len(repeated), backed=backed)


def _judge_edges(mesh: CoreMesh, table: EdgeTable, volume_mm3: float, findings: MeshFindings) -> None:
    """Find open edges, faces with the wrong side out, and edges at which more than two faces meet."""
    unbalanced = np.flatnonzero(table.forward != table.backward)
    if len(unbalanced):
        _judge_rims(mesh, table, unbalanced, volume_mm3, findings)
    touching = np.flatnonzero((table.uses > 2) & (table.forward == table.backward))
    if len(touching):
        findings.add("mesh.touching_edges", "note", _middles(mesh, table, touching), count=len(touching))


def _middles(mesh: CoreMesh, table: EdgeTable, which: NDArray[np.intp]) -> NDArray[np.float64]:
    middles: NDArray[np.float64] = mesh.vertices_mm[table.edges[which]].mean(axis=1)
    return middles


def _judge_rims(
    mesh: CoreMesh, table: EdgeTable, unbalanced: NDArray[np.intp], volume_mm3: float, findings: MeshFindings
) -> None:
    is_open = table.uses[unbalanced] % 2 == 1
    rims, doubt_mm2 = rim_bound(mesh, table, unbalanced)
    doubt_mm3 = doubt_mm2 * float(mesh.size_mm.max())
    share = doubt_mm3 / abs(volume_mm3) if volume_mm3 else math.inf
    honest = share <= HONEST_SHARE
    facts = {"rims": rims, "doubt_pct": min(100.0, 100 * share)}
    if is_open.any():
        code = "mesh.small_holes" if honest else "mesh.open"
        which = unbalanced[is_open]
    else:
        code = "mesh.few_sides_mixed" if honest else "mesh.sides_mixed"
        which = unbalanced
    severity: Severity = "check" if honest else "stop"
    findings.add(code, severity, _middles(mesh, table, which), count=len(which), **facts)


def rim_bound(mesh: CoreMesh, table: EdgeTable, unbalanced: NDArray[np.intp]) -> tuple[int, float]:
    """Return the number of rims, and the most area that caps on them can need: Σ P²/4π.

    An edge that lacks two faces (one face turned over) counts for two caps.
    """
    ends = table.edges[unbalanced]
    used, number = np.unique(ends, return_inverse=True)
    pairs = number.reshape(-1, 2).astype(np.int32)
    label, rims = group(len(used), pairs)
    times = np.abs(table.forward[unbalanced] - table.backward[unbalanced])
    length_mm = np.linalg.norm(mesh.vertices_mm[ends[:, 0]] - mesh.vertices_mm[ends[:, 1]], axis=1)
    of_rim = label[pairs[:, 0]]
    once_mm = np.bincount(of_rim, length_mm, minlength=rims)
    each_mm = np.bincount(of_rim, length_mm * times, minlength=rims)
    return rims, float((once_mm * each_mm).sum() / (4 * math.pi))


def _judge_bodies(mesh: CoreMesh, bodies: Bodies, volume_mm3: float, findings: MeshFindings) -> None:
    """Find bodies without inside, turned inside out, inside one another, and say how many there are."""
    thin = np.abs(bodies.volume_mm3) < THINNEST_MM * bodies.area_mm2
    if thin.all() or abs(volume_mm3) < THINNEST_MM * bodies.area_mm2.sum():
        findings.add("mesh.no_volume", "stop", volume_mm3=volume_mm3, area_mm2=float(bodies.area_mm2.sum()))
        return
    centre = 0.5 * (bodies.low_mm + bodies.high_mm)
    if thin.any():
        findings.add("mesh.sheets", "check", centre[thin], count=int(thin.sum()))
    depth = _depths(mesh, bodies, findings)
    outer = (bodies.volume_mm3 > 0) & (depth == 0) & ~thin
    inverted = (bodies.volume_mm3 < 0) & (depth <= 0) & ~thin
    cavities = (bodies.volume_mm3 < 0) & (depth > 0) & ~thin
    doubled = (bodies.volume_mm3 > 0) & (depth > 0) & ~thin
    if inverted.any():
        findings.add(
            "mesh.inverted", "stop", centre[inverted], count=int(inverted.sum()), bodies=bodies.count
        )
    if doubled.any():
        twice_mm3 = float(bodies.volume_mm3[doubled].sum())
        code = "mesh.body_in_body" if twice_mm3 > HONEST_SHARE * volume_mm3 else "mesh.speck_in_body"
        severity: Severity = "stop" if code == "mesh.body_in_body" else "check"
        findings.add(code, severity, centre[doubled], count=int(doubled.sum()), volume_mm3=twice_mm3)
    if cavities.any():
        hollow_mm3 = -float(bodies.volume_mm3[cavities].sum())
        findings.add(
            "mesh.cavity", "note", centre[cavities], count=int(cavities.sum()), volume_mm3=hollow_mm3
        )
    if int(outer.sum()) > 1:
        findings.add("mesh.several_bodies", "check", centre[outer], count=int(outer.sum()))


def _depths(mesh: CoreMesh, bodies: Bodies, findings: MeshFindings) -> NDArray[np.int64]:
    """Return how many other bodies hold each body, cavities counted -1 (median over five of its faces).

    Of very many bodies only the largest are compared; the small rest is taken by its sides, and it is said.
    """
    depth = np.zeros(bodies.count, np.int64)
    if bodies.count == 1:
        return depth
    most = max(1, MOST_FACE_VISITS // len(mesh.faces))
    samples = 5 if 5 * bodies.count <= most else 1
    order = np.argsort(-np.abs(bodies.volume_mm3), kind="stable")
    compared, rest = order[: most // samples], order[most // samples :]
    for body in compared:
        holds = np.all(bodies.low_mm <= bodies.low_mm[body], axis=1)
        holds &= np.all(bodies.high_mm >= bodies.high_mm[body], axis=1)
        holds[body] = False
        if not holds.any():
            continue
        own = np.flatnonzero(bodies.label == body)
        chosen = own[:: max(1, len(own) // samples)][:samples]
        points = mesh.vertices_mm[mesh.faces[chosen]].mean(axis=1)
        turns = [winding_number(mesh.vertices_mm, mesh.faces, bodies.label, holds, point) for point in points]
        depth[body] = round(float(np.median(turns)))
    if len(rest):
        depth[rest[bodies.volume_mm3[rest] < 0]] = 1
        findings.add("mesh.bodies_not_compared", "check", None, count=len(rest), bodies=bodies.count)
    return depth
