"""Sections of one core in closed form: area, boundary length and slab volume of each of its layers."""

from __future__ import annotations

import hashlib
import io
import threading
from collections import OrderedDict
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from corelib.errors import FileError
from corelib.files import write_atomic
from corelib.kernels import KERNELS_VERSION
from corelib.layers.section_kernels import (
    ON_PLANE_MM,
    areas_and_lengths,
    number_planes,
    slab_volumes,
    turned,
)
from corelib.mesh.core import CoreMesh

Series = NDArray[np.float64]

MEMORY_MB = 256.0
UNDER_KEPT = 500
"""Cores of which the faces that look down are kept."""
DISK_FROM_TRIANGLES = 200_000
"""Smaller meshes are cut faster than a file is written."""


@dataclass(frozen=True, eq=False)
class Sections:
    """One core's layers: layer j holds heights from j·t to (j+1)·t, area and boundary are at its middle.

    The lowest point lies `phase_mm` above the bottom of layer 0. Areas are the mesh's own, signed by its
    orientation (an inverted mesh has negative areas); overlapping bodies count twice.
    """

    thickness_mm: float
    phase_mm: float
    area_mm2: Series
    boundary_mm: Series
    slab_volume_mm3: Series

    @property
    def count(self) -> int:
        """Number of layers that the core reaches into."""
        return len(self.area_mm2)


def layer_count(height_mm: float, thickness_mm: float) -> int:
    """Return how many layers a height needs; a millionth of a millimetre of float noise adds none.

    >>> layer_count(300.0, 0.3), layer_count(300.0, 0.28)
    (1000, 1072)
    """
    return max(1, int(np.ceil((height_mm - ON_PLANE_MM) / thickness_mm)))


def core_sections(mesh: CoreMesh, rotation: Series, *, phase_mm: float, thickness_mm: float) -> Sections:
    """Return the sections of a turned mesh whose lowest point lies `phase_mm` above a layer's bottom."""
    if not 0.0 <= phase_mm < thickness_mm:
        raise ValueError(f"phase {phase_mm} mm is not within one layer of {thickness_mm} mm")
    placed, height_mm = placed_vertices(mesh, rotation, phase_mm)
    n = layer_count(height_mm, thickness_mm)
    area, boundary, volume = np.empty(n), np.empty(n), np.empty(n)
    first_mm = 0.5 * thickness_mm
    number_planes(placed, first_mm, thickness_mm, 0, n, ON_PLANE_MM)
    areas_and_lengths(placed, mesh.faces, first_mm, thickness_mm, area, boundary)
    number_planes(placed, thickness_mm, thickness_mm, 0, n - 1, ON_PLANE_MM)
    slab_volumes(placed, mesh.faces, thickness_mm, volume)
    return _frozen(thickness_mm, phase_mm, area, boundary, volume)


def plane_areas(
    mesh: CoreMesh, rotation: Series, *, first_mm: float, step_mm: float, count: int
) -> tuple[Series, Series]:
    """Return areas and boundary lengths on `count` planes, the first `first_mm` above the lowest point."""
    placed, _ = placed_vertices(mesh, rotation, 0.0)
    area, length = np.empty(count), np.empty(count)
    number_planes(placed, first_mm, step_mm, 0, count, ON_PLANE_MM)
    areas_and_lengths(placed, mesh.faces, first_mm, step_mm, area, length)
    return area, length


@dataclass(frozen=True, eq=False)
class UnderFaces:
    """Faces that look down, seen from below: how much lies above each mid-layer plane, and in all.

    `flat_above_mm2` and `flat_mm2` are those so flat that, over the dry layers, they reach farther sideways
    than the draw-in; `flat_boundary_mm` is the boundary length that they have on each plane.
    """

    above_mm2: Series
    whole_mm2: float
    flat_above_mm2: Series
    flat_mm2: float
    flat_boundary_mm: Series


def under_faces(
    mesh: CoreMesh,
    rotation: Series,
    *,
    phase_mm: float,
    thickness_mm: float,
    dry_mm: float,
    draw_in_mm: float,
) -> UnderFaces:
    """Return the faces that look down, layer by layer, for a dry depth and a sideways draw-in."""
    placed, height_mm = placed_vertices(mesh, rotation, phase_mm)
    a, b, c = (placed[mesh.faces[:, corner], :3] for corner in range(3))
    normal = np.cross(b - a, c - a)
    down = normal[:, 2] < 0
    flat = down & (dry_mm * -normal[:, 2] > draw_in_mm * np.hypot(normal[:, 0], normal[:, 1]))
    n = layer_count(height_mm, thickness_mm)
    number_planes(placed, 0.5 * thickness_mm, thickness_mm, 0, n, ON_PLANE_MM)
    found: list[Series] = []
    for chosen in (down, flat):
        area, length = np.empty(n), np.empty(n)
        faces = np.ascontiguousarray(mesh.faces[chosen])
        areas_and_lengths(placed, faces, 0.5 * thickness_mm, thickness_mm, area, length)
        found += [-area, length]
    whole, flat_whole = (float(-0.5 * normal[chosen, 2].sum()) for chosen in (down, flat))
    return UnderFaces(found[0], whole, found[2], flat_whole, found[3])


