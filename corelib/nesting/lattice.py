"""Kernels of the lattice search: blocked heights, the best free spot, and who must leave before whom.

A placed core is a row (shape, x, y, z) of lattice numbers. `table[s, t]` describes the no-fit set of shape s
against shape t: offset in the pool, base x, y, z, extent x, y, words; `paths` the same without the gap,
for who is in whose way up. Precedence is kept as bit sets:
`direct[i]` holds the cores that must leave before core i, `before[i]` the same through any chain.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel

Words = NDArray[np.uint64]
Table = NDArray[np.int64]
Rows = NDArray[np.int64]

OFFSET, BASE_X, BASE_Y, BASE_Z, EXTENT_X, EXTENT_Y, WORDS = range(7)
SHAPE, X, Y, Z = range(4)
NONE = -1
ALL_ONES = np.uint64(0xFFFFFFFFFFFFFFFF)


@kernel("void(u8[:,:,::1], u8[:], i8[:], i8, i8, i8)")
def _or_shifted(out: Words, pool: Words, entry: Rows, x0: int, y0: int, z0: int) -> None:
    """Add one no-fit set, its lowest corner moved to lattice place (x0, y0, z0), to the blocked heights."""
    words, nx, ny = out.shape
    ex, ey, ew = entry[EXTENT_X], entry[EXTENT_Y], entry[WORDS]
    low_y, high_y = max(0, -y0), min(ey, ny - y0)
    if low_y >= high_y:
        return
    count = high_y - low_y
    up = z0 >> 6
    bit = np.uint64(z0 & 63)
    for v in range(ew):
        plane = entry[OFFSET] + v * ex * ey
        for x in range(max(0, -x0), min(ex, nx - x0)):
            start = plane + x * ey + low_y
            source = pool[start : start + count]
            w = v + up
            if 0 <= w < words:
                into = out[w, x + x0, y0 + low_y : y0 + high_y]
                for y in range(count):
                    into[y] |= source[y] << bit
            if bit > 0 and 0 <= w + 1 < words:
                over = out[w + 1, x + x0, y0 + low_y : y0 + high_y]
                for y in range(count):
                    over[y] |= source[y] >> (np.uint64(64) - bit)


@kernel("void(i8, i8[:,::1], i8, u8[:], i8[:,:,::1], u8[:,:,::1])")
def block(shape: int, rows: Rows, skip: int, pool: Words, table: Table, out: Words) -> None:
    """Set in `out` the heights at which a shape comes too near a placed core (all but core `skip`)."""
    out[:] = np.uint64(0)
    for j in range(rows.shape[0]):
        if rows[j, SHAPE] < 0 or j == skip:
            continue
        entry = table[shape, rows[j, SHAPE]]
        _or_shifted(
            out,
            pool,
            entry,
            rows[j, X] + entry[BASE_X],
            rows[j, Y] + entry[BASE_Y],
            rows[j, Z] + entry[BASE_Z],
        )


@kernel("i8(u8[:,:,::1], i8, i8, i8, i8, u8)")
def next_bit(out: Words, x: int, y: int, z: int, limit: int, flip: np.uint64) -> int:
    """Return the first height from z on (below `limit`) whose bit is set after XOR with `flip`, or limit."""
    while z < limit:
        word = (out[z >> 6, x, y] ^ flip) >> np.uint64(z & 63)
        if word != 0:
            while word & np.uint64(1) == 0:
                if word & np.uint64(0xFFFF) == 0:
                    word >>= np.uint64(16)
                    z += 16
                else:
                    word >>= np.uint64(1)
                    z += 1
            return min(z, limit)
        z = ((z >> 6) + 1) << 6
    return limit


@kernel("i8(u8[:], i8[:], i8, i8, i8)")
def side_of(pool: Words, entry: Rows, x: int, y: int, z: int) -> int:
    """Return 1 if the set has bits above height z in its column (x, y), plus 2 if it has bits below."""
    if not (0 <= x < entry[EXTENT_X] and 0 <= y < entry[EXTENT_Y]):
        return 0
    at = entry[OFFSET] + x * entry[EXTENT_Y] + y
    plane = entry[EXTENT_X] * entry[EXTENT_Y]
    found = 0
    for v in range(entry[WORDS]):
        word = pool[at + v * plane]
        if word == 0:
            continue
        start = v << 6
        if z < start:
            found |= 1
        elif z >= start + 64:
            found |= 2
        else:
            bit = np.uint64(z - start)
            if (word >> bit) != 0:
                found |= 1
            if bit > 0 and (word << (np.uint64(64) - bit)) != 0:
                found |= 2
    return found


@kernel("b1(u8[:,::1], u8[::1], u8[::1])")
def _closes_cycle(before: Words, first: Words, later: Words) -> bool:
    """Return True if one of `later` must, through any chain, leave before one of `first`."""
    for j in range(before.shape[0]):
        if (first[j >> 6] >> np.uint64(j & 63)) & np.uint64(1):
            for w in range(before.shape[1]):
                if before[j, w] & later[w] != 0:
                    return True
    return False


@kernel(
    "b1(i8, i8, i8, i8, i8, i8[:,::1], u8[:], i8[:,:,::1], i8[:,::1], b1[::1], u8[:,::1], u8[::1], u8[::1])"
)
def relation(
    core: int, shape: int, x: int, y: int, z: int, rows: Rows, pool: Words, paths: Table,
    heights: Rows, fragile: NDArray[np.bool_], before: Words, first: Words, later: Words,
) -> bool:  # fmt: skip
    """Find who must leave before the candidate (`first`) and after it (`later`); False for a cycle.

    The candidate's way up meets those in its column above it; it lies in the way of those below. A core
    that would lose its bed before another is free leaves before it: `heights[s]` holds, in cells above the
    shape's lowest point, where sand must stand to bed the core and where the core comes free.
    """
    first[:] = np.uint64(0)
    later[:] = np.uint64(0)
    bed, free = z + heights[shape, 0], z + heights[shape, 1]
    for j in range(rows.shape[0]):
        other = rows[j, SHAPE]
        if other < 0 or j == core:
            continue
        entry = paths[shape, other]
        side = side_of(
            pool,
            entry,
            x - rows[j, X] - entry[BASE_X],
            y - rows[j, Y] - entry[BASE_Y],
            z - rows[j, Z] - entry[BASE_Z],
        )
        if (side & 1 and fragile[core]) or (side & 2 and fragile[j]):
            return False
        if rows[j, Z] + heights[other, 0] > free:
            side |= 1
        if bed > rows[j, Z] + heights[other, 1]:
            side |= 2
        if side == 3:
            return False
        if side & 1:
            first[j >> 6] |= np.uint64(1) << np.uint64(j & 63)
        if side & 2:
            later[j >> 6] |= np.uint64(1) << np.uint64(j & 63)
    return not _closes_cycle(before, first, later)


@kernel("void(i8, u8[::1], u8[::1], u8[:,::1], u8[:,::1])")
def enter(core: int, first: Words, later: Words, direct: Words, before: Words) -> None:
    """Add a core with its relations to the precedence sets."""
    own, bit = core >> 6, np.uint64(1) << np.uint64(core & 63)
    direct[core] = first
    before[core] = first
    for j in range(before.shape[0]):
        if (first[j >> 6] >> np.uint64(j & 63)) & np.uint64(1):
            before[core] |= before[j]
        if (later[j >> 6] >> np.uint64(j & 63)) & np.uint64(1):
            direct[j, own] |= bit
    for j in range(before.shape[0]):
        follows = (later[j >> 6] >> np.uint64(j & 63)) & np.uint64(1)
        for w in range(before.shape[1]):
            if before[j, w] & later[w] != 0:
                follows = np.uint64(1)
        if follows:
            before[j] |= before[core]
            before[j, own] |= bit


@kernel("void(i8, u8[:,::1], u8[:,::1])")
def leave(core: int, direct: Words, before: Words) -> None:
    """Take a core out of the precedence sets and close them anew (Warshall, on bit sets)."""
    own, mask = core >> 6, ~(np.uint64(1) << np.uint64(core & 63))
    direct[core] = np.uint64(0)
    for j in range(direct.shape[0]):
        direct[j, own] &= mask
    before[:] = direct
    for k in range(before.shape[0]):
        at, bit = k >> 6, np.uint64(k & 63)
        for j in range(before.shape[0]):
            if (before[j, at] >> bit) & np.uint64(1):
                before[j] |= before[k]


@kernel(
    "void(i8, i8[::1], i8[:,::1], u8[:], i8[:,:,::1], i8[:,:,::1], i8[:,::1], i8[:,::1], b1[::1], u8[:,::1],"
    " b1, i8, i8, i8[::1], u8[::1], i8[::1])"
)
def find_spot(
    core: int, shapes: Rows, rows: Rows, pool: Words, table: Table, paths: Table, room: Rows,
    heights: Rows, fragile: NDArray[np.bool_], before: Words, ordered: bool, ceiling: int, level: int,
    taste: Rows, scratch: Words, best: Rows,
) -> None:  # fmt: skip
    """Find the cheapest free spot of a core in any of its shapes: best = (cost, shape, x, y, z).

    Cost: by how much the top passes `level`, then `taste` = (top, height, x, y) weights; x and y count from
    the far wall where their weight is negative. `room[s]` is the number of lattice places along x, y, z and
    the shape's height in cells. best[1] is NONE if there is no spot below `ceiling`.
    """
    best[0], best[1] = 1 << 62, NONE
    first, later = np.zeros(before.shape[1], dtype=np.uint64), np.zeros(before.shape[1], dtype=np.uint64)
    for s in shapes:
        nx, ny, height = room[s, 0], room[s, 1], room[s, 3]
        nz = min(room[s, 2], ceiling - height + 1)
        if nx <= 0 or ny <= 0 or nz <= 0:
            continue
        words = (nz + 63) >> 6
        out = scratch[: words * nx * ny].reshape((words, nx, ny))
        block(s, rows, core, pool, table, out)
        for x in range(nx):
            cost_x = taste[2] * x if taste[2] >= 0 else -taste[2] * (nx - 1 - x)
            for y in range(ny):
                cost_xy = cost_x + (taste[3] * y if taste[3] >= 0 else -taste[3] * (ny - 1 - y))
                z = next_bit(out, x, y, 0, nz, ALL_ONES)
                while z < nz:
                    top = z + height
                    cost = max(0, top - level) * (1 << 40) + top * taste[0] + z * taste[1] + cost_xy
                    if cost >= best[0]:
                        break
                    if not ordered or relation(
                        core, s, x, y, z, rows, pool, paths, heights, fragile, before, first, later
                    ):
                        best[0], best[1], best[2], best[3], best[4] = cost, s, x, y, z
                        break
                    z = next_bit(out, x, y, z, nz, np.uint64(0))  # the relation changes past a body only
                    z = next_bit(out, x, y, z, nz, ALL_ONES)
