"""Planted thin walls, slots and trapped sand are named at their place; sound cores have none."""

import manifold3d
import numpy as np
import pytest

from corelib.checks.walls import sand_findings, thickness_field, wall_findings
from corelib.findings import Finding
from corelib.job.models import CoreItem, MeshReference
from corelib.mesh.core import CoreMesh, LoadedCore
from tests.allowance.test_compensation import process

cube, cylinder, sphere = manifold3d.Manifold.cube, manifold3d.Manifold.cylinder, manifold3d.Manifold.sphere
PROCESS = process(least_wall_mm=4.0, clean_out_diameter_mm=8.0)
DENSITY_G_CM3 = 1.5


def loaded(made):
    mesh = made.to_mesh64()
    item = CoreItem(id="a", name="A", mesh=MeshReference(path="a.stl"))
    body = CoreMesh(mesh.vert_properties[:, :3], mesh.tri_verts.astype(np.int32))
    return LoadedCore(item, body, float(made.volume()), float(made.surface_area()), 1, "mm", None, 1.0, ())


def one(findings, code) -> Finding:
    (finding,) = findings
    assert finding.code == code
    return finding


def block():
    """Return a block of 80 × 60 × 50 mm with a corner at the origin."""
    return cube([80, 60, 50])


@pytest.mark.parametrize(
    "made",
    [
        block,
        lambda: block() - cylinder(80, 12, 12, 64).translate([40, 30, -10]),
        lambda: cylinder(60, 30, 30, 96) - cylinder(80, 24, 24, 96).translate([0, 0, -10]),
        lambda: sphere(25, 96),
        lambda: cylinder(60, 30, 20, 96),
        lambda: block() - cube([5, 80, 20]).translate([40, -10, 35]),
        lambda: cube([80, 60, 4.0]),
    ],
    ids=["block", "bored", "tube 6 mm", "ball", "frustum", "slot 5 mm", "plate at the limit"],
)
def test_sound_shapes_have_no_findings(made):
    core = loaded(made())
    assert wall_findings(core, PROCESS) == ()
    assert sand_findings(core, PROCESS, DENSITY_G_CM3) == ()


def test_a_thin_wall_is_found_at_its_place_with_its_width():
    made = (
        block() - cube([20, 80, 40]).translate([10, -10, 20]) - cube([20, 80, 40]).translate([32.5, -10, 20])
    )
    finding = one(wall_findings(loaded(made), PROCESS), "walls.thin_wall")
    assert finding.facts["least_mm"] == pytest.approx(2.5)
    assert finding.facts["count"] == 1
    assert finding.facts["area_mm2"] == pytest.approx(2 * 60 * 30, rel=0.03)
    assert all(30 <= x <= 32.5 and z >= 20 for x, _, z in finding.places_mm)


def test_two_thin_walls_are_two_places():
    made = manifold3d.Manifold.batch_boolean(
        [block(), cube([2, 60, 20]).translate([5, 0, 50]), cube([3, 60, 20]).translate([60, 0, 50])],
        manifold3d.OpType.Add,
    )
    finding = one(wall_findings(loaded(made), PROCESS), "walls.thin_wall")
    assert finding.facts["count"] == 2
    assert finding.facts["least_mm"] == pytest.approx(2.0)
    first, second = finding.places_mm
    assert 5 <= first[0] <= 7
    assert 60 <= second[0] <= 63


def test_a_thin_slot_is_found():
    made = block() - cube([2, 80, 6]).translate([40, -10, 44])
    finding = one(wall_findings(loaded(made), PROCESS), "walls.thin_gap")
    assert finding.facts["least_mm"] == pytest.approx(2.0)
    assert all(40 <= x <= 42 for x, _, _ in finding.places_mm)


def test_a_feather_edge_goes_to_nothing():
    wedge = manifold3d.Manifold.hull_points(
        np.array([[0, 0, 0], [60, 0, 0], [60, 0, 20], [0, 50, 0], [60, 50, 0], [60, 50, 20]], dtype=float)
    )
    finding = one(wall_findings(loaded(wedge), PROCESS), "walls.thin_wall")
    assert finding.facts["least_mm"] < 0.5
    assert finding.places_mm[0][0] < 2


def test_without_a_limit_the_thinnest_wall_is_told():
    finding = one(wall_findings(loaded(cube([80, 60, 7])), process()), "walls.limit_unknown")
    assert finding.facts["least_mm"] == pytest.approx(7)
    one(sand_findings(loaded(block()), process(), DENSITY_G_CM3), "walls.clean_out_unknown")


@pytest.mark.parametrize(
    ("room", "code"),
    [
        (lambda: sphere(14, 64).translate([40, 30, 25]), "walls.sand_closed"),
        (
            lambda: (
                sphere(14, 64).translate([40, 30, 25]) + cylinder(40, 1.5, 1.5, 48).translate([40, 30, 25])
            ),
            "walls.sand_behind_opening",
        ),
    ],
)
def test_trapped_sand_has_its_mass_and_place(room, code):
    finding = one(sand_findings(loaded(block() - room()), PROCESS, DENSITY_G_CM3), code)
    assert finding.facts["sand_g"] == pytest.approx(4 / 3 * np.pi * 1.4**3 * DENSITY_G_CM3, rel=0.03)
    assert finding.places_mm[0] == pytest.approx((40, 30, 25), abs=1.5)


def test_widths_dont_reach_round_an_edge_to_another_limb():
    comb = cube([80, 20, 30]) + cube([80, 20, 12]).translate([0, 20, 18])
    field = thickness_field(loaded(comb).mesh, 20.0)
    top = (field.samples.normals[:, 2] > 0.9) & (field.samples.points_mm[:, 1] < 18)
    assert not (field.wall_mm[top] < 11.9).any()


def test_walls_that_the_draw_in_eats_vanish_and_slots_that_it_fills_close():
    thin = block() + cube([1.0, 60, 20]).translate([30, 0, 50])
    drawn = process(bleed_xy_mm=0.6, least_wall_mm=0.5)
    finding = one(wall_findings(loaded(thin), drawn), "allowance.vanishes")
    assert finding.facts["least_mm"] == pytest.approx(1.0)
    assert all(30 <= x <= 31 for x, _, _ in finding.places_mm)
    slot = block() - cube([1.0, 80, 6]).translate([40, -10, 44])
    one(wall_findings(loaded(slot), process(bleed_xy_mm=-0.6, least_wall_mm=0.5)), "allowance.closes")
    assert wall_findings(loaded(thin), process(bleed_xy_mm=0.4, least_wall_mm=0.5)) == ()
