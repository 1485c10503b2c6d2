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


def block_time_constant_s(length_m: float, width_m: float, height_m: float, diffusivity_m2_s: float) -> float:
    """Return the slowest time constant [s] of a block whose six faces are kept at one temperature.

    1/τ = Σ 1/τ_i over the three plates. Source: product solution (Carslaw & Jaeger §5.6, from memory).

    >>> round(block_time_constant_s(1.8, 1.0, 0.7, 0.3e-6) / 3600, 1)
    28.1
    """
    plates = (plate_time_constant_s(size / 2, diffusivity_m2_s) for size in (length_m, width_m, height_m))
    return 1 / sum(1 / plate for plate in plates)


def centre_cooling_s(time_constant_s: float, start_k: float, wanted_k: float, hall_k: float) -> float:
    """Return the time [s] until the middle of a block is down to a temperature, its faces being at hall air.

    t = τ ln[(4/π)³ (T1 − T0) / (T − T0)]. First term of the series; too long by a little where the wanted
    temperature is near the start. Faces at hall temperature is the quickest case: real boxes cool slower.

    >>> round(centre_cooling_s(28.1 * 3600, 393.15, 323.15, 295.15) / 3600, 1)
    55.6
    """
    require_range("temperature to unpack", wanted_k, hall_k + 0.1, start_k, "K")
    share = (wanted_k - hall_k) / (start_k - hall_k)
    return time_constant_s * max(0.0, math.log((4 / math.pi) ** 3 / share))


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
    require_range("evaporated share", evaporated, 0.0, 1 - 1e-9, "-")
    return -half_time_s * math.log2(1 - evaporated)
