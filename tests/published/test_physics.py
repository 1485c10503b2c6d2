"""Binder, droplets and sand against published tables and a reference package.

Sureness of each check line: R read in the named source; P returned by a reference package when run;
O own arithmetic (a regression value); M from memory.
"""

import fluids.core
import fluids.particle_size_distribution as sieves
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.physics import binder, droplets, sand
from corelib.reference import table


def test_drop_spacing_saturation_and_speed_of_a_published_process():
    """Additive Manufacturing 39 (2021) 101870, Table 2 (PMC8302005): table R, porosity implied (O)."""
    across_m = 254e-6 / 4  # jet pitch over 4 passes
    assert across_m == pytest.approx(63.5e-6)
    along_m = 59.9e-6
    assert 2505.0 * along_m == pytest.approx(0.150, rel=1e-3)
    volume_share = 68.4e-15 / (across_m * along_m * 50e-6)
    assert volume_share == pytest.approx(0.359655, rel=1e-5)
    saturation = sand.saturation_from_drops(68.4e-15, along_m, across_m, 1.0, 50e-6, 0.40)
    assert saturation == pytest.approx(0.90, abs=0.005)
    assert droplets.drop_diameter_m(68.4e-15) == pytest.approx(50.740e-6, rel=1e-5)


def test_binder_of_drops_worked_example():
    """80 pL, 100 × 127 µm, 0.300 mm, binder 1250, bed 1500 kg/m³ (O)."""
    area, thickness = 1.0, 0.0003
    volume = binder.drops_volume_m3(area, 80e-15, 100e-6, 127e-6, 1.0)
    assert volume / (area * thickness) == pytest.approx(0.02099738, rel=1e-6)
    assert volume * 1250 / (area * thickness) == pytest.approx(26.24672, rel=1e-6)
    dose = binder.dose_from_drops(80e-15, 1250.0, 100e-6, 127e-6, 1.0, thickness, 1500.0)
    assert 100 * dose == pytest.approx(1.749781, rel=1e-6)
    assert binder.binder_mass_kg(area, thickness, 1500.0, dose) == pytest.approx(volume * 1250, rel=1e-14)


DROPLET_CASES = [
    # density, viscosity, surface tension, nozzle, speed: Re, We, Oh (fluids.core, P)
    (1100.0, 0.008, 0.045, 42e-6, 6.0, 34.65, 36.96, 0.1754538),
    (998.2, 0.001002, 0.07275, 50e-6, 7.0, 348.6727, 33.61636, 0.01662867),
]


@pytest.mark.parametrize(("rho", "eta", "sigma", "d", "v", "re", "we", "oh"), DROPLET_CASES)
def test_droplet_numbers_of_two_liquids(rho, eta, sigma, d, v, re, we, oh):
    assert droplets.reynolds(rho, v, d, eta) == pytest.approx(re, rel=1e-6)
    assert droplets.weber(rho, v, d, sigma) == pytest.approx(we, rel=1e-6)
    assert droplets.ohnesorge(rho, d, eta, sigma) == pytest.approx(oh, rel=1e-6)


@given(
    rho=st.floats(700, 2000),
    eta=st.floats(5e-4, 0.2),
    sigma=st.floats(0.015, 0.08),
    d=st.floats(10e-6, 200e-6),
    v=st.floats(0.5, 20),
)
def test_droplet_numbers_agree_with_the_fluids_package(rho, eta, sigma, d, v):
    assert droplets.reynolds(rho, v, d, eta) == pytest.approx(fluids.core.Reynolds(V=v, D=d, rho=rho, mu=eta))
    assert droplets.weber(rho, v, d, sigma) == pytest.approx(
        fluids.core.Weber(V=v, L=d, rho=rho, sigma=sigma)
    )
    oh = fluids.core.Ohnesorge(L=d, rho=rho, mu=eta, sigma=sigma)
    assert droplets.ohnesorge(rho, d, eta, sigma) == pytest.approx(oh)
    assert droplets.inverse_ohnesorge(rho, d, eta, sigma) == pytest.approx(1 / oh)
    least = droplets.least_speed_m_s(4.0, rho, d, sigma)
    assert fluids.core.Weber(V=least, L=d, rho=rho, sigma=sigma) == pytest.approx(4.0)


def test_water_is_outside_the_window_of_stable_drops():
    window = table("droplet_window")
    z = droplets.inverse_ohnesorge(998.2, 50e-6, 0.001002, 0.07275)
    assert z == pytest.approx(60.1, abs=0.05)
    assert z > window["z_most"]["value"]


DIAMETERS_UM = [
    (1, 12.40701),
    (10, 26.73009),
    (30, 38.55146),
    (50, 45.70781),
    (80, 53.46018),
    (100, 57.58824),
]


@pytest.mark.parametrize(("volume_pl", "diameter_um"), DIAMETERS_UM)
def test_drop_diameters(volume_pl, diameter_um):
    """V = π d³/6 with 1 pL = 1000 µm³ exactly (O)."""
    assert droplets.drop_diameter_m(volume_pl * 1e-15) * 1e6 == pytest.approx(diameter_um, rel=1e-6)
    assert droplets.drop_volume_m3(diameter_um * 1e-6) * 1e15 == pytest.approx(volume_pl, rel=1e-6)


