"""The head's strokes: which nozzle prints which row, in which strip and pass, and how far."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.errors import InputError
from corelib.layers.grid import PixelGrid
from corelib.layers.raster import LayerPixels

Ints = NDArray[np.int32]
Series = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class HeadLayout:
    """How a head's nozzles cover the rows of a grid: strips side by side from the box's edge, passes in each.

    `interlace` rows lie within one nozzle pitch; pass p of a strip prints the rows p, p + interlace, … of
    it. Where there are more passes than that, each row is shared by `shares` passes, column by column in
    turn. Row arrays are -1 where no nozzle reaches.
    """

    nozzle_count: int
    interlace: int
    shares: int
    strips: int
    row_nozzle: Ints
    row_strip: Ints
    row_pass: Ints

    @property
    def passes(self) -> int:
        """Passes over each strip."""
        return self.interlace * self.shares

    @property
    def rows(self) -> int:
        """Rows of the grid."""
        return len(self.row_nozzle)


def head_layout(
    grid: PixelGrid,
    *,
    nozzle_count: int,
    nozzle_pitch_mm: float,
    overlap_mm: float,
    passes: int,
    shift_rows: int = 0,
) -> HeadLayout:
    """Return the layout; strip 0's first nozzle stands at row `-shift_rows`.

    Neighbouring strips overlap; each takes the overlap up to its middle. Raises InputError where the pitches
    don't fit each other, or the passes don't fill the rows.
    """
    ratio = nozzle_pitch_mm / grid.pitch_across_mm
    interlace = round(ratio)
    if interlace < 1 or abs(ratio - interlace) * nozzle_count > 0.5 or passes % interlace:
        raise InputError(
            "layers.pitch_unfit",
            nozzle_pitch_mm=nozzle_pitch_mm,
            pitch_across_mm=grid.pitch_across_mm,
            passes=passes,
        )
    head_rows = nozzle_count * interlace
    overlap_rows = interlace * round(overlap_mm / nozzle_pitch_mm)
    advance = head_rows - overlap_rows
    if advance <= 0:
        raise InputError(
            "layers.overlap_unfit", overlap_mm=overlap_mm, head_width_mm=nozzle_count * nozzle_pitch_mm
        )
    shifted = np.arange(grid.rows) + shift_rows
    last = max(0, int(np.ceil((grid.rows + shift_rows - head_rows) / advance)))
    strip = np.clip((shifted - overlap_rows // 2) // advance, 0, last)
    within = shifted - strip * advance
    reached = (within >= 0) & (within < head_rows)
    return HeadLayout(
        nozzle_count=nozzle_count,
        interlace=interlace,
        shares=passes // interlace,
        strips=last + 1,
        row_nozzle=np.where(reached, within // interlace, -1).astype(np.int32),
        row_strip=np.where(reached, strip, -1).astype(np.int32),
        row_pass=np.where(reached, within % interlace, -1).astype(np.int32),
    )


@dataclass(frozen=True)
class Stroke:
    """One printing move over the bed: its strip and pass, and its printed extent along the travel."""

    layer: int
    strip: int
    pass_number: int
    low_mm: float
    high_mm: float
    is_forward: bool = True
    """Whether the head prints towards the high end of its travel."""

    @property
    def printed_mm(self) -> float:
        """Length from the first printed pixel to the last."""
        return self.high_mm - self.low_mm


@dataclass(frozen=True)
class StrokeRules:
    """How a machine strokes: whether it skips empty ones, prints both ways, and where a layer begins."""

    skips_empty: bool
    prints_both_ways: bool
    first_from_low: bool


def layer_strokes(
    drawn: LayerPixels, layout: HeadLayout, grid: PixelGrid, rules: StrokeRules
) -> tuple[Stroke, ...]:
    """Return the strokes of a layer, strip by strip and pass by pass; both ways in turn where it prints so.

    A machine that doesn't skip empty strokes runs each over the whole box.
    """
    group = np.where(layout.row_strip >= 0, layout.row_strip * layout.interlace + layout.row_pass, -1)
    low = np.full(layout.strips * layout.interlace, np.iinfo(np.int32).max)
    high = np.zeros(layout.strips * layout.interlace, dtype=np.int64)
    rows = np.flatnonzero((drawn.row_pixels > 0) & (group >= 0))
    np.minimum.at(low, group[rows], drawn.reach[rows, 0])
    np.maximum.at(high, group[rows], drawn.reach[rows, 1])
    strokes: list[Stroke] = []
    for strip in range(layout.strips):
        for number in range(layout.passes):
            place = strip * layout.interlace + number % layout.interlace
            if rules.skips_empty and high[place] == 0:
                continue
            reach = (int(low[place]), int(high[place])) if rules.skips_empty else (0, grid.columns)
            back = rules.prints_both_ways and len(strokes) % 2 == 1
            strokes.append(
                Stroke(
                    drawn.layer,
                    strip,
                    number,
                    reach[0] * grid.pitch_along_mm,
                    reach[1] * grid.pitch_along_mm,
                    rules.first_from_low != back,
                )
            )
    return tuple(strokes)


def nozzle_pixels(row_pixels: Ints, layout: HeadLayout) -> NDArray[np.int64]:
    """Return the pixels that each nozzle prints, all strips and passes together."""
    reached = layout.row_nozzle >= 0
    counted = np.bincount(
        layout.row_nozzle[reached], weights=row_pixels[reached], minlength=layout.nozzle_count
    )
    return counted.astype(np.int64)
