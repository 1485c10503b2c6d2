"""True distances against two outside libraries: manifold3d and python-fcl."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry import solids
from corelib.geometry.distance import least_distance_mm, tree_order, turned_tree
from corelib.geometry.pose import Orientation, rigid
from tests.nesting.bodies import block, bracket, joined
from tests.nesting.test_tiers import fcl_distance_mm

WHOLE = np.eye(3)


def tree(mesh, rotation=WHOLE):
    return turned_tree(mesh.vertices_mm, tree_order(mesh.vertices_mm, mesh.faces), rotation)


@given(
    st.tuples(*[st.floats(-80, 80)] * 3),
    st.floats(0, 360),
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1),
    st.tuples(st.floats(15, 60), st.floats(15, 60), st.floats(3, 40), st.floats(2, 9)),
)
@settings(max_examples=80, deadline=None)
def test_distances_agree_with_manifold3d_and_fcl(shift, yaw, down, size):
    first, second = bracket(60, 50, 20, 8), bracket(*size)
    rotation = Orientation(down, yaw).rotation
    shift = np.array(shift)
    found = least_distance_mm(tree(first), tree(second, rotation), shift, 50.0)
    solid_a = solids.solid(first.vertices_mm, first.faces)
    solid_b = solids.solid(second.vertices_mm, second.faces)
    by_manifold = solids.least_gap_mm(solid_a, solids.placed(solid_b, rigid(rotation, shift)), 50.0)
    assert found == pytest.approx(by_manifold, abs=1e-9)
    by_fcl = fcl_distance_mm(first, np.eye(4), second, rigid(rotation, shift))
    if found > 0:
        assert min(by_fcl, 50.0) == pytest.approx(found, abs=1e-5)


def test_inside_is_no_distance_and_a_hollow_is_one():
    outer, inner = block(40, 40, 40), block(4, 4, 4)
    assert least_distance_mm(tree(outer), tree(inner), np.array([18.0, 18, 18]), 5.0) == 0.0
    assert least_distance_mm(tree(inner), tree(outer), np.array([-18.0, -18, -18]), 5.0) == 0.0
    part_inside = joined(block(4, 4, 4, (100, 0, 0)), inner)
    assert least_distance_mm(tree(outer), tree(part_inside), np.array([18.0, 18, 18]), 5.0) == 0.0
    walls = joined(
        block(60, 5, 20), block(60, 5, 20, (0, 55, 0)), block(5, 60, 20), block(5, 60, 20, (55, 0, 0))
    )
    assert least_distance_mm(tree(walls), tree(inner), np.array([28.0, 28, 8]), 50.0) == pytest.approx(23.0)


def test_the_bound_is_what_comes_back_from_afar():
    far = np.array([500.0, 0.0, 0.0])
    assert least_distance_mm(tree(block(5, 5, 5)), tree(block(5, 5, 5)), far, 7.0) == 7.0
