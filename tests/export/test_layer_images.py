"""Layer images in the machine's convention, the folder that is filled aside, and runs that were cut off."""

import io
import json
from itertools import product

import numpy as np
import pytest
from PIL import Image

from corelib.errors import FileError
from corelib.export.layer_images import (
    ImageConvention,
    ImageFolder,
    LayerImageWriter,
    oriented_image,
    proof_image,
)
from corelib.layers.grid import PixelGrid
from corelib.layers.raster import LayerPixels

ORIGINS = ("left front", "left back", "right front", "right back")


def convention(**changes):
    stated = {
        "jet_value": 1,
        "origin": "left front",
        "rows": "along travel",
        "canvas": "full box",
        "first_number": 0,
        "blank_layers": True,
        "image_format": "tiff",
    }
    return ImageConvention(**{**stated, **changes})


def floor_seen_from_above(grid):
    """A picture without symmetry as it lies on the box floor: [y, x] booleans, and packed canvas rows."""
    shape = (grid.columns, grid.rows) if grid.swapped else (grid.rows, grid.columns)
    floor = np.zeros(shape, dtype=bool)
    floor[3:20, 5:9] = True
    floor[17:20, 5:30] = True
    floor[40, 2] = True
    rows = floor.T if grid.swapped else floor
    return floor, np.packbits(rows, axis=1)


def as_the_machine_reads(floor, origin, image_rows_along_x):
    """The oracle: start at the origin corner of the floor and read along the image's rows."""
    turned = floor
    if "right" in origin:
        turned = turned[:, ::-1]
    if "back" in origin:
        turned = turned[::-1]
    return turned if image_rows_along_x else turned.T


@pytest.mark.parametrize(
    ("axis", "origin", "rows", "columns"),
    [
        (axis, origin, rows, columns)
        for (axis, origin, rows), columns in product(
            product("xy", ORIGINS, ("along travel", "across travel")), (64, 61)
        )
    ],
)
def test_each_turn_and_mirror_image_is_the_one_stated(axis, origin, rows, columns):
    grid = PixelGrid(axis, 0.1, 0.2, columns, 50)
    floor, bits = floor_seen_from_above(grid)
    image = oriented_image(bits, (0, 50, 0, columns), grid, convention(origin=origin, rows=rows))
    read = np.unpackbits(image.bits, axis=1, count=image.width).astype(bool)
    rows_along_x = (axis == "x") == (rows == "along travel")
    assert np.array_equal(read, as_the_machine_reads(floor, origin, rows_along_x))
    along = rows == "along travel"
    assert (image.place.column_pitch_mm, image.place.row_pitch_mm) == ((0.1, 0.2) if along else (0.2, 0.1))


@pytest.mark.parametrize(("origin", "rows"), list(product(ORIGINS, ("along travel", "across travel"))))
@pytest.mark.parametrize("columns", [64, 61])
def test_a_trimmed_image_lies_where_its_offset_says(origin, rows, columns):
    grid = PixelGrid("x", 0.1, 0.1, columns, 50)
    _, bits = floor_seen_from_above(grid)
    stated = convention(origin=origin, rows=rows)
    whole = oriented_image(bits, (0, 50, 0, columns), grid, stated)
    part = oriented_image(bits, (3, 41, 2, 30), grid, stated)
    canvas = np.zeros((len(whole.bits), whole.width), dtype=bool)
    read = np.unpackbits(part.bits, axis=1, count=part.width).astype(bool)
    top, left = part.place.row, part.place.column
    canvas[top : top + len(read), left : left + part.width] = read
    assert np.array_equal(canvas, np.unpackbits(whole.bits, axis=1, count=whole.width).astype(bool))


def test_the_jet_value_turns_black_and_white():
    grid = PixelGrid("x", 0.1, 0.1, 61, 50)
    floor, bits = floor_seen_from_above(grid)
    window = (0, 50, 0, 61)
    read = {}
    for value in (0, 1):
        image = oriented_image(bits, window, grid, convention(jet_value=value))
        read[value] = np.unpackbits(image.bits, axis=1, count=61).astype(bool)
    assert np.array_equal(read[1], floor)
    assert np.array_equal(read[0], ~floor)


