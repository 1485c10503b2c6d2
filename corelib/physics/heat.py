"""Heat of the cure: quartz and water, the heat balance with its two bounds, drying and cooling.

Temperatures are in kelvin. Correlations carry their range; outside it they raise, they never extrapolate
silently.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from corelib.physics.ranges import require_range

QUARTZ_MOLAR_MASS_KG_MOL = 0.0600843
QUARTZ_INVERSION_K = 846.15
"""α to β inversion of quartz at 573 °C."""
WATER_CRITICAL_K = 647.096
WATER_CRITICAL_PA = 22.064e6
WATER_CRITICAL_KG_M3 = 322.0
BOILING_K = 373.124
"""Water at 101 325 Pa (IAPWS-95: 373.1243 K)."""

_QUARTZ_COOL = (-6.076591, 251.6755, -324.7964, 168.5604, 0.002548, -917.6893, -910.8568)
_QUARTZ_HOT = (58.75340, 10.27925, -0.131384, 0.025210, 0.025601, -929.3292, -910.8568)
_SHOMATE_CHANGES_AT_K = 847.0


def quartz_specific_heat_j_kg_k(temperature_k: float) -> float:
    """Return the specific heat of quartz [J/(kg·K)].

    Shomate: c_p = A + B t + C t² + D t³ + E/t², t = T/1000, J/(mol·K); M = 60.0843 g/mol. Range by the source
    298 to 1996 K, two branches meeting at 847 K; here from 273.15 K on (25 K of extrapolation).
    Source: NIST Chemistry WebBook, SRD 69, quartz, CAS 14808-60-7 (Chase 1998).

    >>> round(quartz_specific_heat_j_kg_k(500.0) * 0.0600843, 2)
    59.64
    """
    require_range("physics.quartz_temperature", temperature_k, 273.15, 1996.0, "K")
    a, b, c, d, e, _, _ = _QUARTZ_COOL if temperature_k < _SHOMATE_CHANGES_AT_K else _QUARTZ_HOT
    t = temperature_k / 1000
    return (a + b * t + c * t**2 + d * t**3 + e / t**2) / QUARTZ_MOLAR_MASS_KG_MOL


def quartz_enthalpy_j_kg(temperature_k: float) -> float:
    """Return the enthalpy of quartz above 298.15 K [J/kg].

    Shomate: H − H298 = A t + B t²/2 + C t³/3 + D t⁴/4 − E/t + F − H, t = T/1000, kJ/mol. Range and source as
    `quartz_specific_heat_j_kg_k`; the branches step by 0.73 kJ/mol at 847 K, near the inversion.

    >>> round(quartz_enthalpy_j_kg(600.0) * 0.0600843 / 1000, 2)
    16.89
    """
    require_range("physics.quartz_temperature", temperature_k, 273.15, 1996.0, "K")
    a, b, c, d, e, f, h = _QUARTZ_COOL if temperature_k < _SHOMATE_CHANGES_AT_K else _QUARTZ_HOT
    t = temperature_k / 1000
    kj_mol = a * t + b * t**2 / 2 + c * t**3 / 3 + d * t**4 / 4 - e / t + f - h
    return kj_mol * 1000 / QUARTZ_MOLAR_MASS_KG_MOL


def quartz_mean_specific_heat_j_kg_k(start_k: float, end_k: float) -> float:
    """Return the mean specific heat of quartz between two temperatures [J/(kg·K)].

    [H(T2) − H(T1)] / (T2 − T1). Range and source as `quartz_enthalpy_j_kg`.

    >>> round(quartz_mean_specific_heat_j_kg_k(293.15, 393.15), 1)
    811.3
    """
    if end_k == start_k:
        return quartz_specific_heat_j_kg_k(start_k)
    return (quartz_enthalpy_j_kg(end_k) - quartz_enthalpy_j_kg(start_k)) / (end_k - start_k)


def mix_specific_heat_j_kg_k(
    sand_specific_heat_j_kg_k: float, additive_specific_heat_j_kg_k: float, additive_on_sand: float
) -> float:
    """Return the specific heat of the dry mix [J/(kg·K)], the mass-weighted mean.

    c = (c_s + a c_a) / (1 + a).

    >>> mix_specific_heat_j_kg_k(800.0, 800.0, 0.01)
    800.0
    """
    weighted = sand_specific_heat_j_kg_k + additive_on_sand * additive_specific_heat_j_kg_k
    return weighted / (1 + additive_on_sand)


def water_vapour_pressure_pa(temperature_k: float) -> float:
    """Return the vapour pressure of water [Pa].

    Range: 273.16 to 647.096 K. Source: Wagner & Pruss, IAPWS SR1-86(1992), eq. 1; coefficients from memory,
    held against two reference packages in the tests.

    >>> round(water_vapour_pressure_pa(273.16), 2)
    611.66
    """
    require_range("physics.water_temperature", temperature_k, 273.15, WATER_CRITICAL_K, "K")
    return WATER_CRITICAL_PA * math.exp(WATER_CRITICAL_K / temperature_k * _pressure_series(temperature_k))


def _pressure_series(temperature_k: float) -> float:
    tau = 1 - temperature_k / WATER_CRITICAL_K
    return (
        -7.85951783 * tau
        + 1.84408259 * tau**1.5
        - 11.7866497 * tau**3
        + 22.6807411 * tau**3.5
        - 15.9618719 * tau**4
        + 1.80122502 * tau**7.5
    )


def water_vapour_pressure_slope_pa_k(temperature_k: float) -> float:
    """Return the slope of water's vapour pressure over temperature [Pa/K].

    Range and source as `water_vapour_pressure_pa` (its derivative).
    """
    pressure = water_vapour_pressure_pa(temperature_k)
    tau = max(0.0, 1 - temperature_k / WATER_CRITICAL_K)
    series_slope = (
        -7.85951783
        + 1.5 * 1.84408259 * tau**0.5
        - 3 * 11.7866497 * tau**2
        + 3.5 * 22.6807411 * tau**2.5
        - 4 * 15.9618719 * tau**3
        + 7.5 * 1.80122502 * tau**6.5
    )
    return -pressure / temperature_k * (math.log(pressure / WATER_CRITICAL_PA) + series_slope)


def water_liquid_density_kg_m3(temperature_k: float) -> float:
    """Return the density of saturated liquid water [kg/m³].

    Range 273.16 to 647.096 K; source Wagner & Pruss, IAPWS SR1-86(1992), eq. 2 (from memory, tested).

    >>> round(water_liquid_density_kg_m3(273.16), 3)
    999.789
    """
    require_range("physics.water_temperature", temperature_k, 273.15, WATER_CRITICAL_K, "K")
    tau = 1 - temperature_k / WATER_CRITICAL_K
    ratio = (
        1
        + 1.99274064 * tau ** (1 / 3)
        + 1.09965342 * tau ** (2 / 3)
        - 0.510839303 * tau ** (5 / 3)
        - 1.75493479 * tau ** (16 / 3)
        - 45.5170352 * tau ** (43 / 3)
        - 6.74694450e5 * tau ** (110 / 3)
    )
    return WATER_CRITICAL_KG_M3 * ratio


def water_vapour_density_kg_m3(temperature_k: float) -> float:
    """Return the density of saturated water vapour [kg/m³].

    Range 273.16 to 647.096 K; source Wagner & Pruss, IAPWS SR1-86(1992), eq. 3 (from memory, tested).

    >>> round(water_vapour_density_kg_m3(373.1243), 4)
    0.5976
    """
    require_range("physics.water_temperature", temperature_k, 273.15, WATER_CRITICAL_K, "K")
    tau = 1 - temperature_k / WATER_CRITICAL_K
    exponent = (
        -2.03150240 * tau ** (2 / 6)
        - 2.68302940 * tau ** (4 / 6)
        - 5.38626492 * tau ** (8 / 6)
        - 17.2991605 * tau ** (18 / 6)
        - 44.7586581 * tau ** (37 / 6)
        - 63.9201063 * tau ** (71 / 6)
    )
    return WATER_CRITICAL_KG_M3 * math.exp(exponent)


def _water_alpha_j_kg(temperature_k: float) -> float:
    theta = temperature_k / WATER_CRITICAL_K
    return 1000.0 * (
        -1135.905627715
        - 5.65134998e-8 * theta**-19
        + 2690.66631 * theta
        + 127.287297 * theta**4.5
        - 135.003439 * theta**5
        + 0.981825814 * theta**54.5
    )


def water_liquid_enthalpy_j_kg(temperature_k: float) -> float:
    """Return the enthalpy of saturated liquid water [J/kg], zero near the triple point.

    h' = α + (T/ρ') dp/dT. Range 273.16 to 647.096 K; source Wagner & Pruss, IAPWS SR1-86(1992), eq. 4 and 6.

    >>> round(water_liquid_enthalpy_j_kg(373.1243) / 1000, 2)
    419.05
    """
    slope = water_vapour_pressure_slope_pa_k(temperature_k)
    return _water_alpha_j_kg(temperature_k) + temperature_k * slope / water_liquid_density_kg_m3(
        temperature_k
    )


def water_vapour_enthalpy_j_kg(temperature_k: float) -> float:
    """Return the enthalpy of saturated water vapour [J/kg], zero as for the liquid.

    h'' = α + (T/ρ'') dp/dT. Range and source as `water_liquid_enthalpy_j_kg`.

    >>> round(water_vapour_enthalpy_j_kg(373.1243) / 1000, 1)
    2675.7
    """
    slope = water_vapour_pressure_slope_pa_k(temperature_k)
    return _water_alpha_j_kg(temperature_k) + temperature_k * slope / water_vapour_density_kg_m3(
        temperature_k
    )


def water_heat_of_evaporation_j_kg(temperature_k: float) -> float:
    """Return the heat that evaporates water at a temperature [J/kg], h'' − h'.

    Range and source as `water_liquid_enthalpy_j_kg`; IAPWS-95 has 2256.5 kJ/kg at 373.124 K.

    >>> round(water_heat_of_evaporation_j_kg(373.124) / 1000, 1)
    2256.7
    """
    return water_vapour_enthalpy_j_kg(temperature_k) - water_liquid_enthalpy_j_kg(temperature_k)


@dataclass(frozen=True)
class HeatParts:
    """What one bound of the heat balance takes up [J]."""

    printed_mix_j: float
    water_heated_j: float
    evaporation_j: float
    loose_mix_j: float
    box_j: float

    @property
    def total_j(self) -> float:
        """Sum of the parts [J]."""
        return self.printed_mix_j + self.water_heated_j + self.evaporation_j + self.loose_mix_j + self.box_j


@dataclass(frozen=True)
class CureHeat:
    """The two bounds of the cure's heat: the printed bed and its water alone, and the whole filled box."""

    least: HeatParts
    most: HeatParts

    def between_j(self, loose_heated: float) -> float:
        """Return the heat [J] if this share [-] of loose sand and box heats along (0: least, 1: most)."""
        return self.least.total_j + loose_heated * (self.most.total_j - self.least.total_j)


