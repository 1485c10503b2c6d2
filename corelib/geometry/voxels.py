"""Voxels of a mesh that enclose it: every cell that the surface passes through, and all cells within.

A cell counts as touched where the triangle meets its inner part, so that a face exactly on a grid plane
marks no cell outside; the cells inside are filled along z by winding number, with rays through the cells'
centres (moved a trifle, and edges tested in one direction only, so that no ray slips between two facets).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array
from corelib.kernels import kernel

Cells = NDArray[np.bool_]
INNER = 1.0 - 1e-9  # share of a cell that counts as its inner part
OFF_X, OFF_Y = 1.234567e-6, 2.345678e-6  # how far rays stand beside the centres, in cells


@dataclass(frozen=True, eq=False)
class VoxelBody:
    """Cells (x, y, z) of one pitch that enclose a body; the grid is centred on the body's bounding box."""

    cells: Cells
    pitch_mm: float
    size_mm: tuple[float, float, float]
    """Extent of the body's own bounding box."""

    @property
    def pad_mm(self) -> Array:
        """How far the grid's lowest corner lies outside the body's bounding box."""
        return (np.array(self.cells.shape) * self.pitch_mm - np.array(self.size_mm)) / 2

    @property
    def volume_mm3(self) -> float:
        """Volume of all cells."""
        return float(np.count_nonzero(self.cells)) * self.pitch_mm**3


