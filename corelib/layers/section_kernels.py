"""Kernels of the closed-form sections: area, boundary length and slab volume straight from triangles.

A ray straight up from a point of plane z crosses the surface above it a net one time exactly if the point
is inside. So a section's area is a sum over triangles of their signed projections times the share of the
projection above z; boundary length is likewise a tent over each triangle's heights, and the volume between
two planes the integral of the area. No polygon is made, no vertex is welded, no place in x or y enters.

Which vertices lie above which plane is decided once for each vertex, as a whole number (`planes strictly
below it`), so that all triangles around it agree: flat faces on a plane, planes through vertices and slivers
are right by construction. A layer's plane through a bottom face cuts the body, through a top face does not.

Pieces over many planes go into difference arrays (quadratic for area, linear for length) in
u = (k - n/2)/(n/2), short ones are added plane by plane: cost grows with triangles plus layers.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel

Series = NDArray[np.float64]

ON_PLANE_MM = 1e-6
"""A vertex this near to a plane lies on it: turning a mesh leaves flat faces flat to about 1e-12 mm."""
LONG_SPAN = 16
"""Planes from which a piece goes to the difference arrays (8 costs digits, 32 costs time on tall walls)."""

VERTICES = "Array(float64, 2, 'C', True)"
FACES = "Array(int32, 2, 'C', True)"
MATRIX = "Array(float64, 2, 'C', True)"


@kernel(f"Tuple((float64, float64))({VERTICES}, {FACES}, {MATRIX}, float64[:, ::1])")
def turned(
    vertices_mm: Series, faces: NDArray[np.int32], rotation: Series, out_mm: Series
) -> tuple[float, float]:
    """Write the turned vertices into the first three columns of `out_mm`; return lowest and highest used z.

    Returns NaN if a vertex is not a finite number or a face names a vertex that is not there.
    """
    count = vertices_mm.shape[0]
    sound = 0.0
    for v in range(count):
        x, y, z = vertices_mm[v, 0], vertices_mm[v, 1], vertices_mm[v, 2]
        sound += 0.0 * (x + y + z)
        for row in range(3):
            out_mm[v, row] = rotation[row, 0] * x + rotation[row, 1] * y + rotation[row, 2] * z
    lowest, highest = np.inf, -np.inf
    for t in range(faces.shape[0]):
        for corner in range(3):
            v = faces[t, corner]
            if v < 0 or v >= count:
                return np.nan, np.nan
            lowest = min(lowest, out_mm[v, 2])
            highest = max(highest, out_mm[v, 2])
    return lowest + sound, highest + sound


@kernel("void(float64[:, ::1], float64, float64, int64, int64, float64)")
def number_planes(
    placed_mm: Series, first_mm: float, step_mm: float, least: int, most: int, tolerance_mm: float
) -> None:
    """Write into column 3 how many of the planes `first + k·step` (k from 0) lie strictly below each vertex.

    The number is kept within `least` and `most`. It is found by dividing and then put right by comparing
    with the plane heights themselves, as division alone can be one off.
    """
    for v in range(placed_mm.shape[0]):
        z = placed_mm[v, 2] - tolerance_mm
        k = math.ceil((z - first_mm) / step_mm)
        if k < least:
            k = least
        elif k > most:
            k = most
        while k > least and not first_mm + (k - 1) * step_mm < z:
            k -= 1
        while k < most and first_mm + k * step_mm < z:
            k += 1
        placed_mm[v, 3] = k


@kernel(f"Tuple((float64, float64, float64, int64, int64, int64))({VERTICES}, int64, int64, int64)")
def by_height(placed_mm: Series, a: int, b: int, c: int) -> tuple[float, float, float, int, int, int]:
    """Return the three corners' heights in rising order, and their plane numbers in the same order."""
    za, zb, zc = placed_mm[a, 2], placed_mm[b, 2], placed_mm[c, 2]
    ka, kb, kc = int(placed_mm[a, 3]), int(placed_mm[b, 3]), int(placed_mm[c, 3])
    if za > zb:
        za, zb, ka, kb = zb, za, kb, ka
    if zb > zc:
        zb, zc, kb, kc = zc, zb, kc, kb
        if za > zb:
            za, zb, ka, kb = zb, za, kb, ka
    return za, zb, zc, ka, kb, kc


