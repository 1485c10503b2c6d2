"""Simplified copies: few triangles, the shape kept."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from app.qt.display_mesh import simplified


@pytest.mark.parametrize("most", [1000, 4000])
def test_a_copy_keeps_to_its_number_and_to_the_shape(most: int) -> None:
    torus = trimesh.creation.torus(40.0, 12.0, major_sections=200, minor_sections=100)
    vertices, faces = np.asarray(torus.vertices), np.asarray(torus.faces)
    copy = simplified(vertices, faces, most)
    assert most / 3 < len(copy.faces) <= most
    made = trimesh.Trimesh(copy.vertices_mm, copy.faces, process=False)
    assert made.volume == pytest.approx(torus.volume, rel=0.03)
    reach = np.hypot(copy.vertices_mm[:, 0], copy.vertices_mm[:, 1]) - 40.0
    away = np.abs(np.hypot(reach, copy.vertices_mm[:, 2]) - 12.0)
    assert away.max() < 1.5


def test_edges_of_a_block_stay_sharp() -> None:
    block = trimesh.creation.box((100.0, 60.0, 40.0)).subdivide().subdivide().subdivide().subdivide()
    copy = simplified(np.asarray(block.vertices), np.asarray(block.faces), 800)
    assert np.allclose(np.abs(copy.vertices_mm).max(axis=0), (50.0, 30.0, 20.0), atol=1e-6)
    assert trimesh.Trimesh(copy.vertices_mm, copy.faces, process=False).volume == pytest.approx(
        240_000.0, rel=1e-3
    )


def test_a_small_mesh_is_left_alone() -> None:
    block = trimesh.creation.box((1.0, 1.0, 1.0))
    copy = simplified(np.asarray(block.vertices), np.asarray(block.faces), 100)
    assert len(copy.faces) == 12
