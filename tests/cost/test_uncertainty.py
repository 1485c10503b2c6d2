"""The spread of time and cost: the model is the sheet, draws repeat, causes are ranked."""

from decimal import Decimal

import numpy as np
import pytest

from corelib.cost.draws import Percentiles, Uncertain, draws_of, percentiles, ranked_causes
from corelib.cost.sheet import cost_job
from corelib.cost.uncertainty import TIME_MODEL, modelled, shown, uncertain_inputs, uncertainty
from corelib.errors import InputError
from corelib.estimate.box import estimate_job
from corelib.job.quotation import Range
from tests.estimate.made import block_estimate, point
from tests.pace import least_s

JOB = estimate_job([block_estimate(box=number) for number in range(2)])


@pytest.mark.parametrize("rate", ["85.00", None])
def test_model_without_spread_is_the_sheet(rate):
    at = point(rates__machine_per_h=rate)
    sheet = cost_job(JOB, at, "EUR")
    build_s, cost, price, kinds = modelled(JOB, at, "EUR", {})
    assert build_s == pytest.approx(JOB.build_time_s, rel=1e-12)
    assert cost == pytest.approx(float(sheet.cost), abs=0.30)  # forty lines, half a cent each
    assert price == pytest.approx(float(sheet.price), abs=0.35)
    by_kind: dict[str, float] = {}
    for line in sheet.lines:
        by_kind[line.kind] = by_kind.get(line.kind, 0.0) + float(line.amount)
    assert kinds == pytest.approx(by_kind, abs=0.10)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("sand.bulk_density_g_cm3", 1.6),
        ("sand.moisture_pct", 0.5),
        ("oven.efficiency_pct", 40.0),
        ("machine.recoat_s", 9.6),
        ("rates.labour_per_h", 60.0),
        ("rates.core_yield_pct", 80.0),
        ("binder.solids_pct", 50.0),
        ("rates.head_life_l", 10.0),
        ("oven.kg_an_hour", 20.0),
    ],
)
def test_model_follows_an_input_as_a_new_plan_does(field, value):
    name = field.replace(".", "__")
    changed = estimate_job([block_estimate(box=number, **{name: value}) for number in range(2)])
    expected = float(cost_job(changed, point(**{name: value}), "EUR").cost)
    _, cost, *_ = modelled(JOB, point(), "EUR", {field: value})
    assert cost == pytest.approx(expected, abs=0.30)
    assert abs(cost - float(cost_job(JOB, point(), "EUR").cost)) > 0.01  # and it did change


def test_same_seed_same_spread():
    one = uncertainty(JOB, point(), "EUR", seed=3)
    again = uncertainty(JOB, point(), "EUR", seed=3)
    other = uncertainty(JOB, point(), "EUR", seed=4)
    assert (one.price, one.causes) == (again.price, again.causes)
    assert one.price != other.price
    assert one.price.p50 == pytest.approx(other.price.p50, rel=0.01)


def test_percentiles_are_in_order_about_the_sheet():
    spread = uncertainty(JOB, point(), "EUR")
    sheet = cost_job(JOB, point(), "EUR")
    assert spread.cost.p10 < float(sheet.cost) < spread.cost.p90
    assert spread.price.p10 < spread.price.p50 < spread.price.p90
    assert spread.build_s.p10 < JOB.build_time_s < spread.build_s.p90
    assert sum(cause.share for cause in spread.causes) == pytest.approx(1.0)
    assert [cause.share for cause in spread.causes] == sorted((c.share for c in spread.causes), reverse=True)
    assert spread.evidence == "invented"


def test_a_stated_range_takes_the_place_of_the_evidence():
    wide = {"machine.recoat_s": Range(low=5.0, likely=9.0, high=60.0)}
    spread = uncertainty(JOB, point(), "EUR", wide)
    assert spread.causes[0].name == "machine.recoat_s"
    assert spread.causes[0].swing > 0
    assert spread.evidence == "stated"


