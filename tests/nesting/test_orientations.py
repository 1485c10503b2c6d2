"""Orientation rules give the orientations they name."""

import numpy as np
import pytest
from pydantic import ValidationError

from corelib.errors import InputError
from corelib.geometry.pose import Orientation, right_angle_orientations
from corelib.job.models import OrientationRule
from corelib.nesting.orientations import allowed_orientations, turned_box_mm
from tests.nesting.bodies import bracket


def test_each_rule_gives_what_it_names():
    assert allowed_orientations(OrientationRule(rule="fixed")) == (Orientation(),)
    assert allowed_orientations(OrientationRule()) == right_angle_orientations()
    quarter = allowed_orientations(OrientationRule(rule="yaw steps", yaw_step_deg=90))
    assert quarter == tuple(Orientation("-z", yaw) for yaw in (0.0, 90.0, 180.0, 270.0))
    odd = allowed_orientations(OrientationRule(rule="yaw steps", yaw_step_deg=100))
    assert [o.yaw_deg for o in odd] == [0, 100, 200, 300]
    faces = allowed_orientations(
        OrientationRule(rule="faces down", down=("+x", (1.0, 1.0, 0.0)), yaw_step_deg=180)
    )
    assert len(faces) == 4
    assert {o.down for o in faces} == {"+x", (1.0, 1.0, 0.0)}


def test_too_fine_a_step_is_refused_in_a_sentence():
    with pytest.raises(InputError) as caught:
        allowed_orientations(OrientationRule(rule="yaw steps", yaw_step_deg=0.1))
    assert caught.value.code == "nesting.too_many_orientations"
    with pytest.raises(ValidationError):
        OrientationRule(rule="faces down")


@pytest.mark.parametrize(
    "orientation", [*right_angle_orientations(), Orientation("-z", 33.0), Orientation((1, 2, 3))]
)
def test_the_turned_box_is_the_box_of_the_turned_vertices(orientation):
    mesh = bracket()
    low, high = turned_box_mm(mesh, orientation.rotation)
    turned = mesh.vertices_mm @ orientation.rotation.T
    np.testing.assert_allclose(low, turned.min(axis=0), atol=1e-12)
    np.testing.assert_allclose(high, turned.max(axis=0), atol=1e-12)
