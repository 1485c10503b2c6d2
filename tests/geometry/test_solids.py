"""The door to manifold3d: what goes in comes out, and what would end the process is refused before."""

import numpy as np
import pytest

from corelib.geometry import solids
from corelib.mesh.load import box_mesh


def test_a_box_keeps_its_measures_and_comes_back():
    mesh = box_mesh((10, 20, 30))
    made = solids.solid(mesh.vertices_mm, mesh.faces)
    assert solids.volume_mm3(made) == pytest.approx(6000, rel=1e-14)
    assert solids.area_mm2(made) == pytest.approx(2200, rel=1e-14)
    vertices, faces = solids.triangles(made)
    assert len(vertices) == 8
    assert len(faces) == 12


@pytest.mark.parametrize("index", [8, -1, 10**9])
def test_wrong_indices_are_refused(index):
    mesh = box_mesh((1, 1, 1))
    faces = mesh.faces.copy()
    faces[0, 0] = index
    with pytest.raises(ValueError, match="does not exist"):
        solids.solid(mesh.vertices_mm, faces)


def test_open_and_endless_meshes_are_refused():
    mesh = box_mesh((1, 1, 1))
    with pytest.raises(ValueError, match="NotManifold"):
        solids.solid(mesh.vertices_mm, mesh.faces[1:])
    vertices = mesh.vertices_mm.copy()
    vertices[0, 0] = np.nan
    with pytest.raises(ValueError, match="not finite"):
        solids.solid(vertices, mesh.faces)


def test_boxes_are_joined_and_cut():
    made = solids.boxes([((0, 0, 0), (2, 2, 2)), ((1, 0, 0), (3, 2, 2))], [((0, 0, 1), (3, 2, 5))])
    assert solids.volume_mm3(made) == pytest.approx(6, rel=1e-12)
