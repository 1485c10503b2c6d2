"""The outlines of one layer, as read from the child that draws them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainterPath

from corelib.child import Answer


@dataclass(frozen=True, eq=False)
class Outlines:
    """Closed outlines of one layer: points (n, 2) in mm, the first point of each, and its core's id."""

    points_mm: NDArray[np.float64]
    starts: NDArray[np.int64]
    cores: tuple[str, ...]

    def loops(self) -> dict[str, list[NDArray[np.float64]]]:
        """Return the closed outlines of each core, each as points (n, 2) in mm."""
        found: dict[str, list[NDArray[np.float64]]] = {}
        if not self.cores:
            return found
        ends = np.append(self.starts[1:], len(self.points_mm))
        for owner, start, end in zip(self.cores, self.starts, ends, strict=True):
            if end - start > 2:
                found.setdefault(owner, []).append(self.points_mm[start:end])
        return found

    def path(self, core: str) -> QPainterPath:
        """Return the outlines of one core as a path; what lies inside two of them is a hole."""
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill)
        ends = np.append(self.starts[1:], len(self.points_mm))
        for owner, start, end in zip(self.cores, self.starts, ends, strict=True):
            if owner == core and end - start > 1:
                loop = np.append(self.points_mm[start:end], self.points_mm[start : start + 1], axis=0)
                path.addPath(pg.arrayToQPath(loop[:, 0], loop[:, 1]))
        return path


def read_outlines(answer: Answer) -> Outlines:
    """Return the outlines that an answer names."""
    return Outlines(np.load(answer["points"]), np.load(answer["starts"]), tuple(answer["cores"]))