def test_andrade_fit_of_a_worked_table():
    """B 2500 K through 10 cP at 293.15 K (O); numpy.polyfit returned 2500.0 and 1.978389e-6 (P)."""
    temperatures = [293.15, 303.15, 313.15, 323.15]
    viscosities = [0.010, 0.007547907, 0.005800374, 0.004530685]
    factor, slope = droplets.andrade_fit(temperatures, viscosities)
    assert slope == pytest.approx(2500.0, rel=1e-6)
    assert factor == pytest.approx(1.978389e-6, rel=1e-5)
    reference = np.polyfit(1 / np.array(temperatures), np.log(viscosities), 1)
    assert slope == pytest.approx(reference[0], rel=1e-10)
    for temperature, viscosity in zip(temperatures, viscosities, strict=True):
        fitted = droplets.andrade_viscosity_pa_s(temperature, factor, slope)
        assert fitted == pytest.approx(viscosity, rel=1e-6)


def multipliers(name, numbers):
    chosen = table("sieves")["multiplier_sets"][name]["multipliers"]
    return [chosen[number] for number in numbers]


def test_grain_fineness_of_a_complete_published_table():
    """Example A, "Sand Testing 2011" (stored copy, R): Σ products 5894.35, GFN 58.94; with 140: 58.62 (O)."""
    numbers = ["20", "30", "40", "50", "70", "100", "140", "200", "270", "pan"]
    grams = [0.30, 1.81, 39.55, 18.18, 5.56, 11.88, 13.90, 6.53, 1.92, 0.37]
    printed = [3.00, 36.20, 1186.50, 727.20, 278.00, 831.60, 1390.00, 946.85, 384.00, 111.00]
    factors = multipliers("afs-145", numbers)
    products = [mass * factor for mass, factor in zip(grams, factors, strict=True)]
    assert products == pytest.approx(printed)
    assert sand.grain_fineness_number(grams, factors) == pytest.approx(58.94, abs=0.005)
    assert sand.grain_fineness_number(grams, multipliers("afs", numbers)) == pytest.approx(58.62, abs=0.005)


def test_grain_fineness_of_a_clay_bearing_sample():
    """Example B: BUET MME 346 Appendix A1 (header and first rows R), finer rows from memory (M): 172.8."""
    numbers = ["40", "50", "70", "100", "140", "200", "270", "pan"]
    grams = [0.20, 0.65, 1.20, 2.25, 8.55, 11.05, 10.90, 9.30]
    assert sum(grams) == pytest.approx(44.1)
    assert sand.grain_fineness_number(grams, multipliers("afs", numbers)) == pytest.approx(172.8, abs=0.05)


def test_grain_fineness_with_british_sieves():
    """Example C: Foseco Foundryman's Handbook (M): Σ 6744.2, AFS 67.4; multipliers are the caller's data."""
    shares = [0.2, 0.8, 6.7, 22.6, 48.3, 15.6, 1.8, 4.0]
    factors = [16, 22, 30, 44, 60, 100, 150, 200]
    assert sum(share * factor for share, factor in zip(shares, factors, strict=True)) == pytest.approx(6744.2)
    assert sand.grain_fineness_number(shares, factors) == pytest.approx(67.4, abs=0.05)


def test_sieve_openings_are_those_of_astm_e11():
    """fluids' ASTM_E11_sieves (P)."""
    astm = {s.old_designation.removeprefix("No. "): s.opening for s in sieves.ASTM_E11_sieves.values()}
    for number, opening_mm in table("sieves")["openings_mm"].items():
        assert opening_mm / 1000 == pytest.approx(astm[number], rel=1e-9), number


def test_sieve_curve_against_the_fluids_package():
    """fluids' smooth curve puts example A's median at 376 µm (P); ours is linear in log size."""
    openings = [850e-6, 600e-6, 425e-6, 300e-6, 212e-6, 150e-6, 106e-6, 75e-6, 53e-6]
    grams = [0.30, 1.81, 39.55, 18.18, 5.56, 11.88, 13.90, 6.53, 1.92, 0.37]
    shares = sand.passing(grams)[:-1]
    median = sand.size_at_passing_m(0.5, openings, shares)
    assert median == pytest.approx(376.08e-6, rel=0.05)
    reference = np.exp(np.interp(0.5, shares[::-1], np.log(openings[::-1])))
    assert median == pytest.approx(reference, rel=1e-12)
    assert np.isnan(sand.size_at_passing_m(0.5, openings[:2], shares[:2]))
    above, below = (
        np.interp(np.log(f * median), np.log(openings[::-1]), shares[::-1]) for f in (4 / 3, 2 / 3)
    )
    assert sand.uniformity(openings, shares) == pytest.approx(above - below, rel=1e-12)


POROSITIES = [(1400, 0.471698), (1500, 0.433962), (1590, 0.400000), (1600, 0.396226), (1700, 0.358491)]


@pytest.mark.parametrize(("bed", "expected"), POROSITIES)
def test_porosity_of_quartz_beds(bed, expected):
    """1 − bulk/true, 2650 kg/m³ (O)."""
    assert sand.porosity(float(bed), 2650.0) == pytest.approx(expected, abs=5e-7)
