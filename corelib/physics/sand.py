"""Sand: grain fineness, sieve curve, porosity, the bed's density, and how far the binder fills its pores."""

from __future__ import annotations

import math
from collections.abc import Sequence


def grain_fineness_number(retained_kg: Sequence[float], multipliers: Sequence[float]) -> float:
    """Return the grain fineness number [-] of a clay-free sieve analysis, coarsest sieve first, pan last.

    GFN = Σ(m_i f_i) / Σ m_i, f_i the multiplier of sieve i. Any one mass unit will do. Source: AFS procedure
    as in BUET MME 346, Appendix A1; the multipliers are data (`shared/tables/sieves.json`), as printed tables
    differ in the one of No. 200.

    >>> grams = [0.30, 1.81, 39.55, 18.18, 5.56, 11.88, 13.90, 6.53, 1.92, 0.37]
    >>> round(grain_fineness_number(grams, [10, 20, 30, 40, 50, 70, 100, 145, 200, 300]), 2)
    58.94
    """
    total = sum(retained_kg[1:], start=retained_kg[0])
    products = [mass * factor for mass, factor in zip(retained_kg, multipliers, strict=True)]
    return sum(products[1:], start=products[0]) / total


def passing(retained_kg: Sequence[float]) -> list[float]:
    """Return the share by mass that passes each sieve [-], coarsest first, pan last (0 there).

    >>> passing([1.0, 2.0, 1.0])
    [0.75, 0.25, 0.0]
    """
    total = math.fsum(retained_kg)
    return [math.fsum(retained_kg[place + 1 :]) / total for place in range(len(retained_kg))]


def size_at_passing_m(share: float, openings_m: Sequence[float], passing_shares: Sequence[float]) -> float:
    """Return the grain size [m] at which `share` of the mass passes, along the sieve curve.

    Between two sieves the share is linear in log size. `openings_m` from coarse to fine. NaN where the curve
    does not reach the share between its coarsest and finest sieve. Source: the usual reading of a sieve curve
    on log paper (common practice, no source).

    >>> round(size_at_passing_m(0.5, [400e-6, 100e-6], [1.0, 0.0]) * 1e6, 6)
    200.0
    """
    for place in range(1, len(openings_m)):
        coarse, fine = passing_shares[place - 1], passing_shares[place]
        if coarse >= share >= fine and coarse > fine:
            part = (share - fine) / (coarse - fine)
            return openings_m[place] * (openings_m[place - 1] / openings_m[place]) ** part
    return math.nan


def passing_at_size(size_m: float, openings_m: Sequence[float], passing_shares: Sequence[float]) -> float:
    """Return the share of the mass that passes a size [-], along the sieve curve, straight in log size.

    NaN outside the sieves. Inverse of `size_at_passing_m`.

    >>> round(passing_at_size(200e-6, [400e-6, 100e-6], [1.0, 0.0]), 12)
    0.5
    """
    for place in range(1, len(openings_m)):
        coarse, fine = openings_m[place - 1], openings_m[place]
        if coarse >= size_m >= fine:
            part = math.log(size_m / fine) / math.log(coarse / fine)
            return passing_shares[place] + part * (passing_shares[place - 1] - passing_shares[place])
    return math.nan


def uniformity(openings_m: Sequence[float], passing_shares: Sequence[float]) -> float:
    """Return the degree of uniformity [-]: the mass between 2/3 and 4/3 of the median grain.

    Source: giessereilexikon.com, "Average grain size". NaN where the sieves don't reach that far.
    """
    median_m = size_at_passing_m(0.5, openings_m, passing_shares)
    upper = passing_at_size(4 / 3 * median_m, openings_m, passing_shares)
    return upper - passing_at_size(2 / 3 * median_m, openings_m, passing_shares)