def drawn(bits, layer):
    rows = np.bitwise_count(bits).sum(axis=1).astype(np.int32)
    columns = np.unpackbits(bits, axis=1)
    reach = np.array(
        [(r.argmax(), len(r) - r[::-1].argmax()) if r.any() else (2**31 - 1, 0) for r in columns]
    )
    return LayerPixels(layer, rows, reach.astype(np.int32), 0, 0)


GRID = PixelGrid("x", 0.1, 0.1, 64, 50)


def write_layers(folder, layers, stated=None, stop_after=None):
    _, bits = floor_seen_from_above(GRID)
    writer = LayerImageWriter(folder, 0, GRID, stated or convention())
    entries = []
    for layer in layers:
        if layer == stop_after:
            raise KeyboardInterrupt
        own = bits.copy()
        own[0, 0] = layer
        entries.append(writer(drawn(own, layer), own))
    return entries


def test_a_finished_folder_has_its_index_and_nothing_else(tmp_path):
    folder = ImageFolder(tmp_path / "out", "key")
    entries = write_layers(folder, range(3))
    assert not (tmp_path / "out").exists()
    folder.finish({"index.json": b"{}"})
    assert sorted(path.name for path in (tmp_path / "out").rglob("*") if path.is_file()) == [
        "index.json",
        "layer-00000.tif",
        "layer-00001.tif",
        "layer-00002.tif",
    ]
    assert not (tmp_path / "out.partial").exists()
    for entry in entries:
        image = np.array(Image.open(tmp_path / "out" / entry["file"]))
        assert image.sum() == entry["pixels"]
        assert image.shape == (entry["height"], entry["width"]) == (50, 64)


def test_a_run_that_was_cut_off_goes_on_where_it_stopped(tmp_path):
    with pytest.raises(KeyboardInterrupt):
        write_layers(ImageFolder(tmp_path / "out", "key"), range(6), stop_after=4)
    assert not (tmp_path / "out").exists()
    partial = tmp_path / "out.partial"
    assert not (partial / "index.json").exists()
    first = partial / "box-1" / "layer-00001.tif"
    first.write_bytes(first.read_bytes()[:-3])  # damaged since
    with (partial / "done.jsonl").open("a") as notes:
        notes.write('{"file": "box-1/lay')  # the note that was cut off
    again = ImageFolder(tmp_path / "out", "key")
    resumed = write_layers(again, range(6))
    assert again.resumed == 3
    again.finish({"index.json": b"{}"})
    fresh = ImageFolder(tmp_path / "fresh", "key")
    assert write_layers(fresh, range(6)) == resumed
    fresh.finish({"index.json": b"{}"})
    for entry in resumed:
        assert (tmp_path / "out" / entry["file"]).read_bytes() == (
            tmp_path / "fresh" / entry["file"]
        ).read_bytes()


def test_another_run_begins_anew(tmp_path):
    write_layers(ImageFolder(tmp_path / "out", "key"), range(3))
    other = ImageFolder(tmp_path / "out", "another key")
    write_layers(other, range(3))
    assert other.resumed == 0


def test_other_peoples_folders_are_left_alone(tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "thesis.txt").write_text("mine")
    with pytest.raises(FileError) as caught:
        ImageFolder(tmp_path / "out", "key")
    assert caught.value.code == "file.folder_in_use"
    assert (tmp_path / "out" / "thesis.txt").read_text(encoding="utf-8") == "mine"
    (tmp_path / "more.partial").mkdir()
    (tmp_path / "more.partial" / "notes.txt").write_text("mine")
    with pytest.raises(FileError) as caught:
        ImageFolder(tmp_path / "more", "key")
    assert caught.value.code == "file.folder_in_use"


