"""Cost formulas against published examples.

Sureness: R read inputs and output in the source, O own arithmetic, M from memory.
"""

from decimal import Decimal

import pytest

from tests.cost.test_sheet import line_of, sheet_of


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
    sheet = sheet_of(1, rates__core_yield_pct=92.0)
    direct = sheet.boxes[0].amount
    assert (direct + line_of(sheet, "yield").amount) / direct == pytest.approx(
        Decimal("1.08696"), rel=Decimal("1e-4")
    )
