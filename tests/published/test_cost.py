"""Cost formulas against published examples.

Sureness: R read inputs and output in the source, O own arithmetic, M from memory.
"""

from decimal import Decimal

import pytest

from corelib.cost.lines import cost_line
from corelib.cost.machine_rate import machine_rate
from corelib.cost.sheet import BOX_COSTINGS
from tests.cost.test_sheet import line_of, sheet_of
from tests.estimate.made import point


@pytest.mark.parametrize(
    ("cost", "margin_pct", "price"), [("75", 25, "100"), ("100", 20, "125"), ("40", 33.3333333333, "60")]
)
def test_margin_is_a_share_of_the_price(cost, margin_pct, price):
    # R: cost 75 at a margin of 25 % sells at 100 (mathondemand); cost 100, price 125 is a margin of 20 %
    # (instudier); cost 40, markup 50 % is 60, margin 33.33 % (calcreal).
    sheet = sheet_of(1, rates__margin_pct=margin_pct)
    line = line_of(sheet, "margin")
    assert sheet.price * Decimal(cost) / sheet.cost == pytest.approx(Decimal(price), abs=Decimal("0.02"))
    assert line.amount == sheet.price - sheet.cost


def test_yield_prints_as_many_as_the_good_ones_need():
    # O on the trade's rule starts = good ÷ yield: 100 good at 92 % need 108.696 starts.
    sheet = sheet_of(1, rates__core_yield_pct=92.0, rates__box_yield_pct=97.0)
    whole = sheet.direct + line_of(sheet, "core_loss").amount + line_of(sheet, "box_loss").amount
    # O: 100 ÷ (0.92 × 0.97) = 112.057
    assert whole / sheet.direct == pytest.approx(Decimal("1.12057"), rel=Decimal("1e-4"))


def rate_of(**values):
    """Return the built-up hour rate with nothing else stated than the example gives."""
    stated = {
        "machine_per_h": None,
        "machine_scrap": "0",
        "interest_pct": 0.0,
        "machine_area_m2": 0.0,
        "area_per_m2_a": "0",
        "machine_upkeep_per_a": "0",
        **values,
    }
    stated.setdefault("machine_replacement", stated["machine_purchase"])
    return machine_rate(point(**{f"rates__{name}": value for name, value in stated.items()}), "EUR")


def test_machine_hour_rate_of_a_textbook_page():
    # R: abwl-camp.de, machine-hour rate: 250 d × 2 shifts × 8 h × 0.9 = 3600 h; replacement 800 000 × 143/110
    # and 10 000 for scrapping over 10 years 29.17; interest 16.67 (15 % on half the purchase is implied);
    # maintenance 90 000 in 10 years 2.50; room 8 m² × 20 a year 0.04. Energy and tools are outside our rate.
    rate = rate_of(
        machine_purchase="800000",
        machine_replacement=str(800_000 * 143 // 110 + 10_000),
        machine_life_a=10.0,
        machine_use_h=250 * 2 * 8 * 0.9,
        interest_pct=15.0,
        machine_area_m2=8.0,
        area_per_m2_a="20",
        machine_upkeep_per_a="9000",
    )
    printed = [Decimal(text) for text in ("29.17", "16.67", "0.04", "2.50")]
    assert [round(part.amount, 2) for part in rate.parts] == printed
    # the page's total 70.81 has 4.90 of energy (14 kWh × 0.35) and 17.53 of tools (2630 ÷ 150 h) besides
    assert round(rate.amount, 2) + Decimal("4.90") + Decimal("17.53") == Decimal("70.81")


def test_machine_hour_rate_of_an_exercise():
    # R for the data (study-board.de), O for the answer: 144 000, 8 years, 1700 h, 8 % on half, 120 m² × 18 a
    # month, 12 % maintenance a year: 10.588 + 3.388 + 15.247 + 10.165 (and 3.96 of energy) = 43.348.
    rate = rate_of(
        machine_purchase="144000",
        machine_life_a=8.0,
        machine_use_h=1700.0,
        interest_pct=8.0,
        machine_area_m2=120.0,
        area_per_m2_a=str(18 * 12),
        machine_upkeep_per_a=str(0.12 * 144_000),
    )
    assert [round(part.amount, 3) for part in rate.parts] == [
        Decimal("10.588"),
        Decimal("3.388"),
        Decimal("15.247"),
        Decimal("10.165"),
    ]
    assert rate.amount + Decimal("3.96") == pytest.approx(Decimal("43.348"), abs=Decimal("0.001"))


def test_layer_process_cost_of_a_classic_paper():
    # M (arithmetic closes in every step): Hopkinson & Dickens, Analysis of rapid manufacturing, Proc. IMechE
    # C 217 (2003), small lever by stereolithography: 190 parts in 26.8 h; 7884 h a year; machine 1 040 000
    # over 8 years and 89 000 upkeep a year: 219 000 a year, 55 894 parts a year, 3.92 a part. Labour 82 min
    # a build at 5.30 an hour: 0.04 a part. Material 1.29 a part. Total 5.25 a part.
    per_build = Decimal(190)
    at = point(
        rates__machine_per_h=None,
        rates__machine_purchase="1040000",
        rates__machine_replacement="1040000",
        rates__machine_scrap="0",
        rates__machine_life_a=8.0,
        rates__machine_use_h=7884.0,
        rates__interest_pct=0.0,
        rates__machine_area_m2=0.0,
        rates__machine_upkeep_per_a="89000",
        rates__labour_per_h="5.30",
        rates__box_set_up_h=82 / 60,
    )
    rate = machine_rate(at, "EUR")
    assert rate.amount * 7884 == pytest.approx(Decimal(219_000), abs=Decimal(1))
    assert round(per_build / Decimal("26.8") * 7884) == 55_894
    build = {"build_s": 26.8 * 3600, "box_change_s": 0.0, "machine_rate_per_h": rate.amount}
    costings = {costing.code: costing for costing in BOX_COSTINGS}
    machine = cost_line(costings["machine"], at, build, "EUR").amount / per_build
    labour = cost_line(costings["labour_set_up"], at, {}, "EUR").amount / per_build
    cent = Decimal("0.01")
    assert machine.quantize(cent) == Decimal("3.92")
    assert labour.quantize(cent) == Decimal("0.04")
    assert (machine + labour + Decimal("1.29")).quantize(cent) == Decimal("5.25")
