"""Bilevel image files: TIFF coded by ITU-T T.6 (group 4), and PNG, with physical resolution and place."""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from corelib.export.g4_kernels import group4

Bits = NDArray[np.uint8]
ImageFormat = Literal["tiff", "png"]
SUFFIX: dict[ImageFormat, str] = {"tiff": "tif", "png": "png"}


@dataclass(frozen=True)
class ImagePlace:
    """Pitches of an image's columns and rows, and its first pixel's place on the whole canvas."""

    column_pitch_mm: float
    row_pitch_mm: float
    column: int
    row: int


def image_file(bits: Bits, width: int, place: ImagePlace, image_format: ImageFormat) -> bytes:
    """Return the bytes of an image file of packed rows; a sample has the bit's own value, 1 shows white."""
    return (tiff_file if image_format == "tiff" else png_file)(bits, width, place)


def _rational(value: float) -> tuple[int, int]:
    """Return value as numerator and denominator of 32 bits; whole numbers and tenths stay exact."""
    denominator = 10000
    while round(value * denominator) >= 2**32:
        denominator //= 10
    return round(value * denominator), denominator


def tiff_file(bits: Bits, width: int, place: ImagePlace) -> bytes:
    """Return a little-endian TIFF 6.0 file with one strip; resolution and position in pixels a centimetre."""
    strip = group4(bits, width)
    short, long, rational = 3, 4, 5
    entries: list[tuple[int, int, int | tuple[int, int]]] = [
        (256, long, width),
        (257, long, len(bits)),
        (258, short, 1),  # bits a sample
        (259, short, 4),  # T.6
        (262, short, 1),  # 0 shows black
        (266, short, 1),  # highest bit first
        (273, long, 8),  # the strip follows the header
        (277, short, 1),
        (278, long, max(1, len(bits))),
        (279, long, len(strip)),
        (282, rational, _rational(10.0 / place.column_pitch_mm)),
        (283, rational, _rational(10.0 / place.row_pitch_mm)),
        (286, rational, _rational(place.column * place.column_pitch_mm / 10.0)),
        (287, rational, _rational(place.row * place.row_pitch_mm / 10.0)),
        (293, long, 0),
        (296, short, 3),  # centimetre
    ]
    padded = strip + b"\0" * (len(strip) % 2)
    directory = 8 + len(padded)
    values_at = directory + 2 + 12 * len(entries) + 4
    fields, values = b"", b""
    for tag, kind, value in entries:
        if isinstance(value, tuple):
            content = struct.pack("<I", values_at + len(values))
            values += struct.pack("<II", *value)
        else:
            content = struct.pack("<I", value)
        fields += struct.pack("<HHI", tag, kind, 1) + content
    head = struct.pack("<2sHI", b"II", 42, directory)
    return head + padded + struct.pack("<H", len(entries)) + fields + struct.pack("<I", 0) + values


def png_file(bits: Bits, width: int, place: ImagePlace) -> bytes:
    """Return a PNG file of bit depth 1 with physical pixel size (whole pixels a metre) and offset."""
    rows = np.zeros((len(bits), 1 + (width + 7) // 8), dtype=np.uint8)  # filter type 0 before each row
    rows[:, 1:] = bits[:, : (width + 7) // 8]
    per_metre = (round(1000.0 / place.column_pitch_mm), round(1000.0 / place.row_pitch_mm))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        _chunk(kind, content)
        for kind, content in (
            (b"IHDR", struct.pack(">IIBBBBB", width, len(bits), 1, 0, 0, 0, 0)),
            (b"oFFs", struct.pack(">iiB", place.column, place.row, 0)),
            (b"pHYs", struct.pack(">IIB", *per_metre, 1)),
            (b"IDAT", zlib.compress(rows.tobytes(), 1)),
            (b"IEND", b""),
        )
    )


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
