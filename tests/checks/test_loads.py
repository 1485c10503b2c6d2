"""Findings about masses: each load over, at and not stated."""

import pytest

from corelib.checks.loads import CARRIERS, check_loads
from corelib.estimate.box import estimate_box
from corelib.wording import finding_wording
from tests.estimate.made import INNER_MM, block_core, block_estimate, block_layers, point

FIELDS = {
    "platform": "machine__platform_load_kg",
    "conveyor": "machine__conveyor_load_kg",
    "oven": "oven__rated_load_kg",
    "truck": "machine__truck_load_kg",
}


def codes(**values):
    return [finding.code for finding in check_loads([block_estimate(**values)], point(**values))]


def test_nothing_is_found_where_all_loads_are_stated_and_kept():
    assert codes() == []


@pytest.mark.parametrize("carrier", CARRIERS)
def test_overload_stops(carrier):
    gross_kg = block_estimate().bed.gross_box_kg.value
    found = check_loads([block_estimate()], point(**{FIELDS[carrier]: gross_kg - 0.5}))
    assert [(finding.code, finding.severity) for finding in found] == [
        (f"loads.{carrier}_overloaded", "stop")
    ]
    assert found[0].facts["over_kg"] == pytest.approx(0.5)
    assert codes(**{FIELDS[carrier]: gross_kg + 1e-6}) == []


@pytest.mark.parametrize("carrier", CARRIERS)
def test_load_that_nobody_stated_is_a_note(carrier):
    assert codes(**{FIELDS[carrier]: None}) == [f"loads.{carrier}_not_stated"]


def test_tare_that_nobody_stated_is_looked_at():
    assert codes(machine__box_tare_kg=None) == ["loads.tare_not_stated"]


def test_full_box_on_a_weak_truck():
    # 1.8 × 1.0 × 0.7 m of bed at 1.46 g/cm³ is 1.84 t and must not pass a truck for 1.5 t
    layers = block_layers(size_mm=(1000.0, 500.0, 699.0))
    large = point(machine__truck_load_kg=1500.0, machine__platform_load_kg=2500.0)
    box = estimate_box(layers, large, (1800.0, 1000.0, 700.0), (block_core(size_mm=(10.0, 10.0, 10.0)),))
    assert "loads.truck_overloaded" in [finding.code for finding in check_loads([box], large)]


def test_heavy_core_is_flagged_by_name():
    found = check_loads([block_estimate()], point(process__lifted_by_hand_kg=2.5))
    assert [(finding.code, finding.core) for finding in found] == [("loads.core_heavy", "block")]
    assert codes(process__lifted_by_hand_kg=2.7) == []


def test_box_that_does_not_fit_the_oven_stops():
    assert codes(oven__inner_mm=[900.0, 600.0, 500.0]) == [
        "loads.box_larger_than_oven"
    ]  # 520 mm high outside
    assert codes(oven__inner_mm=[600.0, 900.0, 530.0]) == []  # turned it goes in


def test_inner_size_counts_where_the_box_is_not_the_machines():
    box = estimate_box(block_layers(), point(), (750.0, 450.0, 400.0), (block_core(),))
    assert check_loads([box], point(oven__inner_mm=[760.0, 460.0, 410.0])) == ()
    assert point().machine.box_inner_mm == INNER_MM


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_finding_has_a_sentence(language):
    unstated = dict.fromkeys(FIELDS.values()) | {
        "machine__box_tare_kg": None,
        "process__lifted_by_hand_kg": None,
    }
    low = dict.fromkeys(FIELDS.values(), 1.0) | {
        "oven__inner_mm": [10.0, 10.0, 10.0],
        "process__lifted_by_hand_kg": 0.1,
    }
    found = [
        *check_loads([block_estimate()], point(**unstated)),
        *check_loads([block_estimate()], point(**low)),
    ]
    assert len(found) == 12
    for finding in found:
        assert "?" not in finding_wording(finding, language=language).sentence
