"""The core in the melt: its lift by two published definitions, the load on its prints, gas from its water.

All of them are screening figures: rigid core, melt at rest, no impact of the stream.
"""

from __future__ import annotations

STANDARD_GRAVITY_M_S2 = 9.80665


def net_lift_n(
    core_volume_m3: float,
    wetted_volume_m3: float,
    melt_density_kg_m3: float,
    core_density_kg_m3: float,
    gravity_m_s2: float = STANDARD_GRAVITY_M_S2,
) -> float:
    """Return the net lift of a core in the melt [N]: displaced metal less the core's own weight.

    F = (ρ_metal V_wetted − ρ_core V) g. With V_wetted = V it is Groover's form. Negative: the core sinks.
    Source: M. P. Groover, Fundamentals of Modern Manufacturing, ch. 11 (example there with g = 9.81).

    >>> round(net_lift_n(1.875e-3, 1.875e-3, 11300.0, 1600.0, 9.81), 1)
    178.4
    """
    return (melt_density_kg_m3 * wetted_volume_m3 - core_density_kg_m3 * core_volume_m3) * gravity_m_s2


def gross_lift_n(
    wetted_volume_m3: float, melt_density_kg_m3: float, gravity_m_s2: float = STANDARD_GRAVITY_M_S2
) -> float:
    """Return the gross lift of a core [N]: displaced metal alone, the core's weight left out.

    F_K = V_p ρ_l g, prints excluded from V_p: the upper bound of the load on the prints. Source:
    giessereilexikon.com, "Lifting force".

    >>> round(gross_lift_n(1e-3, 2370.0), 4)
    23.2418
    """
    return wetted_volume_m3 * melt_density_kg_m3 * gravity_m_s2


def seat_pressure_pa(load_n: float, seat_area_m2: float) -> float:
    """Return the mean pressure on the seats of the core prints [Pa].

    p = F / A.

    >>> round(seat_pressure_pa(8.5318, 2 * 7.0685835e-4))
    6035
    """
    return load_n / seat_area_m2


def seat_area_m2(load_n: float, allowed_pressure_pa: float) -> float:
    """Return the seat area [m²] that a load on the prints needs.

    A = F / p.

    >>> round(seat_area_m2(60.0, 60e3), 6)
    0.001
    """
    return load_n / allowed_pressure_pa


def metallostatic_pressure_pa(
    melt_density_kg_m3: float, depth_m: float, gravity_m_s2: float = STANDARD_GRAVITY_M_S2
) -> float:
    """Return the pressure of the melt at a depth [Pa].

    p = ρ g h.

    >>> round(metallostatic_pressure_pa(2370.0, 0.30), 1)
    6972.5
    """
    return melt_density_kg_m3 * gravity_m_s2 * depth_m


def liquid_aluminium_density_kg_m3(temperature_k: float) -> float:
    """Return the density of liquid aluminium [kg/m³].

    ρ = 2377.23 − 0.311 (T − 933.47). Range 933 to 1190 K, ±0.7 %. Source: Assael et al., J. Phys. Chem. Ref.
    Data 35 (2006) 285; coefficients from memory.

    >>> round(liquid_aluminium_density_kg_m3(973.15), 2)
    2364.89
    """
    return 2377.23 - 0.311 * (temperature_k - 933.47)


def steam_volume_m3(water_kg: float, temperature_k: float = 273.15, pressure_pa: float = 101_325.0) -> float:
    """Return the gas volume [m³] that a mass of water makes (ideal gas; standard state unless stated).

    V = m R T / (M p).

    >>> round(steam_volume_m3(1e-3) * 1000, 4)
    1.2442
    """
    return water_kg * 8.314462618 * temperature_k / (0.01801528 * pressure_pa)
