"""The cost sheet: lines by hand, sums to the cent, formulas that give their amounts."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.cost.money import minor_unit
from corelib.cost.sheet import COSTINGS, CostSheet, at_usual_fill, cost_job, missing_rates
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
    cent = Decimal("0.01")
    boxes = (direct * 2 / 98).quantize(cent)
    lost = ((direct + boxes) * 5 / 95).quantize(cent)
    overhead = ((direct + boxes + lost + 42) * 18 / 100).quantize(cent)
    risk = ((direct + boxes + lost + 42 + overhead) * 2 / 100).quantize(cent)
    assert [line.amount for line in sheet.surcharges] == [boxes, lost, overhead, risk]
    assert sheet.cost == direct + 42 + boxes + lost + overhead + risk
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


NOT_RISING = ("yield", "life", "machine_use_h", "margin", "density", "modules")
RATE_FIELDS = sorted(
    {
        path.partition(".")[2]
        for costing in COSTINGS
        for path in costing.profile_fields
        if not any(word in path for word in NOT_RISING)
    }
    | {"machine_per_h"}
)


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
    without = point(rates__machine_per_h=None, rates__machine_life_a=None, rates__margin_pct=None)
    assert missing_rates(point()) == ()
    assert missing_rates(without) == ("rates.machine_per_h", "rates.margin_pct")
    with pytest.raises(InputError) as caught:
        cost_job(estimate_job([block_estimate()]), without, "EUR")
    assert caught.value.code == "profile.value_missing"


def test_document_keeps_money_as_text():
    document = line_of(sheet_of(1), "labour_set_up").document()
    assert document["amount"] == "31.50"
    assert document["parts"][0]["inputs"] == {"rates.box_set_up_h": 0.75, "rates.labour_per_h": "42.00"}


def test_head_wears_by_litres_or_by_months():
    # 5 modules of 4200.00: by litres through the head, or by the months in which its life ends anyway
    box = block_estimate()
    by_months = line_of(sheet_of(1), "head_wear").amount
    months_h = 30 / 12 * 3600
    assert by_months == pytest.approx(
        Decimal(21000 * box.time.build_s.value / 3600 / months_h), abs=Decimal("0.005")
    )
    by_litres = line_of(sheet_of(1, rates__head_life_l=1.0), "head_wear").amount
    litres = box.printed.binder_drawn_kg.value / 1.29
    assert by_litres == pytest.approx(Decimal(21000 * litres), abs=Decimal("0.005"))


def test_what_nobody_stated_is_left_out_and_named():
    sheet = sheet_of(1, rates__head_modules=None, rates__packing_per_core=None)
    assert sheet.left_out == ("rates.head_modules", "rates.packing_per_core")
    assert {"head_wear", "packing_material"}.isdisjoint(line.code for line in sheet.lines)
    assert sheet_of(1).left_out == ()


def test_machine_rate_is_built_up_where_it_is_not_stated():
    sheet = sheet_of(1, rates__machine_per_h=None)
    # (680 000 − 20 000) ÷ (8 × 3600) + 310 000 × 6 % ÷ 3600 + 60 × 96 ÷ 3600 + 38 000 ÷ 3600
    assert [part.amount for part in sheet.machine_rate.parts] == [
        Decimal("22.9167"),
        Decimal("5.1667"),
        Decimal("1.6000"),
        Decimal("10.5556"),
    ]
    assert sheet.machine_rate.amount == Decimal("40.2390")
    assert line_of(sheet, "machine").amount < line_of(sheet_of(1), "machine").amount


def test_usual_fill_shares_the_box_with_others():
    # own box: 1.8 L of core in 24.36 L of bed is 7.389 %
    estimate = estimate_job([block_estimate()])
    sheet = sheet_of(1)
    basis = at_usual_fill(sheet, estimate, point())
    assert basis.own_fill_pct == pytest.approx(7.389, abs=1e-3)
    assert basis.cost < sheet.cost
    same = at_usual_fill(sheet, estimate, point(rates__usual_fill_pct=basis.own_fill_pct))
    assert same.price == pytest.approx(sheet.price, abs=Decimal("0.05"))
    assert at_usual_fill(sheet, estimate, point(rates__usual_fill_pct=None)) is None
