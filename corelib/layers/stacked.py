"""A core as its printed layers stand on one another: prisms of the printed outlines, bleed drawn in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.geometry import solids
from corelib.layers.cut_pose import CutPose
from corelib.layers.sections import placed_vertices
from corelib.layers.store import OutlineStore
from corelib.progress import SILENT, Progress

Points = NDArray[np.float64]
Faces = NDArray[np.int32]
SLIVER_MM = 1e-5
"""Shorter edges are merged: single precision could not tell their ends apart."""

PRISMS_AT_ONCE = 40


@dataclass(frozen=True, eq=False)
class StackedBody:
    """Closed surface of a stack of layers in the frame of the core's file (mm), and what it is made of."""

    vertices_mm: Points
    faces: Faces
    layers: int
    thickness_mm: float
    volume_mm3: float
    """Layer thickness times the sum of the printed areas: what gets binder."""


def stacked_body(pose: CutPose, store: OutlineStore, progress: Progress = SILENT) -> StackedBody:
    """Return the printed layers of a core as one body, laid back into the frame of the core's file.

    Each layer is as high as the thickness and has its printed outline, exactly as images and binder take
    it; layers with the same outline are one prism. The body's volume is the layers' printed volume. It
    belongs to this pose alone: the draw-in is level with the layers, dry layers lie over faces that look
    down.
    """
    key = pose.key
    count = store.cutter(pose, key).count
    prisms: list[tuple[list[Points], float, float]] = []
    area_mm2 = 0.0
    for layer in range(count):
        block = store.outlines(pose, layer, key)
        rings = [ring for ring in block.rings(layer) if len(ring) >= 3]
        area_mm2 += float(block.area_mm2[layer - block.first_layer])
        low, high = layer * pose.thickness_mm, (layer + 1) * pose.thickness_mm
        if prisms and prisms[-1][2] == low and _are_same(prisms[-1][0], rings):
            prisms[-1] = rings, prisms[-1][1], high
        elif rings:
            prisms.append((rings, low, high))
    parts = []
    for first in range(0, len(prisms), PRISMS_AT_ONCE):
        progress(first / len(prisms), "layer-bodies")  # raises Cancelled between two parts
        parts.append(solids.stack(prisms[first : first + PRISMS_AT_ONCE]))
    made = solids.without_slivers(solids.union(parts), SLIVER_MM)
    vertices, faces = solids.triangles(made)
    return StackedBody(
        _laid_back(vertices, pose), faces, count, pose.thickness_mm, pose.thickness_mm * area_mm2
    )


def _are_same(first: list[Points], second: list[Points]) -> bool:
    return len(first) == len(second) and all(
        np.array_equal(one, other) for one, other in zip(first, second, strict=True)
    )


def _laid_back(vertices: Points, pose: CutPose) -> Points:
    """Return points of the turned core, lowest at its phase, in the frame of the core's file."""
    mesh = pose.body.mesh
    placed, _ = placed_vertices(mesh, pose.rotation, pose.phase_mm)
    lift = float(placed[0, 2] - mesh.vertices_mm[0] @ pose.rotation[2])
    back: Points = (vertices - np.array([0.0, 0.0, lift])) @ pose.rotation
    return back
