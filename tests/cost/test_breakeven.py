"""Break-even against a core box: the crossing is the curves', and there is none where none can be named."""

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.cost.breakeven import PrintedPoint, break_even, crossing_quantity, joined_worth
from corelib.job.quotation import Conventional, JoinedCores, MoneyBand

money = st.floats(1, 1e5)


def band(likely: float, width: float = 0.0) -> MoneyBand:
    return MoneyBand(low=likely * (1 - width), likely=likely, high=likely * (1 + width))


def printed(fixed: float, unit: float, width: float = 0.0, quantities=(1, 10, 100)) -> list[PrintedPoint]:
    stretch = np.linspace(1 - width, 1 + width, 1001)
    return [PrintedPoint(q, Decimal(str(fixed + unit * q)), (fixed + unit * q) * stretch) for q in quantities]


@given(money, money, money, money)
def test_crossing_is_the_first_quantity_at_which_tools_are_not_dearer(f_free, c_free, f_tool, c_tool):
    quantity = crossing_quantity(f_free, c_free, f_tool, c_tool)
    if quantity is None:
        for sets in (1, 1000, 10**9):
            assert f_tool + c_tool * sets > f_free + c_free * sets
        return
    slack = 1e-6 * (f_tool + f_free + (c_tool + c_free) * quantity)
    assert f_tool + c_tool * quantity <= f_free + c_free * quantity + slack
    if quantity > 1:
        assert f_tool + c_tool * (quantity - 1) > f_free + c_free * (quantity - 1) - slack


@pytest.mark.parametrize(
    ("f_free", "c_free", "f_tool", "c_tool"), [(500, 80, 20_000, 12), (100, 300, 9000, 50)]
)
def test_sharp_curves_cross_where_the_textbook_says(f_free, c_free, f_tool, c_tool):
    found = break_even(printed(f_free, c_free), Conventional(tooling=band(f_tool), per_set=band(c_tool)))
    expected = crossing_quantity(f_free, c_free, f_tool, c_tool)
    assert found.verdict == "range"
    assert found.low == found.likely == found.high == expected


def test_crossing_agrees_with_the_curves():
    way = Conventional(tooling=band(24_000, 0.2), per_set=band(15, 0.3))
    found = break_even(printed(300, 95, 0.1), way)
    assert found.verdict == "range"
    assert found.low < found.likely < found.high
    sets = [point.sets for point in found.curves]
    dearer = [point.conventional_likely > point.printed_likely for point in found.curves]
    assert found.likely > max(q for q, is_dearer in zip(sets, dearer, strict=True) if is_dearer)
    assert found.likely <= min(q for q, is_dearer in zip(sets, dearer, strict=True) if not is_dearer)
    # outside the range the bands' middles are in order
    for point in found.curves:
        if point.sets < found.low:
            assert point.conventional.p50 > point.printed.p50
        if point.sets > found.high:
            assert point.conventional.p50 < point.printed.p50


def test_no_number_where_printing_stays_cheaper():
    found = break_even(printed(100, 10), Conventional(tooling=band(5000), per_set=band(12)))
    assert (found.verdict, found.low, found.likely, found.high) == ("printing throughout", None, None, None)
    assert found.without_crossing == 1.0


def test_no_number_where_tools_are_cheaper_from_the_first_set():
    found = break_even(printed(1000, 100), Conventional(tooling=band(10), per_set=band(1)))
    assert found.verdict == "core box throughout"
    assert found.likely is None


def test_no_number_where_the_bands_overlap_all_the_way():
    found = break_even(printed(0, 100, 0.5), Conventional(tooling=band(10, 0.9), per_set=band(100, 0.6)))
    assert found.verdict == "open"
    assert (found.low, found.likely, found.high) == (None, None, None)


def test_batches_and_changes_count():
    cheap = Conventional(tooling=band(1000), per_set=band(10))
    busy = Conventional(
        tooling=band(1000), per_set=band(10), set_up_per_batch=200, batch_sets=20, change_cost=500, changes=2
    )
    assert break_even(printed(0, 100), cheap).likely == math.ceil(1000 / 90)
    # 2000 fixed, and 200 for each 20 sets begun: at 25 sets 2000 + 250 + 400 ≤ 2500 fails, at 27 it holds
    assert break_even(printed(0, 100), busy).likely == 27


def test_joined_cores_come_off_the_printed_price():
    saved = joined_worth(
        JoinedCores(
            parts_before=4,
            parts_after=1,
            assembly_min_per_joint=5.0,
            glue_per_joint="0.40",
            handling_per_part="0.30",
            link_tolerance_mm=0.2,
        ),
        Decimal("42.00"),
    )
    # three joints: 15 min at 42.00 an hour is 10.50, 1.20 of glue, 0.90 of handling
    assert saved.worth == Decimal("12.60")
    assert saved.tolerance_before_mm == pytest.approx(0.4)
    assert saved.tolerance_after_mm == pytest.approx(0.2)
    way = Conventional(tooling=band(5000), per_set=band(20))
    without = break_even(printed(0, 60), way).likely
    assert break_even(printed(0, 60), way, saved.worth).likely > without


def test_one_quantity_goes_on_in_proportion():
    found = break_even(printed(0, 50, quantities=(10,)), Conventional(tooling=band(3000), per_set=band(20)))
    assert found.likely == 100