def test_a_full_disk_is_one_sentence_and_no_index(tmp_path, monkeypatch):
    folder = ImageFolder(tmp_path / "out", "key")

    def full(path, content, durable=True):
        raise FileError("file.not_writable", path=str(path), reason="No space left on device")

    monkeypatch.setattr("corelib.export.layer_images.write_atomic", full)
    with pytest.raises(FileError) as caught:
        write_layers(folder, range(3))
    assert caught.value.code == "file.not_writable"
    assert "No space left" in caught.value.facts["reason"]
    assert not (tmp_path / "out").exists()


def test_a_place_that_cannot_be_written_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(FileError) as caught:
        ImageFolder(tmp_path / "file" / "out", "key")
    assert caught.value.code == "file.not_writable"


def test_printed_extent_writes_no_empty_images_and_numbers_as_stated(tmp_path):
    folder = ImageFolder(tmp_path / "out", "key")
    writer = LayerImageWriter(
        folder, 1, GRID, convention(canvas="printed extent", first_number=1, blank_layers=False)
    )
    empty = np.zeros((50, 8), dtype=np.uint8)
    assert writer(drawn(empty, 0), empty) == {"layer": 0, "number": 1, "pixels": 0, "file": None}
    _, bits = floor_seen_from_above(GRID)
    entry = writer(drawn(bits, 1), bits)
    assert entry["file"] == "box-2/layer-00002.tif"
    assert (entry["column"], entry["row"], entry["width"], entry["height"]) == (0, 3, 32, 38)
    noted = json.loads((tmp_path / "out.partial" / "done.jsonl").read_text(encoding="utf-8"))
    assert noted == entry


@pytest.mark.parametrize("canvas", ["full box", "printed extent"])
@pytest.mark.parametrize("blank_layers", [True, False])
def test_blank_layers_have_an_image_where_the_machine_wants_one(tmp_path, canvas, blank_layers):
    folder = ImageFolder(tmp_path / "out", "key")
    writer = LayerImageWriter(folder, 0, GRID, convention(canvas=canvas, blank_layers=blank_layers))
    empty = np.zeros((50, 8), dtype=np.uint8)
    entry = writer(drawn(empty, 3), empty)
    assert (entry["file"] is not None) == blank_layers
    if blank_layers:
        image = np.array(Image.open(tmp_path / "out.partial" / entry["file"]))
        assert not image.any()
        assert image.shape == ((50, 64) if canvas == "full box" else (1, 8))


@pytest.mark.parametrize("axis", ["x", "y"])
@pytest.mark.parametrize("origin", ORIGINS)
def test_the_proof_image_shows_an_f_and_100_mm_on_the_floor(axis, origin):
    grid = PixelGrid(axis, 0.5, 0.25, *((400, 1000) if axis == "x" else (500, 800)))  # 200 × 250 mm
    raw = proof_image(grid, convention(origin=origin))
    image = np.array(Image.open(io.BytesIO(raw)))
    floor = image if axis == "x" else image.T
    if "right" in origin:
        floor = floor[:, ::-1]
    if "back" in origin:
        floor = floor[::-1]
    x_pitch, y_pitch = (0.5, 0.25) if axis == "x" else (0.25, 0.5)
    bar_x = np.flatnonzero(floor[round(15 / y_pitch)])
    assert (bar_x[-1] + 1) * x_pitch == pytest.approx(120.0)
    assert (bar_x[bar_x * x_pitch >= 19.9][0]) * x_pitch == pytest.approx(20.0)
    bar_y = np.flatnonzero(floor[:, round(15 / x_pitch)])
    assert (bar_y[-1] + 1) * y_pitch == pytest.approx(120.0)

    def on(x_mm, y_mm):
        return bool(floor[round(y_mm / y_pitch), round(x_mm / x_pitch)])

    assert on(33, 77)
    assert on(55, 77)  # the upper arm
    assert on(48, 57)
    assert not on(55, 57)  # the lower arm is shorter
    assert not on(55, 35)  # no foot: an F, not an E
