"""How a printed body is cut: turn, phase, thickness, and the layers that stay dry for its bleed."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.allowance.body import PrintedBody
from corelib.layers.sections import sections_key

Series = NDArray[np.float64]


def dry_layers(bleed_z_mm: float, thickness_mm: float) -> int:
    """Return how many layers stay dry over faces that look down: the bleed depth in whole layers, rounded.

    >>> dry_layers(0.2, 0.3), dry_layers(0.1, 0.3), dry_layers(0.5, 0.3)
    (1, 0, 2)
    """
    return int(np.floor(bleed_z_mm / thickness_mm + 0.5))


@dataclass(frozen=True, eq=False)
class CutPose:
    """A printed body as it is cut: its turn, and how far its lowest point lies above a layer's bottom."""

    body: PrintedBody
    rotation: Series
    phase_mm: float
    thickness_mm: float

    @property
    def dry(self) -> int:
        """Layers that stay dry over faces that look down."""
        return dry_layers(self.body.bleed_z_mm, self.thickness_mm)

    @property
    def is_compensated(self) -> bool:
        """True if the printed outlines differ from the mesh's own."""
        return bool(self.body.bleed_xy_mm or self.dry)

    @property
    def key(self) -> str:
        """Name of the content: mesh, turn, phase, thickness, kernels, bleed."""
        cut = sections_key(
            self.body.mesh, self.rotation, phase_mm=self.phase_mm, thickness_mm=self.thickness_mm
        )
        return hashlib.sha256(f"{cut} {self.body.bleed_xy_mm!r} {self.dry}".encode()).hexdigest()
