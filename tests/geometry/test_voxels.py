"""Voxels enclose the mesh, exactly on faces that lie in grid planes, in every right-angled turn."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry.pose import right_angle_orientations
from corelib.geometry.voxels import turned, voxels
from corelib.mesh.core import CoreMesh
from tests.nesting.bodies import block, bracket, joined


def volume_mm3(mesh):
    a, b, c = (mesh.vertices_mm[mesh.faces[:, n]] for n in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def points_inside(rng, mesh, count=2000):
    """Random points on the surface, pulled a trifle towards the inside."""
    corners = mesh.vertices_mm[mesh.faces]
    picks = rng.integers(0, len(corners), count)
    weights = rng.dirichlet((1, 1, 1), count)
    return np.einsum("ij,ijk->ik", weights, corners[picks])


def test_faces_in_grid_planes_mark_no_cell_outside():
    body = voxels(*mesh_of(block(20, 10, 30)), 5.0)
    assert body.cells.shape == (4, 2, 6)
    assert body.cells.all()
    body = voxels(*mesh_of(bracket(40, 32, 20, 8)), 4.0)
    assert body.volume_mm3 == pytest.approx(volume_mm3(bracket(40, 32, 20, 8)))


def mesh_of(mesh):
    return mesh.vertices_mm, mesh.faces


@given(
    st.floats(9, 60),
    st.floats(9, 60),
    st.floats(2, 40),
    st.floats(1, 8),
    st.floats(0.7, 7),
    st.integers(1, 3),
)
@settings(max_examples=60, deadline=None)
def test_cells_enclose_the_surface_and_the_volume(x, y, z, wall, pitch, multiple):
    mesh = bracket(x, y, z, wall)
    body = voxels(*mesh_of(mesh), pitch, multiple)
    assert body.volume_mm3 >= volume_mm3(mesh) * (1 - 1e-9)
    assert all(count % multiple == 0 for count in body.cells.shape)
    rng = np.random.default_rng(1)
    low = (mesh.low_mm + mesh.high_mm) / 2 - np.array(body.cells.shape) * pitch / 2
    places = (points_inside(rng, mesh) - low) / pitch
    near = np.zeros(len(places), dtype=bool)  # a point on a plane between two cells may count to either
    for shift in np.ndindex(2, 2, 2):
        cell = np.floor(places + (np.array(shift) - 0.5) * 1e-6).astype(int)
        cell = cell.clip(0, np.array(body.cells.shape) - 1)
        near |= body.cells[tuple(cell.T)]
    assert near.all()


@pytest.mark.parametrize("orientation", right_angle_orientations())
def test_turning_the_cells_is_turning_the_mesh(orientation):
    mesh = bracket(41.3, 29.7, 17.1, 7.7)
    rotation = orientation.rotation
    anew = voxels(mesh.vertices_mm @ rotation.T, mesh.faces, 3.0)
    cells = turned(voxels(*mesh_of(mesh), 3.0), rotation)
    assert cells.cells.shape == anew.cells.shape
    assert (cells.cells == anew.cells).mean() > 0.999  # cells that the surface only grazes may differ
    np.testing.assert_allclose(cells.size_mm, anew.size_mm)


def test_hollow_bodies_keep_their_hollow_and_open_ones_are_taken_whole():
    outer, inner = block(30, 30, 30), block(10, 10, 10, (10, 10, 10))
    hollow = joined(outer, CoreMesh(inner.vertices_mm, inner.faces[:, ::-1]))
    body = voxels(*mesh_of(hollow), 2.0)
    assert not body.cells[7, 7, 7]
    assert body.volume_mm3 == pytest.approx(26_000)
    open_mesh = CoreMesh(outer.vertices_mm, outer.faces[1:])
    assert voxels(*mesh_of(open_mesh), 2.0).cells.all()


def test_overlapping_bodies_are_one_solid():
    body = voxels(*mesh_of(joined(block(20, 20, 20), block(20, 20, 20, (10, 0, 0)))), 2.0)
    assert body.cells.all()
