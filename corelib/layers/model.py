"""Placed cores and the layers of a box: the types that later steps read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.allowance.body import PrintedBody
from corelib.job.models import Placement

Series = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class PlacedBody:
    """A printed body at its place in a box."""

    placement: Placement
    body: PrintedBody


@dataclass(frozen=True, eq=False)
class BoxLayers:
    """All layers of one box, from the first base layer to the last cover layer; arrays of one length n.

    `z_mm` is a layer's bottom above the box floor; areas are taken at mid-layer. `printed_area_mm2` gets
    binder (compensated outline), `nominal_area_mm2` is the meshes' own, `area_error_mm2` bounds what the
    printed area may be off by. `extent_mm` (n, 4) is the rectangle that holds the layer's printed area:
    low x, low y, high x, high y; NaN where nothing is printed.
    """

    box: int
    thickness_mm: float
    base_layers: int
    cover_layers: int
    z_mm: Series
    printed_area_mm2: Series
    nominal_area_mm2: Series
    area_error_mm2: Series
    boundary_mm: Series
    extent_mm: Series

    @property
    def count(self) -> int:
        """Number of layers, base and cover layers included."""
        return len(self.z_mm)

    @property
    def height_mm(self) -> float:
        """Height of the filled bed."""
        return self.count * self.thickness_mm

    @property
    def printed_volume_mm3(self) -> float:
        """Volume that gets binder: layer thickness times the sum of the printed areas."""
        return self.thickness_mm * float(self.printed_area_mm2.sum())
