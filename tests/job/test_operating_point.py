"""The operating point: overrides are applied, listed and refused with field, unit and range."""

import json
from pathlib import Path

import pytest
from pydantic import ValidationError

from corelib.errors import FileError, InputError
from corelib.job.files import read_job
from corelib.job.operating_point import (
    DEFAULT_PROFILES,
    allowed,
    evidence_of,
    operating_point,
    overridden,
    profile_ids,
    profiles_point,
    read_profile,
    required,
    unit_of,
    with_modelled_bed,
)
from corelib.job.profiles import PROFILE_KINDS
from corelib.physics.binder import dose_from_drops, on_mix_from_on_sand
from corelib.reference import shared_folder
from corelib.wording import error_sentence, wording

SHIPPED = [(kind, profile_id) for kind in PROFILE_KINDS for profile_id in profile_ids(kind)]
SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.json"))


@pytest.fixture(scope="module")
def point():
    return profiles_point(DEFAULT_PROFILES)


@pytest.mark.parametrize(("kind", "profile_id"), SHIPPED)
def test_each_shipped_value_carries_its_evidence(kind, profile_id):
    profile = read_profile(kind, profile_id)
    for name, value in profile.values().items():
        assert (name in profile.sources) == (value is not None), name
    for name, evidence in profile.sources.items():
        if evidence.evidence == "invented":
            assert evidence.source == "invented for the demo", name
        assert evidence.evidence != "measured", f"{name}: nobody here has measured anything"


def test_a_value_without_a_source_is_refused(tmp_path):
    path = shared_folder() / "profiles" / "sand" / "quartz-sand.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    del document["sources"]["moisture_pct"]
    (tmp_path / "sand").mkdir()
    (tmp_path / "sand" / "quartz-sand.json").write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_profile("sand", "quartz-sand", beside=tmp_path)
    assert refused.value.code == "profile.no_source"
    assert "moisture_pct" in error_sentence(refused.value)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_sample_jobs_take_shipped_profiles(path):
    assert operating_point(read_job(path)).machine.box_inner_mm is not None


@pytest.mark.parametrize("machine", profile_ids("machine"))
@pytest.mark.parametrize("head", profile_ids("head"))
def test_demo_dose_by_drops_and_by_percent_agree_within_a_few_percent(machine, head):
    point = profiles_point(DEFAULT_PROFILES.model_copy(update={"machine": machine, "head": head}))
    by_drops = dose_from_drops(
        point.head.drop_volume_pl * 1e-15,
        point.binder.density_g_cm3 * 1000,
        point.machine.pitch_travel_mm / 1000,
        point.machine.pitch_across_mm / 1000,
        point.machine.grey_level,
        point.process.layer_thickness_mm / 1000,
        point.sand.bulk_density_g_cm3 * 1000,
    )
    stated = on_mix_from_on_sand(
        point.process.binder_on_sand_pct / 100, point.additive.additive_on_sand_pct / 100
    )
    assert by_drops == pytest.approx(stated, rel=0.03)


def test_an_override_is_applied_marked_and_listed(point):
    changed = overridden(point, {"sand.bulk_density_g_cm3": 1.5, "machine.passes": 4})
    assert changed.sand.bulk_density_g_cm3 == 1.5
    assert changed.sand.sources["bulk_density_g_cm3"].evidence == "stated"
    assert [(entry.field, entry.profile_value, entry.job_value) for entry in changed.overridden] == [
        ("machine.passes", 2, 4),
        ("sand.bulk_density_g_cm3", 1.46, 1.5),
    ]
    again = overridden(changed, {"sand.bulk_density_g_cm3": 1.4})
    assert (again.overridden[1].profile_value, again.overridden[1].job_value) == (1.46, 1.4)
    assert point.overridden == ()


def test_an_override_may_take_a_value_away(point):
    changed = overridden(point, {"oven.cool_h": None})
    assert evidence_of(changed, "oven.cool_h") is None
    with pytest.raises(InputError) as asked:
        required(changed, "oven.cool_h")
    assert asked.value.code == "profile.value_missing"
    assert asked.value.facts == {
        "field": "oven.cool_h",
        "profile": "microwave-oven",
        "unit": "h",
        "allowed": "≥ 0, ≤ 1e+09",
    }


