"""The process as one model: what a moved value leads to, and that nothing is said about what isn't known."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.checks.process import check_process, check_process_alone
from corelib.checks.process_accuracy import accuracy_values
from corelib.checks.process_casting import CoreInMelt, check_lifts, core_lifts
from corelib.checks.process_cure import cure_values
from corelib.checks.process_dose import FIELD_OF, dose_setting, dose_solutions
from corelib.checks.process_droplets import (
    droplet_curve,
    droplet_values,
    first_crossing_c,
    temperature_band_c,
)
from corelib.checks.process_sand import bed_density_bounds_kg_m3, grain_fineness, size_at_passing_m
from corelib.checks.process_sheet import process_sheet
from corelib.job.operating_point import (
    DEFAULT_PROFILES,
    overridden,
    profile_ids,
    profiles_point,
    with_modelled_bed,
)
from corelib.job.profiles import PROFILE_KINDS
from corelib.physics import droplets
from corelib.physics.outline import bleed_left_m, outline_to_print_m
from corelib.reference import shared_folder
from corelib.wording import LANGUAGES, finding_wording

KNOWN = DEFAULT_PROFILES.model_copy(
    update={"binder": "alkali-silicate-characterised", "process": "inorganic-printing-characterised"}
)


@pytest.fixture(scope="module")
def point():
    return profiles_point(KNOWN)


FIT = {"factor_mpa_s": 14.0 * math.exp(-5500 / 308.15), "slope_k": 5500.0, "low_c": 5.0, "high_c": 60.0}


def codes(point, **overrides):
    changed = overridden(point, {name.replace("__", "."): value for name, value in overrides.items()})
    return {finding.code for finding in check_process_alone(changed)}


CONFLICTS = [
    ({"head.drop_volume_pl": 80.0}, "dose.drops_disagree"),
    ({"process.binder_on_sand_pct": 1.0, "head.drop_volume_pl": 34.0}, "dose.starved"),
    ({"process.binder_on_sand_pct": 4.0, "head.drop_volume_pl": 136.0}, "dose.flooded"),
    ({"process.binder_least_g_m2": 20.0}, "dose.limits_crossed"),
    ({"process.binder_least_g_m2": None}, "dose.limits_not_stated"),
    ({"machine.passes": 3}, "dose.pitch_across_not_settable"),
    ({"machine.grey_level": 4.0}, "dose.grey_level_too_high"),
    ({"machine.head_speed_mm_s": 3000.0}, "dose.head_faster_than_nozzles"),
    ({"head.firing_khz": 8.0}, "droplets.slow_cycle"),
    ({"head.nozzle_temperature_c": 11.0}, "droplets.z_low_until"),
    (
        {"binder.viscosity_mpa_s": [{"temperature_c": 10, "value": 300}, {"temperature_c": 50, "value": 90}]},
        "droplets.z_low",
    ),
    ({"head.nozzle_diameter_um": 450.0}, "droplets.z_high_until"),
    ({"head.drop_speed_m_s": 1.0}, "droplets.weber_low"),
    ({"head.drop_speed_m_s": 28.0}, "droplets.splash"),
    ({"head.drop_speed_m_s": 15.0}, "droplets.splash_until"),
    ({"head.drop_speed_m_s": 1.67}, "droplets.weber_low_until"),
    (
        {
            "head.nozzle_diameter_um": 450.0,
            "binder.viscosity_mpa_s": [
                {"temperature_c": 10, "value": 3},
                {"temperature_c": 50, "value": 1},
            ],
        },
        "droplets.z_high",
    ),
    ({"head.nozzle_temperature_low_c": 12.0}, "droplets.range_leaves_window"),
    ({"head.nozzle_temperature_low_c": 45.0}, "droplets.range_crossed"),
    ({"head.nozzle_temperature_c": 60.0}, "droplets.outside_tables"),
    ({"binder.viscosity_mpa_s": [{"temperature_c": 80, "value": 5}]}, "droplets.tables_apart"),
    (
        {
            "binder.surface_tension_mn_m": [
                {"temperature_c": 10, "value": 19},
                {"temperature_c": 50, "value": 18},
            ]
        },
        "droplets.wets_nozzle_plate",
    ),
    ({"binder.viscosity_mpa_s": None}, "droplets.not_known"),
    ({"binder.viscosity_fit": FIT | {"factor_mpa_s": 3e-7}}, "droplets.fit_differs_from_table"),
    ({"sand.sieve_analysis": [{"sieve": "33", "retained_g": 1}]}, "bed.sieve_not_known"),
    ({"sand.sieve_multipliers": None}, "bed.multipliers_not_stated"),
    ({"sand.sieve_analysis": [{"sieve": "60", "retained_g": 1}]}, "bed.sieve_without_multiplier"),
    ({"process.layer_thickness_mm": 0.25}, "bed.layer_thin_for_grain"),
    ({"process.layer_thickness_mm": 0.15}, "bed.layer_under_d90"),
    ({"sand.mean_grain_mm": 0.2}, "bed.grain_differs_from_sieves"),
    ({"sand.bulk_density_g_cm3": None}, "bed.density_from_model"),
    ({"sand.bulk_density_g_cm3": 1.6}, "bed.density_outside_model"),
    ({"sand.bulk_density_g_cm3": 2.7}, "bed.denser_than_grain"),
    ({"head.drop_volume_pl": 1000.0}, "bed.pores_too_full"),
    ({"sand.moisture_pct": 0.5}, "bed.moist"),
    ({"machine.box_outer_mm": [3000.0, 500.0, 400.0]}, "cure.box_larger_than_oven"),
    ({"machine.platform_load_kg": 300.0}, "cure.full_box_overloads"),
    ({"oven.cure_c": 20.0}, "cure.not_above_start"),
    ({"oven.cure_c": 90.0}, "cure.below_boiling"),
    ({"oven.evaporated_pct": 100.0}, "cure.never_dry"),
    ({"oven.hold_s": 60.0}, "cure.hold_too_short"),
    (
        {"oven.drying_table": [{"water_kg": 1, "time_s": 900}, {"water_kg": 2, "time_s": 600}]},
        "cure.drying_table_falls",
    ),
    ({"oven.unpack_at_c": 10.0}, "cure.unpack_temperature"),
    ({"oven.cool_h": 2.0}, "cure.cools_slower"),
    ({"process.binder_on_sand_pct": 3.0}, "casting.dose_outside_strength_table"),
    ({"binder.softening_c": 650.0}, "casting.softens_below_pouring"),
    ({"binder.softening_c": 740.0}, "casting.softening_margin_small"),
    ({"process.cured_use_by_h": None}, "casting.waits_not_stated"),
    ({"process.tolerance_mm": 0.1}, "tolerance.finer_than_steps_sideways"),
    ({"process.tolerance_mm": 0.2}, "tolerance.finer_than_steps_upright"),
    (
        {"process.scale_error_xy_pct": 0.0, "process.bleed_xy_mm": 0.0},
        "tolerance.not_calibrated",
    ),
]


@pytest.mark.parametrize(("overrides", "code"), CONFLICTS, ids=[code for _, code in CONFLICTS])
def test_a_conflict_is_a_finding_and_without_it_there_is_none(point, overrides, code):
    changed = overridden(point, overrides)
    found = {finding.code: finding for finding in check_process_alone(changed)}
    assert code in found
    assert code not in {finding.code for finding in check_process_alone(point)}
    for language in LANGUAGES:
        text = finding_wording(found[code], language=language)
        assert "?)" not in text.message + text.next, text
        assert text.what and text.next


def test_the_characterised_demo_point_has_only_notes(point):
    found = check_process_alone(point)
    assert {finding.severity for finding in found} == {"note"}
    assert {finding.code for finding in found} == {"casting.quartz_inversion", "casting.waits"}


def test_a_cold_nozzle_says_at_which_temperature_it_left_the_window(point):
    cold = overridden(point, {"head.nozzle_temperature_c": 11.0})
    finding = next(found for found in check_process(cold) if found.code == "droplets.z_low_until")
    edge_c = finding.facts["edge_c"]
    assert 11.0 < edge_c < 20.0
    for nudge, code in ((-0.01, True), (0.01, False)):
        near = overridden(point, {"head.nozzle_temperature_c": edge_c + nudge})
        assert any(found.code == "droplets.z_low_until" for found in check_process(near)) is code
    assert temperature_band_c(point)[0] == pytest.approx(edge_c, abs=1e-6)


def test_a_fit_stands_in_for_a_table_and_keeps_to_its_range(point):
    """The demo table was made from this fit, so both give the same numbers; the fit reaches further."""
    straight = {"at_25_c_mn_m": 45.0, "slope_mn_m_k": -0.1, "low_c": 5.0, "high_c": 60.0}
    fitted = overridden(
        point,
        {
            "binder.viscosity_mpa_s": None,
            "binder.viscosity_fit": FIT,
            "binder.surface_tension_mn_m": None,
            "binder.surface_tension_fit": straight,
        },
    )
    by_table = {value.code: value for value in droplet_values(point)}
    for value in droplet_values(fitted):
        assert value.value == pytest.approx(by_table[value.code].value, rel=1e-3)
    assert "binder.viscosity_fit" in droplet_values(fitted)[0].inputs
    low, high = temperature_band_c(fitted)
    assert low == pytest.approx(temperature_band_c(point)[0], abs=0.1)
    assert temperature_band_c(point)[1] == pytest.approx(50.0)  # where the table ends
    thin = overridden(fitted, {"head.nozzle_temperature_c": high})  # the fit goes on to where Z reaches 10
    z = next(value.value for value in droplet_values(thin) if value.code == "solved.inverse_ohnesorge")
    assert z == pytest.approx(10.0, rel=1e-6)
    hot = overridden(fitted, {"head.nozzle_temperature_c": 61.0})
    assert "droplets.outside_tables" in {finding.code for finding in check_process(hot)}
    assert not any("fit" in finding.code for finding in check_process(fitted))


def test_the_band_is_where_every_point_of_the_curve_lies_inside(point):
    low, high = temperature_band_c(point)
    for at in droplet_curve(point, 200):
        celsius = at.temperature_k - 273.15
        assert (not at.crossed) == (low <= celsius <= high + 1e-9), celsius
    assert first_crossing_c(point, "splash") is None


def test_droplet_numbers_fit_together_along_the_curve(point):
    for at in droplet_curve(point):
        assert at.z * at.ohnesorge == pytest.approx(1.0, rel=1e-12)
        assert at.weber**0.5 / at.reynolds == pytest.approx(at.ohnesorge, rel=1e-12)
        least = droplets.least_speed_m_s(4.0, 1290.0, 48e-6, at.surface_tension_n_m)
        assert (least < 6.0) == (at.weber > 4.0)


def test_each_solved_quantity_closes_the_dose_when_it_is_fed_back(point):
    disturbed = overridden(point, {"head.drop_volume_pl": 80.0})
    for solution in dose_solutions(disturbed):
        closed = overridden(disturbed, {solution.field: solution.exact})
        assert abs(dose_setting(closed).disagreement) <= 1e-12, solution.field
        settable = overridden(disturbed, {solution.field: solution.settable})
        obtained = 100 * dose_setting(settable).disagreement
        assert obtained == pytest.approx(solution.off_pct, abs=1e-9)


@given(volume=st.floats(20, 200), travel=st.floats(0.05, 0.2), passes=st.integers(1, 6), dose=st.floats(1, 4))
def test_settable_values_are_steps_that_the_machine_has(volume, travel, passes, dose):
    point = overridden(
        profiles_point(KNOWN),
        {
            "head.drop_volume_pl": volume,
            "machine.pitch_travel_mm": travel,
            "machine.pitch_across_mm": 0.2 / passes,
            "process.binder_on_sand_pct": dose,
        },
    )
    found = {solution.field: solution for solution in dose_solutions(point)}
    assert set(found) == set(FIELD_OF.values())
    across = found["machine.pitch_across_mm"].settable
    assert round(0.2 / across) == pytest.approx(0.2 / across, rel=1e-12)
    grey = found["machine.grey_level"].settable
    assert grey == int(grey) and 1 <= grey <= 3
    steps = (found["head.drop_volume_pl"].settable - volume) / 1.0
    assert steps == pytest.approx(round(steps), abs=1e-6)
    travel_steps = found["machine.pitch_travel_mm"].settable / 0.005
    assert travel_steps == pytest.approx(round(travel_steps), abs=1e-6) and travel_steps >= 1


def test_sieves_of_the_demo_sand(point):
    """Worked by hand from the shipped sieve analysis: Σ m f = 9550 over 100 g."""
    products = 0.4 * 40 + 5.2 * 50 + 35.6 * 70 + 41.3 * 100 + 14.8 * 140 + 2.3 * 200 + 0.4 * 300
    assert grain_fineness(point) == pytest.approx(products / 100)
    assert size_at_passing_m(point, 0.5) == pytest.approx(0.1393e-3, rel=1e-3)
    assert size_at_passing_m(point, 1.0) is None  # no sieve of this analysis lets everything pass


def test_a_measured_bed_density_outside_the_model_is_only_a_note(point):
    document = point.sand.model_dump()
    document["bulk_density_g_cm3"] = 1.6
    document["sources"]["bulk_density_g_cm3"] = {"evidence": "measured", "source": "weighed cube", "n": 5}
    measured = point.model_copy(update={"sand": type(point.sand).model_validate(document)})
    found = {finding.code: finding.severity for finding in check_process(measured)}
    assert found["bed.density_outside_model"] == "note"
    low, high = bed_density_bounds_kg_m3(point)
    assert low < 1460.0 < high


def test_lift_of_cores_in_the_melt(point):
    """1 L with 85 % wetted: (2370 × 0.85 − ρ) g V by hand; unstated share is an upper bound and says so."""
    density = 1460.0 * (1 + 0.02 / 1.008 * (0.3 + 0.7 * 0.15))
    (lift,) = core_lifts(point, [CoreInMelt("core", 1e-3)])
    assert lift.net_lift_n == pytest.approx((2370 * 0.85 - density) * 9.80665e-3, rel=1e-12)
    assert lift.seat_needed_mm2 == pytest.approx(lift.net_lift_n / 60e3 * 1e6, rel=1e-12)
    assert not lift.wetted_is_bound
    unstated = overridden(point, {"process.wetted_pct": None})
    (bound,) = core_lifts(unstated, [CoreInMelt("core", 1e-3)])
    assert bound.wetted_is_bound and bound.net_lift_n > lift.net_lift_n
    assert core_lifts(overridden(point, {"process.melt_density_g_cm3": None}), [CoreInMelt("c", 1e-3)]) == ()


def test_print_seats_in_casting_position(point):
    narrow = CoreInMelt("core", 1e-3, wetted=1.0, seat_above_m2=100e-6, seat_below_m2=150e-6)
    found = {finding.code: finding for finding in check_lifts(point, [narrow])}
    assert set(found) == {"casting.seat_above_overloaded", "casting.seat_below_overloaded"}
    for finding in found.values():
        for language in LANGUAGES:
            assert "?)" not in finding_wording(finding, "Elbow", language).message
        assert finding.facts["needed_mm2"] == pytest.approx(finding.facts["load_n"] / 60e3 * 1e6)
    wide = CoreInMelt("core", 1e-3, wetted=1.0, seat_above_m2=200e-6, seat_below_m2=300e-6)
    assert check_lifts(point, [wide]) == []


@pytest.mark.parametrize("kind", sorted(PROFILE_KINDS))
def test_process_sheet_of_each_shipped_profile_has_no_unexplained_value(kind):
    for profile_id in profile_ids(kind):
        point = profiles_point(DEFAULT_PROFILES.model_copy(update={kind: profile_id}))
        document = process_sheet(point).document()
        for entry in document["stated"]:
            assert entry["source"] and entry["evidence"]
        for group in document["solved"].values():
            for entry in group:
                explained = entry["value"] is not None and entry["evidence"] is not None
                assert explained or entry["missing"] or entry["refused"], entry["code"]
        listed = {entry["field"] for entry in document["stated"]}
        listed |= {entry["field"] for entry in document["unknown"]}
        assert listed == {
            f"{name}.{field}"
            for name, model in PROFILE_KINDS.items()
            for field in set(model.model_fields) - model.ABOUT
        }
        assert not any(finding["severity"] == "stop" for finding in document["findings"])


def test_cure_of_a_full_box_by_hand(point):
    """0.16 m³ × 1460 kg/m³ heated by 98 K, its moisture, 60 kJ/K of box, at 60 %."""
    values = {value.code: value.value for value in cure_values(point)}
    mass = 0.8 * 0.5 * 0.4 * 1460
    specific = (811 + 0.008 * 850) / 1.008
    water = mass * 0.001 * (4.19e3 * 78.124 + 0.85 * 2.2565e6)  # moisture counts on the dry mix
    by_hand = (mass * specific * 98 + water + 60e3 * 98) / 0.6 / 3.6e6
    assert values["solved.full_box_bed_kg"] == pytest.approx(mass)
    assert values["solved.full_box_cure_kwh"] == pytest.approx(by_hand, rel=1e-3)


@given(
    st.sampled_from(
        [f"{k}.{n}" for k, m in PROFILE_KINDS.items() for n in sorted(set(m.model_fields) - m.ABOUT)]
    )
)
@settings(max_examples=40)
def test_any_single_value_may_be_unknown(field):
    point = overridden(profiles_point(KNOWN), {field: None})
    sheet = process_sheet(point, [CoreInMelt("core", 1e-3)])
    for group in sheet.solved.values():
        for entry in group:
            if field in entry.inputs:
                assert entry.value is None and field in entry.missing


def test_the_outline_to_print_comes_out_at_size():
    """Print → measure → nominal: measured = (1 + s) printed + 2 b."""
    printed = outline_to_print_m(0.1, -0.002, 0.15e-3)
    assert (1 - 0.002) * printed + 2 * 0.15e-3 == pytest.approx(0.1, rel=1e-14)
    assert bleed_left_m(0.15e-3, 0.3e-3) == pytest.approx(-0.15e-3)  # one dry layer: half a layer short
    assert bleed_left_m(0.14e-3, 0.3e-3) == pytest.approx(0.14e-3)


def test_steps_left_by_hand(point):
    """2 √(2·0.1² + 0.14²)/√12 sideways; upright 2 √(0.3² + 0.14²)/√12 and 0.1 mm of bleed that stays."""
    values = {value.code: value.value for value in accuracy_values(point)}
    sideways = 2 * ((2 * 0.1**2 + 0.14**2) / 12) ** 0.5
    upright = 2 * ((0.3**2 + 0.14**2) / 12) ** 0.5 + 0.1
    assert values["solved.steps_sideways_mm"] == pytest.approx(sideways, rel=1e-12)
    assert values["solved.steps_upright_mm"] == pytest.approx(upright, rel=1e-12)


def test_a_modelled_bed_density_is_a_finding(point):
    modelled = with_modelled_bed(overridden(point, {"sand.bulk_density_g_cm3": None}))
    assert "bed.density_from_model" in {finding.code for finding in check_process(modelled)}


def test_every_finding_of_the_process_can_be_reached():
    """Each sentence of these families belongs to a conflict of this file or is named here with its test."""
    elsewhere = {
        "casting.quartz_inversion",  # the demo point itself
        "casting.waits",
        "casting.seat_above_overloaded",  # test_print_seats_in_casting_position
        "casting.seat_below_overloaded",
        "casting.alloy_not_stated",  # tests/checks/test_lifted_stops.py
        "casting.magnesium",
        "casting.waits_too_long",  # tests/plan/test_process_findings.py
        "droplets.no_chart",  # tests/usecases/test_process.py
    }
    known = set()
    for family in ("dose", "droplets", "bed", "cure", "casting", "tolerance"):
        path = shared_folder() / "wording" / "en" / f"{family}.json"
        known |= set(json.loads(path.read_text(encoding="utf-8")))
    assert known - {code for _, code in CONFLICTS} - elsewhere == set()
