"""Layer steps on sloped faces: how far they stand off, and where that is more than the accuracy wanted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corelib.findings import Finding
from corelib.geometry.pose import Array
from corelib.job.profiles import ProcessProfile
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.defects import capped_places

LEVEL_COS = 1.0 - 1e-6
"""Faces this close to level have no steps: the layer's own top or bottom makes them."""


@dataclass(frozen=True, eq=False)
class LayerSteps:
    """Cusp height of every face in one orientation, with the faces' areas and middles (core frame)."""

    cusp_mm: Array
    area_mm2: Array
    middle_mm: Array


def layer_steps(mesh: CoreMesh, rotation: Array, layer_mm: float) -> LayerSteps:
    """Return the cusp heights t·|n_z| of all faces when the core is laid by `rotation`."""
    corners = mesh.vertices_mm[mesh.faces]
    spans = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(spans, axis=1)
    upward = np.abs(spans @ rotation[2]) / np.where(double > 0, double, 1.0)
    cusp = np.where(upward < LEVEL_COS, layer_mm * upward, 0.0)
    return LayerSteps(cusp, 0.5 * double, corners.mean(axis=1))


def step_findings(core: LoadedCore, rotation: Array, process: ProcessProfile) -> tuple[Finding, ...]:
    """Return a finding if steps stand off further than the accuracy wanted; the faces are its places."""
    tolerance_mm, layer_mm = process.tolerance_mm, process.layer_thickness_mm
    if tolerance_mm is None or layer_mm is None:
        return ()
    steps = layer_steps(core.mesh, rotation, layer_mm)
    coarse = np.flatnonzero(steps.cusp_mm > tolerance_mm)
    if not len(coarse):
        return ()
    order = coarse[np.argsort(-steps.cusp_mm[coarse] * steps.area_mm2[coarse], kind="stable")]
    x, y, z = (round(float(value), 3) for value in steps.middle_mm[order[0]])
    facts = {
        "cusp_mm": float(steps.cusp_mm.max()),
        "tolerance_mm": tolerance_mm,
        "area_pct": 100 * float(steps.area_mm2[coarse].sum() / steps.area_mm2.sum()),
        "x": x,
        "y": y,
        "z": z,
    }
    places = capped_places(steps.middle_mm[order])
    return (Finding("steps.coarse", "check", facts, core.item.id, places_mm=places),)