@kernel("void(float64[:, ::1], int64, int64, float64, float64, float64)")
def spread(steps: Series, first: int, end: int, c0: float, c1: float, c2: float) -> None:
    """Add c0 + c1·u + c2·u² to the elements from `first` to before `end` of a difference array."""
    steps[first, 0] += c0
    steps[end, 0] -= c0
    steps[first, 1] += c1
    steps[end, 1] -= c1
    steps[first, 2] += c2
    steps[end, 2] -= c2


@kernel("void(float64[::1], float64[:, ::1], float64[::1])")
def gather(whole: Series, steps: Series, out: Series) -> None:
    """Add to `out` what lies whole above each element, and the polynomials of the difference array."""
    n = out.shape[0]
    half = 0.5 * n
    above = whole[n]
    for k in range(n - 1, -1, -1):
        out[k] += above
        above += whole[k]
    c0 = c1 = c2 = 0.0
    for k in range(n):
        c0 += steps[k, 0]
        c1 += steps[k, 1]
        c2 += steps[k, 2]
        u = (k - half) / half
        out[k] += c0 + u * (c1 + u * c2)


@kernel("void(int64[::1], float64[::1], float64[::1])")
def clear_uncut(cut: NDArray[np.int64], area_mm2: Series, length_mm: Series) -> None:
    """Set what a plane through no triangle has to exactly 0: sums over many triangles leave 1e-12."""
    triangles = 0
    for k in range(area_mm2.shape[0]):
        triangles += cut[k]
        if triangles == 0:
            area_mm2[k] = 0.0
            length_mm[k] = 0.0


@kernel(f"void({VERTICES}, {FACES}, float64, float64, float64[::1], float64[::1])")
def areas_and_lengths(
    placed_mm: Series,
    faces: NDArray[np.int32],
    first_mm: float,
    step_mm: float,
    area_mm2: Series,
    length_mm: Series,
) -> None:
    """Write area and boundary length on the planes `first + k·step`, one for each element.

    With heights a ≤ b ≤ c of a triangle, the share of its projection above z is 1 below a,
    1 - (z-a)²/((b-a)(c-a)) up to b and (c-z)²/((c-b)(c-a)) up to c; the cut's length rises from 0 at a to
    |N_xy|/(c-a) at b and falls to 0 at c.
    """
    n = area_mm2.shape[0]
    whole = np.zeros(n + 1)  # projections of triangles that lie above all planes below this one
    no_length = np.zeros(n + 1)
    cut = np.zeros(n + 1, dtype=np.int64)  # differences of the number of triangles cut
    area_steps, length_steps = np.zeros((n + 1, 3)), np.zeros((n + 1, 3))
    area_mm2[:] = 0.0
    length_mm[:] = 0.0
    h = 0.5 * n * step_mm
    for t in range(faces.shape[0]):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        ux, uy = placed_mm[b, 0] - placed_mm[a, 0], placed_mm[b, 1] - placed_mm[a, 1]
        vx, vy = placed_mm[c, 0] - placed_mm[a, 0], placed_mm[c, 1] - placed_mm[a, 1]
        uz, vz = placed_mm[b, 2] - placed_mm[a, 2], placed_mm[c, 2] - placed_mm[a, 2]
        share = 0.5 * (ux * vy - uy * vx)
        za, zb, zc, ka, kb, kc = by_height(placed_mm, a, b, c)
        whole[ka] += share
        if ka == kc:
            continue
        cut[ka] += 1
        cut[kc] -= 1
        tall, low, top = zc - za, zb - za, zc - zb
        nx, ny = uy * vz - uz * vy, uz * vx - ux * vz
        peak = math.sqrt(nx * nx + ny * ny) / tall
        origin = first_mm - za
        if kb > ka:
            curve, slope = share / (low * tall), peak / low
            if kb - ka < LONG_SPAN:
                for k in range(ka, kb):
                    d = min(max(origin + k * step_mm, 0.0), low)
                    area_mm2[k] += share - curve * d * d
                    length_mm[k] += slope * d
            else:  # d = m + h·u
                m = origin + h
                spread(area_steps, ka, kb, share - curve * m * m, -2.0 * curve * m * h, -curve * h * h)
                spread(length_steps, ka, kb, slope * m, slope * h, 0.0)
        if kc > kb:
            curve, slope = share / (top * tall), peak / top
            if kc - kb < LONG_SPAN:
                for k in range(kb, kc):
                    e = min(max(tall - (origin + k * step_mm), 0.0), top)
                    area_mm2[k] += curve * e * e
                    length_mm[k] += slope * e
            else:  # e = m - h·u
                m = tall - (origin + h)
                spread(area_steps, kb, kc, curve * m * m, -2.0 * curve * m * h, curve * h * h)
                spread(length_steps, kb, kc, slope * m, -slope * h, 0.0)
    gather(whole, area_steps, area_mm2)
    gather(no_length, length_steps, length_mm)
    clear_uncut(cut, area_mm2, length_mm)


