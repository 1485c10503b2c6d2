"""Can the core be printed and cleaned? Thin walls, thin slots, and loose sand that can't leave.

Wall and slot widths are a field over the whole surface, exact to the mesh; trapped sand is told in cells.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.allowance.compensation import allowance
from corelib.findings import Finding
from corelib.geometry.pose import Array
from corelib.geometry.triangle_tree import (
    SurfaceSamples,
    TriangleTree,
    opposing_widths,
    split_tree,
    surface_samples,
    ways_are_free,
)
from corelib.geometry.void import TrappedSand, pitch_for, surroundings, trapped_sand
from corelib.job.profiles import ProcessProfile
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.defects import capped_places

SPACING_MM = 1.0
MOST_WIDTH_MM = 20.0
"""Walls and slots are measured up to this width, or three times the limit if that is more."""
SPLIT_MM = 16.0
NOISE_SHARE = 1e-3
"""A wall counts as thin when it is thinner than the limit by more than this share (facets, rounding)."""
LEAST_AREA_MM2 = 4.0
"""Spots smaller than this are left out: a sharp edge's last facets, not a wall."""
_SAND_CODES = {
    "closed": "walls.sand_closed",
    "behind a small opening": "walls.sand_behind_opening",
    "round corners": "walls.sand_round_corners",
}
LEAST_SAND_MM3 = 100.0


@dataclass(frozen=True, eq=False)
class ThicknessField:
    """Widths over the whole surface: at each sample the wall behind and the gap before it; inf above most."""

    samples: SurfaceSamples
    wall_mm: Array
    gap_mm: Array
    most_mm: float


def thickness_field(
    mesh: CoreMesh, most_mm: float = MOST_WIDTH_MM, spacing_mm: float = SPACING_MM
) -> ThicknessField:
    """Return the local wall and gap widths of a mesh, up to `most_mm`."""
    tree = split_tree(mesh.vertices_mm, mesh.faces, SPLIT_MM)
    samples = surface_samples(tree, spacing_mm)
    return ThicknessField(
        samples, _widths(tree, samples, most_mm, True), _widths(tree, samples, most_mm, False), most_mm
    )


def _widths(tree: TriangleTree, samples: SurfaceSamples, most_mm: float, inward: bool) -> Array:
    """Return the widths whose ball has its centre in clear sight of the sample."""
    width, _ = opposing_widths(tree, samples, most_mm, inward=inward)
    near = np.flatnonzero(np.isfinite(width))
    side = -1.0 if inward else 1.0
    # the way to the ball's centre must be clear: else the ball reaches round an edge to another limb
    centre = samples.points_mm[near] + side * 0.5 * width[near, None] * samples.normals[near]
    free = ways_are_free(tree, samples.points_mm[near], centre)
    width[near[~free]] = np.inf
    return width


def wall_findings(core: LoadedCore, process: ProcessProfile) -> tuple[Finding, ...]:
    """Return thin walls and thin slots below the process's least wall, with their places."""
    limit_mm = process.least_wall_mm
    draw_in_mm = allowance(core, process).draw_in_xy_mm
    most_mm = max(MOST_WIDTH_MM, 3 * limit_mm) if limit_mm is not None else MOST_WIDTH_MM
    field = thickness_field(core.mesh, most_mm)
    found = vanishing_findings(core.item.id, field, draw_in_mm)
    if limit_mm is None:
        least_mm = min(float(field.wall_mm.min()), most_mm)
        return (*found, Finding("walls.limit_unknown", "note", {"least_mm": least_mm}, core.item.id))
    for code, width in (("walls.thin_wall", field.wall_mm), ("walls.thin_gap", field.gap_mm)):
        spots = thin_spots(field.samples, width, limit_mm)
        if spots:
            found.append(_thin(code, core.item.id, spots, limit_mm))
    return tuple(found)


