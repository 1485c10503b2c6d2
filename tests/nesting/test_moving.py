"""Moving by hand: never nearer than the gap, up to contact, by whole layers; nearest points."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry.distance import tree_order, turned_tree
from corelib.geometry.nearest import nearest_of_triangles, nearest_points_mm
from corelib.geometry.pose import Orientation, rigid
from corelib.job.models import Packing, Placement
from corelib.nesting.clearance import Clearance, placed_bodies
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestRules
from corelib.nesting.moving import (
    Surroundings,
    moved_by_hand,
    next_turn,
    placed_by_hand,
    turned_by_hand,
)
from corelib.nesting.tiers import matrix_rows
from tests.nesting.bodies import AS_MODELLED, block, bracket, build_box, item

LAYER_MM = 0.4
RULES = NestRules(layer_thickness_mm=LAYER_MM)
BOX = build_box()
BLOCK = item("block", block(40.0, 30.0, 20.0), count=2, gap_mm=5.0, orientations=AS_MODELLED)
KNEE = item("knee", bracket(), count=2, gap_mm=4.0)
KNOWN = {"block": BLOCK, "knee": KNEE}


def placement(core, copy, place, orientation=None):
    """A copy with its mesh's origin at a place."""
    orientation = orientation or Orientation()
    matrix = rigid(orientation.rotation, np.array(place))
    return Placement(core=core, copy_number=copy, box=0, orientation=orientation, matrix=matrix_rows(matrix))


def bodies(*placements):
    return placed_bodies(KNOWN, placements)


def around(*others):
    return Surroundings(others, BOX, RULES, Clearance())


def test_a_core_stops_where_the_gap_is_just_kept():
    moving, standing = bodies(placement("block", 0, (20, 50, 10)), placement("block", 1, (120, 50, 10)))
    reached = moved_by_hand(moving, (70.0, 0.0, 0.0), around(standing))
    assert reached.high_mm[0] == pytest.approx(115.0, abs=0.011)
    assert reached.high_mm[0] <= 115.0 + 1e-6
    gap = around(standing).core_gap(reached)
    assert gap.other is standing.placement
    assert gap.distance_mm == pytest.approx(5.0, abs=0.011)
    assert np.subtract(*gap.ends_mm)[0] == pytest.approx(-gap.distance_mm)


def test_a_free_place_behind_another_core_is_taken():
    moving, standing = bodies(placement("block", 0, (20, 50, 10)), placement("block", 1, (120, 50, 10)))
    reached = moved_by_hand(moving, (160.0, 0.0, 0.0), around(standing))
    assert reached.low_mm[0] == pytest.approx(180.0)


def test_a_core_slides_along_what_it_touches():
    moving, standing = bodies(placement("block", 0, (20, 50, 10)), placement("block", 1, (120, 50, 10)))
    reached = moved_by_hand(moving, (70.0, 8.0, 0.0), around(standing))
    assert reached.high_mm[0] == pytest.approx(115.0, abs=0.011)
    assert reached.low_mm[1] == pytest.approx(58.0, abs=0.011)


def test_walls_hold_and_the_gap_names_them():
    (moving,) = bodies(placement("block", 0, (20, 50, 12)))
    reached = moved_by_hand(moving, (-500.0, 0.0, 0.0), around())
    assert reached.low_mm[0] == pytest.approx(10.0)
    gap = around().side_gaps(reached)[0]
    assert (gap.side, gap.need_mm) == ("left wall", 10.0)
    assert gap.slack_mm == pytest.approx(0.0, abs=1e-9)
    assert around().core_gap(reached) is None


def test_heights_come_to_whole_layers():
    moving, above = bodies(placement("block", 0, (20, 50, 10)), placement("block", 1, (20, 50, 60.1)))
    reached = moved_by_hand(moving, (0.0, 0.0, 40.0), around(above))
    layers = reached.low_mm[2] / LAYER_MM
    assert layers == pytest.approx(round(layers), abs=1e-9)
    room_mm = above.low_mm[2] - reached.high_mm[2]
    assert 5.0 - 1e-6 <= room_mm < 5.0 + LAYER_MM + 0.01


