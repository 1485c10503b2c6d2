"""Quartz, water, the heat balance, cooling and the core in the melt against published values.

Sureness of each check line: R read in the named source; P returned by a reference package when run;
O own arithmetic (a regression value); M from memory.
"""

import math

import chemicals
import CoolProp.CoolProp as CoolProp
import iapws
import numpy as np
import pytest

from corelib.errors import InputError
from corelib.physics import casting, cooling, heat

NIST_CP = [(298, 44.57), (400, 53.43), (500, 59.64), (600, 64.42), (700, 68.77), (800, 73.70)]
NIST_CP += [(900, 67.95), (1000, 68.95)]
NIST_H = [(400, 5.01), (500, 10.68), (600, 16.89), (800, 30.67), (900, 38.51), (1000, 45.36)]
M = 0.0600843


@pytest.mark.parametrize(("temperature", "molar"), NIST_CP)
def test_specific_heat_of_quartz_is_nists_table(temperature, molar):
    """NIST WebBook SRD 69, CAS 14808-60-7, J/(mol·K) (R)."""
    assert heat.quartz_specific_heat_j_kg_k(temperature) * M == pytest.approx(molar, abs=0.006)


@pytest.mark.parametrize(("temperature", "molar"), NIST_H)
def test_enthalpy_of_quartz_is_nists_table(temperature, molar):
    """NIST WebBook SRD 69, H − H298 in kJ/mol (R)."""
    assert heat.quartz_enthalpy_j_kg(temperature) * M / 1000 == pytest.approx(molar, abs=0.0055)


def test_specific_heat_of_quartz_against_the_chemicals_package():
    """chemicals.Shomate with the coefficients for kelvin (P)."""
    for temperature in (298.15, 400.0, 500.0, 800.0):
        reference = chemicals.Shomate(temperature, -6.076591, 0.2516755, -3.247964e-4, 1.685604e-7, 2548.0)
        assert heat.quartz_specific_heat_j_kg_k(temperature) * M == pytest.approx(reference, rel=1e-9)


MEAN_HEATS = [(373.15, 63.7676), (393.15, 81.1318), (423.15, 108.0965)]


@pytest.mark.parametrize(("end", "kj_kg"), MEAN_HEATS)
def test_heat_of_quartz_from_20_c(end, kj_kg):
    """20 to 100, 120, 150 °C (P with own arithmetic)."""
    mean = heat.quartz_mean_specific_heat_j_kg_k(293.15, end)
    assert mean * (end - 293.15) / 1000 == pytest.approx(kj_kg, rel=1e-5)


@pytest.mark.parametrize("temperature", [274.0, 293.15, 333.15, 368.15, 373.1243, 423.15, 473.15])
def test_saturated_water_against_iapws_95(temperature):
    """CoolProp's IAPWS-95 (P); the closed equations of SR1-86(1992) are made to agree within about 0.02 %."""

    def reference(what, vapour):
        return CoolProp.PropsSI(what, "T", temperature, "Q", vapour, "Water")

    assert heat.water_vapour_pressure_pa(temperature) == pytest.approx(reference("P", 0), rel=2e-4)
    assert heat.water_liquid_density_kg_m3(temperature) == pytest.approx(reference("D", 0), rel=1e-4)
    assert heat.water_vapour_density_kg_m3(temperature) == pytest.approx(reference("D", 1), rel=3e-4)
    assert heat.water_liquid_enthalpy_j_kg(temperature) == pytest.approx(reference("H", 0), rel=2e-4, abs=20)
    assert heat.water_vapour_enthalpy_j_kg(temperature) == pytest.approx(reference("H", 1), rel=3e-4)


def test_saturated_water_against_iapws_if97():
    """iapws.IAPWS97: an implementation by other people of another formulation (P)."""
    for temperature in (300.0, 350.0, 373.0, 450.0):
        liquid, vapour = (iapws.IAPWS97(T=temperature, x=x) for x in (0, 1))
        evaporation = (vapour.h - liquid.h) * 1000
        assert heat.water_heat_of_evaporation_j_kg(temperature) == pytest.approx(evaporation, rel=3e-4)
        assert heat.water_vapour_pressure_pa(temperature) == pytest.approx(liquid.P * 1e6, rel=3e-4)


