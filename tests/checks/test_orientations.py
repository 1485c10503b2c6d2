"""Orientation advice: each term is right on shapes where the answer is plain, and the ranking follows."""

import numpy as np
import pytest
import trimesh

from corelib.checks.orientations import kept_sand_mm3, orientation_advice
from corelib.geometry.pose import Orientation, right_angle_orientations
from corelib.mesh.core import CoreMesh, LoadedCore
from tests.allowance.test_compensation import core, process

PROCESS = process(layer_thickness_mm=0.3, least_wall_mm=4.0)


def loaded(mesh):
    body = CoreMesh(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    return LoadedCore(core().item, body, float(mesh.volume), float(mesh.area), 1, "mm", None, 1.0, ())


def cup():
    """Return an open box: 60 × 60 × 40 outside, a pocket of 40 × 40 × 30 that opens upward."""
    outer = trimesh.creation.box(bounds=[[0, 0, 0], [60, 60, 40]])
    pocket = trimesh.creation.box(bounds=[[10, 10, 10], [50, 50, 41]])
    return trimesh.boolean.difference([outer, pocket], engine="manifold")


def test_a_plate_lies_flat():
    scores = orientation_advice(core((120.0, 80.0, 10.0)), right_angle_orientations(), PROCESS, 1.5)
    assert len(scores) == 6
    assert scores[0].orientation.down in ("-z", "+z")
    assert scores[0].height_mm == pytest.approx(10)
    assert scores[0].layers == 34
    assert scores[0].opening_stress_mpa == 0.0
    assert scores[-1].height_mm == pytest.approx(120)
    assert scores[-1].opening_stress_mpa > 0


def test_only_thin_walls_that_stand_up_count():
    scores = orientation_advice(core((120.0, 80.0, 6.0)), right_angle_orientations(), PROCESS, 1.5)
    by_down = {score.orientation.down: score.standing_thin_mm2 for score in scores}
    assert by_down["-z"] == 0
    assert by_down["-x"] == pytest.approx(2 * 120 * 80, rel=0.1)


def test_a_cup_keeps_its_sand_upright_and_loses_it_upside_down():
    mesh = loaded(cup()).mesh
    upright = kept_sand_mm3(mesh, Orientation("-z").rotation)
    assert upright == pytest.approx(40 * 40 * 30, rel=0.08)
    assert kept_sand_mm3(mesh, Orientation("+z").rotation) == 0
    assert kept_sand_mm3(mesh, Orientation("-x").rotation) < 0.5 * upright


def test_slopes_have_steps_only_as_they_lie():
    cone = loaded(trimesh.creation.cone(30, 8, sections=96))
    scores = {
        score.orientation.down: score
        for score in orientation_advice(cone, right_angle_orientations(), PROCESS, 1.5)
    }
    assert scores["-z"].mean_step_mm == pytest.approx(0.3 * 0.966 * 31.05 / 61.05, rel=0.02)
    assert scores["-z"].mean_step_mm > scores["-x"].mean_step_mm


def test_allowed_sides_are_marked_and_all_are_shown():
    allowed = [Orientation("-z")]
    scores = orientation_advice(core(), right_angle_orientations(), PROCESS, 1.5, allowed)
    assert [score.orientation.down for score in scores if score.allowed] == ["-z"]
    assert len(scores) == 6
