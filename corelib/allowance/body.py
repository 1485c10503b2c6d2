"""The body that is printed: the nominal core with its allowances, in the core file's frame."""

from __future__ import annotations

from dataclasses import dataclass

from corelib.mesh.core import CoreMesh, LoadedCore


@dataclass(frozen=True, eq=False)
class PrintedBody:
    """A core's outline to print: `mesh` is the nominal mesh scaled about the centre of its bounding box.

    `scale_xyz` are the factors along the mesh's axes as laid flat in `-z down`; the sideways draw-in
    `bleed_xy_mm` comes on top, on each outline, and `bleed_z_mm` on faces that look down.
    """

    core: LoadedCore
    mesh: CoreMesh
    scale_xyz: tuple[float, float, float]
    bleed_xy_mm: float
    bleed_z_mm: float

    @property
    def core_id(self) -> str:
        """Id of the core in the job."""
        return self.core.item.id
