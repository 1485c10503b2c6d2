"""How profile values are entered, told from the models themselves."""

from __future__ import annotations

from typing import get_args

import pytest

from corelib.job.fields import EvidenceMark
from corelib.job.form import EntryForm, entry_form
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
        ("machine.box_inner_mm", EntryForm("other")),
        ("binder.viscosity_mpa_s", EntryForm("other")),
    ],
)
def test_the_form_follows_the_model(field: str, form: EntryForm) -> None:
    assert entry_form(*field.split(".")) == form


def test_every_profile_value_has_a_form() -> None:
    for kind, model in PROFILE_KINDS.items():
        for name in set(model.model_fields) - model.ABOUT:
            assert entry_form(kind, name).kind in ("number", "count", "choice", "text", "other")


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_profile_value_and_choice_has_a_label(language: str) -> None:
    names = set(get_args(EvidenceMark))
    for kind, model in PROFILE_KINDS.items():
        for name in set(model.model_fields) - model.ABOUT:
            names.add(name)
            names |= {choice for choice in entry_form(kind, name).choices if isinstance(choice, str)}
    assert all(label("profiles", name, language) for name in names)
