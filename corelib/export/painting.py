"""Pictures of a packing without a screen: cores and box edges in parallel projection, from a z-buffer.

In parallel projection all copies of a core that lie the same way look alike: each is painted once and set
into the picture by its shift, so that a box of sixty cores costs hardly more than its core types.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from corelib.export.painting_kernels import fill_triangles
from corelib.geometry.pose import moved

Array = NDArray[np.float64]
Buffer = NDArray[np.float32]
Owners = NDArray[np.int16]
Colour = tuple[int, int, int]

PALETTE: tuple[Colour, ...] = (
    (214, 170, 104),
    (112, 160, 196),
    (150, 182, 120),
    (204, 132, 116),
    (164, 142, 190),
    (120, 178, 172),
    (206, 190, 110),
    (176, 150, 130),
)
"""Colours by core type, in turn; told apart in grey print too by the pictures' dark outlines."""
PALE: Colour = (226, 226, 222)
EDGE: Colour = (96, 104, 112)
SAND: Colour = (236, 226, 204)
OUTLINE = 0.45
OUTLINE_STEP_PX = 14.0
"""A jump in depth of so many pixels is drawn as an edge."""
SUPERSAMPLE = 2


@dataclass(frozen=True, eq=False)
class Shape:
    """A triangle mesh to paint: `vertices_mm` (n, 3) float64, all of them used, and `faces` (m, 3) int32."""

    vertices_mm: Array
    faces: NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Figure:
    """One placed shape: its key among the shapes, its 4×4 matrix and its colour."""

    shape: str
    matrix: Array
    colour: Colour


@dataclass(frozen=True)
class View:
    """A direction to look from: turned about the vertical, then raised above the horizon."""

    turn_deg: float = -32.0
    raise_deg: float = 30.0

    @property
    def basis(self) -> Array:
        """Rows: right and down in the picture, and towards the eye."""
        turn, up = math.radians(self.turn_deg), math.radians(self.raise_deg)
        right = [math.cos(turn), math.sin(turn), 0.0]
        eye = [math.sin(turn) * math.cos(up), -math.cos(turn) * math.cos(up), math.sin(up)]
        down = np.cross(right, eye)
        return np.array([right, down, eye])


FROM_ABOVE = View(0.0, 90.0)
LIGHT = np.array([-0.45, -0.62, 0.64]) / np.linalg.norm([-0.45, -0.62, 0.64])


def picture_of_box(
    shapes: Mapping[str, Shape],
    figures: Sequence[Figure],
    inner_mm: Sequence[float],
    *,
    width_px: int = 1200,
    view: View | None = None,
    filled_mm: float | None = None,
    stamps: Stamps | None = None,
) -> bytes:
    """Return a PNG of the open box with its cores; `filled_mm` draws the sand level as an outline.

    `stamps` keeps what was painted of each core for further pictures of the same meshes.
    """
    view = view or View()
    corners = _corners(inner_mm)
    flat = corners @ view.basis.T
    low, high = flat[:, :2].min(axis=0), flat[:, :2].max(axis=0)
    scale = (width_px * SUPERSAMPLE - 16) / (high[0] - low[0])
    size = np.ceil((high - low) * scale).astype(int) + 16
    canvas = _Canvas(view, scale, low - 8 / scale, int(size[0]), int(size[1]))
    floor = [corners[index] for index in (0, 1, 3, 2)]
    canvas.area(floor, (247, 245, 240))
    hidden = {int(np.argmin(flat[:, 2]))}
    canvas.edges(corners, [edge for edge in _EDGES if hidden & set(edge)])
    canvas.figures(shapes, figures, {} if stamps is None else stamps)
    canvas.edges(corners, [edge for edge in _EDGES if not hidden & set(edge)])
    if filled_mm is not None:
        level = corners[[0, 1, 3, 2]].copy()
        level[:, 2] = filled_mm
        canvas.loop(level, (170, 140, 90))
    return canvas.png(width_px)


def picture_of_core(shape: Shape, colour: Colour, *, width_px: int = 340, height_px: int = 240) -> bytes:
    """Return a PNG of one core as its file has it, seen from the front, the right and above."""
    view = View()
    flat = shape.vertices_mm @ view.basis.T
    low, high = flat[:, :2].min(axis=0), flat[:, :2].max(axis=0)
    room = np.array([width_px, height_px]) * SUPERSAMPLE
    scale = float(((room - 16) / np.maximum(high - low, 1e-6)).min())
    canvas = _Canvas(view, scale, (low + high) / 2 - room / 2 / scale, int(room[0]), int(room[1]))
    canvas.figures({"core": shape}, [Figure("core", np.eye(4), colour)], {})
    return canvas.png(width_px)


def _corners(inner_mm: Sequence[float]) -> Array:
    x, y, z = inner_mm
    return np.array([[i * x, j * y, k * z] for k in (0.0, 1.0) for j in (0.0, 1.0) for i in (0.0, 1.0)])


_EDGES = (
    (0, 1),
    (2, 3),
    (4, 5),
    (6, 7),
    (0, 2),
    (1, 3),
    (4, 6),
    (5, 7),
    (0, 4),
    (1, 5),
    (2, 6),
    (3, 7),
)


