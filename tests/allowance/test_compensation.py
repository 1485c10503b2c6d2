"""The loop print → measure → nominal closes, for lengths and for bodies, with and without contraction."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.allowance.compensation import (
    allowance_findings,
    downward_layers,
    gap_findings,
    measured_length_mm,
    printed_body,
    printed_length_mm,
    scaled,
)
from corelib.job.fields import Evidence
from corelib.job.models import CoreItem, MeshReference, OrientationRule
from corelib.job.profiles import ProcessProfile
from corelib.mesh.core import LoadedCore
from corelib.mesh.load import box_mesh


def process(**values):
    evidence = Evidence(evidence="invented", source="made for a test")
    return ProcessProfile(id="p", name="P", sources=dict.fromkeys(values, evidence), **values)


def core(size_mm=(100.0, 60.0, 40.0), **stated):
    item = CoreItem(id="a", name="A", mesh=MeshReference(path="a.stl"), **stated)
    mesh = box_mesh(size_mm)
    volume = float(np.prod(size_mm))
    return LoadedCore(item, mesh, volume, 0.0, 1, "mm", None, 1.0, ())


def codes(loaded, profile):
    return {finding.code for finding in allowance_findings(loaded, profile)}


@given(st.floats(10, 1000), st.floats(-2, 2), st.floats(-0.5, 0.5), st.booleans())
def test_print_then_measure_gives_what_was_wanted(wanted, scale, bleed, inside):
    printed = printed_length_mm(wanted, scale, bleed, is_inside=inside)
    assert measured_length_mm(printed, scale, bleed, is_inside=inside) == pytest.approx(wanted, rel=1e-12)


def test_the_wrong_order_would_be_off_by_four_tenths():
    printed = printed_length_mm(100, -0.2, 0.15)
    assert printed == pytest.approx((100 - 0.3) / 0.998, rel=1e-14)
    wrong_sign = (100 + 0.3) / 1.002
    assert abs(wrong_sign - printed) > 0.15


def test_body_and_draw_in_close_the_loop_on_each_side():
    profile = process(scale_error_xy_pct=-0.2, scale_error_z_pct=0.3, bleed_xy_mm=0.15, bleed_z_mm=0.2)
    body = printed_body(core(mesh_is="core at size"), profile)
    x, y, z = body.mesh.size_mm
    for size, wanted in ((x, 100), (y, 60)):
        outline = size - 2 * body.bleed_xy_mm
        assert measured_length_mm(outline, -0.2, 0.15) == pytest.approx(wanted, rel=1e-13)
    assert 1.003 * (z - body.bleed_z_mm) + 0.2 == pytest.approx(40, rel=1e-13)


def test_casting_geometry_grows_by_contraction_and_draws_in_coating_and_clearance():
    profile = process(scale_error_xy_pct=0.0, scale_error_z_pct=0.0, bleed_xy_mm=0.1, bleed_z_mm=0.0)
    stated = core(
        mesh_is="casting geometry", contraction_pct=(1.2, 1.0, 0.8), coating_mm=0.2, clearance_mm=0.3
    )
    body = printed_body(stated, profile)
    assert body.scale_xyz == pytest.approx((1.012, 1.010, 1.008))
    assert body.mesh.size_mm == pytest.approx([101.2, 60.6, 40.32])
    assert body.bleed_xy_mm == pytest.approx(0.6)


def test_unstated_mesh_gets_no_contraction_and_a_finding():
    profile = process(scale_error_xy_pct=0.0, scale_error_z_pct=0.0, bleed_xy_mm=0.0, bleed_z_mm=0.0)
    stated = core(contraction_pct=(1.2, 1.2, 1.2))
    assert printed_body(stated, profile).mesh is stated.mesh
    assert codes(stated, profile) == {"allowance.not_applied"}
    assert codes(core(mesh_is="casting geometry"), profile) == {"allowance.no_contraction"}


def test_what_the_process_does_not_state_is_a_finding():
    (finding,) = allowance_findings(core(mesh_is="core at size"), process(bleed_xy_mm=0.1))
    assert finding.code == "allowance.unknown"
    assert finding.facts["unknown"] == ["scale_error_xy_pct", "scale_error_z_pct", "bleed_z_mm"]


def test_different_scale_across_and_up_needs_a_known_orientation():
    profile = process(scale_error_xy_pct=0.1, scale_error_z_pct=0.0, bleed_xy_mm=0.0, bleed_z_mm=0.0)
    assert codes(core(mesh_is="core at size"), profile) == {"allowance.scale_by_axis"}
    fixed = core(mesh_is="core at size", orientations=OrientationRule(rule="fixed"))
    assert codes(fixed, profile) == set()


def test_scaling_keeps_the_middle_in_place():
    mesh = scaled(box_mesh((100, 60, 40)), (1.1, 1.0, 0.5))
    assert 0.5 * (mesh.low_mm + mesh.high_mm) == pytest.approx([50, 30, 20])
    assert mesh.size_mm == pytest.approx([110, 60, 20])


def test_gaps_that_binder_can_bridge_are_found():
    profile = process(bleed_xy_mm=0.3, bleed_z_mm=1.2)
    assert {finding.code for finding in gap_findings(0.9, profile, 0.4)} == {
        "allowance.gap_bridged",
        "allowance.gap_soaked",
    }
    assert {finding.code for finding in gap_findings(1.1, profile, 0.4)} == {"allowance.gap_soaked"}
    assert gap_findings(1.2, profile, 0.4) == ()


@pytest.mark.parametrize(
    ("bleed_mm", "whole", "rest_mm"), [(0.2, 1, -0.1), (0.1, 0, 0.1), (0.6, 2, 0.0), (0, 0, 0)]
)
def test_downward_bleed_comes_in_whole_layers(bleed_mm, whole, rest_mm):
    profile = process(bleed_z_mm=bleed_mm, layer_thickness_mm=0.3)
    layers, rest = downward_layers(profile)
    codes_found = {finding.code for finding in gap_findings(5.0, profile, None)}
    assert codes_found == ({"allowance.downward_rest"} if abs(rest_mm) > 0 else set())
    assert layers == whole
    assert rest == pytest.approx(rest_mm, abs=1e-12)


TABLE = [
    {"binder_on_sand_pct": dose, "hours_until_cure": wait, "bleed_xy_mm": across, "bleed_z_mm": 2 * across}
    for dose, wait, across in ((1.8, 4, 0.10), (1.8, 24, 0.16), (2.4, 4, 0.20), (2.4, 24, 0.30))
]


@pytest.mark.parametrize(
    ("dose", "hours", "expected_mm", "within"),
    [(1.8, 4, 0.10, True), (2.4, 24, 0.30, True), (2.1, 14, 0.19, True), (3.0, 48, 0.30, False)],
)
def test_bleed_is_read_between_the_rows_of_its_table(dose, hours, expected_mm, within):
    profile = process(
        bleed_table=TABLE,
        binder_on_sand_pct=dose,
        print_to_cure_h=hours,
        scale_error_xy_pct=0.0,
        scale_error_z_pct=0.0,
    )
    body = printed_body(core(mesh_is="core at size"), profile)
    assert body.bleed_xy_mm == pytest.approx(expected_mm)
    assert body.bleed_z_mm == pytest.approx(2 * expected_mm)
    codes_found = {finding.code for finding in gap_findings(5.0, profile, None)}
    assert ("allowance.beyond_bleed_table" in codes_found) is not within
    assert "allowance.unknown" not in codes(core(mesh_is="core at size"), profile)


def test_a_bleed_table_with_a_hole_is_refused():
    with pytest.raises(ValueError, match="every dose with every wait"):
        process(bleed_table=TABLE[:3])
