"""Wishes are met better at no cost in boxes, height, gaps or order; figures by hand; the best by trial."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.job.models import Packing, Search
from corelib.job.nesting_rules import Wishes
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.improving import with_wishes
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.tiers import pack_in_tiers
from corelib.nesting.wishes import BoxWishes, set_distances_mm, wishes_met
from tests.nesting.bodies import AS_MODELLED, block, bracket, build_box, item
from tests.nesting.test_gate import placed
from tests.nesting.test_tiers import assert_valid_by_itself, jobs

BOX = build_box()


def rules(**weights):
    return NestRules(layer_thickness_mm=0.3, wishes=Wishes(**weights))


def tops(items, packing):
    found = {}
    for body in placed_bodies({one.core_id: one for one in items}, packing.placements):
        number = body.placement.box
        found[number] = max(found.get(number, 0.0), float(body.high_mm[2]))
    return found


def met(items, packing, **weights):
    return [one.met_pct for one in wishes_met(items, Wishes(**weights), packing)]


@given(jobs(), st.sampled_from([{"heavy_low": 1.0}, {"even_area": 2.0}, {"sets_together": 1.0}]))
@settings(max_examples=12, deadline=None)
def test_no_box_height_gap_or_order_is_paid_for_a_wish(items, weights):
    before = pack_in_tiers(items, BOX, rules())
    after = with_wishes(items, BOX, rules(**weights), before)
    assert_valid_by_itself(items, BOX, rules(), after)
    was, now = tops(items, before), tops(items, after)
    assert was.keys() == now.keys()
    assert all(now[box] <= was[box] + 1e-9 for box in was)
    old = sum(len(order.findings) for order in extraction_orders(items, BOX, rules(), before))
    if not old:
        assert all(order.findings == () for order in extraction_orders(items, BOX, rules(), after))
    for a, b in zip(met(items, before, **weights), met(items, after, **weights), strict=True):
        assert b >= a - 1e-6


def test_heavy_cores_change_places_with_light_ones_above_them():
    heavy = item("heavy", block(60, 60, 30), 2, orientations=AS_MODELLED)
    light = item("light", bracket(60, 60, 30, 6), 2, orientations=AS_MODELLED)
    places = [placed(light, n, (70.0 + 80 * n, 60, 12)) for n in range(2)]
    places += [placed(heavy, n, (70.0 + 80 * n, 60, 60)) for n in range(2)]
    before = Packing(placements=places)
    items = [heavy, light]
    after = with_wishes(items, BOX, rules(heavy_low=1.0), before)
    assert met(items, before, heavy_low=1.0) == [0.0]
    assert met(items, after, heavy_low=1.0) == [100.0]
    assert check_packing(items, BOX, rules(), after) == ()
    locked = [p.model_copy(update={"locked": True}) for p in places]
    assert with_wishes(items, BOX, rules(heavy_low=1.0), Packing(placements=locked)).placements == tuple(
        sorted(locked, key=lambda p: (p.box, p.core, p.copy_number))
    )


def test_a_box_is_turned_over_where_that_brings_heavy_cores_down():
    # a heavy core over light ones that it fits between: no two can change places, but the box can be turned
    heavy = item("heavy", block(200, 150, 40), 1)
    light = item("light", block(40, 40, 30), 6)
    places = [placed(light, 3 * y + x, (20.0 + 90 * x, 15 + 120 * y, 12)) for x in range(3) for y in range(2)]
    places.append(placed(heavy, 0, (20, 12, 60)))
    items, before = [heavy, light], Packing(placements=places)
    after = with_wishes(items, BOX, rules(heavy_low=1.0), before)
    assert met(items, before, heavy_low=1.0) == [0.0]
    assert met(items, after, heavy_low=1.0) == [100.0]
    assert check_packing(items, BOX, rules(), after) == ()
    assert max(tops(items, after).values()) <= 100.0 + 1e-9
    locked = places[0].model_copy(update={"locked": True})
    stays = with_wishes(items, BOX, rules(heavy_low=1.0), Packing(placements=[locked, *places[1:]]))
    assert met(items, stays, heavy_low=1.0) == [0.0]
    assert locked in stays.placements
    fixed = item("light", block(40, 40, 30), 6, orientations=AS_MODELLED)
    kept = with_wishes([heavy, fixed], BOX, rules(heavy_low=1.0), before)
    assert met([heavy, fixed], kept, heavy_low=1.0) == [100.0]  # a block is moved as it is
    assert check_packing([heavy, fixed], BOX, rules(), kept) == ()


def test_sets_come_together_as_near_as_the_best_of_all_assignments():
    rng = np.random.default_rng(5)
    a = item("a", block(20, 20, 20), 4, set_id="s")
    b = item("b", block(20, 20, 20), 4, set_id="s")
    spots = [
        (20.0 + 60 * x, 20.0 + 60 * y, 12.0 + 60 * z) for x in range(3) for y in range(3) for z in (0, 1)
    ]
    picked = [spots[n] for n in rng.permutation(len(spots))[:8]]
    before = Packing(
        placements=[placed(one, n, picked[4 * k + n]) for k, one in enumerate((a, b)) for n in range(4)]
    )
    # `placed` gives no set: take over the copies' own
    named = []
    for place in before.placements:
        named.append(place.model_copy(update={"set_id": "s", "set_index": place.copy_number}))
    before = Packing(placements=named)
    after = with_wishes([a, b], BOX, rules(sets_together=1.0), before)
    known = {"a": a, "b": b}

    def mean_mm(packing):
        return set_distances_mm(placed_bodies(known, packing.placements))[0]

    points = np.array(picked)
    best = min(
        np.linalg.norm(points[:4] - points[4:][list(order)], axis=1).mean() / 2
        for order in permutations(range(4))
    )
    assert mean_mm(after) <= mean_mm(before)
    assert mean_mm(after) <= 1.25 * best
    assert sorted(p.matrix for p in after.placements) == sorted(p.matrix for p in before.placements)
    keys = sorted((p.core, p.copy_number, p.set_index) for p in after.placements)
    assert keys == sorted((p.core, p.copy_number, p.set_index) for p in before.placements)


def test_even_area_of_one_prism_is_all_and_of_two_beside_each_other_by_hand():
    a, b = item("a", block(50, 50, 40)), item("b", block(50, 50, 20))
    worth = BoxWishes(Wishes(even_area=1.0), [a, b])
    known = {"a": a, "b": b}
    alone = placed_bodies(known, [placed(a, 0, (20, 20, 12))])
    assert worth.met("even_area", alone) == pytest.approx(1.0)
    beside = placed_bodies(known, [placed(a, 0, (20, 20, 12)), placed(b, 0, (100, 20, 12))])
    assert worth.met("even_area", beside) == pytest.approx(0.75, rel=0.01)  # 2 below, 1 above: 1.5 of 2


def test_the_search_takes_the_wishes_over():
    items = [item("a", block(60, 50, 20), 6, set_id="s"), item("b", bracket(60, 50, 30), 6, set_id="s")]
    plain = pack_build(items, BOX, NestRules(0.3), Search())
    wished = pack_build(items, BOX, rules(heavy_low=1, sets_together=1), Search())
    assert tops(items, wished) == tops(items, plain) or max(tops(items, wished).values()) <= max(
        tops(items, plain).values()
    )
    for wish in ("heavy_low", "sets_together"):
        assert sum(met(items, wished, **{wish: 1})) >= sum(met(items, plain, **{wish: 1})) - 1e-9
    assert check_packing(items, BOX, rules(), wished) == ()
