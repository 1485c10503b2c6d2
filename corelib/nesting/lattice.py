"""The lattice that the search works on, and how it writes down where a core is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.int64]
"""Placed cores, one a row: form, x, y, z in lattice steps."""
SHAPE, X, Y, Z = range(4)


@dataclass(frozen=True)
class Lattice:
    """Steps between places along all axes, and how many cells a step has that bodies are cut into."""

    pitch_mm: float
    fineness: int
    stretch: float = 0.0
    """By what share the steps are wider than the cores' sizes call for."""

    @property
    def cell_mm(self) -> float:
        """Edge of a cell."""
        return self.pitch_mm / self.fineness
