"""The box view with 60 cores of 30,000 triangles: coarse while it moves, and quicker for it.

Frames a second stand in what `python -m tests.speed.box_view_frames` prints; here the coarse picture is held
against the fine one of the same run.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QApplication

from app.qt.display_mesh import MOVING_TRIANGLES, REST_TRIANGLES
from tests.pace import least_s
from tests.speed.box_view_frames import made_view, turning

QUICKER = 1.4


def test_a_full_box_turns_in_coarse_copies(qapp: QApplication, benchmark: pytest.FixtureRequest) -> None:
    view, places, cut = made_view()
    try:
        assert view.scene is not None
        turning(view, True)(0)
        assert 0 < view.scene.triangles_drawn() <= MOVING_TRIANGLES * len(places)
        turning(view, False)(0)
        assert MOVING_TRIANGLES * len(places) < view.scene.triangles_drawn() <= REST_TRIANGLES * len(places)

        def painted(moving: bool) -> Callable[[], object]:
            turn = turning(view, moving)
            return lambda: (turn(0), view.grab())

        coarse_s, fine_s = least_s(painted(True), painted(False), runs=8)
        print(f"a fine picture / a coarse one: {fine_s / coarse_s:.2f}")
        assert fine_s / coarse_s > QUICKER
        view.set_cut(True)
        view.show_cut_faces(cut)
        benchmark.pedantic(lambda: (turning(view, True)(0), view.grab()), rounds=5)  # type: ignore[attr-defined]
    finally:
        view.close()
