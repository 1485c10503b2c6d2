"""Letting a core down into a box: on the floor or on another core, every gap kept, as low as it goes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry.pose import right_angle_orientations
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.letting_down import let_down
from corelib.nesting.model import CopyKey
from corelib.nesting.settling import shifted
from tests.nesting.bodies import AS_MODELLED, block, item, joined
from tests.nesting.test_moving import BLOCK, KNOWN, LAYER_MM, around, bodies, placement


@settings(max_examples=25)
@given(
    st.lists(st.tuples(st.floats(10, 250), st.floats(10, 160), st.floats(10, 60)), max_size=4),
    st.sampled_from(right_angle_orientations()),
)
def test_a_core_let_down_keeps_every_gap_and_lies_on_the_floor_or_on_another(places, orientation):
    known = {**KNOWN, "block": replace(BLOCK, copies=tuple(CopyKey(n) for n in range(9)))}
    standing = placed_bodies(known, [placement("block", n + 1, place) for n, place in enumerate(places)])
    (moving,) = bodies(placement("knee", 0, (30.0, 30.0, 20.0), orientation))
    there = around(*standing)
    found = let_down(moving, there)
    if not places:
        assert found is not None
    if found is None:
        return
    assert there.is_clear(found)
    layers = found.low_mm[2] / LAYER_MM
    assert layers == pytest.approx(round(layers), abs=1e-6)
    lower = shifted(found, np.array([0.0, 0.0, -LAYER_MM]))
    assert not there.is_clear(lower)  # the floor or another core is just below
    assert np.allclose(found.matrix[:3, :3], moving.matrix[:3, :3])


def test_of_places_alike_the_nearest_is_taken_and_a_full_box_has_none():
    moving, first = bodies(placement("block", 0, (150, 90, 60)), placement("block", 1, (20, 20, 10)))
    found = let_down(moving, around(first))
    assert found.low_mm[2] == pytest.approx(LAYER_MM * 25)
    assert np.allclose(found.low_mm[:2], moving.low_mm[:2])
    wall = item("wall", block(280.0, 180.0, 125.0), orientations=AS_MODELLED)
    (filling,) = placed_bodies({"wall": wall}, [placement("wall", 0, (10, 10, 10))])
    assert let_down(moving, around(filling)) is None


def test_it_goes_into_a_hollow_that_bounding_boxes_close():
    """A block fits between two legs: it comes to the floor, not onto the frame around it."""
    frame = joined(block(20, 180, 60), block(20, 180, 60, (260, 0, 0)), block(280, 10, 60, (0, 170, 0)))
    known = {**KNOWN, "frame": item("frame", frame, orientations=AS_MODELLED)}
    moving, standing = placed_bodies(
        known, [placement("block", 0, (60, 60, 100)), placement("frame", 0, (10, 10, 10))]
    )
    found = let_down(moving, around(standing))
    assert found.low_mm[2] == pytest.approx(LAYER_MM * 25)
    assert around(standing).is_clear(found)
