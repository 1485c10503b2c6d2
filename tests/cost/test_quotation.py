"""Firm prices by rule, quantities as asked, and what one more core costs."""

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.cost.quotation import (
    Calculated,
    core_places,
    firm_prices,
    parsed_quantities,
    price_findings,
)
from corelib.cost.sheet import WITH_THE_BOX, cost_job
from corelib.errors import InputError
from corelib.estimate.box import estimate_box, estimate_job
from tests.estimate.made import INNER_MM, block_core, block_layers, point

calculated = st.lists(
    st.builds(
        Calculated,
        st.integers(1, 500),
        st.integers(1, 50),
        st.integers(1, 10**8).map(lambda cents: Decimal(cents) / 100),
    ),
    min_size=1,
    max_size=8,
    unique_by=lambda entry: entry.sets,
)
steps = st.sampled_from([None, Decimal("0.05"), Decimal("0.50"), Decimal(1), Decimal(25)])


@given(calculated, steps)
def test_price_never_rises_unless_a_box_is_opened(entries, step):
    firm = firm_prices(entries, "EUR", step)
    assert [price.sets for price in firm] == sorted(entry.sets for entry in entries)
    for before, price in pairwise(firm):
        if price.unit > before.unit:
            assert price.boxes > before.boxes
            assert price.note == "new box"
    for price in firm:
        assert price.total == price.unit * price.sets
        assert price.unit % (step or Decimal("0.01")) == 0
        assert (price.unit < price.calculated_unit) == (price.note == "held")


def test_prices_by_hand():
    entries = [
        Calculated(1, 1, Decimal("100.00")),
        Calculated(4, 1, Decimal("200.00")),  # 50.00 a set
        Calculated(5, 1, Decimal("255.10")),  # 51.02: would rise in the same box
        Calculated(6, 2, Decimal("360.01")),  # 60.0017 with a new box
        Calculated(12, 2, Decimal("720.12")),  # 60.01 again
    ]
    firm = firm_prices(entries, "EUR")
    assert [str(price.unit) for price in firm] == ["100.00", "50.00", "50.00", "60.01", "60.01"]
    assert [price.note for price in firm] == ["first", "falls", "held", "new box", "stays"]
    found = {finding.code: finding.facts for finding in price_findings(firm)}
    assert found["quote.price_held"] == {"sets": 5, "unit": "50.00", "short": "5.10"}
    assert found["quote.new_box_raises_price"]["boxes"] == 2
    assert str(firm_prices(entries, "EUR", Decimal("0.50"))[3].unit) == "60.50"


def test_currency_without_cents_is_quoted_in_whole_units():
    firm = firm_prices([Calculated(3, 1, Decimal(100))], "JPY")
    assert (firm[0].unit, firm[0].total) == (Decimal(34), Decimal(102))


def test_quantities_as_asked():
    assert parsed_quantities("10, 1,50,10") == (1, 10, 50)
    for text in ("", "1,,2", "0", "-3", "1e3", "²"):
        with pytest.raises(InputError):
            parsed_quantities(text)


def test_one_more_core_costs_what_it_adds():
    # two cores fill the box's areas; a third in an empty place adds half of them, but no layer and no stroke
    layers = block_layers()
    box = estimate_box(layers, point(), INNER_MM, (block_core(copies=2),))
    more_layers = block_layers()
    more_layers.printed_area_mm2[:] *= 1.5
    larger = estimate_box(
        more_layers, point(), INNER_MM, (block_core(copies=3, size_mm=(300.0, 150.0, 60.0)),)
    )
    sheet = cost_job(estimate_job([box]), point(), "EUR")
    (place,) = core_places(box, [("block", larger)], point(), sheet)
    assert larger.time.build_s.value == box.time.build_s.value
    whole = cost_job(estimate_job([larger]), point(), "EUR").cost - sheet.cost
    assert place.marginal_cost == whole
    assert 0 < place.marginal_cost < sheet.cost / 10
    # of the box's own cost one place of two carries half
    assert place.empty_place_cost * 2 == pytest.approx(
        sum(line.amount for line in sheet.boxes[0].lines if line.code in WITH_THE_BOX), abs=Decimal("0.02")
    )
