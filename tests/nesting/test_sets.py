"""Due dates put boxes in order; what stands in the wrong box, and sets over several boxes, are said."""

from dataclasses import replace

import pytest

from corelib.job.models import Packing, Search
from corelib.nesting.model import CopyKey, NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.sets import set_findings
from corelib.nesting.tiers import pack_in_tiers
from tests.nesting.bodies import block, build_box, item

RULES = NestRules(layer_thickness_mm=0.3)
BOX = build_box(200, 200, 100)


def due(one, dates):
    """The item with a due date for each copy."""
    keys = zip(one.copies, dates, strict=True)
    return replace(one, copies=tuple(replace(key, due_date=date) for key, date in keys))


def orders():
    """Sets and loose cores of two weeks, stated in the wrong order."""
    late, early = "2026-03-20", "2026-03-06"
    first = due(item("a", block(80, 80, 30), 6, set_id="s"), [late, late, early, early, early, late])
    second = due(item("b", block(60, 50, 40), 8), [late] * 4 + [early] * 2 + [None] * 2)
    return [first, second]


@pytest.mark.parametrize("pack", ["tiers", "engine"])
def test_what_is_due_first_lies_in_earlier_boxes(pack):
    items = orders()
    packing = pack_in_tiers(items, BOX, RULES) if pack == "tiers" else pack_build(items, BOX, RULES, Search())
    dates = {(one.core_id, k.copy_number): k.due_date or "9999" for one in items for k in one.copies}
    boxes = {}
    for place in packing.placements:
        boxes.setdefault(place.box, []).append(dates[place.core, place.copy_number])
    assert len(boxes) > 1
    for number in range(len(boxes) - 1):
        assert max(boxes[number]) <= min(boxes[number + 1])
    assert [f for f in set_findings(items, packing) if f.code == "nesting.due_in_later_box"] == []


def test_a_box_out_of_the_order_of_due_dates_is_named():
    items = orders()
    packing = pack_in_tiers(items, BOX, RULES)
    last = max(place.box for place in packing.placements)
    swapped = [place.model_copy(update={"box": last - place.box}) for place in packing.placements]
    (finding,) = set_findings(items, Packing(placements=swapped))[-1:]
    assert finding.code == "nesting.due_in_later_box"
    assert finding.facts["due"] == "2026-03-06"
    assert finding.facts["other_due"] == "2026-03-20"
    assert finding.facts["other_box"] <= last


def test_a_set_over_two_boxes_is_a_note():
    one = item("a", block(150, 150, 60), 4, set_id="s", per_set=2)  # a box holds one
    packing = pack_in_tiers([one], BOX, RULES)
    (finding,) = set_findings([one], packing)
    assert (finding.code, finding.severity, finding.facts) == (
        "nesting.set_split",
        "note",
        {"set": "s", "count": 2},
    )
    whole = item("a", block(80, 80, 60), 4, set_id="s", per_set=2)
    assert set_findings([whole], pack_in_tiers([whole], BOX, RULES)) == []


def test_copies_sort_by_number_as_before():
    assert CopyKey(1) < CopyKey(2, "a", 0, "2026-01-01")
