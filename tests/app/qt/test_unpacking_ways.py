"""A core's way on the screen: level, upward, or one after the other, as plan.json says."""

import numpy as np
import pytest

from app.qt.unpacking import Moment, drawn_by_mm


@pytest.mark.parametrize(
    ("moment", "half", "end"),
    [
        (Moment(0, 9.0, 9.0, 1), (0, 0, 100), (0, 0, 200)),
        (Moment(0, 9.0, 9.0, 1, (0.5, 0.0), way="tilted"), (50, 0, 100), (100, 0, 200)),
        (Moment(0, 9.0, 9.0, 1, way="sideways", aside_mm=(0.0, -80.0)), (0, -40, 0), (0, -80, 0)),
        # 50 mm aside and 200 up: half of the 250 mm is 50 aside and 75 up
        (Moment(0, 9.0, 9.0, 1, way="slid", aside_mm=(50.0, 0.0)), (50, 0, 75), (50, 0, 200)),
    ],
)
def test_a_core_moves_along_its_way(moment, half, end):
    np.testing.assert_allclose(drawn_by_mm(moment, 0.0, 200.0), 0.0)
    np.testing.assert_allclose(drawn_by_mm(moment, 0.5, 200.0), half)
    np.testing.assert_allclose(drawn_by_mm(moment, 1.0, 200.0), end)
