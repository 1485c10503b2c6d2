"""Meshes for tests: shapes with known volume, sound and broken, and their binary STL bytes."""

from __future__ import annotations

import struct
import zipfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from corelib.mesh.load import box_mesh

Corners = NDArray[np.float64]


def box_corners(
    size_mm: tuple[float, float, float], at_mm: tuple[float, float, float] = (0, 0, 0)
) -> Corners:
    """Return the loose triangles (12, 3, 3) of a closed box."""
    mesh = box_mesh(size_mm)
    return mesh.vertices_mm[mesh.faces] + np.array(at_mm, dtype=float)


def turned(corners: Corners) -> Corners:
    """Return the triangles with their other side out."""
    return corners[:, ::-1]


def stl_bytes(
    corners: Corners, *, header: bytes = b"made for a test", count: int | None = None, tail: bytes = b""
) -> bytes:
    """Return binary STL: normals 0, the count as stated or right."""
    records = np.zeros(
        len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")]
    )
    records["corners"] = corners
    stated = len(corners) if count is None else count
    return header.ljust(80, b"\0") + struct.pack("<I", stated) + records.tobytes() + tail


def ascii_stl(corners: Corners, name: str = "core") -> str:
    """Return ASCII STL."""
    facets = []
    for triangle in corners:
        points = "".join(f"   vertex {x:.9g} {y:.9g} {z:.9g}\n" for x, y, z in triangle)
        facets.append(f" facet normal 0 0 0\n  outer loop\n{points}  endloop\n endfacet\n")
    return f"solid {name}\n{''.join(facets)}endsolid {name}\n"


CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)


def mesh_xml(corners: Corners) -> str:
    """Return a 3MF mesh element."""
    from corelib.mesh.topology import weld

    vertices, faces = weld(corners)
    points = "".join(f'<vertex x="{x:.9g}" y="{y:.9g}" z="{z:.9g}"/>' for x, y, z in vertices)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces)
    return f"<mesh><vertices>{points}</vertices><triangles>{triangles}</triangles></mesh>"


def model_xml(resources: str, items: str, unit: str = "millimeter", head: str = "") -> str:
    """Return a 3MF model document."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{head}'
        f'<model unit="{unit}" xml:lang="en-US" '
        'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
        f"<resources>{resources}</resources><build>{items}</build></model>"
    )


def write_3mf(path: Path, model: str | bytes, more: dict[str, str | bytes] | None = None) -> Path:
    """Write a 3MF archive with this model document and further parts."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", CONTENT_TYPES)
        archive.writestr("_rels/.rels", RELATIONS)
        archive.writestr("3D/3dmodel.model", model)
        for name, content in (more or {}).items():
            archive.writestr(name, content)
    return path
