"""Are two files the same core? Compared by volume, area and moments, then by laying one on the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from corelib.geometry.pose import Array, right_angle_orientations
from corelib.geometry.triangle_tree import distances_mm, split_tree
from corelib.mesh.core import CoreMesh

FIGURES_SHARE = 2e-3
"""Volumes, areas and moments that differ by more are of different cores."""
SAME_MM = 0.05
COMPARED_POINTS = 2000
SPLIT_MM = 16.0


@dataclass(frozen=True)
class Likeness:
    """Two meshes that are one core: their numbers, whether mirrored, and the largest distance found."""

    first: int
    second: int
    mirrored: bool
    moved: bool
    apart_mm: float


@dataclass(frozen=True, eq=False)
class _Figures:
    volume_mm3: float
    area_mm2: float
    centre_mm: Array
    axes: Array
    moments: Array


def alike_meshes(meshes: Sequence[CoreMesh]) -> tuple[Likeness, ...]:
    """Return the pairs of closed meshes that are the same core, lying anywhere, or its mirror image."""
    figures = [_figures(mesh) for mesh in meshes]
    found = []
    for first, second in combinations(range(len(meshes)), 2):
        if meshes[first].content_sha256 == meshes[second].content_sha256:
            found.append(Likeness(first, second, False, False, 0.0))
        elif _figures_agree(figures[first], figures[second]):
            likeness = _laid_on(meshes, figures, first, second)
            if likeness is not None:
                found.append(likeness)
    return tuple(found)


def _figures(mesh: CoreMesh) -> _Figures:
    """Return volume, area, centroid, and principal second moments of the enclosed volume."""
    origin = 0.5 * (mesh.low_mm + mesh.high_mm)
    a, b, c = (mesh.vertices_mm[mesh.faces[:, k]] - origin for k in range(3))
    spans = np.cross(b - a, c - a)
    six = np.einsum("ij,ij->i", a, spans)  # six times each tetrahedron's volume
    volume = six.sum() / 6
    centre = (six[:, None] * (a + b + c)).sum(axis=0) / 24 / volume
    points = np.stack([a, b, c, a + b + c], axis=1)
    second = np.einsum("i,ikx,iky->xy", six, points, points) / 120
    moments, axes = np.linalg.eigh(second - volume * np.outer(centre, centre))
    area = 0.5 * float(np.linalg.norm(spans, axis=1).sum())
    return _Figures(float(volume), area, centre + origin, axes, moments)


def _figures_agree(first: _Figures, second: _Figures) -> bool:
    ours = np.array([first.volume_mm3, first.area_mm2, *first.moments])
    theirs = np.array([second.volume_mm3, second.area_mm2, *second.moments])
    return bool(np.all(np.abs(ours - theirs) <= FIGURES_SHARE * np.maximum(np.abs(ours), np.abs(theirs))))


def _laid_on(
    meshes: Sequence[CoreMesh], figures: Sequence[_Figures], first: int, second: int
) -> Likeness | None:
    """Return the best way in which the first mesh lies on the second, if it lies within 0.05 mm."""
    mesh, target = meshes[first], meshes[second]
    tree = split_tree(target.vertices_mm, target.faces, SPLIT_MM)
    used = mesh.vertices_mm[np.unique(mesh.faces)]
    points = used[:: max(1, len(used) // COMPARED_POINTS)] - figures[first].centre_mm
    best: Likeness | None = None
    for turn in _turns(figures[first], figures[second]):
        laid = points @ turn.T + figures[second].centre_mm
        if distances_mm(tree, laid[:8]).max() > SAME_MM:
            continue
        apart_mm = float(distances_mm(tree, laid).max())
        mirrored = bool(np.linalg.det(turn) < 0)
        if apart_mm <= SAME_MM and (best is None or (best.mirrored and not mirrored)):
            best = Likeness(first, second, mirrored, True, apart_mm)
    return best


def _turns(first: _Figures, second: _Figures) -> list[Array]:
    """Return the turns to try: right angles, and principal axes onto principal axes; then mirrored."""
    proper = [orientation.rotation for orientation in right_angle_orientations()]
    mirrored = [np.diag([-1.0, 1.0, 1.0]) @ turn for turn in proper]
    for signs in product((1.0, -1.0), repeat=3):
        turn = second.axes @ np.diag(signs) @ first.axes.T
        (proper if np.linalg.det(turn) > 0 else mirrored).append(turn)
    return proper + mirrored
