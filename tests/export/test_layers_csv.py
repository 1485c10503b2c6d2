"""layers.csv is read back by two independent readers, in comma and in semicolon locales."""

from __future__ import annotations

import csv
import io
from typing import Any

import pandas
import pytest

from corelib.export.layers_csv import COLUMNS, layers_table


def test_pandas_reads_the_same_figures(plan: dict[str, Any]) -> None:
    table = pandas.read_csv(io.StringIO(layers_table(plan), newline=""))
    assert tuple(table.columns) == COLUMNS
    assert len(table) == 6
    wanted = [layer["printed_area_mm2"] for box in plan["boxes"] for layer in box["layers"]]
    assert table["printed_area_mm2"].tolist() == pytest.approx(wanted, rel=1e-11)
    assert table["box"].tolist() == [0, 0, 0, 1, 1, 1]
    assert table["layer"].tolist() == [0, 1, 2, 0, 1, 2]


def test_pandas_reads_the_semicolon_form_as_the_same_table(plan: dict[str, Any]) -> None:
    comma = pandas.read_csv(io.StringIO(layers_table(plan), newline=""))
    german = io.StringIO(layers_table(plan, separator=";", decimal_sign=","), newline="")
    pandas.testing.assert_frame_equal(comma, pandas.read_csv(german, sep=";", decimal=","))


def test_lines_end_as_rfc_4180_asks(plan: dict[str, Any]) -> None:
    """RFC 4180 section 2 (2005): records end in CRLF, each has the same number of fields."""
    table = layers_table(plan)
    assert table.count("\r\n") == table.count("\n") == 7
    assert {len(row) for row in csv.reader(io.StringIO(table, newline=""))} == {len(COLUMNS)}


def test_separator_and_decimal_sign_must_differ(plan: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="decimal sign"):
        layers_table(plan, separator=",", decimal_sign=",")
