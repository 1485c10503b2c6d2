"""A layer looked at closely, as read from the child that draws it: pixels, strokes, nozzles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.child import Answer

COVERAGE_PIXELS = 8
"""Pixels along each side of a cell of the coarse image; a test holds that the child has the same."""
NEVER, RESTS, DRIES, PRINTS, LATE = range(5)
"""States of nozzles; a test holds that the child has the same."""


@dataclass(frozen=True, eq=False)
class LayerPixels:
    """The image of one layer within its window, with strokes and drops (see `corelib.usecases.looking`)."""

    window: tuple[int, int, int, int]
    bits: NDArray[np.uint8]
    coverage: NDArray[np.uint8]
    strokes: NDArray[np.float64]
    row_nozzle: NDArray[np.int32]
    row_strip: NDArray[np.int32]
    drops: NDArray[np.int64]
    pixels: int
    pitch_along_mm: float
    pitch_across_mm: float
    is_swapped: bool
    """True if the head travels along y: columns count along y, rows along x."""

    def place(self, x_mm: float, y_mm: float) -> tuple[int, int]:
        """Return row and column of the pixel at a place."""
        along, across = (y_mm, x_mm) if self.is_swapped else (x_mm, y_mm)
        return int(np.floor(across / self.pitch_across_mm)), int(np.floor(along / self.pitch_along_mm))

    def is_on(self, row: int, column: int) -> bool:
        """Return True if the pixel gets binder."""
        first, end, left, right = self.window
        if not (first <= row < end and left <= column < right):
            return False
        place = column - left
        return bool(self.bits[row - first, place // 8] & (128 >> place % 8))

    def nozzle(self, row: int) -> int:
        """Return the nozzle that prints a row, -1 where none reaches."""
        return int(self.row_nozzle[row]) if 0 <= row < len(self.row_nozzle) else -1

    def rows_of(self, nozzles: frozenset[int]) -> NDArray[np.int64]:
        """Return the rows of some nozzles."""
        return np.flatnonzero(np.isin(self.row_nozzle, sorted(nozzles)))


@dataclass(frozen=True, eq=False)
class BoxNozzles:
    """What all nozzles do over all layers of a box (see `corelib.usecases.looking`)."""

    state: NDArray[np.uint8]
    idle_s: NDArray[np.float32]
    longest_s: NDArray[np.float64]
    late: NDArray[np.int64]
    printing: NDArray[np.int64]
    strokes: NDArray[np.int64]
    open_time_s: float | None


def read_pixels(answer: Answer) -> LayerPixels:
    """Return the pixels that an answer names."""
    with np.load(answer["pixels"], allow_pickle=False) as arrays:
        along_mm, across_mm, _, _, swapped = arrays["grid"].tolist()
        first, end, left, right = arrays["window"].tolist()
        return LayerPixels(
            (first, end, left, right),
            arrays["bits"],
            arrays["coverage"],
            arrays["strokes"],
            arrays["row_nozzle"],
            arrays["row_strip"],
            arrays["drops"],
            int(arrays["pixels"][0]),
            along_mm,
            across_mm,
            bool(swapped),
        )


def read_nozzles(answer: Answer) -> BoxNozzles:
    """Return the nozzles that an answer names."""
    with np.load(answer["nozzles"], allow_pickle=False) as arrays:
        open_time_s = float(arrays["open_time_s"][0])
        return BoxNozzles(
            arrays["state"],
            arrays["idle_s"],
            arrays["longest_s"],
            arrays["late"],
            arrays["printing"],
            arrays["strokes"],
            None if np.isnan(open_time_s) else open_time_s,
        )
