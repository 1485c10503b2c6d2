"""Kernels for least overlap: weighted sums of no-fit sets, 64 heights at a time.

The sum at every lattice place is kept as binary digits, one plane of words a digit, so that adding a set with
its weight is a few word operations for 64 places; the places of the least sum are found digit by digit.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel
from corelib.nesting.lattice import (
    BASE_X,
    BASE_Y,
    BASE_Z,
    EXTENT_X,
    EXTENT_Y,
    NONE,
    OFFSET,
    SHAPE,
    WORDS,
    Rows,
    Table,
    Words,
    X,
    Y,
    Z,
    side_of,
)

DIGITS = 9
"""Binary digits of a sum; the last one marks sums too large to count (255 and more)."""
MOST_WEIGHT = 31
TRIES = 16  # places of the least sum whose precedence is looked at for each shape


@kernel("void(u8[:,:,:,::1], i8, i8, i8, u8[:], u8[:], i8)")
def _add_row(sums: Words, word: int, x: int, y: int, bits: Words, carry: Words, weight: int) -> None:
    """Add `weight` at the set bits of one row (x fixed, y running) of one word plane."""
    count = bits.shape[0]
    for digit in range(DIGITS - 1):
        if (weight >> digit) & 1 == 0:
            continue
        row = sums[digit, word, x, y : y + count]
        left = np.uint64(0)
        for n in range(count):
            carry[n] = row[n] & bits[n]
            row[n] ^= bits[n]
            left |= carry[n]
        d = digit + 1
        while left != 0:
            row = sums[d, word, x, y : y + count]
            left = np.uint64(0)
            if d == DIGITS - 1:
                for n in range(count):
                    row[n] |= carry[n]
                break
            for n in range(count):
                both = row[n] & carry[n]
                row[n] ^= carry[n]
                carry[n] = both
                left |= both
            d += 1


@kernel("void(u8[:,:,:,::1], u8[:], i8[:], i8, i8, i8, u8[:,::1], i8)")
def _add_set(
    sums: Words, pool: Words, entry: Rows, x0: int, y0: int, z0: int, rows: Words, weight: int
) -> None:  # fmt: skip
    """Add one no-fit set at lattice place (x0, y0, z0) with its weight; `rows` is scratch."""
    words, nx, ny = sums.shape[1:]
    ex, ey, ew = entry[EXTENT_X], entry[EXTENT_Y], entry[WORDS]
    low_y, high_y = max(0, -y0), min(ey, ny - y0)
    if low_y >= high_y:
        return
    count = high_y - low_y
    bits, carry = rows[0, :count], rows[1, :count]
    up, bit = z0 >> 6, np.uint64(z0 & 63)
    for w in range(max(0, up), min(words, up + ew + 1)):
        v = w - up
        for x in range(max(0, -x0), min(ex, nx - x0)):
            start = entry[OFFSET] + (v * ex + x) * ey + low_y
            below = start - ex * ey
            if v < ew:
                for n in range(count):
                    bits[n] = pool[start + n] << bit
            else:
                bits[:] = np.uint64(0)
            if v > 0 and bit > 0:
                for n in range(count):
                    bits[n] |= pool[below + n] >> (np.uint64(64) - bit)
            _add_row(sums, w, x + x0, y0 + low_y, bits, carry, weight)


@kernel("u8(u8[:,:,::1], u8[:,:,::1])")
def _any_clear(least: Words, digit: Words) -> np.uint64:
    """Return the OR of all places of `least` where the digit is 0: zero if there is none."""
    found = np.uint64(0)
    for w in range(least.shape[0]):
        for x in range(least.shape[1]):
            for y in range(least.shape[2]):
                found |= least[w, x, y] & ~digit[w, x, y]
    return found


@kernel("i8(u8[:,:,:,::1], i8, i8, u8[:,:,::1])")
def _least_sum(sums: Words, nz: int, limit: int, least: Words) -> int:
    """Set in `least` the places of the least sum below height nz and return it; `limit` if none is below."""
    least[:] = ~np.uint64(0)
    if nz & 63:
        least[nz >> 6] = (np.uint64(1) << np.uint64(nz & 63)) - np.uint64(1)
    total = 0
    for digit in range(DIGITS - 1, -1, -1):
        if _any_clear(least, sums[digit]) == 0:
            total += 1 << digit
            if total >= limit:
                return limit
        else:
            for w in range(least.shape[0]):
                for x in range(least.shape[1]):
                    for y in range(least.shape[2]):
                        least[w, x, y] &= ~sums[digit, w, x, y]
    return total


@kernel("u8(u8)")
def _stir(state: np.uint64) -> np.uint64:
    """Return the next number of a 64-bit xorshift sequence (Marsaglia 2003)."""
    state ^= state << np.uint64(13)
    state ^= state >> np.uint64(7)
    state ^= state << np.uint64(17)
    return state


@kernel("i8(u8, i8)")
def _pick(state: np.uint64, count: int) -> int:
    """Return a number below `count` from a random state."""
    return np.int64(state % np.uint64(count))  # type: ignore[return-value]


@kernel("b1(u8[:], i8[:], i8, i8, i8)")
def is_hit(pool: Words, entry: Rows, x: int, y: int, z: int) -> bool:
    """Return True if the offset (x, y, z) above the set's base lies in the set."""
    if not (0 <= x < entry[EXTENT_X] and 0 <= y < entry[EXTENT_Y] and 0 <= z < entry[WORDS] << 6):
        return False
    at = entry[OFFSET] + ((z >> 6) * entry[EXTENT_X] + x) * entry[EXTENT_Y] + y
    return (pool[at] >> np.uint64(z & 63)) & np.uint64(1) != 0


