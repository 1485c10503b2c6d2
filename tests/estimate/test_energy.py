"""Energy and oven time: bounds, limits, the drying table."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.errors import InputError
from corelib.estimate.energy import drying_time_s
from tests.estimate.made import block_estimate, point


@given(st.floats(0, 100), st.floats(0, 2), st.floats(5, 60))
def test_cure_lies_between_its_bounds(share, moisture, start_c):
    energy = block_estimate(
        oven__loose_sand_heated_pct=share, sand__moisture_pct=moisture, oven__start_c=start_c
    ).energy
    assert energy.cure_least_kwh.value <= energy.cure_kwh.value * (1 + 1e-12)
    assert energy.cure_kwh.value <= energy.cure_most_kwh.value * (1 + 1e-12)
    assert energy.energy_least_kwh.value <= energy.energy_kwh.value <= energy.energy_most_kwh.value


def test_printing_energy_is_power_times_time():
    box = block_estimate()
    assert box.energy.printing_kwh.value == pytest.approx(5.0 * box.time.build_s.value / 3600)


def test_oven_time_is_the_longest_of_its_limits():
    power = block_estimate(oven__kg_an_hour=None, oven__drying_table=None)
    assert power.time.cure_s.value == pytest.approx(power.cure.cure_kwh.value / 60.0 * 3600 + 600)
    by_rule = block_estimate(oven__kg_an_hour=50.0)
    assert by_rule.time.cure_s.value == pytest.approx(by_rule.bed.gross_box_kg.value / 50 * 3600 + 600)
    table = [{"water_kg": 0.0, "time_s": 7200.0}, {"water_kg": 1.0, "time_s": 9000.0}]
    by_table = block_estimate(oven__drying_table=table)
    water_kg = by_table.cure.printed_water_kg.value * 0.85
    assert by_table.time.cure_s.value == pytest.approx(7200 + 1800 * water_kg + 600)


def test_drying_beyond_the_table_grows_in_proportion():
    oven = point()
    assert drying_time_s(oven, 25.0 / 0.85) == pytest.approx(10800.0)
    assert drying_time_s(oven, 50.0 / 0.85) == pytest.approx(21600.0)


def test_a_cure_that_does_not_heat_is_refused():
    with pytest.raises(InputError) as caught:
        block_estimate(oven__cure_c=22.0)
    assert caught.value.code == "estimate.cure_not_above_start"
