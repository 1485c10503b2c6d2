"""The workbook, read back by openpyxl: stored results equal the plan, formulas are live, text stays text."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import openpyxl
import pytest

from corelib.export.workbook import workbook
from tests.export.conftest import NASTY, SamplePlan


def opened(content: bytes, *, values: bool) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(content), data_only=values)


@pytest.fixture(scope="module")
def content(pump: SamplePlan) -> bytes:
    return workbook(pump.document)


def test_stored_sums_equal_the_plan(pump: SamplePlan, content: bytes) -> None:
    sums = {row[0].value: row[1].value for row in opened(content, values=True)["Sums"].iter_rows(min_row=4)}
    totals = pump.document["totals"]
    assert sums["Layers"] == totals["layer_count"]
    assert sums["Build time"] == pytest.approx(totals["build_time_s"])
    assert Decimal(str(sums["Cost"])) == Decimal(totals["cost"])
    assert Decimal(str(sums["Price"])) == Decimal(totals["price"])


def test_every_cost_line_is_a_formula(pump: SamplePlan, content: bytes) -> None:
    live, stored = opened(content, values=False)["Costs"], opened(content, values=True)["Costs"]
    amounts = 0
    for row in live.iter_rows(min_row=4):
        if row[3].value and row[2].value is not None:
            assert str(row[2].value).startswith("=ROUND("), row[0].value
            assert stored[row[2].coordinate].value is not None
            amounts += 1
    boxes = len(pump.document["boxes"])
    wanted = sum(boxes if line.get("parts") else 1 for line in pump.document["lines"]["cost"])
    assert amounts == wanted


def test_layers_hold_the_printed_volume(pump: SamplePlan, content: bytes) -> None:
    rows = opened(content, values=True)["Layers"].iter_rows(min_row=4, max_col=8, values_only=True)
    area = sum(row[3] for row in rows)
    volume = area * pump.document["boxes"][0]["layer_thickness_mm"]
    assert volume == pytest.approx(pump.document["totals"]["printed_volume_mm3"], rel=1e-9)


def test_sheets_have_print_areas_units_and_charts(content: bytes) -> None:
    book = opened(content, values=False)
    for sheet in book:
        assert sheet.print_area, sheet.title
    assert len(book["Layers"]._charts) == len(book["Costs"]._charts) == 1
    formats = {cell.number_format for row in book["Sums"].iter_rows() for cell in row}
    assert any(' kg"' in shown for shown in formats) and any('EUR"' in shown for shown in formats)


@pytest.mark.parametrize("name", ["=cmd|'/c calc'!A1", "+1+1", "@SUM(1)", NASTY, "W" * 200])
def test_user_text_never_becomes_a_formula(plan: dict[str, Any], name: str) -> None:
    plan["job"]["name"] = plan["cores"][1]["name"] = plan["job"]["customer"] = name
    plan["totals"]["price"] = "1300.00"
    book = opened(workbook(plan), values=False)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value == name]
    assert len(cells) >= 3 and all(cell.data_type == "s" for cell in cells)


def test_a_plan_out_of_date_says_so_on_every_sheet(plan: dict[str, Any]) -> None:
    plan["totals"]["price"] = "1300.00"
    for sheet in opened(workbook(plan, out_of_date=True), values=False):
        assert "out of date" in str(sheet["B2"].value)
        assert "OUT OF DATE" in str(sheet.oddHeader.center.text)


def test_same_plan_same_bytes(pump: SamplePlan, content: bytes) -> None:
    assert workbook(pump.document) == content
