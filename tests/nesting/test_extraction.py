"""Extraction orders: right for known packings, proved anew by lifting one core after the other."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry.extraction import columns_of, lifts_clear
from corelib.geometry.pose import moved
from corelib.job.models import Packing, Search
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from tests.nesting.bodies import block, bracket, build_box, item, joined
from tests.nesting.test_gate import placed
from tests.nesting.test_tiers import jobs

RULES = NestRules(layer_thickness_mm=0.3)
BOX = build_box()
HOOK = joined(block(60, 10, 10), block(10, 10, 60), block(60, 10, 10, (0, 0, 50)))


def order_of(items, *placements, box=BOX):
    (found,) = extraction_orders(items, box, RULES, Packing(placements=placements))
    return found


def drawn(found):
    return [(draw.core, draw.copy_number) for stage in found.stages for draw in stage.draws]


def assert_proved(items, packing, pitch_mm):
    """Draw core after core on fresh voxels of another pitch; bedding by plain arithmetic."""
    known = {one.core_id: one for one in items}
    for found in extraction_orders(items, BOX, RULES, packing):
        assert found.left == ()
        assert found.findings == ()
        here = {(p.core, p.copy_number): p for p in packing.placements if p.box == found.box}
        columns, spans = {}, {}
        for key, placement in here.items():
            points = moved(known[placement.core].mesh.vertices_mm, np.array(placement.matrix))
            columns[key] = (points, known[placement.core].mesh.faces)
            spans[key] = points[:, 2].min(), points[:, 2].max()
        sand_mm = float("inf")
        for stage in found.stages:
            assert stage.sand_mm < sand_mm
            sand_mm = stage.sand_mm
            for draw in stage.draws:
                key = draw.core, draw.copy_number
                own = columns.pop(key)
                low, high = spans.pop(key)
                assert sand_mm <= low + RULES.freed_share * (high - low) + 1e-6
                for other_low, other_high in spans.values():
                    assert sand_mm >= other_low + RULES.bedded_share * (other_high - other_low) - 1e-6
                others = [columns_of(*other, pitch_mm, draw.tilt) for other in columns.values()]
                assert lifts_clear(columns_of(*own, pitch_mm, draw.tilt), others)
        assert columns == {}


@given(jobs(), st.sampled_from([0.7, 1.1]))
@settings(max_examples=8, deadline=None)
def test_every_packing_of_the_engine_can_be_unpacked(items, pitch_mm):
    items = [i for i in items if i.gap_mm > 0] or [item("a", bracket(), 3)]
    assert_proved(items, pack_build(items, BOX, RULES, Search()), pitch_mm)


def test_upper_cores_are_drawn_first_at_a_higher_level():
    a = item("a", block(20, 20, 20), 3)
    found = order_of([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (20, 20, 90)), placed(a, 2, (20, 20, 50)))
    assert drawn(found) == [("a", 1), ("a", 2), ("a", 0)]
    assert [stage.sand_mm for stage in found.stages] == pytest.approx([95.0, 55.0, 17.0])


def test_cores_that_interlock_are_named_with_the_place():
    hook, ring = item("hook", HOOK), item("frame", frame(40))
    hooked = order_of([hook, ring], placed(hook, 0, (100, 60, 20)), placed(ring, 0, (85, 45, 45)))
    assert set(hooked.left) == {("hook", 0), ("frame", 0)}
    (finding,) = hooked.findings
    assert finding.code == "nesting.interlocked"
    assert finding.severity == "stop"
    assert {finding.core, finding.facts["other"]} == {"hook", "frame"}
    assert 20 <= finding.facts["place_mm"][2] <= 90


def frame(size):
    """A closed frame that the hook's upright passes through."""
    wall = 8
    return joined(
        block(size, wall, 10),
        block(size, wall, 10, (0, size - wall, 0)),
        block(wall, size, 10),
        block(wall, size, 10, (size - wall, 0, 0)),
    )


def test_a_core_that_loses_its_bed_is_a_check_and_a_hand_lifts_it():
    for held, codes in ((False, ["nesting.loses_bed"]), (True, [])):
        upper = item("upper", block(30, 30, 10), held_by_hand=held)
        lid = item("lid", joined(block(40, 40, 4, (0, 0, 60)), block(4, 4, 64)))
        # the lid's foot reaches the floor: it comes free late, and the block under it waits for it
        found = order_of([upper, lid], placed(upper, 0, (110, 60, 50)), placed(lid, 0, (100, 50, 12)))
        assert [finding.code for finding in found.findings] == codes
        assert found.left == ()


def test_an_equal_box_is_unpacked_alike_with_its_own_copies():
    a, b = item("a", block(20, 20, 20), 4), item("b", block(30, 30, 10), 2)
    first = [placed(a, 0, (20, 20, 12)), placed(a, 1, (20, 20, 90)), placed(b, 0, (100, 20, 12))]
    numbers = {("a", 0): 3, ("a", 1): 2, ("b", 0): 1}
    second = [
        p.model_copy(update={"box": 1, "copy_number": numbers[p.core, p.copy_number]})
        for p in reversed(first)
    ]
    one, two = extraction_orders([a, b], BOX, RULES, Packing(placements=(*first, *second)))
    assert two.box == 1
    assert drawn(two) == [(core, numbers[core, copy]) for core, copy in drawn(one)]
    assert [stage.sand_mm for stage in two.stages] == [stage.sand_mm for stage in one.stages]


@pytest.mark.parametrize("changed", [{"is_fragile": True}, {"held_by_hand": True}, {"gap_mm": 9.0}])
def test_what_is_known_of_a_box_counts_for_the_same_cores_only(monkeypatch, changed):
    """The order of a box that was looked at before is the order of a first look, whatever lay there then."""
    monkeypatch.setattr("corelib.nesting.extraction._seen", {})
    plate, high = item("plate", block(100, 100, 20)), item("high", block(20, 20, 60))
    packing = Packing(placements=(placed(high, 0, (20, 20, 10)), placed(plate, 0, (10, 10, 80))))
    first = extraction_orders([high, plate], BOX, RULES, packing)
    other = replace(high, **changed)
    known = extraction_orders([other, plate], BOX, RULES, packing)
    again = extraction_orders([other, plate], BOX, RULES, packing)
    monkeypatch.setattr("corelib.nesting.extraction._seen", {})
    assert known == again == extraction_orders([other, plate], BOX, RULES, packing)
    assert (known != first) == ("is_fragile" in changed)
