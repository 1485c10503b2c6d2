"""Kernel that codes packed bits as ITU-T T.6 (facsimile group 4): each row against the one above it."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.kernels import kernel
from corelib.reference import table

Bits = NDArray[np.uint8]
Ints = NDArray[np.int32]

VERTICAL_CODES = np.array([0b0000010, 0b000010, 0b010, 0b1, 0b011, 0b000011, 0b0000011], dtype=np.int32)
VERTICAL_LENGTHS = np.array([7, 6, 3, 1, 3, 6, 7], dtype=np.int32)
"""Codes for a change 3 left to 3 right of the one above (T.6, table 1)."""

_CODES = "Array(int32, 3, 'C', True)"
_VERTICAL = "Array(int32, 1, 'C', True)"


@cache
def run_codes() -> NDArray[np.int32]:
    """Return codes and lengths (colour, entry, 2): runs 0 to 63, 64, 128 … 2560 (T.4, tables 2 and 3)."""
    codes = np.zeros((2, 104, 2), dtype=np.int32)
    for colour, name in enumerate(("white", "black")):
        entries = table("t4_run_codes")[name]
        for place, bits in enumerate([*entries["terminating"], *entries["make_up"]]):
            codes[colour, place] = int(bits, 2), len(bits)
    codes.flags.writeable = False
    return codes


@kernel("int64(uint8[::1], int64, int64, int64)")
def put(out: Bits, at: int, code: int, length: int) -> int:
    """Write a code's bits at bit `at`, highest first; return the bit after it. The buffer holds zeros."""
    end = at + length
    left = length
    while left > 0:
        room = 8 - (at & 7)
        take = min(room, left)
        piece = (code >> (left - take)) & ((1 << take) - 1)
        out[at >> 3] |= piece << (room - take)
        at += take
        left -= take
    return end


@kernel(f"int64(uint8[::1], int64, int64, int64, {_CODES})")
def put_run(out: Bits, at: int, run: int, colour: int, codes: Ints) -> int:
    """Write a run: make-up codes, then a terminating code."""
    while run >= 2560 + 64:
        at = put(out, at, codes[colour, 103, 0], codes[colour, 103, 1])
        run -= 2560
    if run >= 64:
        place = 63 + run // 64
        at = put(out, at, codes[colour, place, 0], codes[colour, place, 1])
        run %= 64
    return put(out, at, codes[colour, run, 0], codes[colour, run, 1])


@kernel("int64(Array(uint8, 1, 'C', True), Array(uint64, 1, 'C', True), int64, int32[::1])")
def find_changes(row: Bits, words: NDArray[np.uint64], width: int, changes: Ints) -> int:
    """Write where the row changes colour, which is 0 before it; return how many changes there are.

    `words` is the row again, eight bytes at a time: most of a layer is passed over by whole words.
    """
    count = 0
    before = 0
    full = ~np.uint64(0)
    for word in range(words.shape[0]):
        if words[word] == (full if before else np.uint64(0)):
            continue
        for byte in range(8 * word, 8 * word + 8):
            value = row[byte]
            if value == (0xFF if before else 0x00):
                continue
            for bit in range(8):
                column = 8 * byte + bit
                if column >= width:
                    break
                now = (value >> (7 - bit)) & 1
                if now != before:
                    changes[count] = column
                    count += 1
                    before = now
    changes[count] = changes[count + 1] = changes[count + 2] = width
    return count


@kernel(f"int64(int32[::1], int32[::1], int64, int64, uint8[::1], {_CODES}, {_VERTICAL}, {_VERTICAL})")
def code_row(
    above: Ints, own: Ints, width: int, at: int, out: Bits, codes: Ints, vertical: Ints, vertical_length: Ints
) -> int:
    """Write one row against the row above, both given by their changes; return the bit after it."""
    a0 = -1
    i = j = colour = 0
    while a0 < width:
        a1 = own[i]
        while j > 0 and above[j - 1] > a0:
            j -= 1
        while above[j] <= a0 and above[j] < width:
            j += 1
        if (j & 1) != colour and above[j] < width:
            j += 1
        b1, b2 = above[j], above[j + 1] if above[j] < width else width
        if b2 < a1:
            at = put(out, at, 0b0001, 4)
            a0 = b2
        elif -3 <= a1 - b1 <= 3:
            at = put(out, at, vertical[a1 - b1 + 3], vertical_length[a1 - b1 + 3])
            a0 = a1
            i += 1
            colour = 1 - colour
        else:
            a2 = own[i + 1]
            at = put(out, at, 0b001, 3)
            at = put_run(out, at, a1 - max(a0, 0), colour, codes)
            at = put_run(out, at, a2 - a1, 1 - colour, codes)
            a0 = a2
            i += 2
    return at


@kernel(
    "int64(Array(uint8, 2, 'C', True), Array(uint64, 2, 'C', True), int64, uint8[::1], "
    f"{_CODES}, {_VERTICAL}, {_VERTICAL})"
)
def code_image(
    bits: Bits,
    words: NDArray[np.uint64],
    width: int,
    out: Bits,
    codes: Ints,
    vertical: Ints,
    vertical_length: Ints,
) -> int:
    """Write all rows and the end of block into a buffer of zeros; return its bytes, -1 if too small."""
    above = np.empty(width + 4, dtype=np.int32)
    own = np.empty(width + 4, dtype=np.int32)
    above[:3] = width
    at = 0
    for r in range(bits.shape[0]):
        count = find_changes(bits[r], words[r], width, own)
        most = 32 * (count + 2) + 26 * (width // 2560 + 1)
        if at + most + 64 > 8 * out.shape[0]:
            return -1
        at = code_row(above, own, width, at, out, codes, vertical, vertical_length)
        above, own = own, above
    at = put(out, at, 0x001001, 24)
    return (at + 7) >> 3


def group4(bits: Bits, width: int) -> bytes:
    """Return the T.6 code of packed rows (highest bit first; a 0 is white to the code)."""
    row_bytes = (width + 63) // 64 * 8
    padded = np.zeros((len(bits), row_bytes), dtype=np.uint8)
    padded[:, : (width + 7) // 8] = bits[:, : (width + 7) // 8]
    size = 65536 + bits.size // 16
    while True:
        out: Any = np.zeros(size, dtype=np.uint8)
        count = code_image(
            padded, padded.view(np.uint64), width, out, run_codes(), VERTICAL_CODES, VERTICAL_LENGTHS
        )
        if count >= 0:
            return out[:count].tobytes()
        size *= 4
