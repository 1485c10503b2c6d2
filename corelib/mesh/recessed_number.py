"""A number sunk into a flat face of a core, as on a core print: it marks the core without a label.

On a print the number touches no casting surface. Its strokes are square cells, since finer ones would not
come out of sand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.errors import InputError
from corelib.geometry import solids
from corelib.mesh.core import CoreMesh

CELLS: dict[str, tuple[str, ...]] = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    "-": ("   ", "   ", "###", "   ", "   "),
}
"""Signs on a grid of 3 by 5 cells, top row first."""
ROWS, STEP_CELLS = 5, 4
MOST_SIGNS = 12
SLIVER_MM = 0.004
"""Edges that the cut leaves shorter than this are merged: far below a grain of sand."""
LEAST_SHARE, MOST_SHARE = 0.98, 1.02
Vector = NDArray[np.float64]


@dataclass(frozen=True)
class NumberFace:
    """Where the number goes: its middle on the face, the face's outward normal, height of signs, depth."""

    middle_mm: tuple[float, float, float]
    normal: tuple[float, float, float]
    height_mm: float
    depth_mm: float


def with_number(mesh: CoreMesh, signs: str, face: NumberFace) -> CoreMesh:
    """Return the core with the number sunk into it; raises InputError where the face is not flat there."""
    _refuse(signs, face)
    cells = _cells(signs)
    blocks = [((x, y, -1.0), (x + 1.0, y + 1.0, 1.0)) for x, y in cells]  # whole numbers unite exactly
    cut = solids.placed(solids.boxes(blocks), _frame(face, len(signs)))
    core = solids.solid(mesh.vertices_mm, mesh.faces)
    left = solids.difference(core, cut)
    wanted_mm3 = len(cells) * (face.height_mm / ROWS) ** 2 * face.depth_mm
    share = (solids.volume_mm3(core) - solids.volume_mm3(left)) / wanted_mm3
    if not LEAST_SHARE <= share <= MOST_SHARE:
        raise InputError("number.face_not_flat", signs=signs, removed_pct=100.0 * share)
    return CoreMesh(*solids.triangles(solids.without_slivers(left, SLIVER_MM)))


def _refuse(signs: str, face: NumberFace) -> None:
    unknown = sorted(set(signs) - set(CELLS))
    if not signs or unknown or len(signs) > MOST_SIGNS:
        raise InputError("number.bad_signs", signs=signs, most=MOST_SIGNS)
    for name, value in (("height", face.height_mm), ("depth", face.depth_mm)):
        if not 0.0 < value <= 500.0:
            raise InputError("number.bad_size", name=name, value=value)
    if not np.isfinite([*face.middle_mm, *face.normal]).all() or not any(face.normal):
        raise InputError("number.bad_face")


def _cells(signs: str) -> list[tuple[float, float]]:
    """Return the lower left corner of each sunk cell, in cells from the lower left of the number."""
    return [
        (float(STEP_CELLS * place + column), float(ROWS - 1 - row))
        for place, sign in enumerate(signs)
        for row, line in enumerate(CELLS[sign])
        for column, mark in enumerate(line)
        if mark == "#"
    ]


def _frame(face: NumberFace, signs: int) -> Vector:
    """Return the 4×4 matrix from cells (and depths, z out of the face) to the core's frame.

    The cut begins a depth above the face, so that a face a hair off the stated point is cut too. The number
    stands upright to +z; on a face that looks up or down its top points to +y.
    """
    out = _unit(face.normal)
    upright = np.array([0.0, 1.0, 0.0] if abs(out[2]) > 0.99 else [0.0, 0.0, 1.0])
    right = _unit(np.cross(upright, out))
    cell_mm = face.height_mm / ROWS
    across, up = right * cell_mm, np.cross(out, right) * cell_mm
    matrix = np.eye(4)
    matrix[:3, :3] = np.column_stack([across, up, out * face.depth_mm])
    matrix[:3, 3] = face.middle_mm - across * (STEP_CELLS * signs - 1) / 2 - up * ROWS / 2
    return matrix


def _unit(vector: Sequence[float] | Vector) -> Vector:
    direction = np.asarray(vector, dtype=np.float64)
    unit: Vector = direction / np.linalg.norm(direction)
    return unit