class _Canvas:
    """A picture under work: `scale` px a mm, `origin_mm` the picture-plane point of its upper left corner."""

    def __init__(self, view: View, scale: float, origin_mm: Array, width: int, height: int) -> None:
        self.basis = view.basis
        self.scale = scale
        self.origin_mm = origin_mm
        self.image = Image.new("RGB", (width, height), (255, 255, 255))

    def _pixels(self, points_mm: Array) -> list[tuple[float, float]]:
        flat = (np.asarray(points_mm) @ self.basis.T)[:, :2]
        return [(float(x), float(y)) for x, y in (flat - self.origin_mm) * self.scale]

    def area(self, points_mm: Sequence[Array], colour: Colour) -> None:
        ImageDraw.Draw(self.image).polygon(self._pixels(np.array(points_mm)), fill=colour)

    def edges(self, points_mm: Array, edges: Iterable[tuple[int, int]]) -> None:
        drawing, at = ImageDraw.Draw(self.image), self._pixels(points_mm)
        for first, last in edges:
            drawing.line([at[first], at[last]], fill=EDGE, width=2 * SUPERSAMPLE)

    def loop(self, points_mm: Array, colour: Colour) -> None:
        at = self._pixels(points_mm)
        ImageDraw.Draw(self.image).line([*at, at[0]], fill=colour, width=2 * SUPERSAMPLE)

    def figures(self, shapes: Mapping[str, Shape], figures: Sequence[Figure], stamps: Stamps) -> None:
        """Paint the figures over what is there; nearer ones hide others."""
        width, height = self.image.size
        depth = np.full((height, width), -np.inf, dtype=np.float32)
        shade = np.zeros((height, width), dtype=np.float32)
        owner = np.full((height, width), -1, dtype=np.int16)
        for number, figure in enumerate(figures):
            turned = np.round(self.scale * self.basis @ figure.matrix[:3, :3], 9) + 0.0
            key = figure.shape, turned.tobytes()
            if key not in stamps:
                stamps[key] = self._stamp(shapes[figure.shape], figure.matrix)
            shift = figure.matrix[:3, 3] @ self.basis.T
            stamps[key].set_into(shift, self.origin_mm, self.scale, number, (depth, shade, owner))
        self._colour(figures, depth, shade, owner)

    def _stamp(self, shape: Shape, matrix: Array) -> _Stamp:
        turned = np.eye(4)
        turned[:3, :3] = self.basis @ matrix[:3, :3]
        points = moved(shape.vertices_mm, turned)
        points[:, :2] *= self.scale
        corner = np.floor(points[:, :2].min(axis=0)) - 1
        span = np.ceil(points[:, :2].max(axis=0)) + 1 - corner
        points[:, :2] -= corner
        depth = np.full((int(span[1]), int(span[0])), -np.inf, dtype=np.float32)
        shade = np.zeros_like(depth)
        fill_triangles(np.ascontiguousarray(points), np.ascontiguousarray(shape.faces), LIGHT, depth, shade)
        return _Stamp(corner, depth, shade)

    def _colour(self, figures: Sequence[Figure], depth: Buffer, shade: Buffer, owner: Owners) -> None:
        pixels = np.asarray(self.image).copy()
        colours = np.array([figure.colour for figure in figures], dtype=np.float32).reshape(-1, 3)
        inside = owner >= 0
        pixels[inside] = (colours[owner[inside]] * shade[inside][:, None]).astype(np.uint8)
        step = np.float32(OUTLINE_STEP_PX / self.scale)
        for axis in (0, 1):
            one, other = _neighbours(axis)
            with np.errstate(invalid="ignore"):  # background is at minus infinity
                line = np.abs(depth[one] - depth[other]) > step
            line |= owner[one] != owner[other]
            pixels[one][line] = (pixels[one][line] * np.float32(OUTLINE)).astype(np.uint8)
        self.image = Image.fromarray(pixels)

    def png(self, width_px: int) -> bytes:
        """Return the finished picture as PNG, scaled down to `width_px`."""
        height_px = max(1, round(self.image.height * width_px / self.image.width))
        small = self.image.resize((width_px, height_px), Image.Resampling.BOX)
        stream = io.BytesIO()
        small.save(stream, "PNG", optimize=False)
        return stream.getvalue()


def _neighbours(axis: int) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    """Return the places of all pixels but the first along an axis, and of those before them."""
    whole, later, earlier = slice(None), slice(1, None), slice(None, -1)
    return ((later, whole), (earlier, whole)) if axis == 0 else ((whole, later), (whole, earlier))


@dataclass(frozen=True, eq=False)
class _Stamp:
    """One core type as it lies: depth (mm) and shade, and the picture-plane pixel of its corner."""

    corner: Array
    depth: Buffer
    shade: Buffer

    def set_into(
        self,
        shift_mm: Array,
        origin_mm: Array,
        scale: float,
        number: int,
        buffers: tuple[Buffer, Buffer, Owners],
    ) -> None:
        depth, shade, owner = buffers
        left, top = np.round(self.corner + (shift_mm[:2] - origin_mm) * scale).astype(int)
        rows, columns = self.depth.shape
        first_row, first_column = max(0, -top), max(0, -left)
        last_row = min(rows, depth.shape[0] - top)
        last_column = min(columns, depth.shape[1] - left)
        if last_row <= first_row or last_column <= first_column:
            return
        own = slice(first_row, last_row), slice(first_column, last_column)
        at = slice(top + first_row, top + last_row), slice(left + first_column, left + last_column)
        near = self.depth[own] + np.float32(shift_mm[2])
        won = near > depth[at]
        depth[at][won] = near[won]
        shade[at][won] = self.shade[own][won]
        owner[at][won] = number


Stamps = dict[tuple[str, bytes], _Stamp]
"""What was painted of each core, by its key and by how it lies in the picture."""
