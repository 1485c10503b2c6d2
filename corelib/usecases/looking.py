"""Use case: look closely at a layer of a finished plan, as a child process draws it.

What gets binder as outlines; its image, strokes and drops; and what all nozzles do over the whole box.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.child import Answer, Request
from corelib.errors import FileError
from corelib.estimate.time import StrokeSums, layer_times
from corelib.files import cache_folder
from corelib.layers.cache import LayerCache
from corelib.layers.nozzle_states import nozzle_states
from corelib.layers.raster import LayerDrawer, LayerPixels
from corelib.layers.run import draw_box
from corelib.layers.strokes import HeadLayout, Stroke, layer_strokes, nozzle_pixels
from corelib.layers.view import printed_layer
from corelib.plan.build import layers_of_box
from corelib.plan.layer_run import nozzle_times, stroke_rules
from corelib.plan.planned_box import PlannedBox, planned_box
from corelib.progress import Progress

MEMORY_MB = 64.0
"""What outlines may take in this child: cut anew they take a third longer over a whole box, no more."""
COVERAGE_PIXELS = 8
"""Pixels along each side of a cell of the coarse image."""


def run_look(request: Request, progress: Progress) -> Answer:
    """Run in a child: leave what is asked of a layer in the folder `request["folder"]` and name it.

    `request["work"]` is `outlines` (printed outlines: `points`, `starts`, `cores`), `pixels` (the layer's
    image with strokes and drops: `pixels`) or `nozzles` (all nozzles over all layers: `nozzles`); each names
    a file. Raises InputError for what a profile doesn't state, FileError.
    """
    box = planned_box(Path(request["plan"]), Path(request["meshes"]), int(request["box"]))
    folder = Path(request["folder"])
    _cache().outlines.forget_cutters({body.key for body in box.bodies})  # of plans that went
    if request["work"] == "outlines":
        return _outlines(box, int(request["layer"]), folder)
    if request["work"] == "pixels":
        return {"pixels": _kept(folder / "look.pixels.npz", _pixels(box, int(request["layer"])))}
    if request["work"] == "nozzles":
        name = f"nozzles.{box.number}.npz"
        return {"nozzles": _kept(folder / name, _nozzles(box, progress))}
    raise ValueError(f"unknown work {request['work']}")


@lru_cache(maxsize=1)
def _cache() -> LayerCache:
    """Return the cache of this process: in memory for the layers near by, on disk for the next time."""
    return LayerCache(cache_folder(), MEMORY_MB)


def _kept(path: Path, arrays: Mapping[str, NDArray[Any]]) -> str:
    """Write arrays as .npz beside the place and rename: a reader finds the old ones or the new."""
    aside = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        with aside.open("wb") as file:
            np.savez(file, **arrays)  # type: ignore[arg-type]  # the stubs take one keyword for a flag
        aside.replace(path)
    except OSError as error:
        raise FileError("file.not_writable", path=str(path), reason=error.strerror or str(error)) from error
    return str(path)


def _outlines(box: PlannedBox, layer: int, folder: Path) -> Answer:
    found = printed_layer(box.bodies, _cache().outlines, layer)
    arrays = {"points": found.points_mm, "starts": found.ring_starts[:-1]}
    cores = [box.bodies[number].core_id for number in found.body.tolist()]
    return {"outlines": _kept(folder / "look.outlines.npz", arrays), "cores": cores}


def _pixels(box: PlannedBox, layer: int) -> dict[str, NDArray[Any]]:
    """Return a layer's image within its window, coarse too, its strokes and the drops of each nozzle.

    `window` is first row, end row, first column, end column (columns in whole bytes); `bits` holds its
    packed rows, `coverage` the share of pixels that are on (0 to 255) in cells of COVERAGE_PIXELS².
    `strokes` (n, 6): along from, along to, across (mm), strip, pass, 1 if forward; `grid` is pitch along,
    pitch across (mm), columns, rows, 1 if the travel is along y.
    """
    drawer = LayerDrawer(box.bodies, box.grid, _cache().outlines)
    bits = drawer.canvas()
    drawn = drawer.draw(layer, bits)
    layout = box.layout
    window = _byte_window(drawn)
    inside = np.ascontiguousarray(bits[window[0] : window[1], window[2] // 8 : window[3] // 8])
    strokes = layer_strokes(drawn, layout, box.grid, stroke_rules(box.point))
    grid = box.grid
    return {
        "window": np.array(window, dtype=np.int64),
        "bits": inside,
        "coverage": _coverage(inside),
        "strokes": _stroke_lines(strokes, layout, grid.pitch_across_mm),
        "row_nozzle": layout.row_nozzle,
        "row_strip": layout.row_strip,
        "drops": nozzle_pixels(drawn.row_pixels, layout),
        "pixels": np.array([drawn.pixels], dtype=np.int64),
        "grid": np.array(
            [grid.pitch_along_mm, grid.pitch_across_mm, grid.columns, grid.rows, float(grid.swapped)]
        ),
    }


def _byte_window(drawn: LayerPixels) -> tuple[int, int, int, int]:
    window = drawn.window
    if window is None:
        return 0, 0, 0, 0
    row, row_end, column, column_end = window
    return row, row_end, column // 8 * 8, (column_end + 7) // 8 * 8


def _coverage(bits: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the share of pixels that are on in cells of 8 × 8 pixels, 0 to 255."""
    rows = len(bits) + -len(bits) % COVERAGE_PIXELS
    counts = np.zeros((rows, bits.shape[1]), dtype=np.uint8)
    counts[: len(bits)] = np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1).sum(axis=1)[bits]
    cells = counts.reshape(rows // COVERAGE_PIXELS, COVERAGE_PIXELS, bits.shape[1]).sum(
        axis=1, dtype=np.int64
    )
    shares: NDArray[np.uint8] = (cells * 255 // COVERAGE_PIXELS**2).astype(np.uint8)
    return shares


def _stroke_lines(strokes: tuple[Stroke, ...], layout: HeadLayout, pitch_mm: float) -> NDArray[np.float64]:
    """Return each stroke as it is drawn: in the middle of its strip, passes side by side."""
    lines = np.zeros((len(strokes), 6))
    for line, stroke in zip(lines, strokes, strict=True):
        rows = np.flatnonzero(layout.row_strip == stroke.strip)
        low_mm, high_mm = rows[0] * pitch_mm, (rows[-1] + 1) * pitch_mm
        share = (stroke.pass_number + 1) / (layout.passes + 1)
        ends = (stroke.low_mm, stroke.high_mm)
        line[:2] = ends if stroke.is_forward else ends[::-1]
        line[2:] = low_mm + share * (high_mm - low_mm), stroke.strip, stroke.pass_number, stroke.is_forward
    return lines


def _nozzles(box: PlannedBox, progress: Progress) -> dict[str, NDArray[Any]]:
    """Return what all nozzles do over all layers.

    `state` and `idle_s` (layers, nozzles) and `longest_s` as in `corelib.layers.nozzle_states`; `late` and
    `printing` count nozzles layer by layer, `open_time_s` is NaN where it isn't stated.
    """
    layers = layers_of_box(box.number, box.placed, box.point, _cache())
    drops = draw_box(
        box.bodies,
        box.grid,
        box.layout,
        _cache().outlines,
        layers.count,
        lambda *_: None,
        rules=stroke_rules(box.point),
        with_bits=False,
        progress=progress.span(0.0, 0.95),
    )
    seconds = layer_times(layers, box.point, box.inner_mm, StrokeSums.of(drops.strokes))
    open_time_s = box.point.binder.open_time_s
    found = nozzle_states(drops.nozzle_pixels, nozzle_times(seconds, box.point), open_time_s)
    progress(1.0, "nozzles")
    return {
        "state": found.state,
        "idle_s": found.idle_s,
        "longest_s": found.longest_s,
        "late": found.late,
        "printing": (drops.nozzle_pixels > 0).sum(axis=1),
        "strokes": np.array([len(layer) for layer in drops.strokes], dtype=np.int64),
        "open_time_s": np.array([np.nan if open_time_s is None else open_time_s]),
    }
