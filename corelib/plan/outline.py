"""The outlines of one layer of a finished plan, from its files: what the layer view draws."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import moved
from corelib.layers.outline import Indices, Points, outlines_at


@dataclass(frozen=True, eq=False)
class LayerOutlines:
    """Closed nominal outlines at mid-layer: points (n, 2) in mm, each outline's first point and core."""

    points_mm: Points
    starts: Indices
    cores: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Placed:
    core: str
    vertices_mm: Points
    faces: NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class _Box:
    middles_mm: tuple[float, ...]
    placed: tuple[_Placed, ...]


def layer_outlines(plan: Path, meshes: Path, box: int, layer: int) -> LayerOutlines:
    """Return the outlines of a layer; box and layer count from 0, as in plan.json."""
    shown = _box(plan, meshes, box)
    z_mm = shown.middles_mm[layer]
    points, starts, cores, begun = [np.zeros((0, 2))], [np.zeros(0, dtype=np.int64)], [], 0
    for placed in shown.placed:
        loops, firsts = outlines_at(placed.vertices_mm, placed.faces, z_mm)
        points.append(loops)
        starts.append(firsts + begun)
        cores += [placed.core] * len(firsts)
        begun += len(loops)
    return LayerOutlines(np.concatenate(points), np.concatenate(starts), tuple(cores))


@lru_cache(maxsize=2)
def _box(plan: Path, meshes: Path, box: int) -> _Box:
    """Return a box with its cores at their places; kept, as a layer is seldom looked at alone."""
    content = json.loads(plan.read_bytes())["boxes"][box]
    z_mm = [layer["z_mm"] for layer in content["layers"]]
    half_mm = 0.5 * content["height_mm"] / max(1, len(z_mm))
    placed = []
    for placement in content["placements"]:
        vertices = np.load(meshes / f"{placement['core']}.vertices.npy")
        faces = np.load(meshes / f"{placement['core']}.faces.npy")
        matrix = np.array(placement["matrix"], dtype=np.float64)
        placed.append(_Placed(placement["core"], moved(vertices, matrix), faces))
    return _Box(tuple(z + half_mm for z in z_mm), tuple(placed))
