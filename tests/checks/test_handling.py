"""Lifting stresses of prisms and rods against beam formulas."""

import numpy as np
import pytest
import trimesh

from corelib.checks.handling import handling_findings, lift_stresses
from corelib.mesh.core import CoreMesh
from corelib.physics.strength import GRAVITY_M_S2, rod_stress_pa
from tests.allowance.test_compensation import core, process

DENSITY_G_CM3 = 1.5


def prism(size):
    mesh = trimesh.creation.box(size)
    return CoreMesh(np.asarray(mesh.vertices), np.asarray(mesh.faces))


@pytest.mark.parametrize("size", [(300, 20, 12), (20, 300, 12), (12, 20, 300)])
def test_a_prism_bends_as_the_beam_formulas_say_at_its_weakest_roll(size):
    """Worst roll of a rectangle b × h: σ = M √((6/b h²)² + (6/h b²)²), M = q L²/8 and q L²/2."""
    both, one = lift_stresses(prism(size), DENSITY_G_CM3)
    load_n_m = 0.020 * 0.012 * 1500 * GRAVITY_M_S2
    worst = np.hypot(6 / (0.020 * 0.012**2), 6 / (0.012 * 0.020**2))
    exact_mpa = load_n_m * 0.3**2 / 8 * worst / 1e6
    assert both.stress_mpa == pytest.approx(exact_mpa, rel=0.01)
    held = 0.85**2  # the hand holds the outermost 15 %
    assert one.stress_mpa == pytest.approx(4 * held * exact_mpa, rel=0.02)
    assert both.length_mm == pytest.approx(300)
    assert both.slenderness == pytest.approx(300 / (12 / np.sqrt(12)), rel=1e-3)
    assert np.abs(both.place_mm).max() < 4


def test_a_round_rod_bends_as_its_formula_says():
    mesh = trimesh.creation.cylinder(15, 200, sections=256)
    both, _ = lift_stresses(CoreMesh(np.asarray(mesh.vertices), np.asarray(mesh.faces)), 0.870)
    assert both.stress_mpa * 1e6 == pytest.approx(rod_stress_pa(870, 0.2, 0.03), rel=0.01)


def test_a_ball_held_anywhere_is_hardly_stressed():
    """Its ends run out to nothing: what lies in the hand is not bent."""
    mesh = trimesh.creation.icosphere(4, 30)
    found = lift_stresses(CoreMesh(np.asarray(mesh.vertices), np.asarray(mesh.faces)), DENSITY_G_CM3)
    assert max(lift.stress_mpa for lift in found) < 0.01


def test_a_thin_neck_is_where_it_breaks():
    mesh = trimesh.util.concatenate(
        [
            trimesh.creation.box(bounds=[[0, 0, 0], [100, 40, 40]]),
            trimesh.creation.box(bounds=[[100, 17, 17], [130, 23, 23]]),
            trimesh.creation.box(bounds=[[130, 0, 0], [230, 40, 40]]),
        ]
    )
    both, _ = lift_stresses(CoreMesh(np.asarray(mesh.vertices), np.asarray(mesh.faces)), DENSITY_G_CM3)
    assert 100 <= both.place_mm[0] <= 130
    assert both.place_mm[1:] == pytest.approx((20, 20), abs=0.1)


def test_findings_name_the_state_and_the_factor():
    slender = core((400.0, 10.0, 10.0), mesh_is="core at size")
    strong = process(
        bending_strength_unpack_mpa=2.0, bending_strength_24h_mpa=2.0, handling_safety_factor=3.0
    )
    assert handling_findings(core((100.0, 60.0, 40.0)), strong, DENSITY_G_CM3) == ()
    weak = process(
        bending_strength_unpack_mpa=2.0,
        bending_strength_24h_mpa=0.6,
        storage_humidity_pct=70.0,
        handling_safety_factor=3.0,
    )
    found = handling_findings(slender, weak, DENSITY_G_CM3)
    assert {(finding.facts["hours"], finding.code) for finding in found} == {
        (24, "handling.breaks_held_both"),
        (24, "handling.breaks_held_one"),
    }
    (only,) = handling_findings(slender, strong, DENSITY_G_CM3)
    assert (only.facts["hours"], only.code) == (0, "handling.breaks_held_one")
    assert all(finding.facts["has_factor"] < 3.0 for finding in found)


def test_unknown_strength_is_asked_for_where_usual_strength_would_not_do():
    assert handling_findings(core(), process(), DENSITY_G_CM3) == ()
    (finding,) = handling_findings(core((500.0, 9.0, 9.0)), process(), DENSITY_G_CM3)
    assert finding.code == "handling.strength_unknown"
    assert finding.facts["needed_mpa"] == pytest.approx(3 * finding.facts["stress_mpa"])
