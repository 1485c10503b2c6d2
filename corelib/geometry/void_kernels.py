"""Compiled passes over cells: distances, floods, straight sight, depth behind an opening."""

from __future__ import annotations

from typing import Any

import numpy as np

from corelib.kernels import kernel

_B3 = "Array(boolean, 3, 'C', readonly=True)"


@kernel("void(int64[::1], int64, int64[::1], int64[::1], int64[::1])")
def _lower_envelope(heights: Any, n: Any, places: Any, starts: Any, out: Any) -> Any:
    """Set out[x] to the least of heights[i] + (x − i)² over all i < n."""
    top = 0
    places[0] = 0
    starts[0] = 0
    for u in range(1, n):
        while top >= 0:
            t, i = starts[top], places[top]
            if (t - i) * (t - i) + heights[i] > (t - u) * (t - u) + heights[u]:
                top -= 1
            else:
                break
        if top < 0:
            top = 0
            places[0] = u
            starts[0] = 0
        else:
            i = places[top]
            start = 1 + (u * u - i * i + heights[u] - heights[i]) // (2 * (u - i))
            if start < n:
                top += 1
                places[top] = u
                starts[top] = start
    for x in range(n - 1, -1, -1):
        i = places[top]
        out[x] = (x - i) * (x - i) + heights[i]
        if x == starts[top]:
            top -= 1


@kernel(f"int32[:, :, ::1]({_B3})")
def squared_distances(targets: Any) -> Any:
    """Squared distance in cells from each cell to the nearest target, exact.

    Meijster, Roerdink and Hesselink, A general algorithm for computing distance transforms in linear time
    (2000).
    """
    nx, ny, nz = targets.shape
    far = nx + ny + nz
    found = np.empty((nx, ny, nz), np.int32)
    longest = max(nx, ny)
    heights, out = np.empty(longest, np.int64), np.empty(longest, np.int64)
    places, starts = np.empty(longest, np.int64), np.empty(longest, np.int64)
    for i in range(nx):
        for j in range(ny):
            run = far
            for k in range(nz):
                run = 0 if targets[i, j, k] else min(far, run + 1)
                found[i, j, k] = run
            run = far
            for k in range(nz - 1, -1, -1):
                run = min(found[i, j, k], run + 1)
                found[i, j, k] = run * run
        for k in range(nz):
            for j in range(ny):
                heights[j] = found[i, j, k]
            _lower_envelope(heights, ny, places, starts, out)
            for j in range(ny):
                found[i, j, k] = out[j]
    for j in range(ny):
        for k in range(nz):
            for i in range(nx):
                heights[i] = found[i, j, k]
            _lower_envelope(heights, nx, places, starts, out)
            for i in range(nx):
                found[i, j, k] = out[i]
    return found


@kernel(f"int32[:, :, ::1]({_B3}, {_B3}, boolean)")
def steps_from(starts: Any, allowed: Any, with_corners: Any) -> Any:
    """Steps from the nearest start through allowed cells; -1 where there is no way. Starts count 0."""
    nx, ny, nz = allowed.shape
    steps = np.full((nx, ny, nz), -1, np.int32)
    queue = np.empty(nx * ny * nz, np.int32)
    head, tail = 0, 0
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                if starts[i, j, k]:
                    steps[i, j, k] = 0
                    queue[tail] = (i * ny + j) * nz + k
                    tail += 1
    while head < tail:
        place = queue[head]
        head += 1
        i, j, k = place // (ny * nz), (place // nz) % ny, place % nz
        for a in range(max(0, i - 1), min(nx, i + 2)):
            for b in range(max(0, j - 1), min(ny, j + 2)):
                for c in range(max(0, k - 1), min(nz, k + 2)):
                    if not allowed[a, b, c] or steps[a, b, c] >= 0:
                        continue
                    if not with_corners and abs(a - i) + abs(b - j) + abs(c - k) > 1:
                        continue
                    steps[a, b, c] = steps[i, j, k] + 1
                    queue[tail] = (a * ny + b) * nz + c
                    tail += 1
    return steps


@kernel(f"Tuple((int32[:, :, ::1], int64))({_B3})")
def labelled(cells: Any) -> Any:
    """Number the groups of cells that touch with a face, 1.. in order of first appearance; 0 outside."""
    nx, ny, nz = cells.shape
    label = np.zeros((nx, ny, nz), np.int32)
    queue = np.empty(nx * ny * nz, np.int32)
    count = 0
    for start in range(nx * ny * nz):
        i, j, k = start // (ny * nz), (start // nz) % ny, start % nz
        if not cells[i, j, k] or label[i, j, k] != 0:
            continue
        count += 1
        label[i, j, k] = count
        queue[0] = start
        head, tail = 0, 1
        while head < tail:
            place = queue[head]
            head += 1
            i, j, k = place // (ny * nz), (place // nz) % ny, place % nz
            for side in range(6):
                step = 1 if side % 2 else -1
                a = i + (step if side // 2 == 0 else 0)
                b = j + (step if side // 2 == 1 else 0)
                c = k + (step if side // 2 == 2 else 0)
                if 0 <= a < nx and 0 <= b < ny and 0 <= c < nz and cells[a, b, c] and label[a, b, c] == 0:
                    label[a, b, c] = count
                    queue[tail] = (a * ny + b) * nz + c
                    tail += 1
    return label, np.int64(count)


@kernel(f"boolean[:, :, ::1]({_B3})")
def seen_from_outside(empty: Any) -> Any:
    """Empty cells from which a straight line of empty cells leads out, in one of 26 directions."""
    nx, ny, nz = empty.shape
    seen = np.zeros((nx, ny, nz), np.bool_)
    sight = np.empty((nx, ny, nz), np.bool_)
    for di in range(-1, 2):
        for dj in range(-1, 2):
            for dk in range(-1, 2):
                if di == 0 and dj == 0 and dk == 0:
                    continue
                # each cell looks towards (di, dj, dk); cells there come first
                for p in range(nx):
                    i = nx - 1 - p if di > 0 else p
                    for q in range(ny):
                        j = ny - 1 - q if dj > 0 else q
                        for r in range(nz):
                            k = nz - 1 - r if dk > 0 else r
                            a, b, c = i + di, j + dj, k + dk
                            clear = empty[i, j, k]
                            if clear and 0 <= a < nx and 0 <= b < ny and 0 <= c < nz:
                                clear = sight[a, b, c]
                            sight[i, j, k] = clear
                            if clear:
                                seen[i, j, k] = True
    return seen
