"""How deep two cores stand in each other, for every offset: tables that the search only has to look up.

A table belongs to two bodies in one relative rotation. It holds, for each offset on the lattice, by how many
lattice steps along the axes (in all) the one body would have to move to keep the gap to the other: 0 outside
the no-fit set. Turning both bodies together turns the offset, so one table serves all pairs of orientations
of the same relative rotation, and the mirrored pair as well. After Egeblad, Nielsen and Odgaard, European
Journal of Operational Research 2007 (least overlap by guided local search) and Umetani et al., International
Transactions in Operational Research 2009 (penetration depth in place of overlap).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel
from corelib.nesting.nofit import Words

Depths = NDArray[np.uint8]
Spans = NDArray[np.int16]
LOW, HIGH, RIM = range(3)
DEEPEST = 255


@kernel("void(u8[:,:,::1], i8, i8, u1[:,:,::1])")
def set_depths(words: Words, first: int, step: int, out: Depths) -> None:
    """Set the steps out of a no-fit set; out[x, y, k] stands for bit `first + step · k` of column (x, y)."""
    nx, ny, nz = out.shape
    for x in range(nx):
        for y in range(ny):
            below = 0
            for k in range(nz):
                z = first + step * k
                if (words[z >> 6, x, y] >> np.uint64(z & 63)) & np.uint64(1):
                    left = out[x - 1, y, k] if x > 0 else 0
                    front = out[x, y - 1, k] if y > 0 else 0
                    below = min(min(min(left, front), below) + 1, DEEPEST)
                else:
                    below = 0
                out[x, y, k] = below
    for x in range(nx - 1, -1, -1):
        for y in range(ny - 1, -1, -1):
            above = 0
            for k in range(nz - 1, -1, -1):
                here = int(out[x, y, k])
                if here > 0:
                    right = out[x + 1, y, k] if x + 1 < nx else 0
                    back = out[x, y + 1, k] if y + 1 < ny else 0
                    here = min(here, min(min(right, back), above) + 1)
                    out[x, y, k] = here
                above = here


@kernel("void(u1[:,:,::1], i8, i2[:,:,::1])")
def set_spans(path: Depths, axis: int, out: Spans) -> None:
    """Set for each column along an axis its lowest and highest set place and the steps out of all columns.

    `out` is over the other two axes in their order; an empty column has low 1, high 0 and 0 steps.
    """
    na, nb = out.shape[0], out.shape[1]
    length = path.shape[axis]
    for a in range(na):
        for b in range(nb):
            low, high = length, -1
            for k in range(length):
                if axis == 0:
                    value = path[k, a, b]
                elif axis == 1:
                    value = path[a, k, b]
                else:
                    value = path[a, b, k]
                if value > 0:
                    low, high = min(low, k), k
            out[a, b, LOW], out[a, b, HIGH], out[a, b, RIM] = 1, 0, 0
            if high >= 0:
                left = out[a - 1, b, RIM] if a > 0 else 0
                front = out[a, b - 1, RIM] if b > 0 else 0
                out[a, b, LOW], out[a, b, HIGH], out[a, b, RIM] = low, high, min(left, front) + 1
    for a in range(na - 1, -1, -1):
        for b in range(nb - 1, -1, -1):
            right = out[a + 1, b, RIM] if a + 1 < na else 0
            back = out[a, b + 1, RIM] if b + 1 < nb else 0
            out[a, b, RIM] = min(int(out[a, b, RIM]), min(right, back) + 1)
