"""Sensitivities against derivatives taken by hand."""

from itertools import pairwise

import pytest

from corelib.checks.process_sensitivity import SETTINGS, numeric_fields, process_figures, sensitivities
from corelib.export.sensitivity_text import sensitivity_lines
from corelib.job.operating_point import DEFAULT_PROFILES, overridden, profiles_point
from corelib.wording import LANGUAGES

KNOWN = DEFAULT_PROFILES.model_copy(update={"process": "inorganic-printing-characterised"})


@pytest.fixture(scope="module")
def point():
    return profiles_point(KNOWN)


@pytest.fixture(scope="module")
def found(point):
    return {(one.figure, one.field): one for one in sensitivities(point)}


def test_dose_goes_with_drops_and_against_pitches(found):
    """d = k v ρ ÷ (p p t ρ_bed): elasticities +1 and −1; central differences are off by the step squared."""
    for field in ("head.drop_volume_pl", "machine.grey_level", "binder.density_g_cm3"):
        assert found["drops_on_sand_pct", field].elasticity == pytest.approx(1.0, rel=1e-9)
    for field in ("machine.pitch_travel_mm", "process.layer_thickness_mm", "sand.bulk_density_g_cm3"):
        assert found["drops_on_sand_pct", field].elasticity == pytest.approx(-1.0, rel=2e-4)
    additive = found["drops_on_sand_pct", "additive.additive_on_sand_pct"]
    assert additive.elasticity == pytest.approx(0.008 / 1.008, rel=1e-6)


def test_outline_moves_with_scale_and_bleed(found, point):
    """|s·100 + 2b| = 0.09 mm bias: each 1 % of b moves it by 0.0024 mm, of s by −0.0015 mm."""
    bleed = found["outline_off_mm", "process.bleed_xy_mm"]
    scale = found["outline_off_mm", "process.scale_error_xy_pct"]
    at = process_figures(point)["outline_off_mm"]
    assert bleed.elasticity * at == pytest.approx(0.24, rel=1e-6)
    assert scale.elasticity * at == pytest.approx(-0.15, rel=1e-6)


def test_swing_is_what_the_evidence_leaves_open(found):
    drops = found["drops_on_sand_pct", "head.drop_volume_pl"]
    assert (drops.evidence, drops.half_width) == ("invented", pytest.approx(0.25 * 68.0))
    assert drops.swing_pct == pytest.approx(25.0, rel=1e-9)
    pitch = found["drops_on_sand_pct", "machine.pitch_travel_mm"]
    assert pitch.is_set and abs(pitch.swing_pct) == pytest.approx(1.0, rel=1e-3)
    assert pitch.field in SETTINGS


def test_layer_time_of_recoat_by_hand(found, point):
    recoat = found["full_layer_s", "machine.recoat_s"]
    assert recoat.elasticity == pytest.approx(
        9.0 * (1 + 30 / 3600) / process_figures(point)["full_layer_s"], rel=1e-9
    )


def test_ranked_by_swing_within_each_figure(point):
    rows = sensitivities(point)
    figures = [row.figure for row in rows]
    assert figures == sorted(figures, key=["drops_on_sand_pct", "outline_off_mm", "full_layer_s"].index)
    for first, second in pairwise(rows):
        if first.figure == second.figure:
            assert abs(first.swing) >= abs(second.swing)


def test_zero_whole_and_unknown_values_are_not_moved(point):
    fields = numeric_fields(overridden(point, {"process.bleed_xy_mm": 0.0, "oven.cool_h": None}))
    assert "machine.dwell_s" not in fields
    assert "machine.passes" not in fields
    assert "oven.cool_h" not in fields
    assert "rates.machine_per_h" in fields
    nothing = overridden(point, {"head.drop_volume_pl": None, "machine.recoat_s": None})
    assert set(process_figures(nothing)) == {"outline_off_mm"}


def test_an_allowance_stated_as_zero_is_moved_to_what_it_may_be(point):
    """±0.15 mm of bleed a side adds 0.3 mm to what a 100 mm outline may be off by; 0.2 % of scale 0.2 mm."""
    zero = overridden(point, {"process.bleed_xy_mm": 0.0, "process.scale_error_xy_pct": 0.0})
    found = {one.field: one for one in sensitivities(zero) if one.figure == "outline_off_mm"}
    assert found["process.bleed_xy_mm"].swing == pytest.approx(0.3, rel=1e-9)
    assert found["process.scale_error_xy_pct"].swing == pytest.approx(0.2, rel=1e-9)
    assert next(iter(found)) == "process.bleed_xy_mm"  # ranked first


def test_a_value_at_the_end_of_its_range_is_left_out(point):
    full = overridden(point, {"machine.recoater_overfeed_pct": 300.0})
    assert not [one for one in sensitivities(full) if one.field == "machine.recoater_overfeed_pct"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_table_in_words(point, language):
    text = "\n".join(sensitivity_lines(sensitivities(point), language, most=3))
    assert "head.drop_volume_pl" in text and "+1.000" in text and "?)" not in text
