"""Large jobs part by part: valid by a check of its own, in fewer boxes than tiers, equal boxes repeated."""

from collections import Counter

import numpy as np
import pytest

from corelib.job.models import Search
from corelib.nesting import packing as door
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.model import NestRules
from corelib.nesting.packing import is_large, nest_build
from corelib.nesting.tiers import pack_in_tiers
from tests.nesting.bodies import block, bracket, build_box, item
from tests.nesting.test_tiers import assert_valid_by_itself

RULES = NestRules(layer_thickness_mm=0.3)


@pytest.fixture
def small_parts(monkeypatch):
    """Parts of 24 copies, so that a job of a few dozen is a large one."""
    monkeypatch.setattr(door, "MOST_COPIES", 30)
    monkeypatch.setattr(door, "PART_COPIES", 24)


def boxes_of(packing):
    return 1 + max(place.box for place in packing.placements)


def test_sets_fill_boxes_part_by_part_and_full_boxes_repeat(small_parts):
    items = [
        item("jacket", bracket(100, 90, 60, 20), 20, set_id="motor"),
        item("port", block(25, 25, 60), 40, set_id="motor", per_set=2),
    ]
    box = build_box(300, 200, 150)
    assert is_large(items)
    found = nest_build(items, box, RULES, Search(effort=1)).packing
    assert_valid_by_itself(items, box, RULES, found)
    assert boxes_of(found) < boxes_of(pack_in_tiers(items, box, RULES))
    lying = Counter(
        frozenset((p.core, np.round(p.matrix, 6).tobytes()) for p in found.placements if p.box == number)
        for number in range(boxes_of(found))
    )
    assert max(lying.values()) > 1
    sets = {}
    for place in found.placements:
        sets.setdefault(place.set_index, set()).add(place.box)
    assert all(len(numbers) == 1 for numbers in sets.values())
    assert all(order.left == () for order in extraction_orders(items, box, RULES, found))


def test_small_cores_are_packed_on_top_of_each_other_in_one_box(small_parts):
    items = [item("a", bracket(60, 50, 20, 10), 70)]
    box = build_box(300, 200, 400)
    found = nest_build(items, box, RULES, Search(effort=1)).packing
    assert_valid_by_itself(items, box, RULES, found)
    assert boxes_of(found) == 1
    assert extraction_orders(items, box, RULES, found)[0].findings == ()


def test_locked_cores_stay_in_their_boxes(small_parts):
    items = [item("a", bracket(100, 90, 60, 20), 40)]
    box = build_box(300, 200, 150)
    first = pack_in_tiers(items, box, RULES)
    kept = tuple(p.model_copy(update={"locked": True}) for p in first.placements if p.copy_number in (0, 30))
    found = nest_build(items, box, RULES, Search(effort=1), fixed=kept).packing
    assert_valid_by_itself(items, box, RULES, found)
    assert set(kept) <= set(found.placements)


def test_a_plan_without_effort_keeps_rows_and_tiers(small_parts):
    items = [item("a", bracket(60, 50, 20, 10), 70)]
    box = build_box(300, 200, 400)
    assert nest_build(items, box, RULES, Search()).packing == pack_in_tiers(items, box, RULES)
