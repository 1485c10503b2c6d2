"""The binder's dose and its drops: one thing seen from two sides, each basis in its name.

Symbols: `binder_on_sand` liquid binder per mass of sand, `binder_on_mix` liquid binder per mass of dry mix
(sand + additive), `solids_on_sand` the binder's solids per mass of sand, `additive_on_sand` additive per mass
of sand; all of them fractions, not percent. The bed density is that of the dry mix as recoated.

Two bodies of liquid must be equal in each layer: what the dose asks for, d ρ_bed t, and what the drops bring,
k v_d ρ_l / (p_x p_y). Every relation here is a rearrangement of that one equation.
"""

from __future__ import annotations


def on_mix_from_on_sand(binder_on_sand: float, additive_on_sand: float) -> float:
    """Return binder_on_mix [-], liquid binder per mass of dry mix.

    d_mix = d_sand / (1 + a). Exact: mass balance. Range: both from 0 up.

    >>> round(on_mix_from_on_sand(0.020, 0.010), 9)
    0.01980198
    """
    return binder_on_sand / (1 + additive_on_sand)


def on_sand_from_on_mix(binder_on_mix: float, additive_on_sand: float) -> float:
    """Return binder_on_sand [-], liquid binder per mass of sand.

    d_sand = d_mix (1 + a). Exact: mass balance.

    >>> on_sand_from_on_mix(0.02, 0.0)
    0.02
    """
    return binder_on_mix * (1 + additive_on_sand)


def solids_on_sand(binder_on_sand: float, binder_solids: float) -> float:
    """Return the binder's solids per mass of sand [-]; `binder_solids` is the solid share of the liquid [-].

    s = d_sand x_s. Exact: mass balance.

    >>> round(solids_on_sand(0.020, 0.376), 6)
    0.00752
    """
    return binder_on_sand * binder_solids


def on_sand_from_solids(solids_on_sand: float, binder_solids: float) -> float:
    """Return binder_on_sand [-] from its solids per mass of sand [-] and the solid share of the liquid [-].

    d_sand = s / x_s. Exact: mass balance. Range: 0 < binder_solids ≤ 1.
    """
    return solids_on_sand / binder_solids


def additive_share_of_mix(additive_on_sand: float) -> float:
    """Return additive per mass of dry mix [-].

    a / (1 + a). Exact: mass balance.

    >>> round(additive_share_of_mix(0.01), 9)
    0.00990099
    """
    return additive_on_sand / (1 + additive_on_sand)


def binder_mass_kg(
    area_m2: float, thickness_m: float, bed_density_kg_m3: float, binder_on_mix: float
) -> float:
    """Return the liquid binder [kg] that a layer of printed area takes by dose.

    m = d_mix ρ_bed A t. Exact: mass balance.

    >>> round(binder_mass_kg(1.0, 0.0003, 1500.0, 0.02), 9)
    0.009
    """
    return binder_on_mix * bed_density_kg_m3 * area_m2 * thickness_m


def binder_water_kg(binder_mass_kg: float, binder_solids: float) -> float:
    """Return the water [kg] in a mass of liquid binder [kg] with the solid share [-].

    m_w = m (1 − x_s). Exact for a binder of solids and water only.

    >>> round(binder_water_kg(1.0, 0.376), 6)
    0.624
    """
    return binder_mass_kg * (1 - binder_solids)


def cured_density_kg_m3(
    bed_density_kg_m3: float, binder_on_mix: float, binder_solids: float, evaporated: float
) -> float:
    """Return the density of a cured core [kg/m³]: the bed, the binder's solids, and the water that stays.

    ρ = ρ_bed [1 + d_mix (x_s + (1 − x_s)(1 − x_e))]. Exact if printing and curing leave the volume alone.

    >>> round(cured_density_kg_m3(1460.0, 0.02, 0.3, 0.85), 3)
    1471.826
    """
    kept = binder_solids + (1 - binder_solids) * (1 - evaporated)
    return bed_density_kg_m3 * (1 + binder_on_mix * kept)


def bed_density_from_cured_kg_m3(
    cured_density_kg_m3: float, binder_on_mix: float, binder_solids: float, evaporated: float
) -> float:
    """Return the density of the bed [kg/m³] that a weighed cured cube was printed in.

    Inverse of `cured_density_kg_m3`.

    >>> round(bed_density_from_cured_kg_m3(1471.826, 0.02, 0.3, 0.85), 3)
    1460.0
    """
    kept = binder_solids + (1 - binder_solids) * (1 - evaporated)
    return cured_density_kg_m3 / (1 + binder_on_mix * kept)


def volume_m3(mass_kg: float, density_kg_m3: float) -> float:
    """Return the volume [m³] of a mass [kg] at a density [kg/m³]."""
    return mass_kg / density_kg_m3


def drop_count(area_m2: float, pitch_travel_m: float, pitch_across_m: float, grey_level: float) -> float:
    """Return the number of drops [-] on a printed area: one pixel per pitch cell, `grey_level` drops each.

    N = k A / (p_x p_y).

    >>> round(drop_count(1e-4, 1e-4, 1e-4, 1.0))
    10000
    """
    return grey_level * area_m2 / (pitch_travel_m * pitch_across_m)