SR1_86 = [
    # T: p Pa, dp/dT Pa/K, ρ' and ρ'' kg/m³, h' and h'' J/kg; table of check values in the release (M)
    (273.16, 611.657, 44.436693, 999.789, 0.00485426, 0.611786, 2500.5e3),
    (373.1243, 0.101325e6, 3.616e3, 958.365, 0.597586, 419.05e3, 2675.7e3),
    (647.096, 22.064e6, 268e3, 322.0, 322.0, 2086.6e3, 2086.6e3),
]


@pytest.mark.parametrize(("t", "p", "slope", "liquid", "vapour", "h_liquid", "h_vapour"), SR1_86)
def test_check_values_of_the_release(t, p, slope, liquid, vapour, h_liquid, h_vapour):
    assert heat.water_vapour_pressure_pa(t) == pytest.approx(p, rel=1e-5)
    assert heat.water_vapour_pressure_slope_pa_k(t) == pytest.approx(slope, rel=2e-3)
    assert heat.water_liquid_density_kg_m3(t) == pytest.approx(liquid, rel=1e-6)
    assert heat.water_vapour_density_kg_m3(t) == pytest.approx(vapour, rel=1e-5)
    assert heat.water_liquid_enthalpy_j_kg(t) == pytest.approx(h_liquid, rel=2e-5, abs=0.05)
    assert heat.water_vapour_enthalpy_j_kg(t) == pytest.approx(h_vapour, rel=5e-5)


def test_heat_balance_against_a_hand_calculation():
    """100 kg sand 20 → 120 °C and 1.2 kg water from 20 °C: 8.11318 + 3.10983 MJ = 3.117501 kWh (O with P)."""
    specific = heat.quartz_mean_specific_heat_j_kg_k(293.15, 393.15)
    balance = heat.cure_heat_j(
        printed_mix_kg=100.0,
        loose_mix_kg=0.0,
        printed_water_kg=1.2,
        start_k=293.15,
        cure_k=393.15,
        mix_specific_heat_j_kg_k=specific,
        evaporated=1.0,
    )
    parts = balance.least
    assert parts.printed_mix_j == pytest.approx(8.11318e6, rel=1e-5)
    assert parts.water_heated_j + parts.evaporation_j == pytest.approx(3.10983e6, rel=2e-4)
    assert parts.total_j == pytest.approx(11.22300e6, rel=1e-4)
    electric = heat.electric_energy_j(parts.total_j, 0.6)
    assert electric / 3.6e6 == pytest.approx(5.195835, rel=1e-4)
    hand = 100 * 800 * 100 + 1.2 * (4186 * 80 + 2.257e6)  # rounded constants: 11.11026 MJ, 1.0 % less
    assert parts.total_j == pytest.approx(hand, rel=0.011)


def test_two_bounds_of_a_filled_box():
    """The whole box: loose sand and its moisture, and the box's steel, beside the least (O)."""
    stated = {"start_k": 295.15, "cure_k": 393.15, "mix_specific_heat_j_kg_k": 811.0, "evaporated": 0.85}
    balance = heat.cure_heat_j(
        printed_mix_kg=80.0,
        loose_mix_kg=900.0,
        printed_water_kg=1.2,
        loose_water_kg=0.9,
        box_heat_capacity_j_k=60e3,
        **stated,
    )
    assert balance.most.loose_mix_j == pytest.approx(900 * 811 * 98)
    assert balance.most.box_j == pytest.approx(60e3 * 98)
    assert balance.between_j(0.0) == balance.least.total_j
    assert balance.between_j(1.0) == pytest.approx(balance.most.total_j, rel=1e-15)
    below_boiling = heat.cure_heat_j(
        printed_mix_kg=0.0, loose_mix_kg=0.0, printed_water_kg=1.0, **{**stated, "cure_k": 353.15}
    )
    at_80_c = heat.water_heat_of_evaporation_j_kg(353.15)
    assert below_boiling.least.evaporation_j == pytest.approx(0.85 * at_80_c)


