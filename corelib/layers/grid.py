"""The pixel grid of a box: pitches along and across the head's travel, and how many pixels lie there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from corelib.errors import InputError

MOST_PIXELS = 2_000_000_000
"""Pixels of one layer's canvas; 250 MB as bits. A 1800 × 1000 mm box at 0.1 mm has 180 million."""


@dataclass(frozen=True)
class PixelGrid:
    """Pixels over the box floor, from its inner front left corner: columns along the travel, rows across."""

    travel_axis: Literal["x", "y"]
    pitch_along_mm: float
    pitch_across_mm: float
    columns: int
    rows: int

    @property
    def swapped(self) -> bool:
        """True if the head travels along y: columns count along y, rows along x."""
        return self.travel_axis == "y"

    @property
    def row_bytes(self) -> int:
        """Bytes of one packed row."""
        return (self.columns + 7) // 8

    @property
    def pixel_mm2(self) -> float:
        """Area of one pixel."""
        return self.pitch_along_mm * self.pitch_across_mm


def pixel_grid(
    travel_axis: Literal["x", "y"],
    pitch_along_mm: float,
    pitch_across_mm: float,
    inner_mm: tuple[float, float, float],
) -> PixelGrid:
    """Return the grid that covers a box; raises InputError if its images would be larger than the limit.

    >>> grid = pixel_grid("x", 0.1, 0.1, (1800.0, 1000.0, 700.0))
    >>> grid.columns, grid.rows
    (18000, 10000)
    """
    along_mm, across_mm = (inner_mm[1], inner_mm[0]) if travel_axis == "y" else inner_mm[:2]
    columns = int(np.ceil(along_mm / pitch_along_mm - 1e-6))
    rows = int(np.ceil(across_mm / pitch_across_mm - 1e-6))
    if columns * rows > MOST_PIXELS:
        raise InputError(
            "layers.image_too_large",
            columns=columns,
            rows=rows,
            megapixels=columns * rows / 1e6,
            most_megapixels=MOST_PIXELS / 1e6,
        )
    return PixelGrid(travel_axis, pitch_along_mm, pitch_across_mm, columns, rows)
