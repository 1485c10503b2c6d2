"""STEP through cascadio (an optional library): solids are tessellated to a stated tolerance.

Runs only in the guarded parser child: the native reader ends its process on one in five damaged files.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.errors import MeshError
from corelib.mesh.raw import RawMesh, ReadLimits

MM_PER_M = 1000.0
ANGLE_RAD = 0.35
"""Largest turn between neighbouring facets, beside the distance in mm."""
DECIMALS = 5
"""The library answers in metres and single precision; rounding to 1e-5 mm gives its own numbers back."""


def read_step(path: Path, limits: ReadLimits, chord_mm: float) -> RawMesh:
    """Return the solids of a STEP file, facets at most `chord_mm` off the true surface. Raises MeshError."""
    try:
        import cascadio
    except ImportError as error:
        raise MeshError("mesh.no_step_library", file=path.name) from error
    content = path.read_bytes()
    if not content.rstrip().endswith(b"END-ISO-10303-21;"):
        raise MeshError("mesh.step_cut", file=path.name)
    try:
        packed = cascadio.load(
            content, tol_linear=chord_mm, tol_angular=ANGLE_RAD, use_parallel=False, merge_primitives=True
        )
    except Exception as error:
        reason = str(error)[:200] or type(error).__name__
        raise MeshError("mesh.not_readable", file=path.name, format="STEP", reason=reason) from error
    corners = _corners(path, packed) if packed else np.empty((0, 3, 3))
    if not len(corners):
        raise MeshError("mesh.step_no_solids", file=path.name)
    if len(corners) > limits.triangles:
        raise MeshError("mesh.too_many_triangles", file=path.name, found=len(corners), most=limits.triangles)
    facts = {"chord_mm": chord_mm, "triangles": len(corners)}
    return RawMesh("STEP", corners=corners, unit="mm", remarks=(("mesh.tessellated", facts),))


def _corners(path: Path, packed: bytes) -> NDArray[np.float64]:
    """Return the triangles in mm of all placed parts; curves and points bound nothing and are left out."""
    import trimesh

    try:
        scene = trimesh.load_scene(io.BytesIO(packed), file_type="glb", process=False)
        parts = [_placed(scene, node) for node in sorted(scene.graph.nodes_geometry)]
    except Exception as error:
        reason = f"{type(error).__name__}: {error}"[:200]
        raise MeshError("mesh.not_readable", file=path.name, format="STEP", reason=reason) from error
    kept = [part for part in parts if len(part)]
    if not kept:
        return np.empty((0, 3, 3))
    corners: NDArray[np.float64] = np.round(np.concatenate(kept) * MM_PER_M, DECIMALS)
    return corners


def _placed(scene: Any, node: str) -> NDArray[np.float64]:
    matrix, name = scene.graph[node]
    shape = scene.geometry[name]
    if not hasattr(shape, "faces") or not len(shape.faces):
        return np.empty((0, 3, 3))
    points = np.asarray(shape.vertices, dtype=np.float64)
    placed = points @ np.asarray(matrix)[:3, :3].T + np.asarray(matrix)[:3, 3]
    return placed[np.asarray(shape.faces)]
