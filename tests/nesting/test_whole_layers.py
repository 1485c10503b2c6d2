"""A core between two layers comes to a whole one, moved aside where it must be; gaps and order stay."""

from corelib.job.models import Packing
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestRules
from corelib.nesting.whole_layers import is_on_layer, on_layers
from tests.nesting.bodies import block, build_box, item, joined
from tests.nesting.test_gate import placed

RULES = NestRules(layer_thickness_mm=0.5)
BOX = build_box()
JAWS = joined(block(10, 30, 40), block(30, 30, 10), block(30, 30, 10, (0, 0, 30)))


def layers_of(items, packing):
    bodies = placed_bodies({one.core_id: one for one in items}, packing.placements)
    return [is_on_layer(body, RULES.layer_thickness_mm) for body in bodies]


def test_what_lies_on_whole_layers_is_left_as_it_is():
    a = item("a", block(20, 20, 20), 2)
    packing = Packing(placements=(placed(a, 0, (20, 20, 12)), placed(a, 1, (60, 20, 10.5))))
    assert on_layers([a], BOX, RULES, packing) is packing


def test_a_core_with_room_moves_by_less_than_a_layer():
    a = item("a", block(20, 20, 20), 1)
    packing = Packing(placements=(placed(a, 0, (20, 20, 12.2)),))
    after = on_layers([a], BOX, RULES, packing)
    assert layers_of([a], after) == [True]
    assert [row[3] for row in after.placements[0].matrix[:3]] == [20.0, 20.0, 12.0]


def test_a_core_held_between_two_jaws_moves_with_them():
    # the tongue just fits the jaws' gap with 5 mm above and below, a fifth of a layer off
    jaws, tongue = item("jaws", JAWS), item("tongue", block(20, 20, 10))
    packing = Packing(placements=(placed(jaws, 0, (50, 50, 12.2)), placed(tongue, 0, (65, 55, 27.2))))
    assert check_packing([jaws, tongue], BOX, RULES, packing) == ()
    after = on_layers([jaws, tongue], BOX, RULES, packing)
    assert check_packing([jaws, tongue], BOX, RULES, after) == ()
    assert layers_of([jaws, tongue], after) == [True, True]
    old, new = (extraction_orders([jaws, tongue], BOX, RULES, p)[0].findings for p in (packing, after))
    assert len(new) <= len(old)


def test_a_locked_core_stays_between_layers():
    a = item("a", block(20, 20, 20), 1)
    locked = placed(a, 0, (20, 20, 12.2)).model_copy(update={"locked": True})
    assert on_layers([a], BOX, RULES, Packing(placements=(locked,))).placements == (locked,)


def test_a_stack_between_layers_rises_as_one_by_less_than_two_layers():
    # a wall to wall stack at the exact gap, each a little off: none can sink, rise or step aside by itself
    plate = item("plate", block(280, 180, 20), 4)
    packing = Packing(placements=[placed(plate, n, (10, 10, 10.2 + 25 * n)) for n in range(4)])
    after = on_layers([plate], BOX, RULES, packing)
    assert check_packing([plate], BOX, RULES, after) == ()
    assert layers_of([plate], after) == [True] * 4
    assert max(p.matrix[2][3] for p in after.placements) <= 10.2 + 75 + 1.0
