"""Use case: sink a number into a flat face of a core, as a new mesh file."""

from __future__ import annotations

from pathlib import Path
from typing import cast, get_args

from corelib.errors import FileError, InputError
from corelib.export.core_stl import mesh_stl
from corelib.files import write_atomic
from corelib.job.models import LengthUnit
from corelib.mesh.core import CoreMesh
from corelib.mesh.load import inspect_file
from corelib.mesh.recessed_number import ROWS, NumberFace, with_number

__all__ = ["NumberFace", "number_file"]


def number_file(path: Path, out: Path, signs: str, face: NumberFace, *, unit: str | None = None) -> CoreMesh:
    """Write the core with its number as binary STL in mm and return it; the original stays."""
    if out.exists():
        raise FileError("mesh.out_exists", path=str(out))
    if out.suffix.lower() != ".stl":
        raise InputError("mesh.out_not_stl", path=str(out))
    if unit is not None and unit not in get_args(LengthUnit):
        allowed = ", ".join(get_args(LengthUnit))
        raise InputError("job.value_range", where="--unit", field="unit", value=unit, allowed=allowed)
    inspection, _ = inspect_file(path, cast(LengthUnit | None, unit))
    if inspection.mesh is None or inspection.fatal is not None:
        raise InputError("mesh.no_honest_figures", file=path.name)
    made = with_number(inspection.mesh, signs, face)
    words = f"mm; with number {signs}, strokes {face.height_mm / ROWS:.3g} mm wide"
    write_atomic(out, mesh_stl(made.vertices_mm, made.faces, words))
    return made
