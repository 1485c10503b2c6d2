"""Tables: the JSON form holds its published schema, the CSV form comes back through pandas unchanged."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import jsonschema
import pandas
import pytest

from corelib.export.tables import TABLES, table_csv, tables_document, tables_schema
from corelib.files import canonical_json
from corelib.reference import shared_folder
from tests.export.conftest import NASTY, SamplePlan

SCHEMA: Path = shared_folder() / "schema" / "tables.schema.json"


def test_published_schema_is_current() -> None:
    assert json.loads(SCHEMA.read_text(encoding="utf-8")) == json.loads(canonical_json(tables_schema()))


def test_samples_hold_the_schema(pump: SamplePlan, motor: SamplePlan) -> None:
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    for sample in (pump, motor):
        jsonschema.validate(json.loads(canonical_json(tables_document(sample.document))), schema)


@pytest.mark.parametrize("name", sorted(TABLES))
def test_pandas_reads_every_table_in_both_locales(pump: SamplePlan, name: str) -> None:
    comma = pandas.read_csv(io.StringIO(table_csv(pump.document, name), newline=""))
    semicolon = pandas.read_csv(
        io.StringIO(table_csv(pump.document, name, separator=";", decimal_sign=","), newline=""),
        sep=";",
        decimal=",",
    )
    assert list(comma.columns) == [column for column, _ in TABLES[name][0]]
    assert len(comma) == len(tables_document(pump.document)[name])
    numbers = [column for column, kind in TABLES[name][0] if kind.startswith(("number", "integer"))]
    pandas.testing.assert_frame_equal(comma[numbers], semicolon[numbers])


def test_areas_sum_to_the_plan(pump: SamplePlan) -> None:
    table = pandas.read_csv(io.StringIO(table_csv(pump.document, "layers"), newline=""))
    volume = table["printed_area_mm2"].sum() * pump.document["boxes"][0]["layer_thickness_mm"]
    assert volume == pytest.approx(pump.document["totals"]["printed_volume_mm3"], rel=1e-9)


@pytest.mark.parametrize("name", ["=cmd|'/c calc'!A1", "+1", "-1", "@x", NASTY, 'a;b,"c"\r\nd'])
def test_user_text_never_starts_a_formula_and_comes_back(plan: dict[str, Any], name: str) -> None:
    plan["cores"][1]["name"] = name
    back = pandas.read_csv(io.StringIO(table_csv(plan, "cores"), newline=""))["name"][1]
    assert str(back).lstrip("'") == name.replace("\r\n", "\n") or str(back).lstrip("'") == name
    assert not str(back).startswith(("=", "+", "-", "@"))
