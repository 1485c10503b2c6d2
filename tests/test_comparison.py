"""Plans side by side: differences, the best of each row, and who beats whom on the whole."""

import copy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.comparison import compare_plans
from corelib.errors import InputError
from corelib.export.comparison_text import LABELS, comparison_lines
from corelib.wording import wording


def core(core_id, sha256, copies, volume_mm3, mass_kg, *, rides_along):
    return {
        "id": core_id,
        "sha256": sha256,
        "copies": copies,
        "core_volume_mm3": volume_mm3,
        "mass_kg": mass_kg,
        "rides_along": rides_along,
    }


def plan(height_mm=300.0, build_s=3600.0, cost="100.00", unpack_s=600.0, currency="EUR", copies=2):
    layers = [{"z_mm": 0.3 * n, "printed_area_mm2": 100.0 * n, "time_s": 10.0} for n in range(3)]
    return {
        "job": {"casting_sets": [{"count": 2}]},
        "profiles": {"process": {"lifted_by_hand_kg": 15.0}},
        "box": {"inner_mm": [800.0, 500.0, 400.0]},
        "boxes": [{"height_mm": height_mm, "layer_thickness_mm": 0.3, "layers": layers}],
        "cores": [
            core("a", "x", copies, 1e6, 16.0, rides_along=False),
            core("bar", None, 3, 1e5, 0.1, rides_along=True),
        ],
        "totals": {
            "boxes": 1,
            "layer_count": 1000,
            "build_time_s": build_s,
            "cost": cost,
            "price": cost,
            "currency": currency,
            "binder_l": 1.0,
            "bed_sand_kg": 100.0,
            "energy_kwh": 50.0,
            "gross_box_kg": 300.0,
        },
        "lines": {"time": [{"code": "unpack_s", "value": unpack_s}, {"code": "finish_s", "value": 0.0}]},
        "findings": [],
    }


def codes(comparison):
    return [statement.code for statement in comparison.statements]


def test_the_better_plan_in_everything_is_named():
    comparison = compare_plans(["a", "b"], [plan(), plan(height_mm=250, build_s=3000, cost="90.00")])
    assert "comparison.better_on_the_whole" in codes(comparison)
    row = next(row for row in comparison.rows if row.code == "height_mm")
    assert (row.differences, row.best) == ((0.0, -50.0), (1,))
    assert row.differences_pct[1] == pytest.approx(-100 / 6)


def test_each_with_its_strength_beats_nobody():
    comparison = compare_plans(["a", "b"], [plan(height_mm=250), plan(build_s=3000)])
    assert "comparison.each_has_its_strength" in codes(comparison)
    assert "comparison.better_on_the_whole" not in codes(comparison)


def test_money_of_different_currencies_is_not_compared():
    comparison = compare_plans(["a", "b"], [plan(), plan(currency="CHF")])
    assert {"cost", "price", "cost_a_set"} & {row.code for row in comparison.rows} == set()
    assert "comparison.other_currency" in codes(comparison)


def test_other_cores_are_said_and_ride_alongs_do_not_count():
    same = plan()
    same["cores"][1]["copies"] = 9
    assert "comparison.other_cores" not in codes(compare_plans(["a", "b"], [plan(), same]))
    assert "comparison.other_cores" in codes(compare_plans(["a", "b"], [plan(), plan(copies=5)]))


@pytest.mark.parametrize("count", [0, 1, 7])
def test_fewer_than_two_or_more_than_six_are_refused(count):
    with pytest.raises(InputError) as caught:
        compare_plans([str(n) for n in range(count)], [plan()] * count)
    assert caught.value.code == "comparison.wrong_count"


figures = st.tuples(st.floats(1, 1000), st.floats(1, 1e6), st.integers(1, 10**7), st.floats(0, 1e5))


@given(st.lists(figures, min_size=2, max_size=6))
def test_no_two_plans_beat_each_other_and_a_plan_never_beats_its_copy(rows):
    plans = [plan(h, b, f"{c / 100:.2f}", u) for h, b, c, u in rows]
    names = [f"p{number}" for number in range(len(plans))]
    comparison = compare_plans(names, plans)
    beaten = {
        (statement.facts["plan"], other)
        for statement in comparison.statements
        if statement.code == "comparison.better_on_the_whole"
        for other in statement.facts["others"]
    }
    assert all((b, a) not in beaten for a, b in beaten)
    twin = compare_plans(["a", "b"], [plans[0], copy.deepcopy(plans[0])])
    assert "comparison.better_on_the_whole" not in codes(twin)
    assert all(row.best == () for row in twin.rows)


def test_curves_stack_the_boxes():
    two = plan()
    two["boxes"] = two["boxes"] * 2
    curves = compare_plans(["a", "b"], [two, plan()]).curves[0]
    assert curves.height_mm.tolist() == pytest.approx([0.3, 0.6, 0.9, 300.3, 300.6, 300.9])
    assert curves.box.tolist() == [0, 0, 0, 1, 1, 1]


def test_every_figure_has_its_label_and_every_statement_its_sentence():
    comparison = compare_plans(["a", "b"], [plan(), plan(height_mm=250)])
    assert {row.code for row in comparison.rows} <= set(LABELS)
    text = "\n".join(comparison_lines(comparison))
    assert "Height of bed" in text
    for statement in comparison.statements:
        assert "?)" not in wording(statement.code, statement.facts, "de").what


def test_equal_plans_are_said_to_be_equal():
    assert codes(compare_plans(["a", "b"], [plan(), plan()])) == ["comparison.alike"]
