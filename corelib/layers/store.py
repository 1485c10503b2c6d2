"""The layer store: outlines of cores by content, in blocks of layers, made when asked for, kept on disk."""

from __future__ import annotations

import hashlib
import io
import threading
from collections import OrderedDict
from collections.abc import Callable, Collection
from contextlib import suppress
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from corelib.errors import FileError
from corelib.files import write_atomic
from corelib.layers.contours import CoreCutter, LayerEdges, Outlines, printed_outlines
from corelib.layers.cut_pose import CutPose
from corelib.layers.sections import MEMORY_MB

Series = NDArray[np.float64]

BLOCK_LAYERS = 8
CUTTERS_KEPT = 64
CUTTERS_MB = 256.0


class OutlineStore:
    """Gives the printed outlines of a core's layers, a block at a time; threads may share it.

    In memory up to a limit (least used blocks go first); on disk, if a folder is given, under the content's
    name. What is damaged on disk is made again.
    """

    def __init__(self, folder: Path | None = None, memory_mb: float = MEMORY_MB) -> None:
        self.folder = folder
        self.most_bytes = int(memory_mb * 2**20)
        self.made = 0
        self.read = 0
        self._blocks: OrderedDict[tuple[str, int, str], Outlines | LayerEdges] = OrderedDict()
        self._cutters: OrderedDict[str, CoreCutter] = OrderedDict()
        self._bytes = 0
        self._lock = threading.Lock()
        self._making: dict[tuple[str, int, str], threading.Lock] = {}

    def cutter(self, pose: CutPose, key: str) -> CoreCutter:
        """Return what cuts this body; kept, as its mesh is turned and searched for neighbours once."""
        with self._lock:
            kept = self._cutters.get(key)
            if kept is None:
                kept = CoreCutter(
                    pose.body.mesh, pose.rotation, phase_mm=pose.phase_mm, thickness_mm=pose.thickness_mm
                )
                self._cutters[key] = kept
                while len(self._cutters) > 1 and self._has_too_many_cutters():
                    self._cutters.popitem(last=False)
            self._cutters.move_to_end(key)
            return kept

    def _has_too_many_cutters(self) -> bool:
        held = sum(cutter.nbytes for cutter in self._cutters.values())
        return len(self._cutters) > CUTTERS_KEPT or held > CUTTERS_MB * 2**20

    def forget_cutters(self, but: Collection[str]) -> None:
        """Let go of what cuts other bodies than those of these keys; made again, they take milliseconds."""
        with self._lock:
            for key in [key for key in self._cutters if key not in but]:
                del self._cutters[key]

    def outlines(self, pose: CutPose, layer: int, key: str | None = None) -> Outlines:
        """Return the block of printed outlines that holds a layer of the core (numbered within the core).

        Raises MeshError for a mesh that is not closed.
        """
        key, block = key or pose.key, layer // BLOCK_LAYERS
        found = self._block((key, block, "outlines"), lambda: self._found_or_made(pose, key, block))
        assert isinstance(found, Outlines)
        return found

    def edges(self, pose: CutPose, layer: int, key: str | None = None) -> Outlines | LayerEdges:
        """Return a block with the directed edges to print.

        They are those of the printed outlines, or, where the body has no bleed allowance, come straight from
        its triangles.
        """
        key, block = key or pose.key, layer // BLOCK_LAYERS
        if pose.is_compensated:
            return self.outlines(pose, layer, key)
        first = block * BLOCK_LAYERS
        return self._block(
            (key, block, "edges"), lambda: self.cutter(pose, key).edges(first, first + BLOCK_LAYERS)
        )

    def _block(
        self, place: tuple[str, int, str], make: Callable[[], Outlines | LayerEdges]
    ) -> Outlines | LayerEdges:
        """Return what is kept at a place, made by one thread while others wait for it."""
        with self._lock:
            kept = self._blocks.get(place)
            if kept is not None:
                self._blocks.move_to_end(place)
                return kept
            making = self._making.setdefault(place, threading.Lock())
        with making:
            with self._lock:
                kept = self._blocks.get(place)
            if kept is None:
                kept = make()
                self._keep(place, kept)
        with self._lock:
            self._making.pop(place, None)
        return kept

    def _found_or_made(self, pose: CutPose, key: str, block: int) -> Outlines:
        path = None
        if self.folder is not None:
            path = self.folder / key[:2] / f"{key}-{BLOCK_LAYERS}-{block}.outlines"
        found = None if path is None else _read(path)
        if found is not None:
            self.read += 1
            return found
        first = block * BLOCK_LAYERS
        cutter = self.cutter(pose, key)
        made = printed_outlines(cutter, pose.body.bleed_xy_mm, pose.dry, first, first + BLOCK_LAYERS)
        self.made += 1
        if path is not None:
            _write(path, made)
        return made

    def _keep(self, place: tuple[str, int, str], outlines: Outlines | LayerEdges) -> None:
        with self._lock:
            self._blocks[place] = outlines
            self._bytes += _size_bytes(outlines)
            while self._bytes > self.most_bytes and len(self._blocks) > 1:
                _, dropped = self._blocks.popitem(last=False)
                self._bytes -= _size_bytes(dropped)

    def printed_areas(self, pose: CutPose) -> tuple[Series, Series]:
        """Return area and boundary length of every printed layer of the core."""
        key = pose.key
        count = self.cutter(pose, key).count
        blocks = [self.outlines(pose, layer, key) for layer in range(0, count, BLOCK_LAYERS)]
        area = np.concatenate([block.area_mm2 for block in blocks])
        return area, np.concatenate([block.boundary_mm for block in blocks])

    def vanished_areas(self, pose: CutPose) -> Series:
        """Return, for every layer of the core, the area of which the draw-in leaves nothing."""
        key = pose.key
        count = self.cutter(pose, key).count
        blocks = [self.outlines(pose, layer, key) for layer in range(0, count, BLOCK_LAYERS)]
        none = np.zeros(BLOCK_LAYERS)
        parts = [none[: b.count] if b.vanished_mm2 is None else b.vanished_mm2 for b in blocks]
        return np.concatenate(parts)

    def doubtful_layers(self, pose: CutPose) -> tuple[int, ...]:
        """Return the core's layers in which its bodies overlap or are inside out."""
        key = pose.key
        count = self.cutter(pose, key).count
        blocks = [self.outlines(pose, layer, key) for layer in range(0, count, BLOCK_LAYERS)]
        return tuple(layer for block in blocks for layer in block.doubtful)


