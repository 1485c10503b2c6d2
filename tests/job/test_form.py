"""How profile values are entered, told from the models themselves."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from corelib.job.fields import EvidenceMark
from corelib.job.form import EntryForm, entry_form, rows_of, value_of
from corelib.job.operating_point import DEFAULT_PROFILES, overridden, profiles_point
from corelib.job.profiles import PROFILE_KINDS
from corelib.wording import LANGUAGES, label


@pytest.mark.parametrize(
    ("field", "form"),
    [
        ("process.layer_thickness_mm", EntryForm("number", 0.02, 5.0)),
        ("head.nozzle_count", EntryForm("count", 1.0, 1_000_000.0)),
        ("oven.heating", EntryForm("choice", choices=("microwave", "convection"))),
        ("sand.is_silica", EntryForm("choice", choices=(True, False))),
        ("rates.machine_per_h", EntryForm("number", 0.0, 1e9)),
        (
            "machine.box_inner_mm",
            EntryForm(
                "table",
                columns=tuple((axis, EntryForm("number", 0.0, 20_000.0)) for axis in "xyz"),
                shape="triple",
            ),
        ),
        (
            "binder.viscosity_mpa_s",
            EntryForm(
                "table",
                columns=(
                    ("temperature_c", EntryForm("number", -60.0, 2000.0)),
                    ("value", EntryForm("number", 0.0, 1e9)),
                ),
                shape="records",
            ),
        ),
        (
            "shop.closed_days",
            EntryForm("table", columns=(("item", EntryForm("text")),), shape="items"),
        ),
    ],
)
def test_the_form_follows_the_model(field: str, form: EntryForm) -> None:
    assert entry_form(*field.split(".")) == form


def test_every_profile_value_has_a_form() -> None:
    for kind, model in PROFILE_KINDS.items():
        for name in set(model.model_fields) - model.ABOUT:
            form = entry_form(kind, name)
            assert form.kind in ("number", "count", "choice", "text", "table")
            assert all(column.kind != "table" for _, column in form.columns)


TABLES: dict[str, Any] = {
    "binder.viscosity_mpa_s": [{"temperature_c": 20.0, "value": 12.5}, {"temperature_c": 40.0, "value": 6.0}],
    "binder.viscosity_fit": {"factor_mpa_s": 0.001, "slope_k": 2500.0, "low_c": 15.0, "high_c": 45.0},
    "machine.box_inner_mm": [800.0, 500.0, 400.0],
    "sand.sieve_analysis": [{"sieve": "70", "retained_g": 40.0}, {"sieve": "pan", "retained_g": 1.0}],
    "shop.closed_days": ["2026-12-24", "2026-12-25"],
    "shop.shifts": [{"days": ["mon", "tue"], "start": "06:00", "end": "14:00"}],
}


@pytest.mark.parametrize("field", TABLES)
def test_a_table_goes_into_rows_and_back(field: str) -> None:
    """From what a job states, and from what the profile's model makes of it."""
    kind, name = field.split(".")
    form, stated = entry_form(kind, name), TABLES[field]
    assert value_of(form, rows_of(form, stated)) == stated
    taken = getattr(getattr(overridden(profiles_point(DEFAULT_PROFILES), {field: stated}), kind), name)
    assert value_of(form, rows_of(form, taken)) == stated
    assert value_of(form, []) is None
    assert len(rows_of(form, None)) == (1 if form.is_one_row else 0)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_profile_value_and_choice_has_a_label(language: str) -> None:
    names = set(get_args(EvidenceMark))
    for kind, model in PROFILE_KINDS.items():
        for name in set(model.model_fields) - model.ABOUT:
            names.add(name)
            form = entry_form(kind, name)
            names |= {choice for choice in form.choices if isinstance(choice, str)}
            names |= {column for column, _ in form.columns}
    assert all(label("profiles", name, language) for name in names)