def porosity(bed_density_kg_m3: float, grain_density_kg_m3: float) -> float:
    """Return the pore share of a bed [-].

    φ = 1 − ρ_bed / ρ_grain. Exact for dry grains.

    >>> round(porosity(1500.0, 2650.0), 6)
    0.433962
    """
    return 1 - bed_density_kg_m3 / grain_density_kg_m3


def mix_grain_density_kg_m3(
    sand_grain_kg_m3: float, additive_grain_kg_m3: float, additive_on_sand: float
) -> float:
    """Return the grain density of a dry mix [kg/m³], solid mass over solid volume.

    ρ = (1 + a) / (1/ρ_s + a/ρ_a). Exact: volumes of solids add.

    >>> round(mix_grain_density_kg_m3(2650.0, 2650.0, 0.01), 6)
    2650.0
    """
    return (1 + additive_on_sand) / (1 / sand_grain_kg_m3 + additive_on_sand / additive_grain_kg_m3)


def bed_density_pores_filled_kg_m3(sand_bed_kg_m3: float, additive_on_sand: float) -> float:
    """Return the bed density of a mix [kg/m³] if all additive sits in the sand's pores: the upper bound.

    ρ = ρ_sand (1 + a): the sand's skeleton does not change. Range: additive much finer than the pores (about
    0.15 of the sand's grain) and less than fills them. Source: limiting case of Furnas, Ind. Eng. Chem. 23
    (1931) 1052, from memory.

    >>> round(bed_density_pores_filled_kg_m3(1450.0, 0.01), 3)
    1464.5
    """
    return sand_bed_kg_m3 * (1 + additive_on_sand)


def bed_density_side_by_side_kg_m3(
    sand_bed_kg_m3: float, additive_bed_kg_m3: float, additive_on_sand: float
) -> float:
    """Return the bed density of a mix [kg/m³] if sand and additive lie side by side: the lower bound.

    ρ = (1 + a) / (1/ρ_sand + a/ρ_additive): bulk volumes add. Source: as `bed_density_pores_filled_kg_m3`,
    the limiting case of equal grains. An additive that keeps grains apart or cakes can go below it.

    >>> round(bed_density_side_by_side_kg_m3(1450.0, 1450.0, 0.01), 3)
    1450.0
    """
    return (1 + additive_on_sand) / (1 / sand_bed_kg_m3 + additive_on_sand / additive_bed_kg_m3)


def saturation(
    binder_on_mix: float, bed_density_kg_m3: float, binder_density_kg_m3: float, porosity: float
) -> float:
    """Return the share of the bed's pores that the liquid binder fills [-].

    S = d_mix ρ_bed / (ρ_l φ). Exact: volumes, the bed at its recoated density.

    >>> round(saturation(0.0175, 1500.0, 1250.0, 0.433962), 4)
    0.0484
    """
    return binder_on_mix * bed_density_kg_m3 / (binder_density_kg_m3 * porosity)


def saturation_from_drops(
    drop_volume_m3: float,
    pitch_travel_m: float,
    pitch_across_m: float,
    grey_level: float,
    thickness_m: float,
    porosity: float,
) -> float:
    """Return the share of the bed's pores that the drops fill [-].

    S = k v_d / (p_x p_y t φ). Source: Additive Manufacturing 39 (2021) 101870, Table 2.

    >>> round(saturation_from_drops(68.4e-15, 63.5e-6, 59.9e-6, 1.0, 50e-6, 0.40), 5)
    0.89914
    """
    cell_m3 = pitch_travel_m * pitch_across_m * thickness_m
    return grey_level * drop_volume_m3 / (cell_m3 * porosity)


def layers_of_grains(thickness_m: float, grain_m: float) -> float:
    """Return how many grains of a size lie one on another in a layer [-]: thickness over grain size.

    Under 2 mean grains, or under one grain of D90, a recoated layer tends to stay patchy (common practice, no
    source; Xu, Ge, Nan, arXiv 2502.18899, still find empty patches at three times D90).

    >>> layers_of_grains(0.3e-3, 0.15e-3)
    2.0
    """
    return thickness_m / grain_m
