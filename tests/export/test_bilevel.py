"""Bilevel files of our own making, read back by libraries and by libtiff's own tool."""

import io
import re
import struct
import subprocess
import zlib

import numpy as np
import pytest
import tifffile
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from corelib.export.bilevel import ImagePlace, image_file, png_file, tiff_file
from corelib.export.g4_kernels import group4, run_codes

PLACE = ImagePlace(0.1, 0.0635, 120, 40)


def packed(image):
    return np.packbits(image, axis=1)


def patterns():
    rng = np.random.default_rng(5)
    yield np.zeros((3, 1), dtype=bool)
    yield np.ones((2, 17), dtype=bool)
    yield np.arange(64)[None, :] % 2 == 0
    yield rng.random((40, 333)) < 0.5
    yield rng.random((40, 333)) < 0.02
    yield np.cumsum(rng.random((60, 9000)) < 0.001, axis=1) % 2 > 0
    yield np.repeat(np.repeat(rng.random((9, 50)) < 0.4, 13, axis=1), 5, axis=0)
    stair = np.zeros((30, 200), dtype=bool)  # vertical modes of every distance, to both sides
    for row in range(30):
        stair[row, 60 + (row * 7) % 11 : 120 - (row * 5) % 9] = True
    yield stair


@pytest.mark.parametrize("image", list(patterns()), ids=range(8))
def test_files_are_read_back_bit_by_bit(image):
    tiff = tiff_file(packed(image), image.shape[1], PLACE)
    png = png_file(packed(image), image.shape[1], PLACE)
    assert np.array_equal(np.array(Image.open(io.BytesIO(tiff))), image)
    assert np.array_equal(np.array(Image.open(io.BytesIO(png))), image)


@settings(max_examples=80)
@given(
    seed=st.integers(0, 10**9),
    width=st.integers(1, 700),
    height=st.integers(1, 12),
    runs=st.floats(0.001, 0.99),
)
def test_any_picture_survives_group_4(seed, width, height, runs):
    image = np.cumsum(np.random.default_rng(seed).random((height, width)) < runs, axis=1) % 2 > 0
    read = np.array(Image.open(io.BytesIO(tiff_file(packed(image), width, PLACE))))
    assert np.array_equal(read, image)


@pytest.mark.parametrize("colour", [0, 1])
def test_every_run_length_has_its_code(colour):
    """Each run of 0 to 5300 pixels of either colour through libtiff: each entry of the table is right."""
    lengths = [
        *range(130),
        *range(190, 2700, 61),
        2559,
        2560,
        2561,
        2623,
        2624,
        2625,
        5119,
        5120,
        5184,
        5300,
    ]
    width = 5400
    image = np.zeros((2 * len(lengths), width), dtype=bool)
    for i, length in enumerate(lengths):
        image[2 * i, 20 : 20 + length] = True
    image ^= bool(colour)
    assert np.array_equal(np.array(Image.open(io.BytesIO(tiff_file(packed(image), width, PLACE)))), image)


def test_codes_are_prefix_free_and_complete():
    """Codes known from T.4 (from memory): white 2 is 0111, black 2 is 11, make-up 2560 is 000000011111."""
    codes = run_codes()
    assert (int(codes[0, 2, 0]), int(codes[0, 2, 1])) == (0b0111, 4)
    assert (int(codes[1, 2, 0]), int(codes[1, 2, 1])) == (0b11, 2)
    assert (int(codes[1, 103, 0]), int(codes[1, 103, 1])) == (0b000000011111, 12)
    for colour in range(2):
        texts = [f"{int(code):0{int(length)}b}" for code, length in codes[colour]]
        assert len(set(texts)) == 104
        assert not any(a != b and b.startswith(a) for a in texts for b in texts)


def test_group_4_is_as_small_as_libtiffs():
    image = np.cumsum(np.random.default_rng(2).random((200, 3000)) < 0.003, axis=1) % 2 > 0
    stream = io.BytesIO()
    Image.fromarray(image).save(stream, "TIFF", compression="group4")
    stream.seek(0)
    with tifffile.TiffFile(stream) as theirs:
        size = sum(theirs.pages[0].databytecounts)
    assert len(group4(packed(image), 3000)) <= size


def test_tifffile_reads_size_resolution_and_place():
    image = np.random.default_rng(1).random((21, 45)) < 0.3
    with tifffile.TiffFile(io.BytesIO(tiff_file(packed(image), 45, PLACE))) as read:
        page = read.pages[0]
        tags = {tag.name: tag.value for tag in page.tags.values()}
    assert page.shape == (21, 45)
    assert page.compression == 4
    assert tags["ResolutionUnit"] == 3
    assert tags["XResolution"][0] / tags["XResolution"][1] == pytest.approx(100.0, rel=1e-9)
    assert tags["YResolution"][0] / tags["YResolution"][1] == pytest.approx(10 / 0.0635, rel=1e-6)
    assert tags["XPosition"][0] / tags["XPosition"][1] == pytest.approx(1.2)
    assert tags["YPosition"][0] / tags["YPosition"][1] == pytest.approx(0.254)


def test_tiffinfo_has_nothing_to_say_against_it(tmp_path):
    """libtiff's tool (Debian package libtiff-tools) reads every strip (-D) and reports no warning."""
    image = np.random.default_rng(1).random((300, 1000)) < 0.1
    path = tmp_path / "layer.tif"
    path.write_bytes(tiff_file(packed(image), 1000, PLACE))
    told = subprocess.run(["tiffinfo", "-D", str(path)], capture_output=True, text=True, check=True)
    assert told.stderr == ""
    assert "Compression Scheme: CCITT Group 4" in told.stdout
    assert re.search(r"Resolution: 100, 157\.4\d+ pixels/cm", told.stdout)
    assert "Image Width: 1000 Image Length: 300" in told.stdout


def test_png_holds_resolution_and_place():
    raw = png_file(packed(np.eye(20, dtype=bool)), 20, PLACE)
    assert Image.open(io.BytesIO(raw)).info["dpi"] == pytest.approx((254.0, 400.0), rel=1e-4)
    at = raw.index(b"oFFs")
    assert struct.unpack(">iiB", raw[at + 4 : at + 13]) == (120, 40, 0)
    assert struct.unpack(">I", raw[at + 13 : at + 17])[0] == zlib.crc32(raw[at : at + 13])


def test_format_is_chosen_by_name():
    bits = packed(np.eye(9, dtype=bool))
    assert image_file(bits, 9, PLACE, "tiff")[:2] == b"II"
    assert image_file(bits, 9, PLACE, "png")[1:4] == b"PNG"
