"""Kernels that turn directed outline edges into rows of pixels: crossings by row, sorted runs, packed bits.

A row is a line across the outlines at its pixels' centres; a pixel is on if its centre is inside. Crossings
carry a direction, and a run is where the winding number is above 0 (positive fill): overlapping bodies are
filled once, holes stay empty, an inverted body is empty. Which rows an edge crosses is decided by a whole
number for each end, half-open, so that edges that share an end never both cross or both miss a row.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel

Series = NDArray[np.float64]
Longs = NDArray[np.int64]
Ints = NDArray[np.int32]
Bits = NDArray[np.uint8]

_EDGES = "Array(float64, 2, 'C', True)"
_POINTS = "Array(float64, 2, 'C', True)"
_LONGS = "Array(int64, 1, 'C', True)"


@kernel(f"float64[:, ::1]({_POINTS}, {_LONGS})")
def ring_edges(points_mm: Series, ring_starts: Longs) -> Series:
    """Return the directed edges (x, y to x, y) of closed rings, in the rings' order."""
    edges = np.empty((points_mm.shape[0], 4))
    for r in range(ring_starts.shape[0] - 1):
        first, end = ring_starts[r], ring_starts[r + 1]
        for i in range(first, end):
            j = i + 1 if i + 1 < end else first
            edges[i, 0], edges[i, 1] = points_mm[i, 0], points_mm[i, 1]
            edges[i, 2], edges[i, 3] = points_mm[j, 0], points_mm[j, 1]
    return edges


@kernel("int64(float64, float64, int64)")
def centres_below(place_mm: float, a_mm: float, most: int) -> int:
    """Return how many pixel centres lie below a place, at least 0, at most `most`; `a_mm` is 1/pitch."""
    count = math.ceil(place_mm * a_mm - 0.5)
    if count < 0:
        return 0
    return most if count > most else count


@kernel(f"void({_EDGES}, int64, int64, float64, float64, boolean, float64, int64[::1])")
def count_crossings(
    edges_mm: Series,
    first: int,
    end: int,
    along_mm: float,
    across_mm: float,
    swapped: bool,
    pitch_mm: float,
    counts: Longs,
) -> None:
    """Add to `counts` (rows + 1) where the crossings of each row start and stop, as differences.

    `along_mm` and `across_mm` shift the edges; rows lie across y, or across x if `swapped`.
    """
    rows, a_mm = counts.shape[0] - 1, 1.0 / pitch_mm
    axis = 0 if swapped else 1
    for i in range(first, end):
        a = centres_below(edges_mm[i, axis] + across_mm, a_mm, rows)
        b = centres_below(edges_mm[i, 2 + axis] + across_mm, a_mm, rows)
        if a != b:
            counts[min(a, b)] += 1
            counts[max(a, b)] -= 1


@kernel("int64(int64[::1])")
def starts_of_rows(counts: Longs) -> int:
    """Turn the differences of `count_crossings` into each row's first place; return the whole number."""
    total = crossing = 0
    for r in range(counts.shape[0]):
        crossing += counts[r]
        counts[r] = total
        total += crossing
    return total


@kernel(
    f"void({_EDGES}, int64, int64, float64, float64, boolean, float64, float64, int64, int64, "
    "int64[::1], int32[::1])"
)
def place_crossings(
    edges_mm: Series,
    first: int,
    end: int,
    along_mm: float,
    across_mm: float,
    swapped: bool,
    pitch_along_mm: float,
    pitch_across_mm: float,
    columns: int,
    rows: int,
    filled: Longs,
    codes: Ints,
) -> None:
    """Write each crossing as 2·column, plus 1 if the body begins there, at the next place of its row."""
    u, v = (1, 0) if swapped else (0, 1)
    columns_a_mm, rows_a_mm = 1.0 / pitch_along_mm, 1.0 / pitch_across_mm
    for i in range(first, end):
        v0, v1 = edges_mm[i, v] + across_mm, edges_mm[i, 2 + v] + across_mm
        a, b = centres_below(v0, rows_a_mm, rows), centres_below(v1, rows_a_mm, rows)
        if a == b:
            continue
        u0, u1 = edges_mm[i, u] + along_mm, edges_mm[i, 2 + u] + along_mm
        begins = (a > b) != swapped
        if a > b:
            a, b, u0, u1, v0, v1 = b, a, u1, u0, v1, v0
        slope = (u1 - u0) / (v1 - v0)
        low, high = min(u0, u1), max(u0, u1)
        for r in range(a, b):
            place_mm = min(max(u0 + slope * ((r + 0.5) * pitch_across_mm - v0), low), high)
            codes[filled[r]] = 2 * centres_below(place_mm, columns_a_mm, columns) + begins
            filled[r] += 1


@kernel("void(uint8[::1], int64, int64)")
def set_run(row: Bits, start: int, end: int) -> None:
    """Set the bits from `start` to before `end`, highest bit of a byte first."""
    first, last = start >> 3, end >> 3
    head, tail = 0xFF >> (start & 7), 0xFF & ~(0xFF >> (end & 7))
    if first == last:
        row[first] |= head & tail
        return
    row[first] |= head
    for byte in range(first + 1, last):
        row[byte] = 0xFF
    if tail:
        row[last] |= tail


@kernel("void(int32[::1], int64, int64)")
def sort_row(codes: Ints, first: int, end: int) -> None:
    """Sort a row's crossings: by insertion, as they come nearly sorted; those that do not, by halves."""
    moves = 16 * (end - first) + 64
    for i in range(first + 1, end):
        code = codes[i]
        j = i - 1
        while j >= first and codes[j] > code:
            codes[j + 1] = codes[j]
            j -= 1
        codes[j + 1] = code
        moves -= i - j
        if moves < 0:
            codes[first:end].sort()
            return


@kernel("UniTuple(int64, 2)(int64[::1], int32[::1], uint8[:, ::1], int32[::1], int32[:, ::1])")
def fill_rows(ends: Longs, codes: Ints, bits: Bits, drops: Ints, reach: Ints) -> Any:
    """Fill the runs of each row; return the pixels covered more than once, and with negative winding.

    `ends` is where each row's crossings end (as `place_crossings` leaves it). Writes into `bits` (may have no
    rows: then only counts), the pixels of each row into `drops`, first column and column after the last
    into `reach` (columns and 0 where the row is empty).
    """
    rows = drops.shape[0]
    over = negative = 0
    first = 0
    for r in range(rows):
        end = ends[r]
        drops[r] = 0
        reach[r, 0], reach[r, 1] = 2**31 - 1, 0
        if end > first:
            sort_row(codes, first, end)
            winding = begun = before = count = 0
            for i in range(first, end):
                column = codes[i] >> 1
                if winding > 1:
                    over += column - before
                elif winding < 0:
                    negative += column - before
                before = column
                if codes[i] & 1:
                    winding += 1
                    if winding == 1:
                        begun = column
                else:
                    winding -= 1
                    if winding == 0 and column > begun:
                        count += column - begun
                        reach[r, 0] = min(reach[r, 0], begun)
                        reach[r, 1] = column
                        if bits.shape[0]:
                            set_run(bits[r], begun, column)
            drops[r] = count
        first = end
    return over, negative
