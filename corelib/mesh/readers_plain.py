"""OBJ, PLY and OFF through trimesh. What the file announces must arrive, no more and no less.

The library answers some damaged files with an empty or a shorter mesh; so its vertices and faces are
counted against the file's own text or header. Faces with more than three corners are split, and it is said.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.errors import MeshError
from corelib.mesh.raw import RawMesh, ReadLimits

_RELATIVE = re.compile(rb"^[ \t]*f[^#\r\n]*[ \t]-\d", re.MULTILINE)
"""OBJ indices that count back from the last vertex; trimesh counts them from the end of the file."""


@dataclass(frozen=True)
class Announced:
    """What a file says that it holds; `triangles` is None where polygons can't be counted before reading."""

    vertices: int
    faces: int
    triangles: int | None


def read_plain(path: Path, format_name: str, limits: ReadLimits) -> RawMesh:
    """Return the triangles of an OBJ, PLY or OFF file. Raises MeshError."""
    content = path.read_bytes()
    announced = _ANNOUNCED[format_name](content)
    if announced is None:
        reason = "its header is damaged"
        raise MeshError("mesh.not_readable", file=path.name, format=format_name, reason=reason)
    if announced.faces == 0 or announced.vertices == 0:
        raise MeshError("mesh.no_triangles", file=path.name, format=format_name)
    most = max(announced.faces, announced.triangles or 0, announced.vertices // 3)
    if most > limits.triangles:
        raise MeshError("mesh.too_many_triangles", file=path.name, found=most, most=limits.triangles)
    if format_name == "OBJ" and _RELATIVE.search(content):
        raise MeshError("mesh.relative_indices", file=path.name)
    vertices, faces = _loaded(path, format_name, content)
    _check_arrived(path, announced, vertices, faces)
    split = len(faces) - announced.faces
    remarks = (("mesh.polygons_split", {"split": split}),) if split > 0 else ()
    return RawMesh(format_name, corners=vertices[faces], remarks=remarks)


def _loaded(path: Path, format_name: str, content: bytes) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    from trimesh.geometry import triangulate_quads

    try:
        loaded = _LOADERS[format_name](content)
        parts = list(loaded["geometry"].values()) if "geometry" in loaded else [loaded]
        vertices = [np.asarray(part["vertices"], dtype=np.float64).reshape(-1, 3) for part in parts]
        faces = [np.asarray(triangulate_quads(part["faces"]), dtype=np.int64) for part in parts]
    except Exception as error:  # trimesh raises ten kinds on a bad file
        reason = f"{type(error).__name__}: {error}"[:200]
        raise MeshError("mesh.not_readable", file=path.name, format=format_name, reason=reason) from error
    for points, corners in zip(vertices, faces, strict=True):
        if len(corners) and (corners.min() < 0 or corners.max() >= len(points)):
            raise MeshError("mesh.index_out_of_range", file=path.name)
    starts = np.cumsum([0] + [len(points) for points in vertices[:-1]])
    shifted = [corners + start for corners, start in zip(faces, starts, strict=True)]
    return np.concatenate(vertices), np.concatenate(shifted)


def _check_arrived(
    path: Path, announced: Announced, vertices: NDArray[np.float64], faces: NDArray[np.int64]
) -> None:
    short = len(faces) < announced.faces
    if announced.triangles is not None:
        short = len(faces) != announced.triangles
    if short or len(vertices) == 0:
        stated = announced.triangles or announced.faces
        raise MeshError("mesh.truncated", file=path.name, stated=stated, held=len(faces))


def _load_obj(content: bytes) -> dict[str, Any]:
    from trimesh.exchange.obj import load_obj

    return load_obj(io.BytesIO(content), skip_materials=True, maintain_order=True)


def _load_ply(content: bytes) -> dict[str, Any]:
    from trimesh.exchange.ply import load_ply

    return load_ply(io.BytesIO(content), fix_texture=False, skip_materials=True)


def _load_off(content: bytes) -> dict[str, Any]:
    from trimesh.exchange.off import load_off

    return load_off(io.BytesIO(content))


_LOADERS: dict[str, Callable[[bytes], dict[str, Any]]] = {
    "OBJ": _load_obj,
    "PLY": _load_ply,
    "OFF": _load_off,
}


def _announced_obj(content: bytes) -> Announced | None:
    joined = content.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ")
    corners = [len(line.split()) for line in re.findall(rb"^[ \t]*f[ \t]+([^#\r\n]*)", joined, re.MULTILINE)]
    vertices = len(re.findall(rb"^[ \t]*v[ \t]", joined, re.MULTILINE))
    if any(count < 3 for count in corners):
        return None
    return Announced(vertices, len(corners), sum(count - 2 for count in corners))


def _announced_ply(content: bytes) -> Announced | None:
    head, mark, _ = content[:65536].partition(b"end_header")
    counts = dict(re.findall(rb"^element[ \t]+(\w+)[ \t]+(\d{1,12})[ \t]*\r?$", head, re.MULTILINE))
    if not head.startswith(b"ply") or not mark or b"vertex" not in counts:
        return None
    return Announced(int(counts[b"vertex"]), int(counts.get(b"face", b"0")), None)


def _announced_off(content: bytes) -> Announced | None:
    text = re.sub(rb"#[^\n]*", b"", content[:65536]).split(maxsplit=4)
    if len(text) < 4 or text[0].upper() != b"OFF" or not all(word.isdigit() for word in text[1:3]):
        return None
    return Announced(int(text[1][:12]), int(text[2][:12]), None)


_ANNOUNCED: dict[str, Callable[[bytes], Announced | None]] = {
    "OBJ": _announced_obj,
    "PLY": _announced_ply,
    "OFF": _announced_off,
}
