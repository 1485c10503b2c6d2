"""The vertices that faces use, against numpy's own sorted numbers."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from corelib.geometry.vertices import used_vertices


@given(st.integers(3, 30), st.lists(st.tuples(*[st.integers(0, 29)] * 3), min_size=1, max_size=20))
def test_each_used_vertex_comes_once_and_in_order(count, rows):
    vertices = np.arange(3.0 * count).reshape(-1, 3)
    faces = np.array(rows, dtype=np.int32) % count
    assert np.array_equal(used_vertices(vertices, faces), vertices[np.unique(faces)])