def vanishing_findings(core_id: str, field: ThicknessField, draw_in_mm: float) -> list[Finding]:
    """Return the walls that vanish when outlines are drawn in, or the slots that close when drawn out."""
    if draw_in_mm == 0.0:
        return []
    code, width = (
        ("allowance.vanishes", field.wall_mm) if draw_in_mm > 0 else ("allowance.closes", field.gap_mm)
    )
    lost_mm = 2.0 * abs(draw_in_mm)
    spots = thin_spots(field.samples, width, lost_mm)
    return [_thin(code, core_id, spots, lost_mm)] if spots else []


@dataclass(frozen=True)
class ThinSpot:
    """One thin place: its least width, where, and the area around it."""

    least_mm: float
    place_mm: tuple[float, float, float]
    area_mm2: float


def thin_spots(samples: SurfaceSamples, width_mm: Array, limit_mm: float) -> tuple[ThinSpot, ...]:
    """Return the connected places that are thinner than the limit, the thinnest first."""
    thin = np.flatnonzero(width_mm < limit_mm * (1 - NOISE_SHARE))
    if not len(thin):
        return ()
    label = _neighbourhoods(samples.points_mm[thin], limit_mm + 1.5 * SPACING_MM)  # both sides of a wall
    spots = []
    for group in range(int(label.max()) + 1):
        members = thin[label == group]
        area_mm2 = float(samples.areas_mm2[members].sum())
        if area_mm2 < LEAST_AREA_MM2:
            continue
        at = members[int(np.argmin(width_mm[members]))]
        x, y, z = np.round(samples.points_mm[at], 3)
        spots.append(ThinSpot(float(width_mm[at]), (float(x), float(y), float(z)), area_mm2))
    return tuple(sorted(spots, key=lambda spot: (spot.least_mm, spot.place_mm)))


def _neighbourhoods(points_mm: Array, reach_mm: float) -> NDArray[np.int32]:
    """Return a group number for each point; points within `reach_mm` belong together."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    pairs = cKDTree(points_mm).query_pairs(reach_mm, output_type="ndarray")
    n = len(points_mm)
    graph = coo_matrix((np.ones(len(pairs), bool), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
    label: NDArray[np.int32] = connected_components(graph, directed=False)[1]
    return label


def _thin(code: str, core_id: str, spots: tuple[ThinSpot, ...], limit_mm: float) -> Finding:
    x, y, z = spots[0].place_mm
    facts = {
        "least_mm": spots[0].least_mm,
        "limit_mm": limit_mm,
        "area_mm2": sum(spot.area_mm2 for spot in spots),
        "count": len(spots),
        "x": x,
        "y": y,
        "z": z,
    }
    places = capped_places(np.array([spot.place_mm for spot in spots]))
    return Finding(code, "check", facts, core_id, places_mm=places)


def sand_findings(
    core: LoadedCore, process: ProcessProfile, bulk_density_g_cm3: float
) -> tuple[Finding, ...]:
    """Return the loose sand that can't leave the core, with its mass and place."""
    clean_out_mm = process.clean_out_diameter_mm
    if clean_out_mm is None:
        return (Finding("walls.clean_out_unknown", "note", {}, core.item.id),)
    mesh = core.mesh
    pitch_mm = pitch_for(mesh.size_mm, clean_out_mm)
    around = surroundings(mesh.vertices_mm, mesh.faces, clean_out_mm, pitch_mm)
    return tuple(
        _held(trapped, core.item.id, clean_out_mm, pitch_mm, bulk_density_g_cm3)
        for trapped in trapped_sand(around, clean_out_mm)
        if trapped.volume_mm3 >= LEAST_SAND_MM3
    )


def _held(
    trapped: TrappedSand, core_id: str, clean_out_mm: float, pitch_mm: float, bulk_density_g_cm3: float
) -> Finding:
    x, y, z = trapped.place_mm
    facts = {
        "sand_g": trapped.volume_mm3 * 1e-3 * bulk_density_g_cm3,
        "clean_out_mm": clean_out_mm,
        "depth_mm": trapped.depth_mm,
        "cell_mm": pitch_mm,
        "x": x,
        "y": y,
        "z": z,
    }
    return Finding(_SAND_CODES[trapped.how], "check", facts, core_id, places_mm=(trapped.place_mm,))
