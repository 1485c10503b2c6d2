"""Drops from a nozzle: the dimensionless numbers of drop-on-demand jetting, drop size, speeds and rates.

`z` is the inverse Ohnesorge number, Z = 1/Oh (some texts call Oh itself Z). The window 1 < Z < 10, We > 4 and
K < 50 is advice from the literature for simple liquids on smooth dry ground; it is kept as data in
`shared/tables/droplet_window.json`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence


def reynolds(density_kg_m3: float, speed_m_s: float, length_m: float, viscosity_pa_s: float) -> float:
    """Return the Reynolds number [-], inertia over viscosity; length: nozzle diameter.

    Re = ρ v d / η. Source: S. Abbott, Practical Coatings, "Ohnesorge for Inkjet".

    >>> round(reynolds(1100.0, 6.0, 42e-6, 0.008), 2)
    34.65
    """
    return density_kg_m3 * speed_m_s * length_m / viscosity_pa_s


def weber(density_kg_m3: float, speed_m_s: float, length_m: float, surface_tension_n_m: float) -> float:
    """Return the Weber number [-], inertia over surface tension; length: nozzle diameter.

    We = ρ v² d / σ. Source: Perry's Chemical Engineers' Handbook, 8th ed., as cited by the fluids package.

    >>> round(weber(900.0, 0.18, 0.001, 0.01), 3)
    2.916
    """
    return density_kg_m3 * speed_m_s**2 * length_m / surface_tension_n_m


def ohnesorge(
    density_kg_m3: float, length_m: float, viscosity_pa_s: float, surface_tension_n_m: float
) -> float:
    """Return the Ohnesorge number [-], viscosity over inertia and surface tension.

    Oh = η / √(ρ σ d) = √We / Re. Source: Perry's Chemical Engineers' Handbook, 8th ed., as cited by fluids.

    >>> round(ohnesorge(1000.0, 1e-4, 1e-3, 0.1), 6)
    0.01
    """
    return viscosity_pa_s / (density_kg_m3 * surface_tension_n_m * length_m) ** 0.5


def inverse_ohnesorge(
    density_kg_m3: float, length_m: float, viscosity_pa_s: float, surface_tension_n_m: float
) -> float:
    """Return Z = 1/Oh [-], the number of the window of stable single drops.

    Source: Reis & Derby, MRS Symp. Proc. 625 (2000); Derby, Annu. Rev. Mater. Res. 40 (2010) 395 (memory).

    >>> round(inverse_ohnesorge(1100.0, 42e-6, 0.008, 0.045), 6)
    5.699507
    """
    return 1 / ohnesorge(density_kg_m3, length_m, viscosity_pa_s, surface_tension_n_m)


def splash_number(
    density_kg_m3: float,
    speed_m_s: float,
    length_m: float,
    viscosity_pa_s: float,
    surface_tension_n_m: float,
) -> float:
    """Return K = √We · Re^¼ [-]; from about 50 on a drop splashes on smooth dry ground.

    Source: Derby, Annu. Rev. Mater. Res. 40 (2010) 395 (from memory); on sand only a hint.

    >>> round(splash_number(1100.0, 6.0, 42e-6, 0.008, 0.045), 3)
    14.75
    """
    we = weber(density_kg_m3, speed_m_s, length_m, surface_tension_n_m)
    re = reynolds(density_kg_m3, speed_m_s, length_m, viscosity_pa_s)
    return we**0.5 * re**0.25


def least_speed_m_s(
    weber_least: float, density_kg_m3: float, length_m: float, surface_tension_n_m: float
) -> float:
    """Return the speed [m/s] that a drop needs to leave the nozzle, where We reaches `weber_least` (4).

    v = √(We σ / (ρ d)). Source: Derby 2010 (from memory).

    >>> round(least_speed_m_s(4.0, 1000.0, 50e-6, 0.05), 6)
    2.0
    """
    return (weber_least * surface_tension_n_m / (density_kg_m3 * length_m)) ** 0.5


def drop_volume_m3(diameter_m: float) -> float:
    """Return the volume of a drop [m³].

    V = π d³ / 6.

    >>> round(drop_volume_m3(42e-6) * 1e15, 5)
    38.79239
    """
    return math.pi * diameter_m**3 / 6


def drop_diameter_m(volume_m3: float) -> float:
    """Return the diameter of a drop [m].

    d = (6 V / π)^⅓.

    >>> round(drop_diameter_m(80e-15) * 1e6, 5)
    53.46018
    """
    return (6 * volume_m3 / math.pi) ** (1 / 3)


def drop_cycle_s(firing_hz: float) -> float:
    """Return the time from one drop of a nozzle to its next [s].

    T = 1 / f. Under 60 µs is common practice, no source.

    >>> drop_cycle_s(20000.0)
    5e-05
    """
    return 1 / firing_hz


def andrade_viscosity_pa_s(temperature_k: float, factor_pa_s: float, slope_k: float) -> float:
    """Return the viscosity [Pa·s] by Andrade's law.

    η = A e^(B/T). Source: Andrade 1930, from memory; holds for silicate solutions between 15 and 70 °C
    (J. Solution Chem. 36 (2007), doi 10.1007/s10953-007-9214-6).

    >>> round(andrade_viscosity_pa_s(303.15, 1.978389e-6, 2500.0) * 1000, 4)
    7.5479
    """
    return factor_pa_s * math.exp(slope_k / temperature_k)


def andrade_fit(temperatures_k: Sequence[float], viscosities_pa_s: Sequence[float]) -> tuple[float, float]:
    """Return (A [Pa·s], B [K]) of Andrade's law by least squares of ln η over 1/T; two points or more.

    >>> a, b = andrade_fit([293.15, 303.15, 313.15], [0.010, 0.007547907, 0.005800374])
    >>> round(b, 2), round(a * 1e6, 4)
    (2500.0, 1.9784)
    """
    inverse = [1 / temperature for temperature in temperatures_k]
    logs = [math.log(viscosity) for viscosity in viscosities_pa_s]
    mean_x = math.fsum(inverse) / len(inverse)
    mean_y = math.fsum(logs) / len(logs)
    covariance = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(inverse, logs, strict=True))
    slope_k = covariance / math.fsum((x - mean_x) ** 2 for x in inverse)
    return math.exp(mean_y - slope_k * mean_x), slope_k
