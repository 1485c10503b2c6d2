"""Sections against trimesh, shapely and manifold3d on meshes that no one here made."""

import manifold3d
import numpy as np
import pytest
import trimesh

from corelib.layers.sections import core_sections, plane_areas
from tests.layers.meshes import gyroid, stl, turn, welded

MESHES = {
    "rear_case": lambda: welded(stl("numpy_stl/rear_case.stl")),
    "Moon": lambda: welded(stl("numpy_stl/Moon.stl")),
    "Star": lambda: welded(stl("numpy_stl/Star.stl")),
    "lattice": lambda: gyroid(40),
}


@pytest.mark.parametrize("name", MESHES)
def test_areas_and_lengths_against_trimesh_and_shapely(name):
    """trimesh cuts and links, shapely measures the polygons with their holes, on random planes."""
    mesh = MESHES[name]()
    rotation = turn(25, -40, 15)
    turned = trimesh.Trimesh(mesh.vertices_mm @ rotation.T, mesh.faces, process=False)
    low, high = turned.bounds[:, 2]
    rng = np.random.default_rng(7)
    greatest = 0.0
    for height in rng.uniform(0.02, 0.98, 12) * (high - low):
        area, length = plane_areas(mesh, rotation, first_mm=height, step_mm=1.0, count=1)
        path = turned.section(plane_origin=(0, 0, low + height), plane_normal=(0, 0, 1))
        if path is None:  # between two lobes of the turned lattice
            assert area[0] == length[0] == 0.0
            continue
        flat, _ = path.to_2D()
        polygons = flat.polygons_full
        wanted = sum(polygon.area for polygon in polygons)
        greatest = max(greatest, wanted)
        assert area[0] == pytest.approx(wanted, abs=1e-8 * greatest)
        assert length[0] == pytest.approx(path.length, rel=1e-11)  # polygons_full drops slivers


@pytest.mark.parametrize("name", MESHES)
def test_areas_and_volume_against_manifold3d(name):
    mesh = MESHES[name]()
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(mesh.vertices_mm.copy(), np.ascontiguousarray(mesh.faces, dtype=np.uint64))
    )
    assert solid.status() == manifold3d.Error.NoError
    low, height = float(mesh.low_mm[2]), float(mesh.size_mm[2])
    t = height / 41.3
    sections = core_sections(mesh, np.eye(3), phase_mm=0.0, thickness_mm=t)
    assert sections.slab_volume_mm3.sum() == pytest.approx(solid.volume(), rel=1e-7)
    for k in range(1, 40, 3):
        wanted = solid.slice(low + (k + 0.5) * t).area()
        assert sections.area_mm2[k] == pytest.approx(wanted, abs=2e-8 * sections.area_mm2.max())
