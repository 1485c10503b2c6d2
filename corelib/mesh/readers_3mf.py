"""3MF through lib3mf in strict mode, behind the archive guard: all build items, components, transforms.

With `readers`, the one door to lib3mf. Only objects that the build names are read; an object that is
support or of type `other` is no part of the core.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import lib3mf
import numpy as np
from numpy.typing import NDArray

from corelib.errors import MeshError
from corelib.mesh.archive import check_expansion, guarded_parts
from corelib.mesh.raw import RawMesh, ReadLimits

_UNITS = ("micron", "mm", "cm", "inch", "foot", "m")
"""Units in the order of lib3mf's ModelUnit."""

Matrix = NDArray[np.float64]
Pieces = list[tuple[NDArray[np.float64], NDArray[np.int32]]]


def read_3mf(path: Path, limits: ReadLimits) -> RawMesh:
    """Return all build items of a 3MF file as one mesh, in the file's unit. Raises MeshError."""
    parts = guarded_parts(path, limits)
    if not any(part.lower().endswith(".model") for part in parts):
        raise MeshError("mesh.not_readable", file=path.name, format="3MF", reason="no model part")
    check_expansion(path.name, parts, limits)
    del parts
    model = _strict_model(path)
    pieces: Pieces = []
    left_out = _collect(model, pieces)
    if not pieces:
        raise MeshError("mesh.no_triangles", file=path.name, format="3MF")
    remarks: list[tuple[str, dict[str, Any]]] = []
    if left_out:
        remarks.append(("mesh.objects_left_out", {"left_out": left_out}))
    offsets = np.cumsum([0] + [len(vertices) for vertices, _ in pieces[:-1]])
    return RawMesh(
        "3MF",
        vertices=np.concatenate([vertices for vertices, _ in pieces]),
        faces=np.concatenate(
            [faces + np.int32(at) for (_, faces), at in zip(pieces, offsets, strict=True)], dtype=np.int32
        ),
        unit=_UNITS[int(model.GetUnit())],
        remarks=tuple(remarks),
    )


def _strict_model(path: Path) -> Any:
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    try:
        reader.ReadFromFile(str(path))
    except lib3mf.ELib3MFException as error:
        reason = str(error).partition(":")[2].strip() or str(error)
        raise MeshError("mesh.not_readable", file=path.name, format="3MF", reason=reason[:200]) from error
    return model


def _collect(model: Any, pieces: Pieces) -> int:
    """Append the placed meshes of all build items; return how many objects are no part of the core."""
    left_out = 0
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        matrix = _matrix(item.GetObjectTransform()) if item.HasObjectTransform() else np.eye(4)
        left_out += _place(item.GetObjectResource(), matrix, pieces)
    return left_out


def _place(resource: Any, matrix: Matrix, pieces: Pieces) -> int:
    if resource.GetType() not in (lib3mf.ObjectType.Model, lib3mf.ObjectType.SolidSupport):
        return 1
    if resource.IsMeshObject():
        vertices, faces = _mesh(resource)
        if not len(faces):
            return 0
        if np.linalg.det(matrix[:3, :3]) < 0:  # the 3MF core specification keeps the sign of the volume
            faces = faces[:, ::-1]
        pieces.append((vertices @ matrix[:3, :3].T + matrix[:3, 3], faces))
        return 0
    if not resource.IsComponentsObject():
        return 1
    left_out = 0
    for index in range(resource.GetComponentCount()):
        component = resource.GetComponent(index)
        inner = _matrix(component.GetTransform()) if component.HasTransform() else np.eye(4)
        left_out += _place(component.GetObjectResource(), matrix @ inner, pieces)
    return left_out


def _matrix(transform: Any) -> Matrix:
    """Return lib3mf's 4×3 transform (row vectors) as a 4×4 matrix for column vectors."""
    matrix = np.eye(4)
    matrix[:3, :] = np.array([list(row) for row in transform.Fields], dtype=np.float64).T
    return matrix


def _mesh(resource: Any) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    positions, triangles = resource.GetVertices(), resource.GetTriangleIndices()
    if not positions or not triangles:
        return np.empty((0, 3)), np.empty((0, 3), np.int32)
    # the list's items are views into one ctypes array: take that array instead of a million structures
    vertices = np.frombuffer(positions[0]._b_base_, dtype=np.float32).reshape(-1, 3).astype(np.float64)
    faces = np.frombuffer(triangles[0]._b_base_, dtype=np.uint32).reshape(-1, 3)
    return vertices, np.ascontiguousarray(faces, dtype=np.int32)