@kernel("void(i8, i8, i8, i8, i8, i8[:,::1], u8[:], i8[:,:,::1], b1[::1])")
def hits(core: int, shape: int, x: int, y: int, z: int, rows: Rows, pool: Words, table: Table,
         hit: NDArray[np.bool_]) -> None:  # fmt: skip
    """Set `hit[j]` for every placed core that the candidate comes too near to."""
    for j in range(rows.shape[0]):
        hit[j] = False
        if rows[j, SHAPE] >= 0 and j != core:
            e = table[shape, rows[j, SHAPE]]
            hit[j] = is_hit(
                pool, e, x - rows[j, X] - e[BASE_X], y - rows[j, Y] - e[BASE_Y], z - rows[j, Z] - e[BASE_Z]
            )


@kernel("b1(u8[:,::1], i8, u8[::1], u8[::1], u8[::1], u8[::1])")
def _leads_to(direct: Words, start: int, later: Words, out: Words, seen: Words, fresh: Words) -> bool:
    """Return True if one of `later` must leave before core `start` by a chain that avoids `out`."""
    words = direct.shape[1]
    fresh[:] = np.uint64(0)
    fresh[start >> 6] = np.uint64(1) << np.uint64(start & 63)
    seen[:] = fresh
    while True:
        left = np.uint64(0)
        for w in range(words):
            while fresh[w] != 0:
                low = fresh[w] & (~fresh[w] + np.uint64(1))
                fresh[w] ^= low
                j = w << 6
                while low > 1:
                    low >>= np.uint64(1)
                    j += 1
                for v in range(words):
                    new = direct[j, v] & ~seen[v] & ~out[v]
                    if new & later[v] != 0:
                        return True
                    seen[v] |= new
                    fresh[v] |= new
        for w in range(words):
            left |= fresh[w]
        if left == 0:
            return False


@kernel(
    "i8(i8, i8, i8, i8, i8, i8[:,::1], i8[::1], u8[:], i8[:,:,::1], i8[:,::1], b1[::1], u8[:,::1], u8[:,::1],"
    " b1[::1])"
)
def _clear_order(
    core: int, shape: int, x: int, y: int, z: int, rows: Rows, weights: Rows, pool: Words, paths: Table,
    heights: Rows, fragile: NDArray[np.bool_], direct: Words, sets: Words, hit: NDArray[np.bool_],
) -> int:  # fmt: skip
    """Add to `hit` the cores that must go so that the rest can be drawn; return their weights' sum.

    A core that interlocks with the candidate goes; so does one that the candidate waits for and that itself
    must wait, through any chain, for one that waits for the candidate. A sum of 255 or more means no.
    """
    first, later, out, seen, fresh = sets[0], sets[1], sets[2], sets[3], sets[4]
    first[:], later[:], out[:] = np.uint64(0), np.uint64(0), np.uint64(0)
    bed, free = z + heights[shape, 0], z + heights[shape, 1]
    total = 0
    for j in range(rows.shape[0]):
        other = rows[j, SHAPE]
        if other < 0 or j == core:
            continue
        bit = np.uint64(1) << np.uint64(j & 63)
        if hit[j]:
            out[j >> 6] |= bit
            continue
        e = paths[shape, other]
        side = side_of(
            pool, e, x - rows[j, X] - e[BASE_X], y - rows[j, Y] - e[BASE_Y], z - rows[j, Z] - e[BASE_Z]
        )
        if (side & 1 and fragile[core]) or (side & 2 and fragile[j]):
            side = 3
        if rows[j, Z] + heights[other, 0] > free:
            side |= 1
        if bed > rows[j, Z] + heights[other, 1]:
            side |= 2
        if side == 3:
            hit[j] = True
            out[j >> 6] |= bit
            total += weights[j] if weights[j] > 0 else 255
        elif side == 1:
            first[j >> 6] |= bit
        elif side == 2:
            later[j >> 6] |= bit
    for j in range(rows.shape[0]):
        bit = np.uint64(1) << np.uint64(j & 63)
        if first[j >> 6] & bit and _leads_to(direct, j, later, out, seen, fresh):
            hit[j] = True
            out[j >> 6] |= bit
            total += weights[j] if weights[j] > 0 else 255
    return total


