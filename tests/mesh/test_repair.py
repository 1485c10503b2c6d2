"""Repair heals planted defects, says what it did, and measures what it changed."""

import numpy as np
import pytest
import trimesh

from corelib.errors import MeshError
from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.repair import repair_mesh
from corelib.mesh.topology import weld
from tests.mesh.shapes import box_corners, turned

BOX = box_corners((80, 60, 50))
VOLUME_MM3 = 80 * 60 * 50


def repaired(corners):
    made = repair_mesh(*weld(np.asarray(corners, dtype=float)))
    assert inspect_mesh(made.mesh.vertices_mm, made.mesh.faces, "mm").fatal is None
    return made


def steps(made):
    return {step.what: step.count for step in made.steps}


def test_a_sound_mesh_is_left_alone():
    made = repaired(BOX)
    assert made.steps == ()
    assert made.volume_mm3 == made.volume_before_mm3
    assert made.largest_distance_mm == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("missing", [[3], [0, 1], [0, 1, 2, 3]])
def test_missing_faces_are_closed_flat(missing):
    made = repaired(np.delete(BOX, missing, axis=0))
    assert made.volume_mm3 == pytest.approx(VOLUME_MM3)
    assert steps(made)["holes closed"] >= 1
    assert made.area_mm2 == pytest.approx(2 * (80 * 60 + 60 * 50 + 50 * 80))


def test_a_bent_rim_is_closed_and_what_that_changed_is_told():
    made = repaired(np.delete(BOX, [2, 3, 7], axis=0))
    assert steps(made) == {"holes closed": 1}
    assert made.volume_mm3 < VOLUME_MM3
    assert made.largest_distance_mm > 5


def test_largest_distance_is_how_far_a_cap_stands_off_the_old_surface():
    mesh = trimesh.creation.icosphere(3, 30)
    corners = np.asarray(mesh.triangles)
    cut = corners[corners.mean(axis=1)[:, 2] < 24]
    made = repaired(cut)
    rim = cut[..., 2].max()
    assert made.volume_mm3 < mesh.volume
    assert 5 < made.largest_distance_mm < np.sqrt(30**2 - rim**2) + 5


def test_inside_out_and_mixed_faces_are_turned():
    assert steps(repaired(turned(BOX))) == {"faces turned": 12}
    mixed = np.concatenate([BOX[:4], turned(BOX[4:7]), BOX[7:]])
    made = repaired(mixed)
    assert steps(made) == {"faces turned": 3}
    assert made.volume_mm3 == pytest.approx(VOLUME_MM3)
    assert made.largest_distance_mm == pytest.approx(0, abs=1e-9)


def test_near_points_are_joined():
    rng = np.random.default_rng(1)
    made = repaired(BOX + rng.uniform(-0.002, 0.002, BOX.shape))
    assert steps(made)["points joined"] == 28
    assert made.volume_mm3 == pytest.approx(VOLUME_MM3, rel=2e-4)
    assert made.largest_distance_mm < 0.01


def test_overlapping_and_nested_bodies_are_united():
    made = repaired(np.concatenate([BOX, box_corners((50, 20, 20), (60, 10, 10))]))
    assert steps(made) == {"overlapping bodies joined": 2}
    assert made.volume_mm3 == pytest.approx(VOLUME_MM3 + 30 * 20 * 20)
    nested = repaired(np.concatenate([BOX, box_corners((20, 20, 20), (30, 20, 10))]))
    assert nested.volume_mm3 == pytest.approx(VOLUME_MM3)


def test_repeated_and_backed_faces_go():
    sheet = np.array([[[200, 0, 0], [210, 0, 0], [200, 10, 0]]], dtype=float)
    made = repaired(np.concatenate([BOX, BOX[2:3], sheet, turned(sheet)]))
    assert steps(made) == {"flat and repeated faces left out": 3}
    assert made.volume_mm3 == pytest.approx(VOLUME_MM3)


def test_a_cavity_stays_a_cavity():
    hollow = np.concatenate([np.delete(BOX, 3, axis=0), turned(box_corners((10, 10, 10), (20, 20, 20)))])
    assert repaired(hollow).volume_mm3 == pytest.approx(VOLUME_MM3 - 1000)


def test_what_cant_be_repaired_is_refused():
    with pytest.raises(MeshError) as caught:
        repair_mesh(*weld(np.where(BOX == 50, np.nan, BOX)))
    assert caught.value.code == "mesh.not_repairable"
    with pytest.raises(MeshError):
        repair_mesh(*weld(BOX[:1]))
