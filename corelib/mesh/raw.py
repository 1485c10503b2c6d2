"""What a mesh file holds once read, and what reading may cost before it is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.errors import InputError

MIB = 2**20


@dataclass(frozen=True)
class ReadLimits:
    """What a mesh file may cost before it is refused."""

    file_mb: int = 1024
    triangles: int = 10_000_000
    instances: int = 100_000
    archive_parts: int = 200
    part_mb: int = 512
    expansion: int = 200
    """Bytes unpacked from one packed byte, for parts above 1 MB."""
    memory_mb: int = 6144
    seconds: float = 120.0


def stated_limits(environment: Mapping[str, str]) -> ReadLimits:
    """Return the limits with those that the environment states, as CORESTOW_READ_TRIANGLES=20000000.

    Raises InputError for a name that is no limit or a value that is no positive number.
    """
    known = {f"CORESTOW_READ_{limit.name.upper()}": limit for limit in fields(ReadLimits)}
    stated: dict[str, Any] = {}
    for name in sorted(name for name in environment if name.startswith("CORESTOW_READ_")):
        try:
            limit = known[name]
            value = float(environment[name]) if limit.type == "float" else int(environment[name])
        except (KeyError, ValueError) as error:
            raise InputError("mesh.limit_wrong", name=name, known=sorted(known)) from error
        if not 0 < value < 1e12:
            raise InputError("mesh.limit_wrong", name=name, known=sorted(known))
        stated[limit.name] = value
    return ReadLimits(**stated)


@dataclass(frozen=True, eq=False)
class RawMesh:
    """What a file holds: loose triangles (m, 3, 3) in `corners`, or `vertices` and `faces`."""

    format: str
    corners: NDArray[np.floating] | None = None
    vertices: NDArray[np.float64] | None = None
    faces: NDArray[np.int32] | None = None
    unit: str | None = None
    remarks: tuple[tuple[str, dict[str, Any]], ...] = field(default=())