@kernel("void(i8, i8[:,::1], i8[::1], u8[:], i8[:,::1], u8[:,:,:,::1], u8[:,::1])")
def _sum_up(
    core: int, rows: Rows, weights: Rows, pool: Words, entries: Table, sums: Words, lines: Words
) -> None:  # fmt: skip
    """Set the weighted sums of the no-fit sets of all placed cores; `entries` are those of one shape."""
    sums[:] = np.uint64(0)
    for j in range(rows.shape[0]):
        if rows[j, SHAPE] < 0 or j == core:
            continue
        e = entries[rows[j, SHAPE]]
        weight = 255 if weights[j] == 0 else weights[j]
        x, y, z = rows[j, X] + e[BASE_X], rows[j, Y] + e[BASE_Y], rows[j, Z] + e[BASE_Z]
        _add_set(sums, pool, e, x, y, z, lines, weight)


@kernel("i8(u8[:], i8, i8)")
def _next_set(flat: Words, start: int, steps: int) -> int:
    """Return after how many steps from `start` (around the end) a word is not zero, or `steps`."""
    count = flat.shape[0]
    for step in range(steps):
        if flat[(start + step) % count] != 0:
            return step
    return steps


@kernel("i8(u8)")
def _lowest(word: np.uint64) -> int:
    """Return the number of the lowest set bit."""
    z = 0
    while word & np.uint64(1) == 0:
        word >>= np.uint64(1)
        z += 1
    return z


@kernel(
    "u8(i8, i8[::1], i8[:,::1], i8[::1], u8[:], i8[:,:,::1], i8[:,:,::1], i8[:,::1], i8[:,::1], b1[::1],"
    " u8[:,::1], b1, i8, u8, u8[::1], i8[::1], b1[::1])"
)
def find_least_overlap(
    core: int, shapes: Rows, rows: Rows, weights: Rows, pool: Words, table: Table, paths: Table,
    room: Rows, heights: Rows, fragile: NDArray[np.bool_], direct: Words, ordered: bool, ceiling: int,
    state: np.uint64, scratch: Words, best: Rows, hit: NDArray[np.bool_],
) -> np.uint64:  # fmt: skip
    """Find a place of least weighted overlap: best = (sum, shape, x, y, z), `hit` the cores that must go.

    `weights[j]` (1 to MOST_WEIGHT, 0 for a core that must stay) is what core j counts. Ties are broken by the
    random state, which is returned stirred. best[1] is NONE if nothing is found below a sum of 255.
    """
    best[0], best[1] = 255, NONE
    sets = np.zeros((5, direct.shape[1]), dtype=np.uint64)
    for s in shapes:
        nx, ny = room[s, 0], room[s, 1]
        nz = min(room[s, 2], ceiling - room[s, 3] + 1)
        if nx <= 0 or ny <= 0 or nz <= 0:
            continue
        words = (nz + 63) >> 6
        size = words * nx * ny
        sums = scratch[: DIGITS * size].reshape((DIGITS, words, nx, ny))
        flat = scratch[DIGITS * size : (DIGITS + 1) * size]
        _sum_up(core, rows, weights, pool, table[s], sums, np.empty((2, ny), dtype=np.uint64))
        total = _least_sum(sums, nz, best[0], flat.reshape((words, nx, ny)))
        if total >= best[0]:
            continue
        state = _stir(state)
        at, left = _pick(state, size), size
        for _ in range(TRIES):
            step = _next_set(flat, at, left)
            if step >= left:
                break
            at, left = (at + step) % size, left - step
            x, y, z = at % (nx * ny) // ny, at % ny, ((at // (nx * ny)) << 6) + _lowest(flat[at])
            extra = 0
            if ordered:
                hits(core, s, x, y, z, rows, pool, table, hit)
                extra = _clear_order(
                    core, s, x, y, z, rows, weights, pool, paths, heights, fragile, direct, sets, hit
                )
            if total + extra < best[0]:
                best[0], best[1], best[2], best[3], best[4] = total + extra, s, x, y, z
            if extra == 0:
                break
            at, left = (at + 1) % size, left - 1
    if best[1] != NONE:
        s, x, y, z = best[1], best[2], best[3], best[4]
        hits(core, s, x, y, z, rows, pool, table, hit)
        if ordered:
            _clear_order(core, s, x, y, z, rows, weights, pool, paths, heights, fragile, direct, sets, hit)
    return state
