"""The 3D scene of a box: its edges, its cores and the layer shown, rendered off screen into an image."""

from __future__ import annotations

import time
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import vtkmodules.vtkRenderingCore
import vtkmodules.vtkRenderingOpenGL2
from numpy.typing import NDArray
from PySide6.QtGui import QColor
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkPoints, vtkUnsignedCharArray
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPlane, vtkPolyData
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkFiltersCore import vtkPolyDataNormals
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkCellPicker,
    vtkLight,
    vtkPolyDataMapper,
    vtkProperty,
    vtkRenderer,
)

from app.qt.display_mesh import DisplayMesh
from app.qt.palette import mixed
from app.qt.shown_plan import CoreLook, ShownPlacement
from app.qt.views.box_camera import VIEW_ANGLE_DEG, BoxCamera

CREASE_DEG = 38.0
LIGHTS = (((-0.6, 1.6, 1.0), 0.85), ((0.9, 0.1, 1.0), 0.42))
"""Lights that go with the eye (right, up, toward the eye) and their strengths: main light, fill light."""

_CORNERS = np.array([[x, y, z] for z in (0, 1) for y in (0, 1) for x in (0, 1)], dtype=np.float64)
_EDGES = ((0, 1), (1, 3), (3, 2), (2, 0), (4, 5), (5, 7), (7, 6), (6, 4), (0, 4), (1, 5), (2, 6), (3, 7))
_FLOOR = ((0, 1, 3, 2),)
_CROSSES = ((0, 5), (1, 4), (2, 7), (3, 6), (0, 6), (2, 4), (1, 7), (3, 5))
_SIDES = ((0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (1, 3, 7, 5), (3, 2, 6, 7), (2, 0, 4, 6))
SAND_OPACITY = 0.45
COARSE_SHARE = 0.6
"""Pixels along a side of a picture that must be quick, as a share of those at rest."""
SLOW_S = 0.018
"""Time of a picture above which the next one while moving is coarse."""


def can_render() -> bool:
    """Return False where no OpenGL is at hand: rendering would end the process."""
    window = _window_class()()
    window.SetOffScreenRendering(1)
    window.SetShowWindow(False)
    supported = bool(window.SupportsOpenGL())
    window.Finalize()
    return supported


def _window_class() -> Any:
    on_egl: Any = getattr(vtkmodules.vtkRenderingOpenGL2, "vtkEGLRenderWindow", None)  # Linux alone has it
    return on_egl or vtkmodules.vtkRenderingCore.vtkRenderWindow


@dataclass(frozen=True, eq=False)
class Picked:
    """What lies at a pixel: number of the core copy (-1: none), and the place on its surface in the box."""

    number: int
    place_mm: NDArray[np.float64]


class BoxScene:
    """Box, cores, layer and sand, seen by `camera`; `image` renders it."""

    def __init__(self) -> None:
        self._renderer = vtkRenderer()
        self._window = _window_class()()
        self._window.SetOffScreenRendering(1)
        self._window.SetShowWindow(False)
        self._window.SetMultiSamples(0)
        self._window.AddRenderer(self._renderer)
        self._renderer.UseFXAAOn()
        self._renderer.SetAutomaticLightCreation(False)
        for place, strength in LIGHTS:
            self._renderer.AddLight(_light(place, strength))
        self._cores: list[tuple[vtkActor, vtkPolyDataMapper, vtkPolyDataMapper]] = []
        self._looks: dict[str, CoreLook] = {}
        self._mappers: dict[str, tuple[vtkPolyDataMapper, vtkPolyDataMapper]] = {}
        self._kept: list[Any] = []  # arrays that VTK reads without copying
        self._is_moving = self._is_slow = False
        self._share = 1.0
        self._box_mm = (1.0, 1.0, 1.0)
        self._cut = vtkPlane()
        self._cut.SetNormal(0.0, 0.0, -1.0)
        self._is_cut = False
        self._frame, self._floor = _line_actor(), _face_actor()
        self._level, self._level_fill = _line_actor(), _face_actor()
        self._level.GetProperty().SetLineWidth(2.0)
        self._chosen, self._chosen_number = _line_actor(), -1
        self._sand, self._regions = _face_actor(), _line_actor()
        self._sand.GetProperty().BackfaceCullingOn()
        self._chosen.GetProperty().SetLineWidth(2.0)
        for actor in (
            self._frame,
            self._floor,
            self._level,
            self._level_fill,
            self._chosen,
            self._sand,
            self._regions,
        ):
            actor.SetVisibility(False)
            actor.SetPickable(False)
            self._renderer.AddActor(actor)
        self.camera = BoxCamera()

    def close(self) -> None:
        """Let go of the graphics context and of all that was drawn; the scene can't be used afterwards."""
        self._renderer.RemoveAllViewProps()
        self._cores.clear()
        self._mappers.clear()
        self._looks.clear()
        self._window.Finalize()

    def set_colours(self, ground: QColor, ink: QColor, faint: QColor, accent: QColor) -> None:
        """Take the colours of background, box and layer."""
        self._renderer.SetBackground(*_rgb(ground))
        self._frame.GetProperty().SetColor(*_rgb(faint))
        self._floor.GetProperty().SetColor(*_rgb(ink))
        self._chosen.GetProperty().SetColor(*_rgb(ink))
        self._regions.GetProperty().SetColor(*_rgb(ink))
        self._floor.GetProperty().SetOpacity(0.06)
        self._level.GetProperty().SetColor(*_rgb(accent))
        self._level_fill.GetProperty().SetColor(*_rgb(accent))
        self._level_fill.GetProperty().SetOpacity(0.14)

    def set_box(self, inner_mm: tuple[float, float, float] | None) -> None:
        """Show a box's edges and floor, or none."""
        for actor in (self._frame, self._floor, self._level, self._level_fill):
            actor.SetVisibility(inner_mm is not None)
        if inner_mm is None:
            return
        self._box_mm = self.camera.box_mm = inner_mm
        corners = _CORNERS * np.array(inner_mm)
        self._give(self._frame, corners, lines=_EDGES)
        self._give(self._floor, corners[:4], polygons=_FLOOR)
        self.set_level(0.0)

    def set_level(self, z_mm: float) -> None:
        """Show the layer's height as a sheet across the box, and cut there if cores are cut."""
        self._cut.SetOrigin(0.0, 0.0, z_mm)
        corners = _CORNERS[:4] * np.array(self._box_mm) + np.array([0.0, 0.0, z_mm])
        self._give(self._level, corners, lines=_EDGES[:4])
        self._give(self._level_fill, corners, polygons=_FLOOR)

    def set_cores(
        self,
        placements: Sequence[ShownPlacement],
        looks: Mapping[str, CoreLook],
        colours: Mapping[str, QColor],
    ) -> None:
        """Show core copies in the place of the last ones."""
        for actor, _, _ in self._cores:
            self._renderer.RemoveActor(actor)
        self._cores.clear()
        self._chosen.SetVisibility(False)
        self._chosen_number = -1
        self._take_looks(looks)
        for placement in placements:
            rest, moving = self._mappers[placement.core]
            actor = vtkActor()
            actor.SetMapper(rest)
            actor.SetUserMatrix(_matrix(placement.matrix))
            _paint(actor, colours[placement.core])
            self._renderer.AddActor(actor)
            self._cores.append((actor, rest, moving))
        self.set_cut(self._is_cut)

    def _take_looks(self, looks: Mapping[str, CoreLook]) -> None:
        """Make what draws each core, unless it is there already."""
        if all(self._looks.get(core) is look for core, look in looks.items()):
            return
        self._kept.clear()
        self._looks = dict(looks)
        self._mappers = {
            core: (self._mapper(look.rest), self._mapper(look.moving)) for core, look in looks.items()
        }

    def set_cut(self, is_cut: bool) -> None:
        """Take away what lies above the layer, or show it again."""
        self._is_cut = is_cut
        for _, rest, moving in self._cores:
            for mapper in (rest, moving):
                mapper.RemoveAllClippingPlanes()
                if is_cut:
                    mapper.AddClippingPlane(self._cut)
        self._level_fill.SetVisibility(self._level.GetVisibility() and not is_cut)

    def choose(self, number: int) -> None:
        """Frame one core copy, or none (-1)."""
        has_one = 0 <= number < len(self._cores)
        self._chosen_number = number if has_one else -1
        self._chosen.SetVisibility(has_one)
        if has_one:
            x0, x1, y0, y1, z0, z1 = self._cores[number][0].GetBounds()
            low, high = np.array([x0, y0, z0]), np.array([x1, y1, z1])
            self._give(self._chosen, low + _CORNERS * (high - low), lines=_EDGES)

    def pick(self, x: int, y: int) -> Picked:
        """Return what lies at a pixel (from the lower left corner)."""
        picker = vtkCellPicker()
        picker.SetTolerance(0.0)
        picker.Pick(x * self._share, y * self._share, 0.0, self._renderer)
        actor = picker.GetActor()
        number = next((number for number, core in enumerate(self._cores) if core[0] is actor), -1)
        return Picked(number, np.array(picker.GetPickPosition()))

    def move_core(self, number: int, matrix: NDArray[np.float64]) -> None:
        """Show one core copy at another place."""
        if 0 <= number < len(self._cores):
            self._cores[number][0].SetUserMatrix(_matrix(matrix))
            if number == self._chosen_number:
                self.choose(number)

    def show_only(self, numbers: Collection[int] | None) -> None:
        """Show some of the core copies; None shows all."""
        for number, (actor, _, _) in enumerate(self._cores):
            actor.SetVisibility(numbers is None or number in numbers)

    def set_regions(self, regions: Sequence[tuple[Sequence[float], Sequence[float]]]) -> None:
        """Show regions to keep out of, each from its lowest to its highest corner, as edges."""
        self._regions.SetVisibility(bool(regions))
        if not regions:
            return
        corners = [np.array(low) + _CORNERS * (np.array(high) - np.array(low)) for low, high in regions]
        edges = [(8 * n + a, 8 * n + b) for n in range(len(regions)) for a, b in (*_EDGES, *_CROSSES)]
        self._give(self._regions, np.concatenate(corners), lines=edges)

    def set_sand(self, level_mm: float | None, colour: QColor) -> None:
        """Fill the box with sand up to a level; None takes the sand away."""
        self._sand.SetVisibility(level_mm is not None and level_mm > 0.0)
        if level_mm is None or level_mm <= 0.0:
            return
        corners = _CORNERS * np.array([self._box_mm[0], self._box_mm[1], level_mm])
        self._give(self._sand, corners, polygons=_SIDES)
        surface = self._sand.GetProperty()
        surface.SetColor(*_rgb(colour))
        surface.SetOpacity(SAND_OPACITY)

    def triangles_drawn(self) -> int:
        """Return how many triangles of cores the next picture is made of."""
        return sum(
            int(actor.GetMapper().GetInput().GetNumberOfPolys())
            for actor, _, _ in self._cores
            if actor.GetVisibility()
        )

    def set_moving(self, moving: bool) -> None:
        """Draw coarse copies without smoothed edges while the view moves, which halves a picture's time."""
        self._renderer.SetUseFXAA(not moving)
        self._is_moving = moving
        for actor, rest, coarse in self._cores:
            actor.SetMapper(coarse if moving else rest)

    def image(self, width: int, height: int) -> NDArray[np.uint8]:
        """Return the picture as (height, width, 4) RGBA, top row first.

        While the view moves and pictures take long, it has fewer pixels along each side.
        """
        self._aim()
        self._share = COARSE_SHARE if self._is_moving and self._is_slow else 1.0
        width, height = max(1, round(width * self._share)), max(1, round(height * self._share))
        started_s = time.perf_counter()
        self._window.SetSize(width, height)
        self._window.Render()
        if self._is_moving:
            self._is_slow = time.perf_counter() - started_s > SLOW_S * self._share
        pixels = vtkUnsignedCharArray()
        self._window.GetRGBACharPixelData(0, 0, width - 1, height - 1, 1, pixels)
        image: NDArray[np.uint8] = vtk_to_numpy(pixels).reshape(height, width, 4)[::-1]
        return image

    def _aim(self) -> None:
        _, up, back = self.camera.axes()
        camera = self._renderer.GetActiveCamera()
        camera.SetViewAngle(VIEW_ANGLE_DEG)
        camera.SetFocalPoint(*self.camera.centre)
        camera.SetPosition(*(self.camera.centre + self.camera.distance * back))
        camera.SetViewUp(*up)
        self._renderer.ResetCameraClippingRange()

    def _mapper(self, mesh: DisplayMesh) -> vtkPolyDataMapper:
        normals = vtkPolyDataNormals()
        normals.SetInputData(self._poly(mesh.vertices_mm, mesh.faces))
        normals.SetFeatureAngle(CREASE_DEG)
        normals.ConsistencyOff()
        normals.Update()
        mapper = vtkPolyDataMapper()
        mapper.SetInputData(normals.GetOutput())
        mapper.ScalarVisibilityOff()
        return mapper

    def _poly(self, vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> vtkPolyData:
        corners = np.ascontiguousarray(vertices, dtype=np.float64)
        flat = np.ascontiguousarray(faces, dtype=np.int64).ravel()
        offsets = np.arange(0, len(flat) + 1, 3, dtype=np.int64)
        self._kept += [corners, flat, offsets]
        points = vtkPoints()
        points.SetData(numpy_to_vtk(corners))
        cells = vtkCellArray()
        cells.SetData(numpy_to_vtkIdTypeArray(offsets), numpy_to_vtkIdTypeArray(flat))
        poly = vtkPolyData()
        poly.SetPoints(points)
        poly.SetPolys(cells)
        return poly

    def _give(
        self,
        actor: vtkActor,
        corners: NDArray[np.float64],
        lines: Sequence[tuple[int, int]] = (),
        polygons: Sequence[Sequence[int]] = (),
    ) -> None:
        points = vtkPoints()
        for corner in corners:
            points.InsertNextPoint(*corner)
        poly = vtkPolyData()
        poly.SetPoints(points)
        cells = vtkCellArray()
        for cell in [*lines, *polygons]:
            cells.InsertNextCell(len(cell), list(cell))
        if polygons:
            poly.SetPolys(cells)
        else:
            poly.SetLines(cells)
        mapper: Any = actor.GetMapper()
        mapper.SetInputData(poly)


def _rgb(colour: QColor) -> tuple[float, float, float]:
    return colour.redF(), colour.greenF(), colour.blueF()


def _line_actor() -> vtkActor:
    actor = vtkActor()
    actor.SetMapper(vtkPolyDataMapper())
    actor.GetProperty().LightingOff()
    return actor


def _face_actor() -> vtkActor:
    actor = _line_actor()
    actor.GetProperty().BackfaceCullingOff()
    return actor


def _light(place: tuple[float, float, float], strength: float) -> vtkLight:
    light = vtkLight()
    light.SetLightTypeToCameraLight()
    light.SetPosition(*place)
    light.SetFocalPoint(0.0, 0.0, 0.0)
    light.SetIntensity(strength)
    return light


def _paint(actor: vtkActor, colour: QColor) -> None:
    surface = actor.GetProperty()
    surface.SetColor(*_rgb(colour))
    inside = vtkProperty()  # seen only where the layer cuts the core open
    inside.SetColor(*_rgb(mixed(colour, QColor("white"), 0.35)))
    inside.LightingOff()
    actor.SetBackfaceProperty(inside)
    surface.SetAmbient(0.22)
    surface.SetDiffuse(0.78)
    surface.SetSpecular(0.0)


def _matrix(matrix: NDArray[np.float64]) -> vtkMatrix4x4:
    result = vtkMatrix4x4()
    for row in range(4):
        for column in range(4):
            result.SetElement(row, column, float(matrix[row, column]))
    return result