def test_a_range_for_what_nothing_reads_is_refused():
    with pytest.raises(InputError) as caught:
        uncertain_inputs(JOB, point(), {"machine.image_first_number": Range(low=1.0, high=2.0)})
    assert caught.value.code == "cost.range_for_nothing"


def test_policy_does_not_spread_by_itself():
    inputs = uncertain_inputs(JOB, point(), {})
    assert "rates.margin_pct" not in inputs
    assert {"machine.recoat_s", "rates.core_yield_pct", "sand.bulk_density_g_cm3", TIME_MODEL} <= set(inputs)
    stated = uncertain_inputs(JOB, point(), {"rates.margin_pct": Range(low=10.0, high=20.0)})
    assert stated["rates.margin_pct"].spread.high == 20.0


def test_percentages_never_leave_their_range():
    wide = {"rates.core_yield_pct": Range(shape="normal", sd=200.0)}
    drawn = draws_of(uncertain_inputs(JOB, point(), wide), 1000, 0)["rates.core_yield_pct"]
    assert drawn.min() >= 1.0
    assert drawn.max() <= 100.0


def test_an_inputs_draws_do_not_depend_on_the_others():
    alone = draws_of({"a": Uncertain(1.0, Range(low=0.0, high=2.0))}, 50, 1)["a"]
    both = {"a": Uncertain(1.0, Range(low=0.0, high=2.0)), "b": Uncertain(5.0, Range(low=4.0, high=6.0))}
    assert np.array_equal(draws_of(both, 50, 1)["a"], alone)


def test_unrelated_inputs_are_no_causes():
    ranges = {name: Uncertain(0.0, Range(shape="normal", sd=1.0)) for name in ("a", "b", "c")}
    drawn = draws_of(ranges, 10_000, 0)
    causes = ranked_causes(drawn, 3.0 * drawn["a"] + drawn["b"])
    assert [cause.name for cause in causes] == ["a", "b"]
    assert causes[0].share == pytest.approx(0.9, abs=0.02)  # 9 of 9 + 1
    assert causes[0].swing == pytest.approx(3.0 * 2 * 1.28155, rel=0.03)


def test_no_more_digits_than_the_spread_allows():
    assert shown(1234.5678, Percentiles(1000.0, 1234.0, 1500.0)) == 1200.0
    assert shown(1234.5678, Percentiles(1233.9, 1234.5, 1235.1)) == pytest.approx(1234.6)
    assert shown(5.0, Percentiles(5.0, 5.0, 5.0)) == 5.0


def test_ten_thousand_draws_are_quick_against_one_sheet():
    # a ratio in one run: the spread of 10 000 draws costs no more than 500 sheets
    uncertainty(JOB, point(), "EUR")
    spread_s, sheet_s = least_s(
        lambda: uncertainty(JOB, point(), "EUR"), lambda: cost_job(JOB, point(), "EUR"), runs=5
    )
    print(f"spread / sheet: {spread_s / sheet_s:.0f}")
    assert spread_s < 500 * sheet_s  # 24 seen
    assert isinstance(cost_job(JOB, point(), "EUR").cost, Decimal)


def test_percentiles_of_a_known_row():
    assert percentiles(np.arange(101.0)) == Percentiles(10.0, 50.0, 90.0)


def test_each_kind_has_its_range_and_all_make_the_price():
    spread = uncertainty(JOB, point(), "EUR", seed=3)
    kinds = modelled(JOB, point(), "EUR", {}).kinds
    assert set(spread.kinds) <= set(kinds)
    for kind, (low, middle, high) in spread.kinds.items():
        assert low <= middle <= high and low < high
        assert low < kinds[kind] < high, kind  # every default range lies about the stated value
    assert sum(kinds.values()) == pytest.approx(modelled(JOB, point(), "EUR", {}).price)
