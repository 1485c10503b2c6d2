"""Welding, edges, bodies and repeated faces against plain numpy and counts known by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from corelib.mesh.topology import edge_table, repeated_faces, split_bodies, weld, winding_number
from tests.mesh.shapes import box_corners, turned


@given(arrays(np.float64, st.tuples(st.integers(1, 40), st.just(3), st.just(3)), elements=st.integers(-2, 2)))
def test_weld_agrees_with_numpys_unique_rows(corners):
    vertices, faces = weld(corners)
    assert np.array_equal(vertices[faces], corners)
    assert len(vertices) == len(np.unique(corners.reshape(-1, 3), axis=0))


def test_negative_zero_is_the_same_place():
    corners = np.array([[[0.0, 0, 0], [1, 0, 0], [0, 1, 0]], [[-0.0, 0, 0], [0, 1, 0], [-0.0, 0, 1]]])
    assert len(weld(corners)[0]) == 4


def test_a_box_has_eighteen_edges_used_once_in_each_direction():
    table = edge_table(weld(box_corners((1, 2, 3)))[1])
    assert len(table.edges) == 18
    assert (table.forward == 1).all()
    assert (table.backward == 1).all()


def test_bodies_are_measured_apart_even_far_from_the_origin():
    corners = np.concatenate(
        [
            box_corners((10, 20, 30), (1e6, 0, 0)),
            turned(box_corners((1, 1, 1))),
            box_corners((2, 2, 2), (50, 0, 0)),
        ]
    )
    vertices, faces = weld(corners)
    bodies = split_bodies(vertices, faces, edge_table(faces))
    assert bodies.volume_mm3 == pytest.approx([6000, -1, 8], rel=1e-12)
    assert bodies.area_mm2 == pytest.approx([2200, 6, 24], rel=1e-12)


def test_boxes_that_touch_in_an_edge_stay_two_bodies():
    vertices, faces = weld(np.concatenate([box_corners((1, 1, 1)), box_corners((1, 1, 1), (1, 1, 0))]))
    table = edge_table(faces)
    assert (table.uses == 4).sum() == 1
    assert split_bodies(vertices, faces, table).count == 2


def test_repeats_are_told_apart_by_their_side():
    faces = np.array([[0, 1, 2], [1, 2, 0], [2, 1, 0], [0, 1, 3]], dtype=np.int32)
    assert repeated_faces(faces).tolist() == [0, 1, 2, 0]


@given(st.tuples(*[st.floats(-2, 4)] * 3))
def test_winding_number_is_one_inside_a_box_and_nought_outside(point):
    vertices, faces = weld(box_corners((1, 1, 1)))
    label = np.zeros(len(faces), np.int32)
    distance = max(abs(value - 0.5) for value in point) - 0.5
    if abs(distance) > 1e-6:
        turns = winding_number(vertices, faces, label, np.array([True]), np.array(point))
        assert turns == pytest.approx(1.0 if distance < 0 else 0.0, abs=1e-6)


def test_signalling_nan_is_no_surprise():
    corners = np.zeros((1, 3, 3), np.float32)
    corners.view(np.uint32)[0, 0, 0] = 0x7F800001
    vertices, _ = weld(corners)
    assert np.isnan(vertices).sum() == 1
