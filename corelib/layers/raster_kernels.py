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
_FACES = "Array(int32, 2, 'C', True)"
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


@kernel("int64(float64, int64)")
def centres_below(place: float, most: int) -> int:
    """Return how many pixel centres lie below a place: at least 0, at most `most`.

    Places are counted in pixels from the first centre: place × (1/pitch) - ½.
    """
    count = math.ceil(place)
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
        a = centres_below((edges_mm[i, axis] + across_mm) * a_mm - 0.5, rows)
        b = centres_below((edges_mm[i, 2 + axis] + across_mm) * a_mm - 0.5, rows)
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
        v0 = (edges_mm[i, v] + across_mm) * rows_a_mm - 0.5
        v1 = (edges_mm[i, 2 + v] + across_mm) * rows_a_mm - 0.5
        a, b = centres_below(v0, rows), centres_below(v1, rows)
        if a == b:
            continue
        u0 = (edges_mm[i, u] + along_mm) * columns_a_mm - 0.5
        u1 = (edges_mm[i, 2 + u] + along_mm) * columns_a_mm - 0.5
        begins = (a > b) != swapped
        if a > b:
            a, b, u0, u1, v0, v1 = b, a, u1, u0, v1, v0
        slope = (u1 - u0) / (v1 - v0)
        low, high = min(u0, u1), max(u0, u1)
        for r in range(a, b):
            place = min(max(u0 + slope * (r - v0), low), high)
            codes[filled[r]] = 2 * centres_below(place, columns) + begins
            filled[r] += 1


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
def fill_rows(  # noqa: C901 - one pass over the crossings: split in two it took a fifth longer
    ends: Longs, codes: Ints, bits: Bits, drops: Ints, reach: Ints
) -> Any:
    """Fill the runs of each row; return the pixels covered more than once, and with negative winding.

    `ends` is where each row's crossings end (as `place_crossings` leaves it). Writes into `bits`, highest bit
    of a byte first (may have no rows: then only counts), the pixels of each row into `drops`, first column
    and column after the last into `reach` (columns and 0 where the row is empty).
    """
    rows, row_bytes, draws = drops.shape[0], bits.shape[1], bits.shape[0] > 0
    all_bits = bits.reshape(bits.size)
    over = negative = 0
    first = 0
    for r in range(rows):
        end = ends[r]
        row = all_bits[r * row_bytes : (r + 1) * row_bytes]
        low, high, count = 2**31 - 1, 0, 0
        if end > first:
            sort_row(codes, first, end)
            winding = begun = before = 0
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
                        low, high = min(low, begun), column
                        if draws:  # written here: a call with a view of the row costs more than most runs
                            byte, last = begun >> 3, column >> 3
                            head, tail = 0xFF >> (begun & 7), 0xFF & ~(0xFF >> (column & 7))
                            if byte == last:
                                row[byte] |= head & tail
                            else:
                                row[byte] |= head
                                byte += 1
                                while byte < last:
                                    row[byte] = 0xFF
                                    byte += 1
                                if tail:
                                    row[last] |= tail
        drops[r], reach[r, 0], reach[r, 1] = count, low, high
        first = end
    return over, negative


@kernel("UniTuple(int64, 2)(int64[::1], int32[::1])")
def wrong_windings(ends: Longs, codes: Ints) -> Any:
    """Return the pixels with a winding number above 1, and below 0, from the crossings of each row."""
    over = negative = first = 0
    for r in range(ends.shape[0] - 1):
        end = ends[r]
        sort_row(codes, first, end)
        winding = before = 0
        for i in range(first, end):
            column = codes[i] >> 1
            if winding > 1:
                over += column - before
            elif winding < 0:
                negative += column - before
            before = column
            winding += 1 if codes[i] & 1 else -1
        first = end
    return over, negative


