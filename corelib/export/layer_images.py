"""The images of layers as files, in the machine's convention, with an index; a cut-off run goes on later."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from corelib.errors import FileError
from corelib.export.bilevel import SUFFIX, ImageFormat, ImagePlace, image_file
from corelib.files import canonical_json, check_replaceable, replace_folder, write_atomic
from corelib.layers.grid import PixelGrid
from corelib.layers.raster import LayerPixels

Bits = NDArray[np.uint8]

_MIRRORED = np.array([int(f"{byte:08b}"[::-1], 2) for byte in range(256)], dtype=np.uint8)

INDEX_KIND = "corestow.layer_images"
INDEX_SCHEMA_VERSION = 1
RUN_KIND = "corestow.layer_images_run"


@dataclass(frozen=True)
class ImageConvention:
    """How the machine wants its images; every field is the machine's, none is assumed.

    `origin` is the corner of the box, seen from above, at which the first pixel lies; `rows` says whether a
    row of the image runs along or across the head's travel. Together they give each turn and mirror image.
    """

    jet_value: Literal[0, 1]
    origin: Literal["left front", "left back", "right front", "right back"]
    rows: Literal["along travel", "across travel"]
    canvas: Literal["full box", "printed extent"]
    first_number: int
    blank_layers: bool
    image_format: ImageFormat


@dataclass(frozen=True, eq=False)
class OrientedImage:
    """A layer's packed rows as the file has them, and where its first pixel lies on the whole canvas."""

    bits: Bits
    width: int
    place: ImagePlace


