"""Sections against closed forms, shapely, and a mesh that no one here made."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from corelib.geometry.section_moments import fibre_stress_of_unit_moment, section_moments

DATA = Path(__file__).parents[1] / "data" / "numpy_stl" / "rear_case.stl"


def arrays(mesh):
    return np.ascontiguousarray(mesh.vertices, dtype=float), np.ascontiguousarray(mesh.faces, dtype=np.int32)


def test_rectangle_and_ring_have_their_handbook_moments():
    vertices, faces = arrays(trimesh.creation.box((40, 24, 100)))
    found = section_moments(vertices + np.array([7.0, -3.0, 0.0]), faces, np.array([-30.0, 0.0, 20.0]))
    assert found.area_mm2 == pytest.approx([960] * 3)
    assert found.centre_mm == pytest.approx(np.array([[7, -3]] * 3))
    assert found.second_moments_mm4[1] == pytest.approx(np.diag([24 * 40**3 / 12, 40 * 24**3 / 12]), abs=1e-6)
    ring = section_moments(*arrays(trimesh.creation.annulus(20, 30, 50, sections=720)), np.array([3.0]))
    assert ring.second_moments_mm4[0, 0, 0] == pytest.approx(np.pi / 4 * (30**4 - 20**4), rel=1e-3)


def test_turned_rectangle_has_a_product_of_inertia():
    mesh = trimesh.creation.box((40, 24, 100))
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 6, [0, 0, 1]))
    tensor = section_moments(*arrays(mesh), np.array([1.0])).second_moments_mm4[0]
    assert np.linalg.eigvalsh(tensor) == pytest.approx([40 * 24**3 / 12, 24 * 40**3 / 12])
    assert tensor[0, 1] == pytest.approx((24 * 40**3 - 40 * 24**3) / 12 * np.sin(np.pi / 3) / 2)


def test_shapely_agrees_on_a_real_part():
    mesh = trimesh.load_mesh(DATA, process=True)
    heights = np.linspace(mesh.bounds[0, 2], mesh.bounds[1, 2], 9)[1:-1] + 0.0123
    found = section_moments(*arrays(mesh), heights)
    for number, height in enumerate(heights):
        section = mesh.section(plane_origin=[0, 0, height], plane_normal=[0, 0, 1])
        flat = section.to_2D(to_2D=trimesh.transformations.translation_matrix([0, 0, -height]))[0]
        area = sum(polygon.area for polygon in flat.polygons_full)
        assert found.area_mm2[number] == pytest.approx(area, rel=1e-6)
        x = sum(polygon.area * polygon.centroid.x for polygon in flat.polygons_full) / area
        assert found.centre_mm[number, 0] == pytest.approx(x, abs=1e-4)


def test_stress_of_a_unit_moment_is_one_over_the_section_modulus():
    vertices, faces = arrays(trimesh.creation.box((40, 24, 100)))
    sections = section_moments(vertices, faces, np.array([0.0]))
    unit = fibre_stress_of_unit_moment(vertices, faces, sections, np.array([0.0, 90.0, 45.0]))[0]
    flat, upright = 6 / (24 * 40**2), 6 / (40 * 24**2)
    assert unit == pytest.approx([flat, upright, (flat + upright) / np.sqrt(2)])