def _size_bytes(block: Outlines | LayerEdges) -> int:
    with_edges = 3 if isinstance(block, Outlines) else 1  # edges are kept beside the points
    return with_edges * block.nbytes + 500


def _write(path: Path, outlines: Outlines) -> None:
    stream = io.BytesIO()
    numbers = np.array([outlines.first_layer, *outlines.doubtful], dtype=np.int64)
    arrays = (outlines.points_mm, outlines.ring_starts, outlines.layer_rings, outlines.parent)
    vanished = np.empty(0) if outlines.vanished_mm2 is None else outlines.vanished_mm2
    for array in (numbers, *arrays, vanished):
        np.save(stream, array)
    content = stream.getvalue()
    with suppress(OSError, FileError):  # a disk that refuses only costs time
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomic(path, hashlib.sha256(content).digest() + content, durable=False)


def _read(path: Path) -> Outlines | None:
    try:
        raw = path.read_bytes()
    except OSError:
        return None
    if hashlib.sha256(raw[32:]).digest() != raw[:32]:
        return None
    stream = io.BytesIO(raw[32:])
    numbers, points, ring_starts, layer_rings, parent, vanished = (
        np.load(stream, allow_pickle=False) for _ in range(6)
    )
    doubtful = tuple(int(layer) for layer in numbers[1:])
    return Outlines(
        int(numbers[0]),
        points,
        ring_starts,
        layer_rings,
        parent,
        doubtful,
        vanished if len(vanished) else None,
    )
