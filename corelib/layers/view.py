"""One printed layer of a box to look at: the outlines of all cores in it, from the layer store."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.layers.raster import DrawnBody
from corelib.layers.store import OutlineStore


@dataclass(frozen=True, eq=False)
class PrintedLayer:
    """Outlines of one layer in the box (mm): ring r is `points_mm[ring_starts[r]:ring_starts[r + 1]]`.

    Outer rings run counter-clockwise and have parent -1; holes run clockwise and name their outer ring.
    `body` is each ring's place in the list of bodies. `area_mm2` is what gets binder.
    """

    layer: int
    points_mm: NDArray[np.float64]
    ring_starts: NDArray[np.int64]
    parent: NDArray[np.int32]
    body: NDArray[np.int32]
    area_mm2: float


def printed_layer(bodies: Sequence[DrawnBody], store: OutlineStore, layer: int) -> PrintedLayer:
    """Return a layer's compensated outlines; only the blocks that hold it are read or made."""
    points = [np.empty((0, 2))]
    lengths = [np.empty(0, dtype=np.int64)]
    parents = [np.empty(0, dtype=np.int32)]
    owners = [np.empty(0, dtype=np.int32)]
    rings = 0
    area_mm2 = 0.0
    for number, body in enumerate(bodies):
        if not body.first_layer <= layer < body.end_layer:
            continue
        own = layer - body.first_layer
        block = store.outlines(body.pose, own, body.key)
        i = own - block.first_layer
        first, end = int(block.layer_rings[i]), int(block.layer_rings[i + 1])
        start, stop = block.ring_starts[first], block.ring_starts[end]
        points.append(block.points_mm[start:stop] + np.array(body.shift_mm))
        lengths.append(np.diff(block.ring_starts[first : end + 1]))
        parent = block.parent[first:end]
        parents.append(np.where(parent < 0, -1, parent - first + rings).astype(np.int32))
        owners.append(np.full(end - first, number, dtype=np.int32))
        rings += end - first
        area_mm2 += float(block.area_mm2[i])
    ring_starts = np.concatenate([[0], np.cumsum(np.concatenate(lengths))])
    return PrintedLayer(
        layer, np.concatenate(points), ring_starts, np.concatenate(parents), np.concatenate(owners), area_mm2
    )
