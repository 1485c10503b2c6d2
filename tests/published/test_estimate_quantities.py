"""Binder and heat of a whole box against published figures.

Sureness: R read in the source, O own arithmetic, P a reference package returned it.
"""

import pytest

from corelib.estimate.box import estimate_box
from tests.estimate.made import INNER_MM, block_core, block_layers, point


def test_drops_of_a_published_process():
    # R: Additive Manufacturing 39 (2021) 101870, table 2: drop 68.4 pL, layer 50 µm, drops 63.5 × 59.9 µm
    # apart, saturation 90 %. O: binder volume fraction 0.359655 of the printed volume.
    process = point(
        process__binder_on_sand_pct=None,
        head__drop_volume_pl=68.4,
        machine__pitch_travel_mm=0.0599,
        machine__pitch_across_mm=0.0635,
        head__firing_khz=2.505,
        machine__head_speed_mm_s=150.0,
    )
    layers = block_layers(size_mm=(40.0, 30.0, 10.0), thickness_mm=0.05)
    box = estimate_box(layers, process, INNER_MM, (block_core(size_mm=(40.0, 30.0, 10.0)),))
    fraction = box.printed.binder_l.value / (box.printed.printed_volume_mm3.value * 1e-6)
    assert fraction == pytest.approx(0.359655, abs=1e-6)
    # with the porosity 0.40 that the table's saturation implies: S = 0.89914, printed as 90 %
    assert fraction / 0.40 == pytest.approx(0.90, abs=0.002)


def test_dose_of_a_pitch_and_drop():
    # O: 80 pL, 100 × 127 µm, 0.300 mm, binder 1250, bed 1500 kg/m³: 1.749781 % on mix
    process = point(
        head__drop_volume_pl=80.0,
        machine__pitch_travel_mm=0.1,
        machine__pitch_across_mm=0.127,
        binder__density_g_cm3=1.25,
        sand__bulk_density_g_cm3=1.5,
        additive__additive_on_sand_pct=0.0,
        process__binder_on_sand_pct=1.749781,
    )
    box = estimate_box(block_layers(), process, INNER_MM, (block_core(),))
    assert box.binder.disagreement_pct.value == pytest.approx(0.0, abs=1e-4)


def test_cure_energy_by_hand():
    # P/O: 100 kg quartz 20 → 120 °C and 1.2 kg water from 20 °C to steam: 11.22300 MJ; at 60 % 5.195835 kWh.
    # IAPWS-95 for the water (CoolProp), NIST WebBook for quartz (mean 811.32 J/kg K).
    area_mm2 = 100.0 / 1.5e-6 / 60.0
    layers = block_layers(size_mm=(area_mm2 / 500.0, 500.0, 60.0), base=0, cover=0)
    process = point(
        sand__bulk_density_g_cm3=1.5,
        sand__specific_heat_j_kg_k=811.318,
        sand__moisture_pct=0.0,
        additive__additive_on_sand_pct=0.0,
        binder__solids_pct=40.0,
        process__binder_on_sand_pct=2.0,
        oven__start_c=20.0,
        oven__cure_c=120.0,
        oven__evaporated_pct=100.0,
        oven__efficiency_pct=60.0,
        oven__loose_sand_heated_pct=0.0,
    )
    box = estimate_box(layers, process, (area_mm2 / 500.0, 500.0, 60.0), (block_core(),))
    assert box.cure.printed_water_kg.value == pytest.approx(1.2)
    assert box.energy.cure_kwh.value == pytest.approx(5.195835, rel=2e-4)
    assert box.energy.cure_most_kwh.value > box.energy.cure_kwh.value  # the box itself heats