def drops_volume_m3(
    area_m2: float, drop_volume_m3: float, pitch_travel_m: float, pitch_across_m: float, grey_level: float
) -> float:
    """Return the volume of liquid binder [m³] that the drops bring onto a printed area.

    V = N v_d.
    """
    return drop_count(area_m2, pitch_travel_m, pitch_across_m, grey_level) * drop_volume_m3


def areal_dose_kg_m2(bed_density_kg_m3: float, thickness_m: float, binder_on_mix: float) -> float:
    """Return the liquid binder on one layer [kg/m²] that the dose asks for.

    g = d_mix ρ_bed t. Exact: mass balance.

    >>> round(areal_dose_kg_m2(1500.0, 0.0003, 0.02), 6)
    0.009
    """
    return binder_on_mix * bed_density_kg_m3 * thickness_m


def areal_dose_from_drops_kg_m2(
    drop_volume_m3: float,
    binder_density_kg_m3: float,
    pitch_travel_m: float,
    pitch_across_m: float,
    grey_level: float,
) -> float:
    """Return the liquid binder on one layer [kg/m²] that the drops bring.

    g = k v_d ρ_l / (p_x p_y).

    >>> round(areal_dose_from_drops_kg_m2(80e-15, 1250.0, 100e-6, 127e-6, 1.0), 9)
    0.007874016
    """
    return grey_level * drop_volume_m3 * binder_density_kg_m3 / (pitch_travel_m * pitch_across_m)


def dose_from_drops(
    drop_volume_m3: float,
    binder_density_kg_m3: float,
    pitch_travel_m: float,
    pitch_across_m: float,
    grey_level: float,
    thickness_m: float,
    bed_density_kg_m3: float,
) -> float:
    """Return binder_on_mix [-] that the drops bring.

    d_mix = k v_d ρ_l / (p_x p_y t ρ_bed). Source: mass balance; the volume form agrees with Table 2 of
    Additive Manufacturing 39 (2021) 101870 (tests/published/test_physics.py).

    >>> round(dose_from_drops(80e-15, 1250.0, 100e-6, 127e-6, 1.0, 0.0003, 1500.0), 8)
    0.01749781
    """
    areal = areal_dose_from_drops_kg_m2(
        drop_volume_m3, binder_density_kg_m3, pitch_travel_m, pitch_across_m, grey_level
    )
    return areal / (thickness_m * bed_density_kg_m3)


def drop_volume_from_dose_m3(
    binder_on_mix: float,
    binder_density_kg_m3: float,
    pitch_travel_m: float,
    pitch_across_m: float,
    grey_level: float,
    thickness_m: float,
    bed_density_kg_m3: float,
) -> float:
    """Return the drop volume [m³] that meets a dose.

    v_d = d_mix ρ_bed t p_x p_y / (k ρ_l).
    """
    areal = areal_dose_kg_m2(bed_density_kg_m3, thickness_m, binder_on_mix)
    return areal * pitch_travel_m * pitch_across_m / (grey_level * binder_density_kg_m3)


def pitch_from_dose_m(
    binder_on_mix: float,
    drop_volume_m3: float,
    binder_density_kg_m3: float,
    other_pitch_m: float,
    grey_level: float,
    thickness_m: float,
    bed_density_kg_m3: float,
) -> float:
    """Return the drop pitch [m] along one axis that meets a dose, the pitch along the other given.

    p = k v_d ρ_l / (d_mix ρ_bed t p_other).
    """
    areal = areal_dose_kg_m2(bed_density_kg_m3, thickness_m, binder_on_mix)
    return grey_level * drop_volume_m3 * binder_density_kg_m3 / (areal * other_pitch_m)


def grey_level_from_dose(
    binder_on_mix: float,
    drop_volume_m3: float,
    binder_density_kg_m3: float,
    pitch_travel_m: float,
    pitch_across_m: float,
    thickness_m: float,
    bed_density_kg_m3: float,
) -> float:
    """Return the mean drops on a pixel [-] that meet a dose.

    k = d_mix ρ_bed t p_x p_y / (v_d ρ_l).
    """
    areal = areal_dose_kg_m2(bed_density_kg_m3, thickness_m, binder_on_mix)
    return areal * pitch_travel_m * pitch_across_m / (drop_volume_m3 * binder_density_kg_m3)


def thickness_from_dose_m(
    binder_on_mix: float,
    drop_volume_m3: float,
    binder_density_kg_m3: float,
    pitch_travel_m: float,
    pitch_across_m: float,
    grey_level: float,
    bed_density_kg_m3: float,
) -> float:
    """Return the layer thickness [m] at which the drops meet a dose.

    t = k v_d ρ_l / (p_x p_y d_mix ρ_bed).
    """
    areal = areal_dose_from_drops_kg_m2(
        drop_volume_m3, binder_density_kg_m3, pitch_travel_m, pitch_across_m, grey_level
    )
    return areal / (binder_on_mix * bed_density_kg_m3)


def bed_mass_kg(footprint_m2: float, filled_height_m: float, bed_density_kg_m3: float) -> float:
    """Return the dry mix [kg] that fills a box of this footprint to this height.

    m = A h ρ_bed.

    >>> round(bed_mass_kg(1.8, 0.7, 1450.0), 6)
    1827.0
    """
    return footprint_m2 * filled_height_m * bed_density_kg_m3
