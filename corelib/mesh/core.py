"""A core as loaded: its mesh in mm, what was measured on it, and what was found."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from corelib.findings import Finding
from corelib.job.models import CoreItem, LengthUnit

Vertices = NDArray[np.float64]
Faces = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class CoreMesh:
    """A triangle mesh: `vertices_mm` (n, 3) float64 and `faces` (m, 3) int32, both read-only."""

    vertices_mm: Vertices
    faces: Faces

    def __post_init__(self) -> None:
        vertices = np.ascontiguousarray(self.vertices_mm, dtype=np.float64) + 0.0  # no negative zeros
        faces = np.ascontiguousarray(self.faces, dtype=np.int32)
        vertices.flags.writeable = False
        faces.flags.writeable = False
        object.__setattr__(self, "vertices_mm", vertices)
        object.__setattr__(self, "faces", faces)

    @cached_property
    def content_sha256(self) -> str:
        """Hash of vertices and faces: the mesh's identity in every cache."""
        digest = hashlib.sha256(self.vertices_mm.tobytes())
        digest.update(self.faces.tobytes())
        return digest.hexdigest()

    @cached_property
    def low_mm(self) -> Vertices:
        """Lowest x, y, z of the used vertices."""
        corner: Vertices = self.vertices_mm[self.faces.ravel()].min(axis=0)
        return corner

    @cached_property
    def high_mm(self) -> Vertices:
        """Highest x, y, z of the used vertices."""
        corner: Vertices = self.vertices_mm[self.faces.ravel()].max(axis=0)
        return corner

    @property
    def size_mm(self) -> Vertices:
        """Extent along x, y, z."""
        return self.high_mm - self.low_mm


@dataclass(frozen=True, eq=False)
class LoadedCore:
    """A core item with its mesh and what was measured on it.

    `volume_mm3` and `area_mm2` are the mesh's, by its own orientation. `solid_share` is 1 for a mesh; a
    block's mesh is its outer box and `solid_share` the part of it that is core.
    """

    item: CoreItem
    mesh: CoreMesh
    volume_mm3: float
    area_mm2: float
    bodies: int
    unit: LengthUnit
    file_sha256: str | None
    solid_share: float
    findings: tuple[Finding, ...]

    @property
    def passages(self) -> int:
        """Through passages of the core: the handles of its closed surfaces, by Euler's formula."""
        faces = self.mesh.faces
        used = np.count_nonzero(np.bincount(faces.ravel()))
        euler = int(used) - len(faces) // 2  # V − E + F, with E = 3/2 F in a closed mesh
        return max(0, self.bodies - euler // 2)

    @property
    def core_volume_mm3(self) -> float:
        """Solid volume of the core: the basis of its mass."""
        return self.volume_mm3 * self.solid_share
