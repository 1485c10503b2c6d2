"""Mesh files to raw triangles. Runs in the guarded parser child; imports a format's library when needed.

The one door to trimesh and lib3mf, with `readers_3mf`. A reader answers with arrays, the file's own unit
if its format has one, and remarks on what was odd; it judges nothing about the shape.
"""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.errors import FileError, MeshError
from corelib.mesh.raw import MIB, RawMesh, ReadLimits

_STL_HEADER_BYTES = 84
_STL_RECORD_BYTES = 50
_STL_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


FORMATS: dict[str, str] = {
    ".stl": "STL",
    ".3mf": "3MF",
    ".obj": "OBJ",
    ".ply": "PLY",
    ".off": "OFF",
    ".step": "STEP",
    ".stp": "STEP",
}
"""File name endings that can be read, and the format's name."""


CHORD_MM = 0.03
"""How far a STEP file's facets may lie off its surface where no layer thickness says otherwise."""


def read_raw(path: Path, limits: ReadLimits, chord_mm: float = CHORD_MM) -> RawMesh:
    """Return what a mesh file holds. Raises MeshError or FileError with the file's name.

    `chord_mm` is the tessellation tolerance of STEP; the other formats hold triangles.
    """
    name = path.name
    format_name = FORMATS.get(path.suffix.lower())
    if format_name is None:
        raise MeshError("mesh.unknown_format", file=name, known=sorted(FORMATS))
    try:
        size = path.stat().st_size
    except OSError as error:
        raise FileError("file.missing", path=str(path)) from error
    if size == 0:
        raise MeshError("mesh.file_empty", file=name)
    if size > limits.file_mb * MIB:
        raise MeshError("mesh.file_too_large", file=name, found_mb=size // MIB, most_mb=limits.file_mb)
    _refuse_other_content(path, format_name)
    if format_name == "3MF":
        from corelib.mesh.readers_3mf import read_3mf

        return read_3mf(path, limits)
    if format_name == "STEP":
        from corelib.mesh.readers_step import read_step

        return read_step(path, limits, chord_mm)
    if format_name == "STL":
        return _read_stl(path, size, limits)
    from corelib.mesh.readers_plain import read_plain

    return read_plain(path, format_name, limits)


def _refuse_other_content(path: Path, format_name: str) -> None:
    """Raise MeshError if the first bytes belong to another kind of file than the name's ending says."""
    with path.open("rb") as stream:
        head = stream.read(512)
    if format_name == "STEP" and not head.lstrip().startswith(b"ISO-10303-21;"):
        raise MeshError("mesh.wrong_format", file=path.name, format=format_name, found="no STEP data")
    is_zip = head.startswith(b"PK\x03\x04")
    if is_zip != (format_name == "3MF"):
        found = "a zip archive" if is_zip else "no zip archive"
        raise MeshError("mesh.wrong_format", file=path.name, format=format_name, found=found)
    for magic, found in _MAGICS:
        if head.startswith(magic) and not found.endswith(f"{format_name} file"):
            raise MeshError("mesh.wrong_format", file=path.name, format=format_name, found=found)


_MAGICS = (
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a PNG image"),
    (b"\xff\xd8\xff", "a JPEG image"),
    (b"GIF8", "a GIF image"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"<!DOCTYPE", "a web page"),
    (b"<html", "a web page"),
    (b"<?xml", "an XML document"),
    (b"ISO-10303-21;", "a STEP file"),
    (b"ply\n", "a PLY file"),
    (b"ply\r\n", "a PLY file"),
    (b"OFF\n", "an OFF file"),
)


def _read_stl(path: Path, size: int, limits: ReadLimits) -> RawMesh:
    with path.open("rb") as stream:
        head = stream.read(1024)
    stated = int.from_bytes(head[80:84], "little") if size >= _STL_HEADER_BYTES else 0
    if stated > 0 and size >= _STL_HEADER_BYTES + _STL_RECORD_BYTES * stated:
        return _read_binary_stl(path, size, stated, limits)
    if head.lstrip()[:5].lower() == b"solid" and b"\0" not in head:
        return _read_ascii_stl(path, limits)
    return _read_binary_stl(path, size, stated, limits)


def _read_binary_stl(path: Path, size: int, stated: int, limits: ReadLimits) -> RawMesh:
    """Read binary STL: the stated count if the bytes suffice, else what whole records there are."""
    name = path.name
    held, rest = divmod(size - _STL_HEADER_BYTES, _STL_RECORD_BYTES)
    if size < _STL_HEADER_BYTES + _STL_RECORD_BYTES:
        raise MeshError("mesh.no_triangles", file=name, format="STL")
    if held < stated and rest:
        raise MeshError("mesh.truncated", file=name, stated=stated, held=held)
    remarks: list[tuple[str, dict[str, Any]]] = []
    count = stated
    if stated != held and (rest == 0 or stated == 0):
        count = held
        remarks.append(("mesh.count_broken", {"stated": stated, "held": held}))
    trailing = size - _STL_HEADER_BYTES - _STL_RECORD_BYTES * count
    if trailing:
        remarks.append(("mesh.trailing_bytes", {"trailing": trailing}))
    if count > limits.triangles:
        raise MeshError("mesh.too_many_triangles", file=name, found=count, most=limits.triangles)
    records = np.fromfile(path, dtype=_STL_RECORD, count=count, offset=_STL_HEADER_BYTES)
    corners = np.ascontiguousarray(records["corners"], dtype=np.float32)
    return RawMesh("STL", corners=corners, remarks=tuple(remarks))


def _read_ascii_stl(path: Path, limits: ReadLimits) -> RawMesh:
    """Read ASCII STL through trimesh; every facet of the text must arrive."""
    text = path.read_bytes()
    facets = len(re.findall(rb"\bendfacet\b", text, re.IGNORECASE))
    opened = len(re.findall(rb"^\s*facet\b", text, re.IGNORECASE | re.MULTILINE))
    if opened == 0:
        raise MeshError("mesh.no_triangles", file=path.name, format="STL")
    if max(facets, opened) > limits.triangles:
        raise MeshError("mesh.too_many_triangles", file=path.name, found=opened, most=limits.triangles)
    if facets != opened:
        raise MeshError("mesh.truncated", file=path.name, stated=opened, held=facets)
    vertices = re.findall(rb"^\s*vertex\b", text, re.IGNORECASE | re.MULTILINE)
    if len(vertices) != 3 * opened:
        raise MeshError("mesh.not_triangles", file=path.name, facets=opened, vertices=len(vertices))
    remarks: tuple[tuple[str, dict[str, Any]], ...] = ()
    if not re.search(rb"\bendsolid\b", text[-4096:], re.IGNORECASE):
        remarks = (("mesh.no_endsolid", {}),)
        text += b"\nendsolid\n"  # trimesh finds no solid without it
    corners = _through_trimesh(path, text, opened)
    return RawMesh("STL", corners=corners, remarks=remarks)


def _through_trimesh(path: Path, text: bytes, expected: int) -> NDArray[np.float64]:
    from trimesh.exchange.stl import load_stl_ascii

    try:
        loaded = load_stl_ascii(io.BytesIO(text))
        solids = loaded.get("geometry")
        parts = list(solids.values()) if solids else [loaded]
        corners = np.concatenate([np.asarray(p["vertices"])[np.asarray(p["faces"])] for p in parts])
    except Exception as error:  # trimesh raises ten kinds on a bad file
        reason = f"{type(error).__name__}: {error}"[:200]
        raise MeshError("mesh.not_readable", file=path.name, format="STL", reason=reason) from error
    if len(corners) != expected:
        raise MeshError("mesh.truncated", file=path.name, stated=expected, held=len(corners))
    return np.ascontiguousarray(corners, dtype=np.float64)
