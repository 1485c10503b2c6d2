"""The cost sheet: lines by hand, sums to the cent, formulas that give their amounts."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.cost.money import minor_unit
from corelib.cost.sheet import COST_RATES, CostSheet, cost_job, missing_rates
from corelib.errors import InputError
from corelib.estimate.box import estimate_job
from corelib.estimate.formula import evaluate
from tests.estimate.made import block_estimate, point


def sheet_of(boxes: int = 2, currency: str = "EUR", **values) -> CostSheet:
    estimate = estimate_job([block_estimate(box=number, **values) for number in range(boxes)])
    return cost_job(estimate, point(**values), currency)


def line_of(sheet: CostSheet, code: str):
    return next(line for line in sheet.lines if line.code == code)


def test_lines_by_hand():
    box = block_estimate()
    sheet = sheet_of(1)
    machine_h = (box.time.build_s.value + 900) / 3600
    assert line_of(sheet, "machine").amount == pytest.approx(Decimal(machine_h * 85), abs=Decimal("0.005"))
    assert line_of(sheet, "labour_set_up").amount == Decimal("31.50")  # 0.75 h × 42.00
    assert line_of(sheet, "labour_unpack").amount == Decimal("2.80")  # one core, 4 min × 42.00 an hour
    assert line_of(sheet, "data_preparation").amount == Decimal("42.00")
    sand_kg = Decimal(box.bed.fresh_sand_kg.value)
    assert line_of(sheet, "sand").amount == pytest.approx(sand_kg * Decimal("0.18"), abs=Decimal("0.005"))


def test_surcharges_and_margin_by_hand():
    sheet = sheet_of(1)
    direct = sheet.boxes[0].amount
    lost = (direct * 5 / 95).quantize(Decimal("0.01"))
    assert line_of(sheet, "yield").amount == lost
    overhead = ((direct + lost + 42) * 18 / 100).quantize(Decimal("0.01"))
    assert line_of(sheet, "overhead").amount == overhead
    assert sheet.cost == direct + lost + 42 + overhead
    assert sheet.price == sheet.cost + (sheet.cost * 12 / 88).quantize(Decimal("0.01"))


def test_every_amount_is_its_formula():
    sheet = sheet_of()
    lines = [*sheet.lines, *(line for box in sheet.boxes for line in box.lines)]
    assert len(lines) > 30
    for line in lines:
        inputs = {name: float(value) for name, value in line.inputs.items()}
        assert float(line.amount) == pytest.approx(evaluate(line.formula, inputs), abs=0.00501), line.code


@pytest.mark.parametrize("currency", ["EUR", "JPY", "KWD"])
def test_lines_sum_exactly_in_whole_minor_units(currency):
    sheet = sheet_of(currency=currency)
    assert sum(line.amount for line in sheet.lines) == sheet.price
    assert sum(sheet.by_kind().values()) == sheet.price
    assert all(line.amount % minor_unit(currency) == 0 for line in sheet.lines)
    for line in sheet.lines:
        if line.parts:
            assert sum(part.amount for part in line.parts) == line.amount


RATE_FIELDS = [path.partition(".")[2] for path in COST_RATES if "yield" not in path and "margin" not in path]


@given(st.sampled_from(RATE_FIELDS), st.floats(0.01, 99), st.floats(0.01, 99))
def test_price_never_falls_with_a_rate(field, one, other):
    low, high = sorted((one, other))
    prices = [sheet_of(1, **{f"rates__{field}": value}).price for value in (low, high)]
    assert prices[0] <= prices[1]


@given(st.floats(1, 100), st.floats(1, 100))
def test_price_never_rises_with_yield(one, other):
    low, high = sorted((one, other))
    prices = [sheet_of(1, rates__core_yield_pct=value).price for value in (low, high)]
    assert prices[0] >= prices[1]


def test_rates_that_nobody_stated_are_listed_and_asked_for():
    without = point(rates__machine_per_h=None, rates__margin_pct=None)
    assert missing_rates(point()) == ()
    assert missing_rates(without) == ("rates.machine_per_h", "rates.margin_pct")
    with pytest.raises(InputError) as caught:
        cost_job(estimate_job([block_estimate()]), without, "EUR")
    assert caught.value.code == "profile.value_missing"


def test_document_keeps_money_as_text():
    document = line_of(sheet_of(1), "labour_set_up").document()
    assert document["amount"] == "31.50"
    assert document["parts"][0]["inputs"] == {"rates.box_set_up_h": 0.75, "rates.labour_per_h": "42.00"}
