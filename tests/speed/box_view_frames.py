"""Frames a second of the box view: 60 cores of 20 kinds, 30,000 triangles each, at 1280 × 800.

    QT_QPA_PLATFORM=offscreen python -m tests.speed.box_view_frames

It prints frames a second while the box turns (coarse copies), at rest, while one core is dragged, and while
the box turns cut at a layer with its outlines filled.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication

from app.qt.display_mesh import MOVING_TRIANGLES, REST_TRIANGLES, simplified
from app.qt.palette import core_colours
from app.qt.shown_plan import CoreLook, ShownPlacement
from app.qt.views.box_marks import BoxMarks, CutFaces, FindingMark, Span
from app.qt.views.box_view import BoxView
from corelib.layers.outline import outlines_at
from tests.speed.test_plan import COPIES, TYPES, knot

WIDTH, HEIGHT = 1280, 800
BOX_MM = (800.0, 500.0, 400.0)
FRAMES = 40
ACROSS, DEEP = 5, 4


def looks_and_meshes() -> tuple[dict[str, CoreLook], dict[str, tuple[np.ndarray, np.ndarray]]]:
    """Return the 20 kinds: simplified copies, and the true meshes."""
    looks, meshes = {}, {}
    for kind in range(TYPES):
        corners = np.asarray(knot(kind), dtype=np.float64).reshape(-1, 3)
        vertices, faces = np.unique(corners.round(6), axis=0, return_inverse=True)
        faces = faces.reshape(-1, 3).astype(np.int32)
        rest = simplified(vertices, faces, REST_TRIANGLES)
        name = f"knot-{kind:02}"
        looks[name] = CoreLook(rest, simplified(rest.vertices_mm, rest.faces, MOVING_TRIANGLES))
        meshes[name] = vertices, faces
    return looks, meshes


def placements() -> list[ShownPlacement]:
    """Return 60 places in a grid of 5 × 4 × 3."""
    found = []
    for number in range(TYPES * COPIES):
        matrix = np.eye(4)
        matrix[:3, 3] = (
            90 + 155 * (number % ACROSS), 65 + 122 * (number // ACROSS % DEEP),
            60 + 110 * (number // (ACROSS * DEEP)),
        )  # fmt: skip
        found.append(ShownPlacement(f"knot-{number % TYPES:02}", number // TYPES, matrix))
    return found


def cut_faces(
    meshes: dict[str, tuple[np.ndarray, np.ndarray]], places: list[ShownPlacement], z_mm: float
) -> CutFaces:
    """Return the outlines of all cores at a height."""
    loops: dict[str, list[np.ndarray]] = {}
    for place in places:
        vertices, faces = meshes[place.core]
        points, starts = outlines_at(vertices + place.matrix[:3, 3], faces, z_mm)
        ends = np.append(starts[1:], len(points))
        loops.setdefault(place.core, []).extend(
            points[start:end] for start, end in zip(starts, ends, strict=bool(len(starts)))
        )
    return CutFaces(z_mm, {core: found for core, found in loops.items() if found})


def made_view() -> tuple[BoxView, list[ShownPlacement], CutFaces]:
    """Return a view of the full box with signs and a measured line, and its outlines at half height."""
    looks, meshes = looks_and_meshes()
    places = placements()
    view = BoxView()
    view.resize(WIDTH, HEIGHT)
    view.show()
    colours = core_colours(looks)
    view.show_box(BOX_MM, places, looks, colours, [(QColor(c), name) for name, c in colours.items()][:8])
    view.show_level(170.0)
    marks = tuple(FindingMark(place.matrix[:3, 3], "check", n) for n, place in enumerate(places[:12]))
    view.show_marks(BoxMarks(findings=marks, spans=(Span(np.zeros(3), np.array(BOX_MM), "1 m"),)))
    return view, places, cut_faces(meshes, places, 170.0)


def frames_a_second(view: BoxView, change: Callable[[int], None], frames: int = FRAMES) -> float:
    """Return how many frames a second are painted while something changes in each."""
    for number in range(3):
        change(number)
        view.grab()
    begun_s = time.perf_counter()
    for number in range(frames):
        change(number)
        view.grab()
    return frames / (time.perf_counter() - begun_s)


def turning(view: BoxView, moving: bool) -> Callable[[int], None]:
    """Return what turns the box a little, coarse or fine."""

    def change(_: int) -> None:
        assert view.scene is not None
        view.scene.camera.orbit(4.0, 0.0)
        view.scene.set_moving(moving)
        view._redraw()

    return change


def measure(tell: Callable[[str], object] = print) -> dict[str, float]:
    """Measure and tell each figure; returns them."""
    view, places, cut = made_view()
    scene = view.scene
    assert scene is not None
    figures: dict[str, float] = {}

    def drag(number: int) -> None:
        matrix = places[7].matrix.copy()
        matrix[0, 3] += number
        view.show_core_at(7, matrix)

    steps = {"turning": turning(view, True), "at rest": turning(view, False), "a core dragged": drag}
    for name, change in steps.items():
        figures[name] = frames_a_second(view, change)
        tell(f"{name}: {figures[name]:.1f} frames/s, {scene.triangles_drawn()} triangles drawn")
    view.set_cut(True)
    view.show_cut_faces(cut)
    figures["cut, turning"] = frames_a_second(view, turning(view, True))
    tell(f"cut, turning: {figures['cut, turning']:.1f} frames/s")
    view.close()
    return figures


if __name__ == "__main__":
    application = QApplication(sys.argv[:1])
    measure()
