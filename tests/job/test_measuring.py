"""Measuring routes: each comes back to what the readings were made from, and refuses what can't be."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.errors import InputError
from corelib.job.measuring import ROUTES, revision, route_of, write_revision
from corelib.job.operating_point import DEFAULT_PROFILES, read_profile
from corelib.physics import heat, motion
from corelib.wording import LANGUAGES, error_sentence, label

DATE = "2026-03-31"


def profile_for(route_id):
    kind = ROUTES[route_id].kind
    return read_profile(kind, getattr(DEFAULT_PROFILES, kind))


def readings_for(route_id):
    return {
        "drop_volume": {
            "purged_g": [0.0876, 0.0881, 0.0872],
            "nozzles": 2560,
            "pulses": 390,
            "binder_density_g_cm3": 1.29,
        },
        "bed_density": {
            "cube_x_mm": [50.0, 50.1, 49.9],
            "cube_y_mm": [50.0, 50.0, 50.0],
            "cube_z_mm": [50.0, 50.0, 50.0],
            "cube_g": [184.0, 184.5, 183.5],
            "binder_on_sand_pct": 2.0,
            "additive_on_sand_pct": 0.8,
            "binder_solids_pct": 30.0,
            "evaporated_pct": 85.0,
        },
        "oven_efficiency": {
            "meter_kwh": [9.0, 9.2],
            "bed_kg": [230.0, 231.0],
            "printed_mix_kg": [30.0, 31.0],
            "printed_water_kg": [0.45, 0.46],
            "start_c": [22.0, 21.0],
            "reached_c": [120.0, 121.0],
            "specific_heat_j_kg_k": 811.0,
        },
        "layer_times": {
            "recoat_s": [9.1, 9.0, 8.9],
            "stroke_s": [2.3, 2.4],
            "stroke_travel_mm": 900.0,
        },
        "unpacking": {
            "cores": [10, 4, 20, 7],
            "litres": [12.0, 9.0, 5.0, 30.0],
            "passages": [0, 8, 20, 14],
            "minutes": [46.0, 28.0, 102.0, 71.0],
        },
        "open_time": {"idle_s": [30, 60, 120, 240], "missing_nozzles": [0, 0, 3, 9]},
    }[route_id]


@pytest.mark.parametrize("route_id", sorted(ROUTES))
def test_a_revision_carries_its_evidence_and_leaves_the_rest(route_id):
    before = profile_for(route_id)
    after = revision(before, route_id, readings_for(route_id), DATE)
    assert after.id == f"{before.id}.{DATE}"
    for field, value in after.values().items():
        if field in ROUTES[route_id].gives:
            evidence = after.sources[field]
            assert (evidence.evidence, evidence.date) == ("measured", DATE)
            assert evidence.n >= 1 and ROUTES[route_id].source in evidence.source
        else:
            assert value == before.values()[field]
            assert after.sources.get(field) == before.sources.get(field)
    again = revision(after, route_id, readings_for(route_id), "2026-06-30")
    assert again.id == f"{before.id}.2026-06-30"


@given(st.floats(10, 300), st.integers(100, 20_000), st.integers(1, 100_000))
def test_a_weighed_purge_gives_the_drop_volume_back(volume_pl, nozzles, pulses):
    grams = volume_pl * 1e-9 * nozzles * pulses * 1.29
    if not 1e-3 <= grams <= 1e5:
        return
    readings = {"purged_g": grams, "nozzles": nozzles, "pulses": pulses, "binder_density_g_cm3": 1.29}
    found = revision(profile_for("drop_volume"), "drop_volume", readings, DATE)
    assert found.drop_volume_pl == pytest.approx(volume_pl, rel=1e-12)


def test_a_weighed_cube_gives_the_bed_density_back():
    """A 50 mm cube of a 1.46 g/cm³ bed, 2 % binder on sand, 30 % solids, 85 % of the water gone."""
    kept = 0.02 / 1.008 * (0.30 + 0.70 * 0.15)
    grams = 125.0 * 1.46 * (1 + kept)
    readings = {**readings_for("bed_density"), "cube_x_mm": [50.0], "cube_y_mm": [50.0], "cube_z_mm": [50.0]}
    found = revision(profile_for("bed_density"), "bed_density", {**readings, "cube_g": [grams]}, DATE)
    assert found.bulk_density_g_cm3 == pytest.approx(1.46, rel=1e-12)
    assert "single reading" in found.sources["bulk_density_g_cm3"].source


def test_the_meter_gives_the_efficiency_back():
    oven = profile_for("oven_efficiency")
    taken = heat.cure_heat_j(
        printed_mix_kg=30.0,
        loose_mix_kg=200.0,
        printed_water_kg=0.45,
        start_k=295.15,
        cure_k=393.15,
        mix_specific_heat_j_kg_k=811.0,
        evaporated=oven.evaporated_pct / 100,
        box_heat_capacity_j_k=oven.box_heat_capacity_kj_k * 1000,
    ).between_j(oven.loose_sand_heated_pct / 100)
    readings = {
        "meter_kwh": [taken / 0.55 / 3.6e6],
        "bed_kg": [230.0],
        "printed_mix_kg": [30.0],
        "printed_water_kg": [0.45],
        "start_c": [22.0],
        "reached_c": [120.0],
        "specific_heat_j_kg_k": 811.0,
    }
    found = revision(oven, "oven_efficiency", readings, DATE)
    assert found.efficiency_pct == pytest.approx(55.0, rel=1e-12)


def test_a_stopwatch_gives_the_turn_back():
    machine = profile_for("layer_times")
    moving = motion.travel_s(0.9, machine.head_speed_mm_s / 1000, machine.head_acceleration_mm_s2 / 1000)
    readings = {"recoat_s": [9.0] * 10, "stroke_s": [moving + 0.25] * 10, "stroke_travel_mm": 900.0}
    found = revision(machine, "layer_times", readings, DATE)
    assert found.turn_s == pytest.approx(0.25, abs=1e-12)
    assert found.recoat_s == 9.0
    assert found.sources["recoat_s"].n == 10


def test_timed_unpackings_give_the_three_rates_back():
    """Exact data come back; noisy ones as numpy's least squares has them (all three positive there)."""
    cores, litres, passages = [10, 4, 20, 7, 12], [12.0, 9.0, 5.0, 30.0, 1.0], [0, 8, 20, 14, 3]
    exact = [3.0 * c + 0.4 * v + 0.9 * p for c, v, p in zip(cores, litres, passages, strict=True)]
    noisy = [m + d for m, d in zip(exact, [0.5, -0.4, 0.3, -0.2, 0.1], strict=True)]
    for minutes in (exact, noisy):
        readings = {"cores": cores, "litres": litres, "passages": passages, "minutes": minutes}
        found = revision(profile_for("unpacking"), "unpacking", readings, DATE)
        values = (found.unpack_min_per_core, found.unpack_min_per_litre, found.unpack_min_per_passage)
        matrix = np.column_stack([cores, litres, passages])
        assert values == pytest.approx(np.linalg.lstsq(matrix, np.array(minutes), rcond=None)[0], rel=1e-9)
    backwards = {"cores": [1, 2, 3], "litres": [3.0, 2.0, 1.0], "passages": [0, 0, 0], "minutes": [1, 3, 5]}
    assert revision(profile_for("unpacking"), "unpacking", backwards, DATE).unpack_min_per_litre == 0.0


