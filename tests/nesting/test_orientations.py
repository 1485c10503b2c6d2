"""Orientation rules give the orientations they name."""

import numpy as np
import pytest
from pydantic import ValidationError

from corelib.errors import InputError
from corelib.geometry.pose import Orientation, right_angle_orientations, rigid
from corelib.job.models import OrientationRule, Packing, Search
from corelib.nesting.gate import check_packing
from corelib.nesting.model import CopyKey, NestRules
from corelib.nesting.orientations import allowed_orientations, turned_box_mm
from corelib.nesting.packing import pack_build
from corelib.nesting.tiers import placement_of
from tests.nesting.bodies import AS_MODELLED, block, bracket, build_box, item

ODD = "nesting.orientation_not_allowed"


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


@pytest.mark.parametrize(("step", "tried"), [(90.0, 24), (10.0, 36)])
def test_any_yaw_is_tried_in_a_fine_step_and_accepted_at_any_angle(step, tried):
    rule = OrientationRule(rule="free yaw", yaw_step_deg=step)
    assert len(allowed_orientations(rule)) == tried
    for turn, codes in ((Orientation("-z", 33.7), []), (Orientation("+x", 33.7), [ODD])):
        one = item("a", block(30, 20, 10), orientations=allowed_orientations(rule), free_yaw=True)
        place = placement_of(one, CopyKey(0), 0, turn, rigid(turn.rotation, np.array([100.0, 100.0, 60.0])))
        found = check_packing([one], build_box(), NestRules(0.3), Packing(placements=(place,)))
        assert [finding.code for finding in found] == codes


def test_any_yaw_on_stated_faces():
    rule = OrientationRule(rule="free yaw", down=("+x", "-z"), yaw_step_deg=15)
    turns = allowed_orientations(rule)
    assert len(turns) == 48
    assert {turn.down for turn in turns} == {"+x", "-z"}


def test_a_free_yaw_fits_where_right_angles_do_not():
    bar, box = block(140, 6, 10), build_box(126, 126, 60)
    with pytest.raises(InputError):
        pack_build([item("a", bar, orientations=AS_MODELLED)], box, NestRules(0.3), Search())
    turns = allowed_orientations(OrientationRule(rule="free yaw"))
    one = item("a", bar, orientations=turns, free_yaw=True)
    packing = pack_build([one], box, NestRules(0.3), Search())
    assert packing.placements[0].orientation.yaw_deg % 90 == 45
    assert check_packing([one], box, NestRules(0.3), packing) == ()
