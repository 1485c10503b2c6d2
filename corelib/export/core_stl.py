"""One core as binary STL in mm, in the core file's frame: scaled by its allowances, or layer on layer."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.export.painting import Shape

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def core_stl(core: Mapping[str, Any], printed: Shape) -> bytes:
    """Return a core of the plan as STL; the header says what is in it and what is not.

    The sideways bleed is drawn in on each layer's outline and not in the mesh: the header names its amount.
    `layers_stl` has the body with it.
    """
    scale = " ".join(f"{factor:.6g}" for factor in core["scale_xyz"])
    bleed = f"{core['bleed_xy_mm']:g} {core['bleed_z_mm']:g} mm"
    words = f"mm; printed body, scale {scale}; bleed not drawn in: {bleed}"
    return mesh_stl(printed.vertices_mm, printed.faces, words)


def layers_stl(
    vertices_mm: NDArray[np.float64],
    faces: NDArray[np.int32],
    layers: int,
    thickness_mm: float,
    up: tuple[float, float, float],
) -> bytes:
    """Return a body of stacked printed layers as STL; `up` is the way up in the build box, in this frame."""
    way = " ".join(f"{part + 0.0:.4g}" for part in up)
    words = f"mm; {layers} printed layers of {thickness_mm:g} mm, bleed drawn in, up {way}"
    return mesh_stl(vertices_mm, faces, words)


def mesh_stl(vertices_mm: NDArray[np.float64], faces: NDArray[np.int32], words: str) -> bytes:
    """Return a mesh as binary STL; `words` go into the header, cut to its 80 bytes."""
    corners = vertices_mm[faces].astype("<f4")
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    records = np.zeros(len(corners), dtype=RECORD)
    records["normal"] = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    records["corners"] = corners
    header = words.encode("ascii")[:80].ljust(80)
    return header + struct.pack("<I", len(corners)) + records.tobytes()