def grid_cells(size_mm: Array, pitch_mm: float, multiple: int = 1) -> tuple[int, int, int]:
    """Return how many cells, in whole multiples, enclose a bounding box."""
    counts = (max(1, int(np.ceil(extent / pitch_mm - 1e-9))) for extent in size_mm)
    x, y, z = (-(-count // multiple) * multiple for count in counts)
    return x, y, z


def voxels(vertices_mm: Array, faces: NDArray[np.int32], pitch_mm: float, multiple: int = 1) -> VoxelBody:
    """Return the enclosing cells of a closed mesh; of a mesh that is not closed, its whole bounding box.

    The grid has a whole multiple of `multiple` cells along each axis.
    """
    used = vertices_mm[np.unique(faces)]
    low, high = used.min(axis=0), used.max(axis=0)
    shape = grid_cells(high - low, pitch_mm, multiple)
    grid_low = (low + high) / 2 - np.array(shape) * pitch_mm / 2
    return VoxelBody(
        cells_in_grid(vertices_mm, faces, grid_low, pitch_mm, shape), pitch_mm, tuple((high - low).tolist())
    )


def cells_in_grid(
    vertices_mm: Array, faces: NDArray[np.int32], low_mm: Array, pitch_mm: float, shape: tuple[int, int, int]
) -> Cells:
    """Return the cells of a given grid that a mesh takes up, all of them for a mesh that is not closed."""
    scaled = np.ascontiguousarray((vertices_mm - low_mm) / pitch_mm)
    cells = np.zeros(shape, dtype=np.bool_)
    winding = np.zeros((shape[0], shape[1], shape[2] + 1), dtype=np.int32)
    indices = np.array(faces, dtype=np.int32, order="C")  # a copy: kernels take no read-only arrays
    _mark_crossings(scaled, indices, winding)
    if _fill(winding, cells):
        _mark_surface(scaled, indices, cells)
    else:
        cells[:] = True
    return cells


def inside_cells(
    vertices_mm: Array, faces: NDArray[np.int32], low_mm: Array, shape: tuple[int, int, int], pitch_mm: float
) -> Cells:
    """Return the cells of a grid whose centres lie in the mesh; `low_mm` is the grid's lowest corner."""
    scaled = np.ascontiguousarray((vertices_mm - low_mm) / pitch_mm)
    cells = np.zeros(shape, dtype=np.bool_)
    winding = np.zeros((shape[0], shape[1], shape[2] + 1), dtype=np.int32)
    _mark_crossings(scaled, np.array(faces, dtype=np.int32, order="C"), winding)
    _fill(winding, cells)
    return cells


def turned(body: VoxelBody, rotation: Array) -> VoxelBody:
    """Return the body's cells after a rotation that only swaps and flips axes."""
    source = np.abs(rotation).argmax(axis=1)
    cells = body.cells.transpose(source)
    flips = tuple(axis for axis in range(3) if rotation[axis, source[axis]] < 0)
    if flips:
        cells = np.flip(cells, flips)
    x, y, z = (body.size_mm[axis] for axis in source)
    return VoxelBody(np.ascontiguousarray(cells), body.pitch_mm, (x, y, z))


@kernel("b1(f8, f8, f8, f8, f8, f8)")
def _is_left(ax: float, ay: float, bx: float, by: float, px: float, py: float) -> bool:
    """Return True if p is left of the edge a→b; the same numbers are compared for b→a."""
    if ax < bx or (ax == bx and ay < by):
        return (bx - ax) * (py - ay) - (by - ay) * (px - ax) > 0.0
    return not (ax - bx) * (py - by) - (ay - by) * (px - bx) > 0.0


@kernel("void(f8[:,::1], i4[:,::1], i4[:,:,::1])")
def _mark_crossings(vertices: Array, faces: NDArray[np.int32], winding: NDArray[np.int32]) -> None:
    """Add each facet's winding at the first cell centre above it, in every column it covers."""
    nx, ny, nz = winding.shape[0], winding.shape[1], winding.shape[2] - 1
    for t in range(faces.shape[0]):
        ax, ay, az = vertices[faces[t, 0]]
        bx, by, bz = vertices[faces[t, 1]]
        cx, cy, cz = vertices[faces[t, 2]]
        double_area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if double_area == 0.0:
            continue
        sign = -1 if double_area > 0.0 else 1
        if sign > 0:
            bx, by, bz, cx, cy, cz = cx, cy, cz, bx, by, bz
        x0 = max(0, int(np.floor(min(ax, bx, cx) - 0.5)))
        x1 = min(nx - 1, int(np.ceil(max(ax, bx, cx) - 0.5)))
        y0 = max(0, int(np.floor(min(ay, by, cy) - 0.5)))
        y1 = min(ny - 1, int(np.ceil(max(ay, by, cy) - 0.5)))
        gx = -((by - ay) * (cz - az) - (bz - az) * (cy - ay))
        gy = -((bz - az) * (cx - ax) - (bx - ax) * (cz - az))
        area = abs(double_area)
        for i in range(x0, x1 + 1):
            px = i + 0.5 + OFF_X
            for j in range(y0, y1 + 1):
                py = j + 0.5 + OFF_Y
                if (
                    _is_left(ax, ay, bx, by, px, py)
                    and _is_left(bx, by, cx, cy, px, py)
                    and _is_left(cx, cy, ax, ay, px, py)
                ):
                    z = az + (gx * (px - ax) + gy * (py - ay)) / area
                    k = min(nz, max(0, int(np.ceil(z - 0.5))))
                    winding[i, j, k] += sign


@kernel("b1(i4[:,:,::1], b1[:,:,::1])")
def _fill(winding: NDArray[np.int32], cells: Cells) -> bool:
    """Set the cells of non-zero winding; return False if a column does not close."""
    for i in range(cells.shape[0]):
        for j in range(cells.shape[1]):
            level = 0
            for k in range(cells.shape[2]):
                level += winding[i, j, k]
                if level != 0:
                    cells[i, j, k] = True
            if level + winding[i, j, cells.shape[2]] != 0:
                return False
    return True


@kernel("b1(f8, f8, f8, f8, f8, f8, f8, f8, f8, f8, f8, f8)")
def _meets_cell(
    ax: float, ay: float, az: float, bx: float, by: float, bz: float,
    cx: float, cy: float, cz: float, mx: float, my: float, mz: float,
) -> bool:  # fmt: skip
    """Return True if the triangle meets the inner part of the unit cell with centre m.

    Separating axes: the triangle's normal and the nine products of its edges with the cell's axes (the
    cell's own axes are covered by the range of cells that is tried).
    """
    half = 0.5 * INNER
    ax, ay, az = ax - mx, ay - my, az - mz
    bx, by, bz = bx - mx, by - my, bz - mz
    cx, cy, cz = cx - mx, cy - my, cz - mz
    ux, uy, uz = bx - ax, by - ay, bz - az
    vx, vy, vz = cx - bx, cy - by, cz - bz
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    if abs(nx * ax + ny * ay + nz * az) > half * (abs(nx) + abs(ny) + abs(nz)):
        return False
    for edge in range(3):
        if edge == 0:
            ex, ey, ez = ux, uy, uz
        elif edge == 1:
            ex, ey, ez = vx, vy, vz
        else:
            ex, ey, ez = ax - cx, ay - cy, az - cz
        p, q, r = ey * az - ez * ay, ey * bz - ez * by, ey * cz - ez * cy
        reach = half * (abs(ey) + abs(ez))
        if min(p, q, r) > reach or max(p, q, r) < -reach:
            return False
        p, q, r = ez * ax - ex * az, ez * bx - ex * bz, ez * cx - ex * cz
        reach = half * (abs(ez) + abs(ex))
        if min(p, q, r) > reach or max(p, q, r) < -reach:
            return False
        p, q, r = ex * ay - ey * ax, ex * by - ey * bx, ex * cy - ey * cx
        reach = half * (abs(ex) + abs(ey))
        if min(p, q, r) > reach or max(p, q, r) < -reach:
            return False
    return True


@kernel("void(f8[:,::1], i4[:,::1], b1[:,:,::1])")
def _mark_surface(vertices: Array, faces: NDArray[np.int32], cells: Cells) -> None:
    """Set every cell whose inner part a facet meets."""
    nx, ny, nz = cells.shape
    rim = 0.5 * (1.0 - INNER)
    for t in range(faces.shape[0]):
        ax, ay, az = vertices[faces[t, 0]]
        bx, by, bz = vertices[faces[t, 1]]
        cx, cy, cz = vertices[faces[t, 2]]
        x0 = max(0, int(np.floor(min(ax, bx, cx) + rim)))
        x1 = min(nx - 1, int(np.floor(max(ax, bx, cx) - rim)))
        y0 = max(0, int(np.floor(min(ay, by, cy) + rim)))
        y1 = min(ny - 1, int(np.floor(max(ay, by, cy) - rim)))
        z0 = max(0, int(np.floor(min(az, bz, cz) + rim)))
        z1 = min(nz - 1, int(np.floor(max(az, bz, cz) - rim)))
        # a facet wholly in a grid plane has x0 > x1 (or y, z): it meets no inner part, and the fill has it
        for i in range(x0, x1 + 1):
            for j in range(y0, y1 + 1):
                for k in range(z0, z1 + 1):
                    if not cells[i, j, k] and _meets_cell(
                        ax, ay, az, bx, by, bz, cx, cy, cz, i + 0.5, j + 0.5, k + 0.5
                    ):
                        cells[i, j, k] = True
