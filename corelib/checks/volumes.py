"""Layers against meshes: the layers must hold the volume of the placed cores, within a proved bound."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from corelib.findings import Finding
from corelib.layers.model import BoxLayers, PlacedBody
from corelib.mesh.core import CoreMesh

FLOAT_NOISE = 1e-9
"""Share of the volume that sums in double precision may be off by."""


def check_layer_volume(layers: BoxLayers, placed: Sequence[PlacedBody]) -> tuple[Finding, ...]:
    """Return a finding if t·ΣA of the nominal areas and the meshes' volumes differ by more than ½·t·P.

    P is the sum of |n_z| × area over all triangles: the area can change by no more than that over the
    height, so mid-layer sums are off by at most half of it times t (own derivation). Only a mesh that is not
    what it seems (open, overlapping, inverted in part) can pass the bound.
    """
    layer_mm3 = layers.thickness_mm * float(layers.nominal_area_mm2.sum())
    core_mm3 = sum(item.body.core.core_volume_mm3 for item in placed)
    projections: dict[tuple[str, bytes], float] = {}
    bound_mm3 = 0.0
    for item in placed:
        core = item.body.core
        rotation = np.array(item.placement.matrix, dtype=np.float64)[:3, :3]
        key = core.item.id, rotation.tobytes()
        if key not in projections:
            projections[key] = core.solid_share * projected_area_mm2(core.mesh, rotation)
        bound_mm3 += 0.5 * layers.thickness_mm * projections[key]
    off_mm3 = abs(layer_mm3 - core_mm3)
    if off_mm3 <= bound_mm3 + FLOAT_NOISE * core_mm3:
        return ()
    facts = {
        "layers_cm3": layer_mm3 / 1e3,
        "cores_cm3": core_mm3 / 1e3,
        "off_cm3": off_mm3 / 1e3,
        "bound_cm3": bound_mm3 / 1e3,
    }
    return (Finding("volumes.layers_disagree", "stop", facts, box=layers.box),)


def projected_area_mm2(mesh: CoreMesh, rotation: np.ndarray) -> float:
    """Return the sum over all triangles of area × |n_z|, the mesh turned by `rotation` (3, 3)."""
    a, b, c = (mesh.vertices_mm[mesh.faces[:, corner]] for corner in range(3))
    doubled = np.cross(b - a, c - a) @ rotation[2]
    return float(np.abs(doubled).sum()) / 2