def test_a_core_that_lies_badly_goes_only_where_it_lies_well():
    moving, standing = bodies(placement("block", 0, (80, 50, 10)), placement("block", 1, (100, 50, 10)))
    assert moved_by_hand(moving, (5.0, 0.0, 0.0), around(standing)) is moving
    assert around(standing).core_gap(moving).distance_mm == 0.0
    assert moved_by_hand(moving, (-40.0, 0.0, 0.0), around(standing)).low_mm[0] == pytest.approx(40.0)


def test_a_core_turns_about_its_middle_and_passes_over_turns_that_hit():
    moving, standing = bodies(placement("knee", 0, (60, 60, 20)), placement("block", 1, (90, 40, 10)))
    turned = next_turn(moving, 1, around(standing))
    assert turned is not None
    assert around(standing).is_clear(turned)
    assert not np.allclose(turned.matrix[:3, :3], moving.matrix[:3, :3])
    back = turned_by_hand(turned, moving.placement.orientation, around(standing))
    assert back.matrix == pytest.approx(moving.matrix, abs=LAYER_MM)
    fixed = bodies(placement("block", 0, (20, 50, 10)))[0]
    assert next_turn(fixed, 1, around()) is None


@settings(max_examples=40, deadline=None)
@given(
    steps=st.lists(st.tuples(*(st.floats(-60, 60) for _ in range(3))), min_size=1, max_size=6),
    turn=st.integers(0, 23),
)
def test_no_sequence_of_moves_breaks_a_gap(steps, turn):
    """The gate, which measures every pair by itself, finds nothing after any moves."""
    start = turned_by_hand(bodies(placement("knee", 0, (60, 60, 20)))[0], KNEE.orientations[turn], around())
    others = bodies(placement("block", 0, (120, 50, 10)), placement("block", 1, (20, 120, 40)),
                    placement("knee", 1, (200, 120, 20)))  # fmt: skip
    here = around(*others)
    if not here.is_clear(start):
        return
    for by_mm in steps:
        start = moved_by_hand(start, by_mm, here)
    placements = (placed_by_hand(start), *(other.placement for other in others))
    assert check_packing([BLOCK, KNEE], BOX, RULES, Packing(placements=placements)) == ()


def test_nearest_points_of_a_corner_above_a_face():
    """A corner 3 mm above the middle of a triangle: points known from the drawing."""
    floor = np.array([0.0, 0, 0, 30, 0, 0, 0, 30, 0])
    above = np.array([8.0, 8, 3, 20, 20, 20, 30, 20, 20])
    first, second = nearest_of_triangles(floor, above)
    assert first.tolist() == pytest.approx([8, 8, 0])
    assert second.tolist() == pytest.approx([8, 8, 3])


@settings(max_examples=40, deadline=None)
@given(place=st.tuples(*(st.floats(-80, 80) for _ in range(3))), turn=st.integers(0, 23))
def test_nearest_points_lie_as_far_apart_as_the_distance(place, turn):
    from corelib.geometry.distance import least_distance_mm

    mesh = bracket()
    order = tree_order(mesh.vertices_mm, mesh.faces)
    first = turned_tree(mesh.vertices_mm, order, np.eye(3))
    second = turned_tree(mesh.vertices_mm, order, KNEE.orientations[turn].rotation)
    shift = np.array(place)
    distance = least_distance_mm(first, second, shift, 500.0)
    if distance == 0.0:
        return
    ends = nearest_points_mm(first, second, shift, distance)
    assert float(np.linalg.norm(ends[0] - ends[1])) == pytest.approx(distance, rel=1e-6, abs=1e-6)