def test_open_time_is_the_longest_before_the_first_loss():
    readings = {"idle_s": [240, 30, 120, 60], "missing_nozzles": [0, 0, 3, 0]}
    found = revision(profile_for("open_time"), "open_time", readings, DATE)
    assert found.open_time_s == 60.0
    never = revision(
        profile_for("open_time"), "open_time", {"idle_s": [30, 60], "missing_nozzles": [0, 0]}, DATE
    )
    assert never.open_time_s == 60.0 and "lower bound" in never.sources["open_time_s"].source


REFUSED = [
    ("drop_volume", {"nozzles": None}, "measuring.reading_missing"),
    ("drop_volume", {"purged_g": [0.1, -1.0]}, "measuring.reading_refused"),
    ("drop_volume", {"purged_g": [math.nan]}, "measuring.reading_refused"),
    ("drop_volume", {"purged_g": True}, "measuring.reading_refused"),
    ("drop_volume", {"nozzles": [1, 2]}, "measuring.one_reading"),
    ("drop_volume", {"colour": 1}, "measuring.unknown_reading"),
    ("bed_density", {"cube_x_mm": [50.0]}, "measuring.unequal_lists"),
    ("oven_efficiency", {"meter_kwh": [0.1, 0.1]}, "measuring.efficiency_impossible"),
    ("layer_times", {"stroke_s": [0.1]}, "measuring.stroke_too_quick"),
    (
        "unpacking",
        {"cores": [1], "litres": [1], "passages": [1], "minutes": [1]},
        "measuring.too_few",
    ),
    ("open_time", {"missing_nozzles": [1, 1, 1, 1]}, "measuring.open_time_too_short"),
]


@pytest.mark.parametrize(("route_id", "change", "code"), REFUSED)
def test_bad_readings_are_one_sentence(route_id, change, code):
    readings = {**readings_for(route_id), **change}
    with pytest.raises(InputError) as refused:
        revision(profile_for(route_id), route_id, readings, DATE)
    assert refused.value.code == code
    for language in LANGUAGES:
        assert "?)" not in error_sentence(refused.value, language)


def test_wrong_profile_route_and_date_are_refused():
    cases = [
        ("measuring.wrong_kind", profile_for("bed_density"), "drop_volume", DATE),
        ("measuring.unknown_route", profile_for("bed_density"), "colour", DATE),
        ("measuring.bad_date", profile_for("bed_density"), "bed_density", "31.3.2026"),
    ]
    for code, profile, route_id, date in cases:
        readings = readings_for(route_id) if route_id in ROUTES else {}
        with pytest.raises(InputError) as refused:
            revision(profile, route_id, readings, date)
        assert refused.value.code == code
    for route_id, field in (("oven_efficiency", "evaporated_pct"), ("layer_times", "head_speed_mm_s")):
        document = profile_for(route_id).model_dump()
        document[field] = None
        del document["sources"][field]
        lacking = type(profile_for(route_id)).model_validate(document)
        with pytest.raises(InputError) as refused:
            revision(lacking, route_id, readings_for(route_id), DATE)
        assert refused.value.code == "measuring.profile_lacks"


def test_a_revision_is_read_back_and_never_overwritten(tmp_path):
    revised = revision(profile_for("open_time"), "open_time", readings_for("open_time"), DATE)
    path = write_revision(revised, tmp_path)
    assert path == tmp_path / "binder" / f"{revised.id}.json"
    read = read_profile("binder", revised.id, beside=tmp_path)
    assert read == revised
    before = path.read_bytes()
    with pytest.raises(InputError) as refused:
        write_revision(revised, tmp_path)
    assert refused.value.code == "measuring.revision_exists"
    assert path.read_bytes() == before
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError) as refused:
        write_revision(revised, tmp_path / "file")
    assert refused.value.code == "file.not_writable"


def test_every_route_has_its_form_in_words():
    for route in ROUTES.values():
        assert route_of(route.id) is route
        for language in LANGUAGES:
            assert label("measuring", route.id, language)
