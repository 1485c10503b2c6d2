"""Pictures that must be quick have fewer pixels; what lies under a pixel is found all the same."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.qt.display_mesh import DisplayMesh
from app.qt.shown_plan import CoreLook, ShownPlacement
from app.qt.views import box_scene
from app.qt.views.box_scene import BoxScene
from tests.app.invented_plan import bar

SIZE = (400, 300)


@pytest.fixture
def scene(qtbot: QtBot) -> Iterator[BoxScene]:
    """Return two bars in a box, seen from its corner."""
    vertices, faces = bar()
    mesh = DisplayMesh(vertices, faces.astype(np.int64))
    places = [np.eye(4), np.eye(4)]
    places[0][:3, 3], places[1][:3, 3] = (20.0, 40.0, 10.0), (150.0, 120.0, 60.0)
    scene = BoxScene()
    scene.set_box((300.0, 200.0, 150.0))
    looks = {"bar": CoreLook(mesh, mesh)}
    copies = [ShownPlacement("bar", n, place) for n, place in enumerate(places)]
    scene.set_cores(copies, looks, {"bar": QColor("orange")})
    scene.camera.look_at_all()
    yield scene
    scene.close()


def picked(scene: BoxScene) -> list[int]:
    """Return what lies under pixels all over the picture."""
    return [scene.pick(x, y).number for x in range(10, SIZE[0], 15) for y in range(10, SIZE[1], 15)]


def test_a_slow_picture_is_coarse_while_it_moves(scene: BoxScene, monkeypatch: pytest.MonkeyPatch) -> None:
    assert scene.image(*SIZE).shape[:2] == SIZE[::-1]
    at_rest = picked(scene)
    monkeypatch.setattr(box_scene, "SLOW_S", 0.0)
    scene.set_moving(True)
    scene.image(*SIZE)
    coarse = scene.image(*SIZE)
    assert coarse.shape[1] == round(box_scene.COARSE_SHARE * SIZE[0])
    moving = picked(scene)
    assert {0, 1} <= set(at_rest)
    assert np.mean(np.array(moving) == np.array(at_rest)) > 0.98
    scene.set_moving(False)
    assert scene.image(*SIZE).shape[:2] == SIZE[::-1]
    assert picked(scene) == at_rest