REFUSED = [
    ("sand.bulk_density_g_cm3", 99, "profile.value_refused", ("g/cm³", "> 0.05", "≤ 25", "99")),
    ("sand.bulk_density_g_cm3", float("nan"), "profile.value_refused", ("nan",)),
    ("machine.travel_axis", "z", "profile.value_refused", ("x, y",)),
    ("machine.box_inner_mm", [1, 2], "profile.value_refused", ("mm", "≤ 20000")),
    ("head.grey_levels", 2.5, "profile.value_refused", ("≥ 1", "≤ 15")),
    ("sand.colour", "red", "profile.unknown_field", ("bulk_density_g_cm3",)),
    ("sand.sources", {}, "profile.unknown_field", ("sand.sources",)),
    ("sand", 1, "profile.unknown_field", ()),
    (
        "binder.viscosity_mpa_s",
        [{"temperature_c": 20, "value": 9}, {"temperature_c": 20, "value": 8}],
        "profile.table_repeats",
        ("viscosity_mpa_s", "20"),
    ),
    (
        "binder.viscosity_fit",
        {"factor_mpa_s": 1e-3, "slope_k": 2500.0, "low_c": 40, "high_c": 20},
        "profile.range_crossed",
        ("viscosity_fit", "40", "20"),
    ),
    (
        "oven.drying_table",
        [{"water_kg": 1, "time_s": 9}, {"water_kg": 1, "time_s": 9}],
        "profile.table_repeats",
        ("drying_table",),
    ),
    (
        "process.strength_on_dose",
        [{"binder_on_sand_pct": 2, "strength_mpa": 1}, {"binder_on_sand_pct": 2, "strength_mpa": 2}],
        "profile.table_repeats",
        ("strength_on_dose",),
    ),
    ("binder.viscosity_mpa_s", [{"temperature_c": 20, "value": -1}], "profile.value_refused", ("mPa·s",)),
    ("furnace.power_kw", 1, "profile.unknown_kind", ("oven",)),
]


@pytest.mark.parametrize(("field", "value", "code", "said"), REFUSED)
def test_a_refused_override_names_field_unit_and_range(point, field, value, code, said):
    with pytest.raises(InputError) as refused:
        overridden(point, {field: value})
    assert refused.value.code == code
    for language in ("en", "de"):
        sentence = error_sentence(refused.value, language)
        assert all(part in sentence for part in (field.partition(".")[0], *said)), sentence
        assert "?)" not in sentence


def test_an_unknown_profile_lists_those_that_exist():
    with pytest.raises(InputError) as refused:
        read_profile("sand", "beach")
    assert refused.value.facts["known"] == list(profile_ids("sand"))


def test_profiles_beside_the_job_are_found_first(tmp_path):
    source = shared_folder() / "profiles" / "sand" / "quartz-sand.json"
    document = json.loads(source.read_text(encoding="utf-8"))
    document["bulk_density_g_cm3"] = 1.5
    (tmp_path / "sand").mkdir()
    for name in ("quartz-sand", "own-sand"):
        document["id"] = name
        (tmp_path / "sand" / f"{name}.json").write_text(json.dumps(document), encoding="utf-8")
    assert "own-sand" in profile_ids("sand", beside=tmp_path)
    assert read_profile("sand", "quartz-sand", beside=tmp_path).bulk_density_g_cm3 == 1.5
    assert read_profile("sand", "ceramic-sand", beside=tmp_path).id == "ceramic-sand"
    document["id"] = "other"
    (tmp_path / "sand" / "own-sand.json").write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_profile("sand", "own-sand", beside=tmp_path)
    assert refused.value.code == "profile.id_is_not_the_file"


