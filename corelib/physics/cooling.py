"""Cooling and drying of the cured box: slow conduction in a deep bed, first-order drying."""

from __future__ import annotations

import math

from corelib.physics.ranges import require_range


def diffusivity_m2_s(conductivity_w_m_k: float, density_kg_m3: float, specific_heat_j_kg_k: float) -> float:
    """Return the thermal diffusivity [m²/s].

    α = λ / (ρ c).

    >>> round(diffusivity_m2_s(0.35, 1450.0, 800.0) * 1e6, 4)
    0.3017
    """
    return conductivity_w_m_k / (density_kg_m3 * specific_heat_j_kg_k)


def plate_time_constant_s(half_thickness_m: float, diffusivity_m2_s: float) -> float:
    """Return the slowest time constant [s] of a plate whose two faces are kept at one temperature.

    τ = 4 l² / (π² α), l half the thickness. Source: conduction of heat in a slab, first term of the series
    (Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., §3.3, from memory).

    >>> round(plate_time_constant_s(0.35, 0.3e-6) / 3600, 1)
    46.0
    """
    return 4 * half_thickness_m**2 / (math.pi**2 * diffusivity_m2_s)


def plate_middle_share(time_s: float, half_thickness_m: float, diffusivity_m2_s: float) -> float:
    """Return how much of its excess temperature [-] a plate's middle still has, its faces cold from 0 s on.

    θ = (4/π) Σ (−1)^n/(2n+1) exp(−(2n+1)² π² Fo / 4), Fo = α t / l². Exact for constant properties. Source:
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., §3.3, from memory; tested by finite differences.

    >>> round(plate_middle_share(46 * 3600.0, 0.35, 0.3e-6), 3)
    0.468
    """
    decay = time_s / plate_time_constant_s(half_thickness_m, diffusivity_m2_s)
    if decay < 0.01:  # the cold has not come to the middle: 1 − θ < 1e-40
        return 1.0
    terms = ((-1) ** n / (2 * n + 1) * math.exp(-((2 * n + 1) ** 2) * decay) for n in range(40))
    return 4 / math.pi * math.fsum(terms)


def block_middle_share(
    time_s: float, length_m: float, width_m: float, height_m: float, diffusivity_m2_s: float
) -> float:
    """Return how much of its excess temperature [-] a block's middle still has, all six faces kept cold.

    Product of the three plates. Source: Carslaw & Jaeger, 2nd ed., §5.6 (product solutions), from memory.

    >>> round(block_middle_share(28 * 3600.0, 1.8, 1.0, 0.7, 0.3e-6), 2)
    0.63
    """
    share = 1.0
    for size_m in (length_m, width_m, height_m):
        share = share * plate_middle_share(time_s, size_m / 2, diffusivity_m2_s)
    return share


def block_cooling_s(
    length_m: float, width_m: float, height_m: float, diffusivity_m2_s: float, excess_left: float
) -> float:
    """Return the time [s] until a block's middle has only `excess_left` [-] of its excess temperature.

    Inverse of `block_middle_share` by bisection. Cold faces are the quickest case: a real box, with a floor,
    a wall and still air around it, cools slower.

    >>> round(block_cooling_s(1.8, 1.0, 0.7, 0.3e-6, 28 / 98) / 3600)
    53
    """
    require_range("physics.excess_left", excess_left, 1e-6, 1.0, "-")
    low, high = 0.0, plate_time_constant_s(min(length_m, width_m, height_m) / 2, diffusivity_m2_s)
    while block_middle_share(high, length_m, width_m, height_m, diffusivity_m2_s) > excess_left:
        high = 2 * high
    for _ in range(100):
        middle = (low + high) / 2
        if block_middle_share(middle, length_m, width_m, height_m, diffusivity_m2_s) > excess_left:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def water_left(time_s: float, half_time_s: float) -> float:
    """Return the share of the water [-] that is left after a time at cure temperature.

    x = 2^(−t/T½). First-order drying: a simple stated model, not a law; the half time comes from weighings.

    >>> water_left(1800.0, 900.0)
    0.25
    """
    return 0.5 ** (time_s / half_time_s)


def drying_time_s(evaporated: float, half_time_s: float) -> float:
    """Return the time at cure temperature [s] until a share of the water has left.

    t = −T½ log₂(1 − x). Inverse of `water_left`.

    >>> drying_time_s(0.75, 900.0)
    1800.0
    """
    require_range("physics.evaporated_share", evaporated, 0.0, 1 - 1e-9, "-")
    return -half_time_s * math.log2(1 - evaporated)
