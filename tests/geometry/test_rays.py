"""Lines of sight: hits on a block known from the drawing, and the same hits as trimesh finds."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry.rays import nearest_vertex_mm, ray_hits_mm
from tests.nesting.bodies import block, bracket


def test_a_line_through_a_block_enters_and_leaves():
    mesh = block(40.0, 30.0, 20.0)
    hits = ray_hits_mm(mesh.vertices_mm, mesh.faces, np.array([-10.0, 12.0, 7.0]), np.array([1.0, 0, 0]))
    assert hits.tolist() == pytest.approx([10.0, 50.0])
    away = ray_hits_mm(mesh.vertices_mm, mesh.faces, np.array([-10.0, 12.0, 7.0]), np.array([-1.0, 0, 0]))
    assert len(away) == 0
    assert nearest_vertex_mm(mesh.vertices_mm, mesh.faces, np.array([41.0, 29.0, 3.0])).tolist() == [
        40,
        30,
        0,
    ]


@settings(max_examples=60, deadline=None)
@given(
    start=st.tuples(*(st.floats(-90, 90) for _ in range(3))),
    target=st.tuples(st.floats(1, 30), st.floats(1, 7), st.floats(1, 19)),
)
def test_hits_are_those_of_trimesh(start, target):
    mesh = bracket()
    way = np.array(target) - np.array(start)
    length = float(np.linalg.norm(way))
    if length < 60.0:
        return
    direction = way / length
    ours = ray_hits_mm(mesh.vertices_mm, mesh.faces, np.array(start), direction)
    other = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    places, _, _ = other.ray.intersects_location([start], [direction])
    theirs = np.unique(((places - np.array(start)) @ direction).round(6))
    assert np.unique(ours.round(6)) == pytest.approx(theirs, abs=1e-5)
