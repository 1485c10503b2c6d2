"""The unpacking as moments: sand falls, cores go their ways, straight or in parts."""

from __future__ import annotations

import numpy as np
import pytest

from app.qt.shown_plan import ShownBox, ShownPlacement
from app.qt.unpacking import drawn_matrix, unpacking_of

NONE = np.zeros(0)


def box() -> ShownBox:
    places = tuple(ShownPlacement(core, 0, np.eye(4)) for core in ("a", "b", "c"))
    return ShownBox((300.0, 200.0, 100.0), 80.0, 0.3, places, NONE, NONE, NONE, NONE, NONE)


def draw(core: str, **facts: object) -> dict[str, object]:
    return {"core": core, "copy": 0, "tilt": [0.0, 0.0], "held_by_hand": False, **facts}


def test_sand_falls_only_where_it_gets_lower_and_every_core_is_drawn() -> None:
    document = {
        "stages": [
            {"sand_mm": 50.0, "draws": [draw("b"), draw("a", held_by_hand=True)]},
            {"sand_mm": 50.0, "draws": []},
        ],
        "left": [["c", 0]],
    }
    found = unpacking_of(box(), document)
    assert [(m.core, m.from_mm, m.to_mm) for m in found.moments] == [(-1, 80, 50), (1, 50, 50), (0, 50, 50)]
    assert found.moments[2].held_by_hand and found.stages == 2 and found.left == (2,)


def test_a_slid_core_goes_aside_first_and_then_up() -> None:
    way = draw("a", way="slid", moves_mm=[[20.0, 0.0, 0.0], [0.0, 0.0, 500.0]])
    (moment,) = unpacking_of(box(), {"stages": [{"sand_mm": 80.0, "draws": [way]}]}).moments
    assert moment.way == "slid" and moment.tilt_deg == pytest.approx(0.0)
    for share, place in ((0.125, (10.0, 0.0, 0.0)), (0.25, (20.0, 0.0, 0.0)), (1.0, (20.0, 0.0, 60.0))):
        assert drawn_matrix(np.eye(4), moment, share, 60.0)[:3, 3].tolist() == pytest.approx(place)


def test_a_tilt_is_the_angle_to_the_vertical() -> None:
    way = draw("a", tilt=[1.0, 0.0], way="tilted", moves_mm=[[100.0, 0.0, 100.0]])
    (moment,) = unpacking_of(box(), {"stages": [{"sand_mm": 80.0, "draws": [way]}]}).moments
    assert moment.tilt_deg == pytest.approx(45.0)
    assert drawn_matrix(np.eye(4), moment, 0.5, 80.0)[:3, 3].tolist() == pytest.approx([40.0, 0.0, 40.0])