def oriented_image(
    bits: Bits, window: tuple[int, int, int, int], grid: PixelGrid, convention: ImageConvention
) -> OrientedImage:
    """Return the part of a canvas within a window (rows, then columns) in the machine's convention.

    Printed extents are widened to whole bytes along the travel.
    """
    low_row, end_row, low_column, end_column = window
    low_column -= low_column % 8
    end_column = min(grid.columns, end_column + -end_column % 8)
    width, height = end_column - low_column, end_row - low_row
    part = bits[low_row:end_row, low_column // 8 : (end_column + 7) // 8]
    from_right, from_back = convention.origin.startswith("right"), convention.origin.endswith("back")
    flip_columns, flip_rows = (from_back, from_right) if grid.swapped else (from_right, from_back)
    column, row = low_column, low_row
    if flip_rows:
        part, row = part[::-1], grid.rows - end_row
    if flip_columns:
        part, column = _mirrored(part, width), grid.columns - end_column
    pitches = grid.pitch_along_mm, grid.pitch_across_mm
    if convention.rows == "across travel":
        unpacked = np.unpackbits(part, axis=1, count=width)
        part = np.packbits(unpacked.T, axis=1)
        width, column, row, pitches = height, row, column, (pitches[1], pitches[0])
    if convention.jet_value == 0:
        part = ~part
    place = ImagePlace(pitches[0], pitches[1], column, row)
    return OrientedImage(np.ascontiguousarray(part), width, place)


def _mirrored(part: Bits, width: int) -> Bits:
    """Return packed rows from right to left."""
    if width % 8 == 0:
        turned: Bits = _MIRRORED[part[:, ::-1]]
        return turned
    return np.packbits(np.unpackbits(part, axis=1, count=width)[:, ::-1], axis=1)


class ImageFolder:
    """An output folder that is filled beside its place and takes it when all is there.

    What is done is noted image by image. A run with the same `run_key` that was cut off is taken up where it
    stopped, another one is begun anew; a finished folder has `index.json`, a cut-off one has not.
    """

    def __init__(self, target: Path, run_key: str) -> None:
        self.target = target
        self.folder = target.with_name(target.name + ".partial")
        self.resumed = 0
        self._done: dict[str, dict[str, Any]] = {}
        check_replaceable(target)
        try:
            self._open(run_key)
        except OSError as error:
            raise FileError(
                "file.not_writable", path=str(target), reason=error.strerror or str(error)
            ) from error

    def _open(self, run_key: str) -> None:
        note = self.folder / "run.json"
        if self.folder.exists():
            if not note.is_file() and any(self.folder.iterdir()):
                raise FileError("file.folder_in_use", path=str(self.folder))
            with suppress(ValueError, OSError):
                if json.loads(note.read_bytes()).get("run_key") == run_key:
                    self._done = self._noted()
                    return
            shutil.rmtree(self.folder)
        self.folder.mkdir(parents=True)
        write_atomic(note, canonical_json({"kind": RUN_KIND, "schema_version": 1, "run_key": run_key}))

    def _noted(self) -> dict[str, dict[str, Any]]:
        path = self.folder / "done.jsonl"
        noted: dict[str, dict[str, Any]] = {}
        if path.is_file():
            for line in path.read_text(encoding="utf-8").splitlines():
                with suppress(ValueError):  # the last line may be cut off
                    entry = json.loads(line)
                    noted[entry["file"]] = entry
        return noted

    def kept(self, name: str) -> dict[str, Any] | None:
        """Return the note on an image that an earlier run left whole, or None."""
        entry = self._done.get(name)
        path = self.folder / name
        if entry is None or not path.is_file():
            return None
        if hashlib.sha256(path.read_bytes()).hexdigest() != entry["sha256"]:
            return None
        self.resumed += 1
        return entry

    def write(self, name: str, content: bytes, entry: dict[str, Any]) -> dict[str, Any]:
        """Write an image and note it; raises FileError. Threads may share the folder."""
        path = self.folder / name
        entry = {**entry, "file": name, "sha256": hashlib.sha256(content).hexdigest()}
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_atomic(path, content, durable=False)
            with (self.folder / "done.jsonl").open("a", encoding="utf-8") as notes:
                notes.write(json.dumps(entry, sort_keys=True) + "\n")
        except OSError as error:
            raise FileError(
                "file.not_writable", path=str(path), reason=error.strerror or str(error)
            ) from error
        return entry

    def finish(self, documents: Mapping[str, bytes]) -> None:
        """Write the documents (the index among them) and take the target's place."""
        for name, content in documents.items():
            write_atomic(self.folder / name, content)
        for name in ("done.jsonl", "run.json"):
            with suppress(FileNotFoundError):
                (self.folder / name).unlink()
        replace_folder(self.folder, self.target)


class LayerImageWriter:
    """Writes the images of one box; call it with each drawn layer and its bits."""

    def __init__(self, folder: ImageFolder, box: int, grid: PixelGrid, convention: ImageConvention) -> None:
        self.folder = folder
        self.box = box
        self.grid = grid
        self.convention = convention

    def __call__(self, drawn: LayerPixels, bits: Bits) -> dict[str, Any]:
        """Return the index entry of a layer, its image written unless the layer needs none."""
        number = self.convention.first_number + drawn.layer
        entry: dict[str, Any] = {"layer": drawn.layer, "number": number, "pixels": drawn.pixels}
        window = drawn.window
        if window is None and not self.convention.blank_layers:
            return {**entry, "file": None}
        if self.convention.canvas == "full box":
            window = (0, self.grid.rows, 0, self.grid.columns)
        elif window is None:
            window = (0, 1, 0, min(8, self.grid.columns))  # a blank image of a few pixels
        suffix = SUFFIX[self.convention.image_format]
        name = f"box-{self.box + 1}/layer-{number:05d}.{suffix}"
        kept = self.folder.kept(name)
        if kept is not None:
            return kept
        image = oriented_image(bits, window, self.grid, self.convention)
        content = image_file(image.bits, image.width, image.place, self.convention.image_format)
        entry |= {
            "column": image.place.column,
            "row": image.place.row,
            "width": image.width,
            "height": len(image.bits),
        }
        return self.folder.write(name, content, entry)


def proof_image(grid: PixelGrid, convention: ImageConvention) -> bytes:
    """Return a test image for the machine: a letter F that reads right from above, and scales of 100 mm.

    The F stands at the box's front left corner, its foot towards the front; one scale runs along the box's x,
    one along its y, both with a tick every 10 mm.
    """
    canvas = np.zeros((grid.rows, grid.columns), dtype=np.uint8)
    for low_x, low_y, high_x, high_y in _proof_bars():
        x = (low_x / _x_pitch(grid), high_x / _x_pitch(grid))
        y = (low_y / _y_pitch(grid), high_y / _y_pitch(grid))
        rows, columns = (x, y) if grid.swapped else (y, x)
        canvas[round(rows[0]) : round(rows[1]), round(columns[0]) : round(columns[1])] = 1
    bits = np.packbits(canvas, axis=1)
    image = oriented_image(bits, (0, grid.rows, 0, grid.columns), grid, convention)
    return image_file(image.bits, image.width, image.place, convention.image_format)


def _x_pitch(grid: PixelGrid) -> float:
    return grid.pitch_across_mm if grid.swapped else grid.pitch_along_mm


def _y_pitch(grid: PixelGrid) -> float:
    return grid.pitch_along_mm if grid.swapped else grid.pitch_across_mm


def _proof_bars() -> list[tuple[float, float, float, float]]:
    """Return low x, low y, high x, high y of the bars of the proof image, in mm."""
    letter = [(30.0, 30.0, 36.0, 80.0), (36.0, 74.0, 60.0, 80.0), (36.0, 54.0, 52.0, 60.0)]
    along_x = [(20.0, 14.0, 120.0, 16.0)]
    along_y = [(14.0, 20.0, 16.0, 120.0)]
    for tick in range(11):
        length = 6.0 if tick % 5 == 0 else 4.0
        low = 20.0 + 10.0 * tick
        along_x.append((low - 0.5 * (tick == 10), 16.0, low + 0.5, 16.0 + length))
        along_y.append((16.0, low - 0.5 * (tick == 10), 16.0 + length, low + 0.5))
    return letter + along_x + along_y