def test_a_newer_profile_is_refused(tmp_path):
    (tmp_path / "sand").mkdir()
    path = tmp_path / "sand" / "later.json"
    path.write_text(
        '{"kind": "corestow.profile.sand", "schema_version": 99, "id": "later"}', encoding="utf-8"
    )
    with pytest.raises(FileError) as refused:
        read_profile("sand", "later", beside=tmp_path)
    assert refused.value.code == "file.newer_version"


def test_the_operating_point_is_frozen(point):
    with pytest.raises(ValidationError):
        point.sand = None


def test_every_dimensioned_field_shows_its_unit():
    without = {
        f"{kind}.{name}"
        for kind, model in PROFILE_KINDS.items()
        for name in set(model.model_fields) - model.ABOUT
        if unit_of(name) == "-" and allowed(kind, name) not in ("true, false",)
    }
    plain_numbers = {
        "head.grey_levels", "head.nozzle_count", "machine.base_layers", "machine.cover_layers",
        "machine.grey_level", "machine.image_first_number", "machine.passes", "machine.refill_every_layers",
        "machine.wipe_every_layers", "process.handling_safety_factor", "rates.head_modules",
        "shop.carriers", "shop.ovens", "shop.printers",
        "shop.unpackers",
    }  # fmt: skip
    money = {
        "rates.head_module_price", "rates.machine_purchase", "rates.machine_replacement",
        "rates.machine_scrap", "rates.packing_per_core",
    }  # fmt: skip
    choices_and_tables = {
        "binder.surface_tension_fit", "binder.viscosity_fit",
        "binder.sds_date", "binder.sds_number", "machine.box_opens", "machine.first_stroke",
        "machine.image_canvas", "machine.image_jet_value", "machine.image_origin", "machine.image_rows",
        "machine.travel_axis",
        "oven.drying_table", "oven.heating", "process.bleed_table",
        "process.strength_on_dose", "sand.sieve_analysis",
        "rates.interest_base", "sand.sieve_multipliers", "shop.shifts",
    }  # fmt: skip
    assert without == plain_numbers | money | choices_and_tables


def test_missing_values_are_asked_for_in_both_languages(point):
    with pytest.raises(InputError) as asked:
        required(point, "binder.viscosity_mpa_s")
    for language in ("en", "de"):
        said = wording(asked.value.code, asked.value.facts, language)
        assert "binder.viscosity_mpa_s" in said.what and "mPa·s" in said.what


def test_an_unstated_bed_density_is_modelled_and_says_so(point):
    """Middle of 1.455 × 1.008 (in the pores) and 1.008 ÷ (1/1.455 + 0.008/0.6) (side by side)."""
    unstated = with_modelled_bed(overridden(point, {"sand.bulk_density_g_cm3": None}))
    in_pores, beside = 1.455 * 1.008, 1.008 / (1 / 1.455 + 0.008 / 0.6)
    assert unstated.sand.bulk_density_g_cm3 == pytest.approx((in_pores + beside) / 2)
    evidence = evidence_of(unstated, "sand.bulk_density_g_cm3")
    assert evidence.evidence == "guess" and evidence.source.startswith("modelled from sand and additive")
    assert with_modelled_bed(point) is point  # what is stated wins
    for missing in ("sand.sand_only_density_g_cm3", "additive.bulk_density_g_cm3"):
        unknown = overridden(point, {"sand.bulk_density_g_cm3": None, missing: None})
        assert with_modelled_bed(unknown).sand.bulk_density_g_cm3 is None
    pure = {"sand.bulk_density_g_cm3": None, "additive.additive_on_sand_pct": 0.0}
    alone = with_modelled_bed(overridden(point, {**pure, "additive.bulk_density_g_cm3": None}))
    assert alone.sand.bulk_density_g_cm3 == pytest.approx(1.455)


def test_a_job_without_a_bed_density_is_planned_with_the_modelled_one():
    job = read_job(SAMPLES[0])
    modelled = operating_point(job.model_copy(update={"overrides": {"sand.bulk_density_g_cm3": None}}))
    assert 1.43 < modelled.sand.bulk_density_g_cm3 < 1.47
    assert modelled.overridden[0].job_value is None
