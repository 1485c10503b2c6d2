"""No-fit sets against a count of cell pairs, one offset after the other."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.nesting.nofit import (
    add_no_fit,
    grown_planes,
    margin_cells,
    no_fit_shape,
    packed,
    runs_of,
)


def unpacked(words, nz):
    """Words (z words, x, y) as cells (x, y, z)."""
    columns = np.ascontiguousarray(words.transpose(1, 2, 0)).astype("<u8").view(np.uint8)
    return np.unpackbits(columns, axis=2, bitorder="little")[:, :, :nz].astype(np.bool_)


def meets(moving, fixed, offset, gap):
    """Whether any cell of the moved body lies nearer than the gap to one of the other, cell to cell."""
    steps = np.abs((np.argwhere(moving) + offset)[:, None] - np.argwhere(fixed)[None])
    if gap == 0:
        return bool((steps.max(axis=-1) == 0).any())
    return bool((np.sqrt((np.maximum(steps - 1, 0) ** 2).sum(axis=-1)) < gap - 1e-9).any())


def no_fit(moving, fixed, gap, fineness):
    grown = grown_planes(fixed, gap, 1.0, fineness)
    margin = margin_cells(gap, 1.0, fineness)
    words, nx, ny, heights = no_fit_shape(moving.shape, grown, fixed.shape[2] + 2 * margin, fineness)
    out = np.zeros((words, nx, ny), dtype=np.uint64)
    add_no_fit(runs_of(moving), grown, moving.shape[2], fineness, out)
    return unpacked(out, heights), margin


@given(st.integers(0, 2**32), st.sampled_from([0.0, 1.0, 2.3, 3.0]), st.sampled_from([1, 2]))
@settings(max_examples=15, deadline=None)
def test_every_offset_is_judged_as_by_counting(seed, gap, fineness):
    rng = np.random.default_rng(seed)
    moving = rng.random(rng.integers(1, 5, 3)) < 0.5
    fixed = rng.random(rng.integers(1, 5, 3)) < 0.5
    bits, margin = no_fit(moving, fixed, gap, fineness)
    for x, y, z in np.ndindex(bits.shape):
        offset = np.array(
            [
                (x - (moving.shape[0] - 1) // fineness) * fineness - margin,
                (y - (moving.shape[1] - 1) // fineness) * fineness - margin,
                z - moving.shape[2] + 1 - margin,
            ]
        )
        assert bits[x, y, z] == meets(moving, fixed, offset, gap)


def test_tall_bodies_cross_word_borders():
    moving, fixed = np.zeros((2, 2, 70), dtype=bool), np.zeros((2, 3, 90), dtype=bool)
    moving[0] = moving[:, :, 5] = True
    fixed[:, :, ::9] = True
    bits, margin = no_fit(moving, fixed, 1.5, 1)
    for z in range(bits.shape[2]):
        offset = np.array([-margin, -margin, z - 69 - margin])
        assert bits[1, 1, z] == meets(moving, fixed, offset, 1.5)


@given(st.integers(0, 2**32))
@settings(max_examples=20, deadline=None)
def test_packing_cells(seed):
    rng = np.random.default_rng(seed)
    cells = rng.random((3, 4, int(rng.integers(1, 200)))) < 0.5
    words = packed(cells)
    assert (unpacked(words, cells.shape[2]) == cells).all()