@kernel("float64(float64, float64, float64, float64)")
def height_above(d: float, low: float, tall: float, mean: float) -> float:
    """Return the volume above a plane at `d` over a triangle, for a projection of 1 (all heights from a).

    mean - d below the triangle, + d³/(3·low·tall) up to its middle vertex, (tall-d)³/(3·top·tall) above.
    """
    if d <= 0.0:
        return mean - d
    if d < low:
        return mean - d + d * d * d / (3.0 * low * tall)
    if d < tall:
        e = tall - d
        return e * e * e / (3.0 * (tall - low) * tall)
    return 0.0


@kernel("void(float64[:, ::1], int64, int64, int64, float64, float64, float64, float64)")
def spread_volume(
    steps: Series, ka: int, kb: int, kc: int, share: float, low: float, tall: float, middle_mm: float
) -> None:
    """Add the slabs that hold none of a tall triangle's corners to the difference array.

    Each is the integral of a quadratic: step times its mid-value, plus step³/12 times its half curvature.
    `middle_mm` is the height, from a, of the middle of the slab at u = 0; `share` is times the step, and
    the last row of `steps` holds step²/12 and half the whole height.
    """
    last = steps.shape[0] - 1
    bulge, h = steps[last, 0], steps[last, 1]
    if kb - ka > 1:  # middle of a slab at d = m + h·u
        curve = share / (low * tall)
        m = middle_mm
        c0 = share - curve * (m * m + bulge)
        spread(steps, ka + 1, kb, c0, -2.0 * curve * m * h, -curve * h * h)
    if kc - kb > 1:
        curve = share / ((tall - low) * tall)
        m = tall - middle_mm
        spread(steps, kb + 1, kc, curve * (m * m + bulge), -2.0 * curve * m * h, curve * h * h)


@kernel(f"void({VERTICES}, {FACES}, float64, float64[::1])")
def slab_volumes(placed_mm: Series, faces: NDArray[np.int32], step_mm: float, volume_mm3: Series) -> None:
    """Write the volume between the planes `k·step` and `(k+1)·step`, one for each element; exact.

    Column 3 of `placed_mm` holds the slab of each vertex.
    """
    n = volume_mm3.shape[0]
    whole = np.zeros(n + 1)
    steps = np.zeros((n + 2, 3))
    steps[n + 1, 0], steps[n + 1, 1] = step_mm * step_mm / 12.0, 0.5 * n * step_mm
    volume_mm3[:] = 0.0
    for t in range(faces.shape[0]):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        ux, uy = placed_mm[b, 0] - placed_mm[a, 0], placed_mm[b, 1] - placed_mm[a, 1]
        vx, vy = placed_mm[c, 0] - placed_mm[a, 0], placed_mm[c, 1] - placed_mm[a, 1]
        share = 0.5 * (ux * vy - uy * vx)
        if share == 0.0:
            continue
        za, zb, zc, ka, kb, kc = by_height(placed_mm, a, b, c)
        whole[ka] += share * step_mm
        tall, low = zc - za, zb - za
        mean = (low + tall) / 3.0
        before = height_above(ka * step_mm - za, low, tall, mean)
        if kc - ka < LONG_SPAN:
            for k in range(ka, kc):
                after = height_above((k + 1) * step_mm - za, low, tall, mean)
                volume_mm3[k] += share * (before - after)
                before = after
            volume_mm3[kc] += share * before
            continue
        volume_mm3[ka] += share * (before - height_above((ka + 1) * step_mm - za, low, tall, mean))
        if ka < kb < kc:
            before = height_above(kb * step_mm - za, low, tall, mean)
            volume_mm3[kb] += share * (before - height_above((kb + 1) * step_mm - za, low, tall, mean))
        volume_mm3[kc] += share * height_above(kc * step_mm - za, low, tall, mean)
        spread_volume(steps, ka, kb, kc, share * step_mm, low, tall, (0.5 * n + 0.5) * step_mm - za)
    gather(whole, steps[: n + 1], volume_mm3)
