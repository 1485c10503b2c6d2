"""Pictures that must be quick have fewer pixels; what lies under a pixel is found all the same."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.display_mesh import DisplayMesh
from app.qt.main_window import MainWindow
from app.qt.shown_plan import CoreLook, ShownPlacement, read_plan
from app.qt.views import box_scene
from app.qt.views.box_scene import BoxScene
from corelib.job import edits
from tests.app.invented_plan import bar
from tests.app.qt.conftest import READY_MS

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


def test_a_plan_is_shown_coarse_first_and_an_edit_elsewhere_draws_nothing(
    planned: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    view, document = planned.desk.box_view, planned.document
    pictures: list[bool] = []
    draw = BoxScene.image

    def counted(scene: BoxScene, width: int, height: int) -> object:
        if scene is view.scene:
            pictures.append(scene._is_moving)
        return draw(scene, width, height)

    qtbot.waitUntil(lambda: not view._rest.isActive(), timeout=READY_MS)
    QApplication.processEvents()
    monkeypatch.setattr(BoxScene, "image", counted)
    assert document.plan is not None
    document.set_plan(read_plan(document.plan.files), document.job)
    qtbot.waitUntil(lambda: len(pictures) > 1 and not pictures[-1], timeout=READY_MS)
    assert pictures[0]
    pictures.clear()
    assert document.job is not None
    document.edit("name", edits.with_core_value(document.job, "ring", "name", "Other ring"))
    QApplication.processEvents()
    assert not pictures