def cure_heat_j(
    *,
    printed_mix_kg: float,
    loose_mix_kg: float,
    printed_water_kg: float,
    loose_water_kg: float = 0.0,
    start_k: float,
    cure_k: float,
    mix_specific_heat_j_kg_k: float,
    evaporated: float,
    box_heat_capacity_j_k: float = 0.0,
) -> CureHeat:
    """Return both bounds of the heat [J] that brings a filled box to the cure temperature.

    E = m_mix c ΔT + m_w [h'(T_e) − h'(T_1) + x h_fg(T_e)] + C_box ΔT with T_e the lower of cure temperature
    and boiling (101 325 Pa): water that stays liquid is heated to T_e only. `least`: printed bed and its
    water (dry quartz absorbs little of a microwave); `most`: loose bed, its moisture and the box as well.
    `printed_water_kg` is the printed bed's water (binder's and moisture), `evaporated` its share that leaves.
    Left out: bound water, superheat of the steam, losses; they belong to the efficiency. Source: energy
    balance; hand calculation in tests/published/test_physics_heat.py.

    >>> heat = cure_heat_j(printed_mix_kg=100.0, loose_mix_kg=0.0, printed_water_kg=1.2, start_k=293.15,
    ...                    cure_k=393.15, mix_specific_heat_j_kg_k=811.318, evaporated=1.0)
    >>> round(heat.least.total_j / 1e6, 2)
    11.22
    """
    rise_k = cure_k - start_k
    water_end_k = max(start_k, min(cure_k, BOILING_K))
    heated = water_liquid_enthalpy_j_kg(water_end_k) - water_liquid_enthalpy_j_kg(start_k)
    evaporation = evaporated * water_heat_of_evaporation_j_kg(water_end_k)
    printed = printed_mix_kg * mix_specific_heat_j_kg_k * rise_k
    least = HeatParts(printed, printed_water_kg * heated, printed_water_kg * evaporation, 0.0, 0.0)
    all_water = printed_water_kg + loose_water_kg
    most = HeatParts(
        printed_mix_j=printed,
        water_heated_j=all_water * heated,
        evaporation_j=all_water * evaporation,
        loose_mix_j=loose_mix_kg * mix_specific_heat_j_kg_k * rise_k,
        box_j=box_heat_capacity_j_k * rise_k,
    )
    return CureHeat(least, most)


def electric_energy_j(heat_j: float, efficiency: float) -> float:
    """Return the electric energy [J] for a heat [J] at an efficiency from plug to load [-].

    E_el = E / η. Range: 0 < η ≤ 1; wall plug to load of a microwave 0.5 to 0.7 is common practice, no source.

    >>> round(electric_energy_j(11.22300e6, 0.6) / 3.6e6, 4)
    5.1958
    """
    require_range("physics.efficiency", efficiency, 1e-6, 1.0, "-")
    return heat_j / efficiency


def power_limited_time_s(electric_energy_j: float, power_w: float) -> float:
    """Return the shortest time [s] in which an oven of this electric power [W] can bring the energy [J]."""
    return electric_energy_j / power_w
