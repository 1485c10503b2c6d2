"""Kernels of the overlap search: what a place costs by table look-up, the best place along a line, passes.

A placed core is a row (shape, x, y, z) of lattice numbers. The cost of a place is the weighted sum of the
depths in the cores around it. A core that overlaps is moved to the cheapest of many places: random ones in
its orientations, each improved line by line along the axes, where the cost at all places of a line is summed
at once. After a pass over all overlapping cores, the weights of pairs that still overlap are raised.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel
from corelib.nesting.lattice import SHAPE, Rows, X, Y, Z
from corelib.nesting.penetration import HIGH, LOW, RIM, Depths, Spans

Links = NDArray[np.int64]
Floats = NDArray[np.float64]

# columns of a link: lowest offset, extent and stride along x, y, z, first place in the table, then the same
# for spans of columns: stride along x and y, first, whether they run downwards (-1: none), and the heights
# up to which, and from which on, the two don't get into each other's way up for other reasons
LOWEST, EXTENT, STRIDE, FIRST = 0, 3, 6, 9
SPAN_X, SPAN_Y, SPAN_FIRST, SPAN_DOWN, BELOW, ABOVE = range(10, 16)
LINK = 16
FAR = 1 << 20

# what is counted in `spent`: candidate evaluations, passes, least overlap, passes since, place in the pass
EVALUATIONS, PASSES, LEAST, STALE, TURN, WAITING = range(6)
COUNTS = 6
# columns of the settings
SAMPLES, LINES, SHAPES_TRIED = range(3)
GROWTH_LEAST, GROWTH_MOST, DECAY, HEAVIEST = 1.2, 2.0, 0.95, 1e9


@kernel("u8(u8[::1])")
def draw(state: NDArray[np.uint64]) -> np.uint64:
    """Return the next number of a 64-bit xorshift sequence (Marsaglia 2003)."""
    s = state[0]
    s ^= s << np.uint64(13)
    s ^= s >> np.uint64(7)
    s ^= s << np.uint64(17)
    state[0] = s
    return s


@kernel("i8(u8[::1], i8)")
def below(state: NDArray[np.uint64], count: int) -> int:
    """Return a random number from 0 to count - 1."""
    return int((draw(state) >> np.uint64(11)) % np.uint64(count))


@kernel("i8(i8, i8, i8[:,::1], i8[:,:,::1], f8[:,::1], b1[:,::1], i8[:,::1], f8[::1], b1[::1])")
def gather(
    core: int, shape: int, rows: Rows, links: Links, weights: Floats, apart: NDArray[np.bool_],
    near: Rows, weight: Floats, keep_apart: NDArray[np.bool_],
) -> int:  # fmt: skip
    """Set in `near` the links of a shape to all placed cores, moved to their places; return how many."""
    count = 0
    for j in range(rows.shape[0]):
        other = rows[j, SHAPE]
        if other < 0 or j == core:
            continue
        link = links[shape, other]
        if link[EXTENT] == 0:
            continue
        for c in range(LINK):
            near[count, c] = link[c]
        near[count, 0] += rows[j, X]
        near[count, 1] += rows[j, Y]
        near[count, 2] += rows[j, Z]
        weight[count] = weights[core, j]
        keep_apart[count] = apart[core, j]
        count += 1
    return count


@kernel("i8(i8[:,::1], i8, i2[:,::1], i8, i8, i8, b1)")
def path_depth(near: Rows, k: int, spans: Spans, dx: int, dy: int, dz: int, keep_apart: bool) -> int:
    """Return by how many steps two cores that stand in each other's way up miss that one is free.

    The offset counts from the lowest of link `near[k]`; dx and dy lie within its extent.
    """
    if near[k, SPAN_DOWN] < 0:
        return 0
    at = near[k, SPAN_FIRST] + dx * near[k, SPAN_X] + dy * near[k, SPAN_Y]
    low, high = int(spans[at, LOW]), int(spans[at, HIGH])
    if high < low:
        return 0
    rim = int(spans[at, RIM])
    if keep_apart:
        return rim
    if near[k, SPAN_DOWN] == 1:
        top = near[k, EXTENT + 2] - 1
        low, high = top - high, top - low
    low, high = min(low, near[k, BELOW]), max(high, near[k, ABOVE])
    if low < dz and dz < high:
        return min(min(dz - low, high - dz), rim)
    return 0


@kernel("f8(i8, i8[:,::1], f8[::1], b1[::1], u1[::1], i2[:,::1], b1, i8, i8, i8, f8)")
def cost_at(
    count: int, near: Rows, weight: Floats, keep_apart: NDArray[np.bool_], depths: Depths, spans: Spans,
    ordered: bool, x: int, y: int, z: int, bound: float,
) -> float:  # fmt: skip
    """Return the weighted depth at a place; once it reaches `bound`, some sum not below that."""
    total = 0.0
    for k in range(count):
        dx, dy, dz = x - near[k, 0], y - near[k, 1], z - near[k, 2]
        if dx < 0 or dx >= near[k, 3] or dy < 0 or dy >= near[k, 4]:
            continue
        depth = 0
        if 0 <= dz < near[k, 5]:
            depth = int(depths[near[k, 9] + dx * near[k, 6] + dy * near[k, 7] + dz * near[k, 8]])
        if ordered and depth == 0:
            depth = path_depth(near, k, spans, dx, dy, dz, keep_apart[k])
        if depth > 0:
            total += weight[k] * depth
            if total >= bound:
                return total
    return total


@kernel("void(i8, i8, i8[:,::1], f8[::1], u1[::1], i8[::1], i8, f8[::1])")
def cost_along(
    axis: int, count: int, near: Rows, weight: Floats, depths: Depths, place: Rows, length: int, line: Floats
) -> None:  # fmt: skip
    """Set in `line` the cost at places 0 to length - 1 along an axis through a place."""
    line[:length] = 0.0
    one, two = (axis + 1) % 3, (axis + 2) % 3
    p1, p2 = place[one], place[two]
    for k in range(count):
        d1, d2 = p1 - near[k, one], p2 - near[k, two]
        if d1 < 0 or d1 >= near[k, EXTENT + one] or d2 < 0 or d2 >= near[k, EXTENT + two]:
            continue
        low = near[k, axis]
        start, end = max(0, low), min(length, low + near[k, EXTENT + axis])
        stride = near[k, STRIDE + axis]
        at = near[k, FIRST] + d1 * near[k, STRIDE + one] + d2 * near[k, STRIDE + two] + (start - low) * stride
        w = weight[k]
        if stride == 1:
            for t in range(end - start):
                line[start + t] += w * depths[at + t]
        elif stride == -1:
            for t in range(end - start):
                line[start + t] += w * depths[at - t]
        else:
            for t in range(start, end):
                line[t] += w * depths[at]
                at += stride


@kernel("void(i8, i8[:,::1], f8[::1], b1[::1], u1[::1], i2[:,::1], i8[::1], i8, f8[::1])")
def ordered_across(
    axis: int, near: Rows, weight: Floats, keep_apart: NDArray[np.bool_], depths: Depths, spans: Spans,
    place: Rows, length: int, line: Floats,
) -> None:  # fmt: skip
    """As `cost_along` for x and y (axis 0 or 1), the way up included; for the links that `near` has."""
    line[:length] = 0.0
    other = 1 - axis
    for k in range(near.shape[0]):
        d1, dz = place[other] - near[k, other], place[2] - near[k, 2]
        if d1 < 0 or d1 >= near[k, EXTENT + other]:
            continue
        low, w, flat = near[k, axis], weight[k], near[k, SPAN_DOWN]
        start, end = max(0, low), min(length, low + near[k, EXTENT + axis])
        if start >= end:
            continue
        stride, step = near[k, STRIDE + axis], near[k, SPAN_X + axis]
        at = near[k, FIRST] + d1 * near[k, STRIDE + other] + dz * near[k, STRIDE + 2] + (start - low) * stride
        up = near[k, SPAN_FIRST] + d1 * near[k, SPAN_X + other] + (start - low) * step
        level = 0 <= dz < near[k, 5]
        under, over = near[k, BELOW], near[k, ABOVE]
        rise = near[k, 5] - 1 - dz if flat == 1 else dz
        if flat == 1:
            under, over = near[k, 5] - 1 - over, near[k, 5] - 1 - under
        for t in range(start, end):
            depth = int(depths[at]) if level else 0
            if depth == 0 and flat >= 0 and spans[up, HIGH] >= spans[up, LOW]:
                bottom, top = min(int(spans[up, LOW]), under), max(int(spans[up, HIGH]), over)
                if keep_apart[k]:
                    depth = int(spans[up, RIM])
                elif bottom < rise and rise < top:
                    depth = min(min(rise - bottom, top - rise), int(spans[up, RIM]))
            line[t] += w * depth
            at += stride
            up += step


@kernel("void(i8[:,::1], f8[::1], b1[::1], u1[::1], i2[:,::1], i8[::1], i8, f8[::1])")
def ordered_up(
    near: Rows, weight: Floats, keep_apart: NDArray[np.bool_], depths: Depths, spans: Spans, place: Rows,
    length: int, line: Floats,
) -> None:  # fmt: skip
    """As `cost_along` for z, the way up included; for the links that `near` has."""
    line[:length] = 0.0
    for k in range(near.shape[0]):
        dx, dy = place[0] - near[k, 0], place[1] - near[k, 1]
        if dx < 0 or dx >= near[k, 3] or dy < 0 or dy >= near[k, 4]:
            continue
        low, w, extent, stride = near[k, 2], weight[k], near[k, 5], near[k, 8]
        start, end = max(0, low), min(length, low + extent)
        first = near[k, 9] + dx * near[k, 6] + dy * near[k, 7]
        bottom, top, rim = FAR, -FAR, 0
        if near[k, SPAN_DOWN] >= 0:
            up = near[k, SPAN_FIRST] + dx * near[k, SPAN_X] + dy * near[k, SPAN_Y]
            if spans[up, HIGH] >= spans[up, LOW]:
                bottom, top, rim = (
                    int(spans[up, LOW]),
                    int(spans[up, HIGH]),
                    int(spans[up, RIM]),
                )
                if near[k, SPAN_DOWN] == 1:
                    bottom, top = extent - 1 - top, extent - 1 - bottom
                bottom, top = min(bottom, near[k, BELOW]), max(top, near[k, ABOVE])
                if keep_apart[k]:
                    bottom, top = -FAR, FAR
        # the way up may reach beyond the set with the gap
        for t in range(max(0, low + min(0, bottom + 1)), min(length, low + max(extent, top))):
            depth = int(depths[first + (t - low) * stride]) if start <= t < end else 0
            if depth == 0 and bottom < t - low and t - low < top:
                depth = min(min(t - low - bottom, top - t + low), rim)
            line[t] += w * depth


@kernel(
    "f8(i8, i8[:,::1], f8[::1], b1[::1], u1[::1], i2[:,::1], b1, i8[::1], i8[::1], f8, i8, f8[::1],"
    " u8[::1], i8[::1])"
)
def descend(
    count: int, near: Rows, weight: Floats, keep_apart: NDArray[np.bool_], depths: Depths, spans: Spans,
    ordered: bool, room: Rows, place: Rows, cost: float, lines: int, line: Floats,
    state: NDArray[np.uint64], spent: Rows,
) -> float:  # fmt: skip
    """Move `place` line by line to where it costs less; return the cost reached.

    Of equal places along a line one is taken at random.
    """
    axis, still = below(state, 3), 0
    for _ in range(lines):
        if still == 3 or cost == 0.0:
            break
        length = room[axis]
        if not ordered:
            cost_along(axis, count, near, weight, depths, place, length, line)
        elif axis == 2:
            ordered_up(near[:count], weight, keep_apart, depths, spans, place, length, line)
        else:
            ordered_across(axis, near[:count], weight, keep_apart, depths, spans, place, length, line)
        spent[EVALUATIONS] += length
        least = cost
        ties, at = 0, -1
        for t in range(length):
            if line[t] < least:
                least, ties, at = line[t], 1, t
            elif line[t] == least and at >= 0:
                ties += 1
                if below(state, ties) == 0:
                    at = t
        if at >= 0:
            place[axis], cost, still = at, least, 0
        still += 1
        axis = (axis + 1) % 3
    return cost


@kernel(
    "f8(i8, i8[::1], i8[:,::1], i8[:,:,::1], i8[:,::1], f8[:,::1], b1[:,::1], u1[::1], i2[:,::1], b1,"
    " i8[::1], i8[:,::1], f8[::1], b1[::1], f8[::1], u8[::1], i8[::1])"
)
def best_place(
    core: int, shapes: Rows, rows: Rows, links: Links, rooms: Rows, weights: Floats,
    apart: NDArray[np.bool_], depths: Depths, spans: Spans, ordered: bool, settings: Rows, near: Rows,
    weight: Floats, keep_apart: NDArray[np.bool_], line: Floats, state: NDArray[np.uint64], spent: Rows,
) -> float:  # fmt: skip
    """Move a core to the cheapest place found, from where it is or anywhere; return its cost there.

    `spent` counts candidate evaluations.
    """
    place, tried = np.empty(3, dtype=np.int64), np.empty(3, dtype=np.int64)
    own, total = rows[core, SHAPE], shapes.shape[0]
    best = 1e300
    found, fx, fy, fz = own, rows[core, X], rows[core, Y], rows[core, Z]
    start = below(state, total)
    for n in range(min(settings[SHAPES_TRIED], total) + 1):
        shape = own if n == 0 else shapes[(start + n) % total]
        room = rooms[shape]
        if room[0] <= 0 or room[1] <= 0 or room[2] <= 0:
            continue
        count = gather(core, shape, rows, links, weights, apart, near, weight, keep_apart)
        cost = 1e300
        if n == 0:
            place[0], place[1], place[2] = rows[core, X], rows[core, Y], rows[core, Z]
            cost = cost_at(
                count, near, weight, keep_apart, depths, spans, ordered, place[0], place[1], place[2], 1e300
            )
            spent[EVALUATIONS] += 1
        else:
            for _ in range(settings[SAMPLES]):
                for a in range(3):
                    tried[a] = below(state, room[a])
                c = cost_at(
                    count,
                    near,
                    weight,
                    keep_apart,
                    depths,
                    spans,
                    ordered,
                    tried[0],
                    tried[1],
                    tried[2],
                    cost,
                )
                if c < cost:
                    cost = c
                    place[:] = tried
            spent[EVALUATIONS] += settings[SAMPLES]
        cost = descend(
            count, near, weight, keep_apart, depths, spans, ordered, room, place, cost, settings[LINES], line,
            state, spent,
        )  # fmt: skip
        if cost < best:
            best, found, fx, fy, fz = cost, shape, place[0], place[1], place[2]
        if best == 0.0:
            break
    rows[core, SHAPE], rows[core, X], rows[core, Y], rows[core, Z] = found, fx, fy, fz
    return best


@kernel("void(i8, i8[:,::1], i8[:,:,::1], b1[:,::1], u1[::1], i2[:,::1], b1, i8[:,::1])")
def measure(
    core: int, rows: Rows, links: Links, apart: NDArray[np.bool_], depths: Depths, spans: Spans,
    ordered: bool, depth: Rows,
) -> None:  # fmt: skip
    """Set the depths of a core in all others, both ways."""
    for j in range(rows.shape[0]):
        value = 0
        if j != core and rows[j, SHAPE] >= 0:
            near = links[rows[core, SHAPE], rows[j, SHAPE]].reshape((1, LINK))
            link = near[0]
            dx, dy = rows[core, X] - rows[j, X] - link[0], rows[core, Y] - rows[j, Y] - link[1]
            dz = rows[core, Z] - rows[j, Z] - link[2]
            if 0 <= dx < link[3] and 0 <= dy < link[4]:
                if 0 <= dz < link[5]:
                    value = int(depths[link[FIRST] + dx * link[6] + dy * link[7] + dz * link[8]])
                if ordered and value == 0:
                    value = path_depth(near, 0, spans, dx, dy, dz, apart[core, j])
        depth[core, j] = depth[j, core] = value


@kernel("void(i8[:,::1], f8[:,::1])")
def raise_weights(depth: Rows, weights: Floats) -> None:
    """Raise the weights of pairs that overlap, by their share of the deepest overlap; let the others fall."""
    count = depth.shape[0]
    deepest = max(1, depth.max())
    for i in range(count):
        for j in range(count):
            if depth[i, j] > 0:
                share = depth[i, j] / deepest
                weights[i, j] = min(
                    HEAVIEST, weights[i, j] * (GROWTH_LEAST + (GROWTH_MOST - GROWTH_LEAST) * share)
                )
            else:
                weights[i, j] = max(1.0, weights[i, j] * DECAY)


@kernel("void(i8[:,::1], b1[::1], i8[::1], u8[::1], i8[::1])")
def _begin_pass(
    depth: Rows, locked: NDArray[np.bool_], order: Rows, state: NDArray[np.uint64], spent: Rows
) -> None:  # fmt: skip
    """Set in `order` the cores that overlap, shuffled, and how many wait."""
    waiting = 0
    for i in range(depth.shape[0]):
        if not locked[i] and depth[i].max() > 0:
            order[waiting] = i
            waiting += 1
    for n in range(waiting - 1, 0, -1):
        m = below(state, n + 1)
        order[n], order[m] = order[m], order[n]
    spent[TURN], spent[WAITING] = 0, waiting


@kernel(
    "i8(i8[:,::1], i8[::1], i8[::1], b1[::1], i8[:,:,::1], i8[:,::1], f8[:,::1], f8[:,::1], b1[:,::1],"
    " u1[::1], i2[:,::1], b1, i8[::1], i8[:,::1], i8[::1], u8[::1], i8[::1], i8, i8[:,::1])"
)
def separate(
    rows: Rows, starts: Rows, counts: Rows, locked: NDArray[np.bool_], links: Links, rooms: Rows,
    weights: Floats, scale: Floats, apart: NDArray[np.bool_], depths: Depths, spans: Spans, ordered: bool,
    settings: Rows, depth: Rows, order: Rows, state: NDArray[np.uint64], spent: Rows, limit: int,
    best_rows: Rows,
) -> int:  # fmt: skip
    """Run passes until nothing overlaps, or `spent[EVALUATIONS]` reaches `limit`; return the overlap left.

    Core i has shapes starts[i] to starts[i] + counts[i] - 1. `best_rows` are those of the least overlap at a
    pass's end, spent[LEAST]. A pass that the limit cuts off goes on in the next call, by `order` and
    spent[TURN]. `scale` weighs pairs by size.
    """
    count = rows.shape[0]
    near = np.empty((count, LINK), dtype=np.int64)
    weight, keep_apart = np.empty(count), np.empty(count, dtype=np.bool_)
    line = np.empty(max(1, rooms.max()))
    for i in range(count):
        measure(i, rows, links, apart, depths, spans, ordered, depth)
    both = weights * scale
    while True:
        if spent[TURN] >= spent[WAITING]:  # a new pass
            total = depth.sum() // 2
            if total < spent[LEAST]:
                spent[LEAST], spent[STALE] = total, 0
                best_rows[:] = rows
            if total == 0 or spent[EVALUATIONS] >= limit:
                return total
            _begin_pass(depth, locked, order, state, spent)
        while spent[TURN] < spent[WAITING]:
            if spent[EVALUATIONS] >= limit:
                return max(1, depth.sum() // 2)
            i = order[spent[TURN]]
            spent[TURN] += 1
            if depth[i].max() > 0:
                shapes = np.arange(starts[i], starts[i] + counts[i])
                best_place(
                    i, shapes, rows, links, rooms, both, apart, depths, spans, ordered, settings, near,
                    weight, keep_apart, line, state, spent,
                )  # fmt: skip
                measure(i, rows, links, apart, depths, spans, ordered, depth)
        raise_weights(depth, weights)
        both = weights * scale
        spent[PASSES] += 1
        spent[STALE] += 1


@kernel("b1(i8[:,::1], i8, i8, i8[:,:,::1], i2[:,::1])")
def stands_above(rows: Rows, i: int, j: int, links: Links, spans: Spans) -> bool:
    """Return True if core i, which does not overlap core j, has a part straight above a part of j."""
    link = links[rows[i, SHAPE], rows[j, SHAPE]]
    dx, dy = rows[i, X] - rows[j, X] - link[0], rows[i, Y] - rows[j, Y] - link[1]
    if link[SPAN_DOWN] < 0 or dx < 0 or dy < 0 or dx >= link[3] or dy >= link[4]:
        return False
    at = link[SPAN_FIRST] + dx * link[SPAN_X] + dy * link[SPAN_Y]
    if spans[at, HIGH] < spans[at, LOW]:
        return False
    low = int(spans[at, LOW])
    if link[SPAN_DOWN] == 1:
        low = link[EXTENT + 2] - 1 - int(spans[at, HIGH])
    return bool(rows[i, Z] - rows[j, Z] - link[2] > low)


@kernel("i8(b1[:,::1], b1[::1])")
def _wait_in_circles(first: NDArray[np.bool_], left: NDArray[np.bool_]) -> int:
    """Take out of `left` what waits for nobody and what nobody waits for, again and again; count the rest."""
    count = first.shape[0]
    remaining, changed = count, True
    while changed:
        changed = False
        for i in range(count):
            waits, blocks = False, False
            for j in range(count):
                waits = waits or (left[j] and first[j, i])
                blocks = blocks or (left[j] and first[i, j])
            if left[i] and not (waits and blocks):
                left[i], changed = False, True
                remaining -= 1
    return remaining


@kernel("i8(i8[:,::1], i8[:,:,::1], i2[:,::1], i8[:,::1], i8, b1[:,::1], b1[:,::1])")
def stuck(
    rows: Rows, links: Links, spans: Spans, heights: Rows, fineness: int, path: NDArray[np.bool_],
    first: NDArray[np.bool_],
) -> int:  # fmt: skip
    """Find who must leave before whom; return how many cores wait for each other in circles.

    `heights[s]` holds bed, free and sunk cells of a shape. Sets path[i, j] where i stands in the way up of j,
    and first[i, j] where i must leave before j and both belong to what waits in circles.
    """
    count = rows.shape[0]
    path[:], first[:] = False, False
    for i in range(count):
        for j in range(count):
            s, t = rows[i, SHAPE], rows[j, SHAPE]
            if i != j and s >= 0 and t >= 0:
                rise = (rows[i, Z] - rows[j, Z]) * fineness + heights[s, 2] - heights[t, 2]
                path[i, j] = stands_above(rows, i, j, links, spans)
                # or i would lose its bed before j is free
                first[i, j] = path[i, j] or heights[s, 0] + rise > heights[t, 1]
    left = np.ones(count, dtype=np.bool_)
    remaining = _wait_in_circles(first, left)
    for i in range(count):
        for j in range(count):
            first[i, j] = first[i, j] and left[i] and left[j]
    return remaining
