"""The dose solver closes: any one quantity from the rest, fed back, gives the other five again."""

from dataclasses import astuple, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.physics.dose import DOSE_QUANTITIES, DoseSetting, solve_dose

settings = st.builds(
    DoseSetting,
    binder_on_mix=st.floats(0.002, 0.2),
    drop_volume_m3=st.floats(1e-15, 1e-12),
    pitch_travel_m=st.floats(1e-5, 1e-3),
    pitch_across_m=st.floats(1e-5, 1e-3),
    grey_level=st.floats(0.05, 15),
    thickness_m=st.floats(2e-5, 5e-3),
    binder_density_kg_m3=st.floats(900, 1700),
    bed_density_kg_m3=st.floats(800, 4000),
)


@given(settings, st.sampled_from(DOSE_QUANTITIES))
def test_a_solved_setting_agrees_with_itself(setting, wanted):
    solved = solve_dose(setting, wanted)
    assert abs(solved.disagreement) <= 1e-12
    kept = replace(solved, **{wanted: getattr(setting, wanted)})
    assert kept == setting


@given(settings, st.sampled_from(DOSE_QUANTITIES), st.sampled_from(DOSE_QUANTITIES))
def test_round_trip_closes_to_1e_12(setting, first, second):
    agreeing = solve_dose(setting, first)
    disturbed = replace(agreeing, **{second: 1.7 * getattr(agreeing, second)})
    again = solve_dose(disturbed, second)
    assert astuple(again) == pytest.approx(astuple(agreeing), rel=1e-12)


@given(settings)
def test_disagreement_is_relative_to_the_stated_dose(setting):
    doubled = replace(solve_dose(setting, "binder_on_mix"), grey_level=2 * setting.grey_level)
    assert doubled.disagreement == pytest.approx(1.0, rel=1e-12)