@kernel(
    f"void({_POINTS}, {_LONGS}, {_LONGS}, {_POINTS}, Array(float64, 1, 'C', True), float64, int64[::1], "
    "int64[::1])"
)
def census(
    points_mm: Series,
    ring_starts: Longs,
    layer_rings: Longs,
    bounds_mm: Series,
    area_mm2: Series,
    pitch_mm: float,
    over: Longs,
    negative: Longs,
) -> None:
    """Write for each layer how many points of a grid are covered twice or more, and how many inside out.

    A layer of one ring that runs the right way round is passed over.
    """
    a_mm = 1.0 / pitch_mm
    most = 0
    for layer in range(layer_rings.shape[0] - 1):
        most = max(most, ring_starts[layer_rings[layer + 1]] - ring_starts[layer_rings[layer]])
    row_of = np.empty(most, dtype=np.int32)
    for layer in range(layer_rings.shape[0] - 1):
        first, end = layer_rings[layer], layer_rings[layer + 1]
        over[layer] = negative[layer] = 0
        if first == end or (end - first == 1 and area_mm2[first] > 0.0):
            continue
        low_x, low_y = bounds_mm[first:end, 0].min(), bounds_mm[first:end, 1].min()
        rows = int((bounds_mm[first:end, 3].max() - low_y) * a_mm) + 1
        columns = int((bounds_mm[first:end, 2].max() - low_x) * a_mm) + 1
        start, stop = ring_starts[first], ring_starts[end]
        for i in range(start, stop):
            row_of[i - start] = centres_below((points_mm[i, 1] - low_y) * a_mm - 0.5, rows)
        counts = np.zeros(rows + 1, dtype=np.int64)
        for ring in range(first, end):
            b = row_of[ring_starts[ring + 1] - 1 - start]
            for i in range(ring_starts[ring], ring_starts[ring + 1]):
                a, b = b, row_of[i - start]
                if a != b:
                    counts[min(a, b)] += 1
                    counts[max(a, b)] -= 1
        codes = np.empty(starts_of_rows(counts), dtype=np.int32)
        for ring in range(first, end):
            j = ring_starts[ring + 1] - 1
            for i in range(ring_starts[ring], ring_starts[ring + 1]):
                a, b = row_of[j - start], row_of[i - start]
                if a != b:
                    vj = points_mm[j, 1] - low_y
                    uj = points_mm[j, 0] - low_x
                    slope = (points_mm[i, 0] - points_mm[j, 0]) / (points_mm[i, 1] - points_mm[j, 1])
                    begins = 1 if a > b else 0
                    for r in range(min(a, b), max(a, b)):
                        place = uj + slope * ((r + 0.5) * pitch_mm - vj)
                        codes[counts[r]] = 2 * centres_below(place * a_mm - 0.5, columns) + begins
                        counts[r] += 1
                j = i
        over[layer], negative[layer] = wrong_windings(counts, codes)


@kernel(
    f"void({_POINTS}, {_FACES}, float64, float64, int64, float64, float64, boolean, float64, float64, int64, "
    "int32[:, ::1])"
)
def count_row_pixels(
    placed_mm: Series,
    faces: Ints,
    first_mm: float,
    step_mm: float,
    first: int,
    along_mm: float,
    across_mm: float,
    swapped: bool,
    pitch_along_mm: float,
    pitch_across_mm: float,
    columns: int,
    counts: NDArray[np.int32],
) -> None:
    """Add to `counts` (planes, rows) the pixels of each row of each plane, straight from triangles.

    A row's pixels are the sum of the columns where the body ends less those where it begins, in any order.
    Column 3 of `placed_mm` holds the number of planes below each vertex.
    """
    planes, rows = counts.shape
    u, v = (1, 0) if swapped else (0, 1)
    columns_a_mm, rows_a_mm = 1.0 / pitch_along_mm, 1.0 / pitch_across_mm
    for t in range(faces.shape[0]):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        ka, kb, kc = int(placed_mm[a, 3]), int(placed_mm[b, 3]), int(placed_mm[c, 3])
        if ka == kb == kc:
            continue
        turned = swapped  # each swap of two corners turns the face round
        if ka > kb:
            a, b, ka, kb, turned = b, a, kb, ka, not turned
        if kb > kc:
            b, c, kb, kc, turned = c, b, kc, kb, not turned
            if ka > kb:
                a, b, ka, kb, turned = b, a, kb, ka, not turned
        za, zc = placed_mm[a, 2], placed_mm[c, 2]
        ua, va = placed_mm[a, u], placed_mm[a, v]
        uc, vc = placed_mm[c, u] - ua, placed_mm[c, v] - va
        for k in range(max(ka, first), min(kc, first + planes)):
            plane_mm = first_mm + k * step_mm
            share = min(max((plane_mm - za) / (zc - za), 0.0), 1.0)
            u0 = (ua + share * uc + along_mm) * columns_a_mm - 0.5
            v0 = (va + share * vc + across_mm) * rows_a_mm - 0.5
            low, top = (a, b) if k < kb else (b, c)
            z = placed_mm[low, 2]
            share = min(max((plane_mm - z) / (placed_mm[top, 2] - z), 0.0), 1.0)
            at_u = placed_mm[low, u] + share * (placed_mm[top, u] - placed_mm[low, u])
            at_v = placed_mm[low, v] + share * (placed_mm[top, v] - placed_mm[low, v])
            u1 = (at_u + along_mm) * columns_a_mm - 0.5
            v1 = (at_v + across_mm) * rows_a_mm - 0.5
            r0, r1 = centres_below(v0, rows), centres_below(v1, rows)
            if r0 == r1:
                continue
            sign = np.int32(1 if (r0 > r1) == turned else -1)
            if r0 > r1:
                r0, r1, u0, u1, v0, v1 = r1, r0, u1, u0, v1, v0
            slope = (u1 - u0) / (v1 - v0)
            left, right = min(u0, u1), max(u0, u1)
            row = counts[k - first]
            for r in range(r0, r1):
                place = min(max(u0 + slope * (r - v0), left), right)
                row[r] += sign * np.int32(centres_below(place, columns))
