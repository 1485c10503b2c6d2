"""Draws all layers of a box on several threads, in order, and keeps what is counted: never the images."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from queue import SimpleQueue
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from corelib.layers.grid import PixelGrid
from corelib.layers.nozzles import RowPixels
from corelib.layers.raster import NO_BITS, DrawnBody, LayerDrawer, LayerPixels
from corelib.layers.store import BLOCK_LAYERS, OutlineStore
from corelib.layers.strokes import HeadLayout, Stroke, StrokeRules, layer_strokes, nozzle_pixels
from corelib.progress import SILENT, Progress

Made = TypeVar("Made")
Bits = NDArray[np.uint8]
THREADS = 2


@dataclass(frozen=True, eq=False)
class BoxDrops(Generic[Made]):
    """What a box's images hold, layer by layer: pixels, drops by nozzle, strokes, and what was made of each.

    `nozzle_pixels` is (layers, nozzles) int32; drops are pixels times the grey level.
    """

    pixels: NDArray[np.int64]
    over_pixels: NDArray[np.int64]
    negative_pixels: NDArray[np.int64]
    unreached_pixels: NDArray[np.int64]
    nozzle_pixels: NDArray[np.int32]
    strokes: tuple[tuple[Stroke, ...], ...]
    made: tuple[Made, ...]


class _Canvases:
    """Drawers with their canvases, one for each thread that works at the same time."""

    def __init__(
        self, bodies: Sequence[DrawnBody], grid: PixelGrid, store: OutlineStore, with_bits: bool
    ) -> None:
        self.free: SimpleQueue[tuple[LayerDrawer, Bits]] = SimpleQueue()
        for _ in range(THREADS):
            drawer = LayerDrawer(bodies, grid, store)
            self.free.put((drawer, drawer.canvas() if with_bits else NO_BITS))

    def drawn(self, layer: int, use: Callable[[LayerPixels, Bits], Made]) -> tuple[LayerPixels, Made]:
        drawer, bits = self.free.get()
        try:
            pixels = drawer.draw(layer, bits)
            made = use(pixels, bits)
            window = pixels.window
            if window is not None and len(bits):
                bits[window[0] : window[1], window[2] // 8 : (window[3] + 7) // 8] = 0
            return pixels, made
        finally:
            self.free.put((drawer, bits))


def drawn_layers(
    bodies: Sequence[DrawnBody],
    grid: PixelGrid,
    store: OutlineStore,
    layers: Sequence[int],
    use: Callable[[LayerPixels, Bits], Made],
    *,
    with_bits: bool = True,
) -> Iterator[tuple[LayerPixels, Made]]:
    """Yield each layer's pixels and what `use` makes of pixels and bits, in the order of `layers`.

    `use` runs on the drawing thread and must not keep the bits. At most a few layers are under way at once.
    """
    canvases = _Canvases(bodies, grid, store, with_bits)
    waiting: deque[Future[tuple[LayerPixels, Made]]] = deque()
    with ThreadPoolExecutor(THREADS) as pool:
        try:
            for layer in layers:
                waiting.append(pool.submit(canvases.drawn, layer, use))
                if len(waiting) >= 2 * THREADS:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()


def draw_box(
    bodies: Sequence[DrawnBody],
    grid: PixelGrid,
    layout: HeadLayout,
    store: OutlineStore,
    count: int,
    use: Callable[[LayerPixels, Bits], Made],
    *,
    rules: StrokeRules,
    with_bits: bool = True,
    progress: Progress = SILENT,
) -> BoxDrops[Made]:
    """Draw all `count` layers of a box and return what was counted; raises Cancelled between layers."""
    sums = np.zeros((4, count), dtype=np.int64)
    by_nozzle = np.zeros((count, layout.nozzle_count), dtype=np.int32)
    strokes: list[tuple[Stroke, ...]] = []
    made: list[Made] = []
    unreached = layout.row_nozzle < 0
    for drawn, result in drawn_layers(bodies, grid, store, range(count), use, with_bits=with_bits):
        layer = drawn.layer
        lost = int(drawn.row_pixels[unreached].sum())
        sums[:, layer] = drawn.pixels, drawn.over_pixels, drawn.negative_pixels, lost
        by_nozzle[layer] = nozzle_pixels(drawn.row_pixels, layout)
        strokes.append(layer_strokes(drawn, layout, grid, rules))
        made.append(result)
        progress((layer + 1) / count, "images")
    return BoxDrops(sums[0], sums[1], sums[2], sums[3], by_nozzle, tuple(strokes), tuple(made))


def copy_row_pixels(
    bodies: Sequence[DrawnBody], grid: PixelGrid, store: OutlineStore, progress: Progress = SILENT
) -> tuple[RowPixels, ...]:
    """Return the pixels of each core copy by row, summed over its layers."""
    found = []
    for number, body in enumerate(bodies):
        rows = np.zeros(grid.rows, dtype=np.int64)
        if body.pose.is_compensated or store.doubtful_layers(body.pose):
            drawer = LayerDrawer([body], grid, store)
            for layer in range(body.first_layer, body.end_layer):
                rows += drawer.draw(layer).row_pixels
        else:
            cutter = store.cutter(body.pose, body.key)
            for first in range(0, cutter.count, BLOCK_LAYERS):
                rows += cutter.row_pixels(first, first + BLOCK_LAYERS, grid, body.shift_mm).sum(axis=0)
        found.append(RowPixels(body.core_id, body.copy_number, rows, body.first_layer, body.end_layer - 1))
        progress((number + 1) / len(bodies), "nozzles")
    return tuple(found)