def placed_vertices(mesh: CoreMesh, rotation: Series, bottom_mm: float) -> tuple[Series, float]:
    """Return vertices (n, 4), turned and with the lowest at `bottom_mm`, and the greatest height."""
    placed = np.empty((len(mesh.vertices_mm), 4))
    matrix = np.ascontiguousarray(rotation, dtype=np.float64)
    lowest_mm, highest_mm = turned(mesh.vertices_mm, mesh.faces, matrix, placed)
    if not np.isfinite(highest_mm - lowest_mm):
        raise ValueError("the mesh has vertices that are no numbers, or faces that name missing vertices")
    shift_mm = bottom_mm - lowest_mm
    placed[:, 2] += shift_mm
    return placed, highest_mm + shift_mm


def _frozen(thickness_mm: float, phase_mm: float, *series: Series) -> Sections:
    for values in series:
        values.flags.writeable = False
    return Sections(thickness_mm, phase_mm, *series)


class SectionCache:
    """Keeps sections by content: in memory up to a limit (least used goes first), and in a folder if given.

    The key holds everything that the result hangs on: vertices in mm (allowances applied), faces, rotation,
    phase, layer thickness and the version of the kernels. Threads may share one cache.
    """

    def __init__(self, folder: Path | None = None, memory_mb: float = MEMORY_MB) -> None:
        self.folder = folder
        self.most_bytes = int(memory_mb * 2**20)
        self.found = 0
        self.made = 0
        self._kept: OrderedDict[str, Sections] = OrderedDict()
        self._under: OrderedDict[str, UnderFaces] = OrderedDict()
        self._bytes = 0
        self._lock = threading.Lock()

    def sections(self, mesh: CoreMesh, rotation: Series, *, phase_mm: float, thickness_mm: float) -> Sections:
        """Return `core_sections` of the same arguments, from the cache where it has them."""
        key = sections_key(mesh, rotation, phase_mm=phase_mm, thickness_mm=thickness_mm)
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                self._kept.move_to_end(key)
                self.found += 1
                return kept
        path = None
        if self.folder is not None and len(mesh.faces) >= DISK_FROM_TRIANGLES:
            path = self.folder / key[:2] / f"{key}.npy"
        sections = _read(path, phase_mm, thickness_mm) if path is not None else None
        if sections is None:
            sections = core_sections(mesh, rotation, phase_mm=phase_mm, thickness_mm=thickness_mm)
            self.made += 1
            if path is not None:
                _write(path, sections)
        else:
            self.found += 1
        self._keep(key, sections)
        return sections

    def under_faces(
        self,
        mesh: CoreMesh,
        rotation: Series,
        *,
        phase_mm: float,
        thickness_mm: float,
        dry_mm: float,
        draw_in_mm: float,
    ) -> UnderFaces:
        """Return `under_faces` of the same arguments, from memory where it has them."""
        cut = sections_key(mesh, rotation, phase_mm=phase_mm, thickness_mm=thickness_mm)
        key = f"{cut} {dry_mm!r} {draw_in_mm!r}"
        with self._lock:
            kept = self._under.get(key)
        if kept is None:
            kept = under_faces(
                mesh,
                rotation,
                phase_mm=phase_mm,
                thickness_mm=thickness_mm,
                dry_mm=dry_mm,
                draw_in_mm=draw_in_mm,
            )
            with self._lock:
                self._under[key] = kept
                while len(self._under) > UNDER_KEPT:
                    self._under.popitem(last=False)
        return kept

    def _keep(self, key: str, sections: Sections) -> None:
        with self._lock:
            if key in self._kept:
                return
            self._kept[key] = sections
            self._bytes += _size_bytes(sections)
            while self._bytes > self.most_bytes and len(self._kept) > 1:
                _, dropped = self._kept.popitem(last=False)
                self._bytes -= _size_bytes(dropped)


def sections_key(mesh: CoreMesh, rotation: Series, *, phase_mm: float, thickness_mm: float) -> str:
    """Return the name under which these sections are kept."""
    numbers = np.array([*np.asarray(rotation, dtype=np.float64).ravel(), phase_mm, thickness_mm]) + 0.0
    digest = hashlib.sha256(f"{KERNELS_VERSION} {mesh.content_sha256} ".encode())
    digest.update(numbers.tobytes())
    return digest.hexdigest()


def _size_bytes(sections: Sections) -> int:
    return 3 * sections.area_mm2.nbytes + 200


def _write(path: Path, sections: Sections) -> None:
    """Keep on disk: a hash of the content, then the content. A disk that refuses only costs time."""
    stream = io.BytesIO()
    np.save(stream, np.stack([sections.area_mm2, sections.boundary_mm, sections.slab_volume_mm3]))
    content = stream.getvalue()
    with suppress(OSError, FileError):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomic(path, hashlib.sha256(content).digest() + content, durable=False)


def _read(path: Path, phase_mm: float, thickness_mm: float) -> Sections | None:
    """Return what is kept at `path`, or None if nothing is or it is damaged."""
    try:
        raw = path.read_bytes()
    except OSError:
        return None
    if hashlib.sha256(raw[32:]).digest() != raw[:32]:
        return None
    area, boundary, volume = np.load(io.BytesIO(raw[32:]), allow_pickle=False)
    return _frozen(thickness_mm, phase_mm, area, boundary, volume)
