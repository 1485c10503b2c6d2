"""Crossings, widths and distances against known shapes, trimesh, and an independent transform."""

import manifold3d
import numpy as np
import pytest
import scipy.ndimage
import trimesh

from corelib.geometry.triangle_tree import (
    distances_mm,
    opposing_widths,
    self_crossings,
    split_tree,
    surface_samples,
    triangle_tree,
    ways_are_free,
)
from corelib.geometry.voxels import inside_cells


def tree_of(mesh, split=None):
    vertices, faces = np.asarray(mesh.vertices, float), np.asarray(mesh.faces, dtype=np.int32)
    return triangle_tree(vertices, faces) if split is None else split_tree(vertices, faces, split)


def widths(mesh, most_mm=30.0, inward=True, spacing=1.0):
    tree = tree_of(mesh, 16.0)
    samples = surface_samples(tree, spacing)
    return samples, opposing_widths(tree, samples, most_mm, inward=inward)[0]


def joined(*meshes):
    return trimesh.util.concatenate(meshes)


def test_samples_cover_the_whole_area():
    mesh = trimesh.creation.annulus(20, 24, 50, sections=90)
    samples = surface_samples(tree_of(mesh, 16.0), 1.0)
    assert samples.areas_mm2.sum() == pytest.approx(mesh.area, rel=1e-9)
    grid = trimesh.sample.sample_surface(mesh, 500, seed=1)[0]
    apart = np.linalg.norm(grid[:, None] - samples.points_mm[None], axis=2).min(axis=1)
    assert apart.max() < 1.8


def test_walls_of_a_box_are_its_thickness_and_its_edges_are_no_thin_walls():
    _, found = widths(trimesh.creation.box((100, 60, 4)), most_mm=20)
    assert found[np.isfinite(found)] == pytest.approx(4.0)
    assert np.isfinite(found).mean() > 0.9
    _, thick = widths(trimesh.creation.box((100, 60, 40)), most_mm=20)
    assert not np.isfinite(thick).any()


def test_walls_of_a_tube_are_its_thickness():
    _, found = widths(trimesh.creation.annulus(20, 23.5, 50, sections=180))
    thin = found[np.isfinite(found)]
    assert np.median(thin) == pytest.approx(3.5, abs=0.01)
    assert thin.min() > 3.48


def test_a_rod_has_its_diameter():
    _, found = widths(trimesh.creation.cylinder(5, 60, sections=120))
    facet_mm = 2 * np.pi * 5 / 120
    assert np.median(found[np.isfinite(found)]) == pytest.approx(10.0, abs=facet_mm)


def test_a_cone_goes_to_its_tip_as_its_inscribed_ball_does():
    """A ball that touches a cone of half angle α at a distance l from its tip has the radius l tan α."""
    height, radius = 60.0, 8.0
    mesh = trimesh.creation.cone(radius, height, sections=256)
    samples, found = widths(mesh)
    slope = np.arctan2(radius, height)
    side = (np.abs(samples.normals[:, 2]) < 0.5) & np.isfinite(found) & (samples.points_mm[:, 2] > 12)
    distance_to_tip = np.linalg.norm(samples.points_mm[side] - [0, 0, height], axis=1)
    exact = 2 * distance_to_tip * np.tan(slope)  # the ball that touches the side at the sample
    assert found[side] == pytest.approx(exact, rel=0.01, abs=0.02)


def test_gap_of_a_slot():
    slot = manifold3d.Manifold.cube([2.5, 50, 20], True).translate([0, 0, 10])
    mesh = manifold3d.Manifold.cube([60, 40, 30], True) - slot
    made = mesh.to_mesh64()
    slotted = trimesh.Trimesh(made.vert_properties[:, :3], made.tri_verts, process=False)
    samples, found = widths(slotted, inward=False)
    inside = np.isfinite(found)
    assert found[inside] == pytest.approx(2.5)
    assert (np.abs(samples.points_mm[inside, 0]) < 1.26).all()


def test_widths_agree_with_a_distance_transform_within_a_voxel():
    """Half the width at a sample is the exact transform's ridge value between it and the opposite face."""
    mesh = trimesh.creation.annulus(15, 21, 30, sections=160)
    pitch = 0.5
    low = mesh.bounds[0] - 2
    shape = tuple(int(np.ceil(extent / pitch)) for extent in mesh.extents + 4)
    cells = inside_cells(np.asarray(mesh.vertices), mesh.faces.astype(np.int32), low, shape, pitch)
    depth = scipy.ndimage.distance_transform_edt(cells) * pitch
    middle = cells[:, :, shape[2] // 2]
    ridge = depth[:, :, shape[2] // 2][middle].max()
    samples, found = widths(mesh)
    at_half = np.abs(samples.points_mm[:, 2]) < 5
    assert 0.5 * np.median(found[at_half & np.isfinite(found)]) == pytest.approx(ridge, abs=pitch)


def test_distances_agree_with_trimesh():
    mesh = trimesh.creation.icosphere(2, 10)
    points = np.random.default_rng(0).uniform(-20, 20, (300, 3))
    expected = trimesh.proximity.closest_point(mesh, points)[1]
    assert distances_mm(tree_of(mesh), points) == pytest.approx(expected, abs=1e-9)


def test_ways_through_and_past():
    tree = tree_of(trimesh.creation.box((10, 10, 10)))
    free = ways_are_free(tree, np.array([[-20.0, 1, 2], [-20, 9, 0]]), np.array([[20.0, 1, 2], [20, 9, 0]]))
    assert free.tolist() == [False, True]


@pytest.mark.parametrize("depth_mm", [0.01, 1.0, 4.0])
def test_boxes_that_cross_are_found_at_their_place(depth_mm):
    second = trimesh.creation.box((10, 10, 10))
    second.apply_translation([10 - depth_mm, 3, 4])
    crossings = self_crossings(tree_of(joined(trimesh.creation.box((10, 10, 10)), second)))
    assert len(crossings.faces) > 0
    assert crossings.points_mm[:, 0] == pytest.approx(5 - depth_mm / 2, abs=depth_mm)
    assert crossings.depth_mm.max() <= max(depth_mm, 10.0)


def test_touching_sound_and_finely_meshed_shapes_dont_cross():
    second = trimesh.creation.box((10, 10, 10))
    second.apply_translation([10, 0, 0])
    for mesh in (
        joined(trimesh.creation.box((10, 10, 10)), second),
        trimesh.creation.icosphere(4, 30),
        trimesh.creation.torus(40, 12),
        trimesh.creation.annulus(20, 23, 50),
    ):
        assert len(self_crossings(tree_of(mesh)).faces) == 0


def test_a_fold_within_one_body_is_found():
    mesh = trimesh.creation.icosphere(3, 20)
    vertices = np.array(mesh.vertices)
    top = np.argmax(vertices[:, 2])
    vertices[top] = [0, 0, -25]
    crossings = self_crossings(tree_of(trimesh.Trimesh(vertices, mesh.faces, process=False)))
    assert len(crossings.faces) > 0
    assert np.linalg.norm(crossings.points_mm[:, :2], axis=1).max() < 8
