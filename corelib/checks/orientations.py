"""Orientation advice: the sides on which a core may lie, ranked, each term shown; the user chooses.

Terms: height (time), layer steps, thin walls that stand up in the recoater's way, bending that opens layers
when the core is lifted, and loose sand that stays in its pockets as it is lifted out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corelib.checks.handling import lift_stresses
from corelib.checks.steps import layer_steps
from corelib.checks.walls import thickness_field
from corelib.geometry.pose import Array, Orientation
from corelib.geometry.voxels import Cells, inside_cells
from corelib.job.profiles import ProcessProfile
from corelib.mesh.core import CoreMesh, LoadedCore

WEIGHTS: dict[str, float] = {
    "height_mm": 1.0,
    "mean_step_mm": 1.0,
    "standing_thin_mm2": 0.5,
    "opening_stress_mpa": 0.5,
    "kept_sand_mm3": 0.5,
}
"""How much each term counts, divided by the largest of its kind among the candidates (our choice)."""
DEFAULT_LAYER_MM = 0.3
DEFAULT_WALL_MM = 4.0
UPRIGHT_COS = 0.5
"""A wall stands up where its faces' normals are within 30° of level."""
KEPT_CELLS = 400_000


@dataclass(frozen=True)
class OrientationScore:
    """One side down, its terms, and its score: 0 would be best in everything, lower is better."""

    orientation: Orientation
    height_mm: float
    layers: int
    mean_step_mm: float
    """Cusp height, averaged over the surface."""
    standing_thin_mm2: float
    """Surface of walls thinner than twice the least wall that stand up."""
    opening_stress_mpa: float
    """Part of the lifting stress that pulls the layers apart."""
    kept_sand_mm3: float
    """Loose sand that can't slide out downward at 45°."""
    score: float
    allowed: bool


def orientation_advice(
    core: LoadedCore,
    candidates: Sequence[Orientation],
    process: ProcessProfile,
    bulk_density_g_cm3: float,
    allowed: Sequence[Orientation] | None = None,
) -> tuple[OrientationScore, ...]:
    """Return the candidates' terms and scores, best first; turns about the vertical count as one."""
    layer_mm = process.layer_thickness_mm or DEFAULT_LAYER_MM
    thin_mm = 2.0 * (process.least_wall_mm or DEFAULT_WALL_MM)
    field = thickness_field(core.mesh, thin_mm)
    thin = np.isfinite(field.wall_mm)
    normals, areas = field.samples.normals[thin], field.samples.areas_mm2[thin]
    stress_mpa = max(lift.stress_mpa for lift in lift_stresses(core.mesh, bulk_density_g_cm3))
    lift_axis = np.eye(3)[int(np.argmax(core.mesh.size_mm))]
    rows = []
    for orientation in _distinct(candidates):
        up = orientation.rotation[2]
        heights = core.mesh.vertices_mm[core.mesh.faces.ravel()] @ up
        height_mm = float(heights.max() - heights.min())
        steps = layer_steps(core.mesh, orientation.rotation, layer_mm)
        rows.append(
            {
                "height_mm": height_mm,
                "mean_step_mm": float((steps.cusp_mm * steps.area_mm2).sum() / steps.area_mm2.sum()),
                "standing_thin_mm2": float(areas[np.abs(normals @ up) < UPRIGHT_COS].sum()),
                "opening_stress_mpa": stress_mpa * float(lift_axis @ up) ** 2,
                "kept_sand_mm3": kept_sand_mm3(core.mesh, orientation.rotation),
            }
        )
    largest = {name: max(row[name] for row in rows) or 1.0 for name in WEIGHTS}
    downs = None if allowed is None else {_down(orientation) for orientation in allowed}
    scored = [
        OrientationScore(
            orientation=orientation,
            layers=math.ceil(row["height_mm"] / layer_mm - 1e-9),
            score=sum(weight * row[name] / largest[name] for name, weight in WEIGHTS.items()),
            allowed=downs is None or _down(orientation) in downs,
            **row,
        )
        for orientation, row in zip(_distinct(candidates), rows, strict=True)
    ]
    return tuple(sorted(scored, key=lambda found: (round(found.score, 9), found.orientation.label)))


def _down(orientation: Orientation) -> tuple[float, ...]:
    return tuple(float(value) + 0.0 for value in np.round(orientation.rotation[2], 6))


def _distinct(candidates: Sequence[Orientation]) -> list[Orientation]:
    """Return one orientation for each side that points down."""
    kept: dict[tuple[float, ...], Orientation] = {}
    for orientation in candidates:
        kept.setdefault(_down(orientation), orientation)
    return list(kept.values())


def kept_sand_mm3(mesh: CoreMesh, rotation: Array) -> float:
    """Return the loose sand within the bounding box that can't slide out as the core is lifted straight up.

    A grain leaves straight down or down at 45°; what lies in a pocket that opens upward stays.
    """
    laid = np.ascontiguousarray(mesh.vertices_mm @ rotation.T)
    used = laid[np.unique(mesh.faces)]
    low, high = used.min(axis=0), used.max(axis=0)
    pitch_mm = max(1.0, float(np.prod(np.maximum(high - low, 1.0)) / KEPT_CELLS) ** (1 / 3))
    counts = np.maximum(1, np.ceil((high - low) / pitch_mm - 1e-9)).astype(int) + 2
    nx, ny, nz = (int(count) for count in counts)
    solid = inside_cells(laid, mesh.faces, low - pitch_mm, (nx, ny, nz), pitch_mm)
    return float(np.count_nonzero(_kept(~solid)[1:-1, 1:-1, 1:-1])) * pitch_mm**3


def _kept(empty: Cells) -> Cells:
    """Return the empty cells from which no way of steps down and aside leads out of the grid."""
    leaves = np.zeros_like(empty)
    leaves[:, :, 0] = empty[:, :, 0]
    for k in range(1, empty.shape[2]):
        below: Cells = np.pad(leaves[:, :, k - 1], 1, constant_values=True)
        wide: Cells = np.zeros(empty.shape[:2], np.bool_)
        for i in range(3):
            for j in range(3):
                wide |= below[i : i + empty.shape[0], j : j + empty.shape[1]]
        leaves[:, :, k] = empty[:, :, k] & wide
    return empty & ~leaves