def test_correlations_refuse_what_they_do_not_cover():
    with pytest.raises(InputError) as refused:
        heat.quartz_enthalpy_j_kg(2500.0)
    assert refused.value.code == "physics.quartz_temperature"
    assert refused.value.facts["high"] == pytest.approx(1996.0 - 273.15)
    assert refused.value.facts["unit"] == "°C"
    with pytest.raises(InputError):
        heat.water_vapour_pressure_pa(700.0)


def half_plate_stepped(half_m, diffusivity, seconds, cells=60):
    """Return a plate's middle excess by explicit finite differences: another way than the series."""
    step_m = half_m / cells
    steps = int(np.ceil(seconds / (0.4 * step_m**2 / diffusivity)))
    number = diffusivity * seconds / steps / step_m**2
    excess = np.ones(cells + 1)
    excess[-1] = 0.0
    for _ in range(steps):
        inner = excess[1:-1] + number * (excess[2:] - 2 * excess[1:-1] + excess[:-2])
        excess[0] += 2 * number * (excess[1] - excess[0])
        excess[1:-1] = inner
    return excess[0]


@pytest.mark.parametrize("hours", [5.0, 20.0, 60.0, 120.0])
def test_cooling_of_a_plate_against_finite_differences(hours):
    ours = cooling.plate_middle_share(hours * 3600, 0.35, 3e-7)
    assert ours == pytest.approx(half_plate_stepped(0.35, 3e-7, hours * 3600), rel=2e-3)


def test_cooling_of_a_deep_box_takes_tens_of_hours():
    """120 → 50 °C in a 22 °C hall, 1.8 × 1.0 × 0.7 m: the product of three plates stepped by NumPy."""
    seconds = cooling.block_cooling_s(1.8, 1.0, 0.7, 3e-7, 28 / 98)
    stepped = [half_plate_stepped(size / 2, 3e-7, seconds) for size in (1.8, 1.0, 0.7)]
    assert np.prod(stepped) == pytest.approx(28 / 98, rel=3e-3)
    assert 40 < seconds / 3600 < 80


def test_core_lift_of_a_handbook_example():
    """Groover, Fundamentals of Modern Manufacturing, ch. 11: lead, sand core 1875 cm³, 178.4 N (R)."""
    assert casting.net_lift_n(1.875e-3, 1.875e-3, 11300.0, 1600.0, 9.81) == pytest.approx(178.4, abs=0.05)


def test_core_lift_backwards():
    """225.63 N, steel 7.82, sand 1.6 g/cm³ gives a core of 3698 cm³ (physicsforums 571608, R)."""
    volume = 225.63 / (casting.net_lift_n(1.0, 1.0, 7820.0, 1600.0, 9.81))
    assert volume * 1e6 == pytest.approx(3698, abs=0.5)


def test_iron_pipe_core():
    """P. N. Rao type worked example (R*, tolerance 1 N): buoyancy 856.7 N, metallostatic lift 3469.5 N."""
    volume = math.pi / 4 * 0.10**2 * 1.80
    assert volume * 1e6 == pytest.approx(14137.2, abs=0.1)
    lift = casting.net_lift_n(volume, volume, 0.0771e6 / 9.81, 0.0165e6 / 9.81, 9.81)
    assert lift == pytest.approx(856.7, abs=1.0)
    pressure = casting.metallostatic_pressure_pa(0.0771e6 / 9.81, 0.20, 9.81)
    assert pressure * 0.2250 == pytest.approx(3469.5, abs=1.0)


def test_net_and_gross_lift_in_aluminium():
    """1 L, core 1500, melt 2370 kg/m³: net 8.5318 N, gross 23.2418 N (O): two definitions, named apart."""
    assert casting.net_lift_n(1e-3, 1e-3, 2370.0, 1500.0) == pytest.approx(8.5318, abs=5e-5)
    assert casting.gross_lift_n(1e-3, 2370.0) == pytest.approx(23.2418, abs=5e-5)


ALUMINIUM = [(660.32, 2377.23), (700.0, 2364.89), (750.0, 2349.34)]


@pytest.mark.parametrize(("celsius", "density"), ALUMINIUM)
def test_density_of_liquid_aluminium(celsius, density):
    """Assael et al., JPCRD 35 (2006) 285 (coefficients M)."""
    assert casting.liquid_aluminium_density_kg_m3(celsius + 273.15) == pytest.approx(density, abs=0.006)
