"""No-fit voxel sets: at which lattice offsets one core in its orientation comes too near another.

Lattice: `pitch_mm` along x and y, `cell_mm` = pitch / fineness along z; bodies are made of cells of `cell_mm`
(fine sets on a coarse lattice). A set is a bit field: one bit a height z, packed in 64-bit words, laid out
word by word as (words, x, y) so that kernels run along y. After Lamas-Fernandez, Bennell and
Martinez-Sykora, Operations Research 2022, doi 10.1287/opre.2022.2260 (no-fit voxels); the packing in bits
and the dilation run by run are our own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel

Words = NDArray[np.uint64]
Cells = NDArray[np.bool_]
Runs = NDArray[np.int32]


def runs_of(cells: Cells) -> Runs:
    """Return the runs of set cells along z as rows (x, y, first z, length), short ones first."""
    nx, ny, nz = cells.shape
    padded = np.zeros((nx, ny, nz + 2), dtype=np.int8)
    padded[:, :, 1:-1] = cells
    steps = np.diff(padded, axis=2)
    x, y, first = np.nonzero(steps == 1)
    _, _, end = np.nonzero(steps == -1)
    rows = np.stack([x, y, first, end - first], axis=1).astype(np.int32)
    return np.ascontiguousarray(rows[np.argsort(rows[:, 3], kind="stable")])


def packed(cells: Cells) -> Words:
    """Return cells (x, y, z) as words (z words, x, y), lowest z in the lowest bit."""
    nx, ny, nz = cells.shape
    words = -(-nz // 64)
    padded = np.zeros((nx, ny, words * 64), dtype=np.uint8)
    padded[:, :, :nz] = cells
    bits = np.packbits(padded, axis=2, bitorder="little").view("<u8")
    return np.ascontiguousarray(bits.transpose(2, 0, 1)).astype(np.uint64)


def growth(gap_mm: float, cell_mm: float) -> NDArray[np.int32]:
    """Return rows (dx, dy, half height in cells): cells nearer than the gap, measured between cells."""
    reach = int(np.ceil(gap_mm / cell_mm - 1e-9))
    rows = []
    for dx in range(-reach, reach + 1):
        for dy in range(-reach, reach + 1):
            flat = max(abs(dx) - 1, 0) ** 2 + max(abs(dy) - 1, 0) ** 2
            heights = [
                dz for dz in range(reach + 1)
                if np.sqrt(flat + max(dz - 1, 0) ** 2) * cell_mm < gap_mm - 1e-9
            ]  # fmt: skip
            if heights:
                rows.append((dx, dy, heights[-1]))
    return np.array(rows or [(0, 0, 0)], dtype=np.int32)


def margin_cells(gap_mm: float, cell_mm: float, fineness: int) -> int:
    """Return by how many cells a grown body's grid is wider on each side: a multiple of the fineness."""
    reach = int(np.ceil(gap_mm / cell_mm - 1e-9))
    return -(-reach // fineness) * fineness


def grown_planes(cells: Cells, gap_mm: float, cell_mm: float, fineness: int) -> Words:
    """Return the body grown by the gap, sorted by x and y modulo the fineness: (f, f, words, x, y)."""
    margin = margin_cells(gap_mm, cell_mm, fineness)
    wide = np.pad(cells, margin)
    flat = [-(-extent // fineness) * fineness for extent in wide.shape[:2]]
    wide = np.pad(wide, ((0, flat[0] - wide.shape[0]), (0, flat[1] - wide.shape[1]), (0, 0)))
    source = packed(wide)
    grown = np.zeros_like(source)
    _grow(source, growth(gap_mm, cell_mm), grown)
    planes = grown.reshape(len(grown), flat[0] // fineness, fineness, flat[1] // fineness, fineness)
    return np.ascontiguousarray(planes.transpose(2, 4, 0, 1, 3))


@kernel("void(u8[:,:,::1], u8[:,:,::1])")
def _spread(before: Words, spread: Words) -> None:
    """Set in `spread` every cell of `before` and those just above and below."""
    words, nx, ny = before.shape
    for w in range(words):
        for x in range(nx):
            for y in range(ny):
                value = (
                    before[w, x, y] | (before[w, x, y] << np.uint64(1)) | (before[w, x, y] >> np.uint64(1))
                )
                if w > 0:
                    value |= before[w - 1, x, y] >> np.uint64(63)
                if w + 1 < words:
                    value |= before[w + 1, x, y] << np.uint64(63)
                spread[w, x, y] = value


@kernel("void(u8[:,:,::1], i4[:,::1], u8[:,:,::1])")
def _grow(source: Words, offsets: NDArray[np.int32], grown: Words) -> None:
    """Set every cell of `grown` that an offset (x, y, half height) takes a source cell to."""
    words, nx, ny = source.shape
    spread = source.copy()
    for half in range(offsets[:, 2].max() + 1):
        if half > 0:
            _spread(spread.copy(), spread)
        for n in range(offsets.shape[0]):
            if offsets[n, 2] != half:
                continue
            dx, dy = offsets[n, 0], offsets[n, 1]
            for w in range(words):
                for x in range(max(0, -dx), min(nx, nx - dx)):
                    for y in range(max(0, -dy), min(ny, ny - dy)):
                        grown[w, x + dx, y + dy] |= spread[w, x, y]


@kernel("void(u8[:,:,:,:,::1], i8)")
def _smear(planes: Words, step: int) -> None:
    """Add to each plane itself moved up by `step` cells."""
    words = planes.shape[2]
    up, bit = step >> 6, np.uint64(step & 63)
    for i in range(planes.shape[0]):
        for j in range(planes.shape[1]):
            for w in range(words - 1, up - 1, -1):
                for x in range(planes.shape[3]):
                    into = planes[i, j, w, x]
                    near = planes[i, j, w - up, x]
                    for y in range(into.shape[0]):
                        into[y] |= near[y] << bit
                    if bit > 0 and w - up > 0:
                        far = planes[i, j, w - up - 1, x]
                        for y in range(into.shape[0]):
                            into[y] |= far[y] >> (np.uint64(64) - bit)


@kernel("void(u8[:,:,::1], i8, u8[:,:,::1], i8, i8)")
def _add_raised(planes: Words, shift: int, out: Words, x0: int, y0: int) -> None:
    """Add planes (words, x, y), raised by `shift` cells and moved to (x0, y0), to the set."""
    words, qx, qy = planes.shape
    up, bit = shift >> 6, np.uint64(shift & 63)
    for w in range(up, words):
        for x in range(qx):
            into = out[w, x0 + x, y0 : y0 + qy]
            near = planes[w - up, x]
            for y in range(qy):
                into[y] |= near[y] << bit
            if bit > 0 and w - up > 0:
                far = planes[w - up - 1, x]
                for y in range(qy):
                    into[y] |= far[y] >> (np.uint64(64) - bit)


@kernel("void(i4[:,::1], u8[:,:,:,:,::1], i8, i8, u8[:,:,::1])")
def add_no_fit(runs: Runs, grown: Words, height: int, fineness: int, out: Words) -> None:
    """Set the bits of `out` at which the body of `runs` (`height` cells tall) meets the grown body.

    Bit (x, y, z) stands for the offset (x - ox, y - oy, z - height + 1) of body to grown body, ox and oy
    being (cells - 1) // fineness of the body.
    """
    words, nx, ny = out.shape
    qx, qy = grown.shape[3], grown.shape[4]
    planes = np.zeros((fineness, fineness, words, qx, qy), dtype=np.uint64)
    planes[:, :, : grown.shape[2]] = grown
    length = 1
    for n in range(runs.shape[0]):
        while length < runs[n, 3]:
            step = min(length, runs[n, 3] - length)
            _smear(planes, step)
            length += step
        px, py = runs[n, 0], runs[n, 1]
        x0, y0 = nx - qx - px // fineness, ny - qy - py // fineness
        _add_raised(planes[px % fineness, py % fineness], height - runs[n, 2] - runs[n, 3], out, x0, y0)


def no_fit_shape(
    body: tuple[int, ...], grown: Words, grown_height: int, fineness: int
) -> tuple[int, int, int, int]:
    """Return (words, x, y, heights) of the set of a body against a grown one."""
    heights = body[2] + grown_height - 1
    x = (body[0] - 1) // fineness + grown.shape[3]
    y = (body[1] - 1) // fineness + grown.shape[4]
    return -(-heights // 64), x, y, heights
