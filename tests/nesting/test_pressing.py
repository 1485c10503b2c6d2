"""Pressing: known heights of wedges, and python-fcl's word that no gap is short afterwards."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry.pose import rigid
from corelib.job.models import Packing, Placement
from corelib.nesting.clearance import Clearance, placed_bodies
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestBox, NestRules
from corelib.nesting.pressing import pressed
from corelib.nesting.settling import settled
from corelib.nesting.tiers import matrix_rows, pack_in_tiers
from tests.nesting.bodies import AS_MODELLED, block, bracket, build_box, extruded, item
from tests.nesting.test_tiers import fcl_distance_mm

LAYER_MM = 0.3
RULES = NestRules(LAYER_MM)
LYING = np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]])  # a prism's outline then stands upright


def placed(one, copy, at_mm, rotation=None):
    matrix = rigid(np.eye(3) if rotation is None else rotation, np.array(at_mm, dtype=float))
    return Placement(core=one.core_id, copy_number=copy, box=0, matrix=matrix_rows(matrix))


def press(items, placements, box, rules=RULES, fixed=(), goal_mm=-np.inf):
    known = {one.core_id: one for one in items}
    loose = placed_bodies(known, placements)
    stands = placed_bodies(known, fixed)
    found, measured = pressed(loose, stands, box, rules, Clearance(), goal_mm=goal_mm)
    assert measured > 0 or len(placements) + len(fixed) < 2
    return found


def test_a_column_of_blocks_comes_down_to_its_blocks_and_gaps():
    one = item("a", block(40, 40, 30), 3, gap_mm=5.1, orientations=AS_MODELLED)
    box = NestBox((40.0, 40.0, 400.0), 0.0, 0.0, 0.0)
    found = press([one], [placed(one, n, (0, 0, 60 * n + 21)) for n in range(3)], box)
    assert top_mm(found[-1]) == pytest.approx(3 * 30 + 2 * (5.1 + LAYER_MM)), (
        "a layer kept to come to whole ones"
    )
    assert top_mm(settled(found[-1], [], box, RULES, Clearance())) == pytest.approx(3 * 30 + 2 * 5.1)


def top_mm(bodies):
    return max(body.high_mm[2] for body in bodies)


@pytest.mark.parametrize("aside_mm", [-9.0, 4.0, 11.0])
def test_a_roof_slides_down_into_a_valley(aside_mm):
    """Faces at 45°: parallel planes a gap apart stand gap · √2 above each other (own drawing)."""
    valley = item("valley", extruded([(-40, -5), (40, -5), (40, 45), (0, 5), (-40, 45)], 50.0), 1, gap_mm=3.0)
    roof = item("roof", extruded([(15, 0), (0, 15), (-15, 0), (0, -15)], 40.0), 1, gap_mm=3.0)
    stand = placed(valley, 0, (40, 60, 5), LYING)
    box = NestBox((80.0, 80.0, 300.0), 0.0, 0.0, 0.0)
    rules = NestRules(1e-4, is_ordered=False)
    found = press([valley, roof], [placed(roof, 0, (40 + aside_mm, 55, 70), LYING)], box, rules, [stand])
    lowest_mm = found[-1][0].low_mm[2]
    assert lowest_mm == pytest.approx(10 + 3.0 * np.sqrt(2.0), abs=5e-4)


def test_gaps_that_are_short_are_widened_as_low_as_the_goal():
    items = [item("a", bracket(50, 40, 20), 9), item("b", block(30, 25, 18), 8)]
    box = build_box()
    tight = [replace(one, gap_mm=3.5) for one in items]
    packing = pack_in_tiers(tight, build_box(270, 180), RULES)
    assert any(finding.code == "nesting.gap_short" for finding in check_packing(items, box, RULES, packing))
    found = press(items, packing.placements, box, goal_mm=1000.0)
    assert len(found) == 1, "the first that keeps all gaps is low enough"
    assert check_packing(items, box, RULES, packing_of(found[-1])) == ()


def distance_mm(one, two):
    return fcl_distance_mm(one.item.mesh, one.matrix, two.item.mesh, two.matrix)


def lifted(place, by_mm):
    matrix = np.array(place.matrix)
    matrix[2, 3] += by_mm
    return place.model_copy(update={"matrix": matrix_rows(matrix)})


def packing_of(bodies):
    placements = [b.placement.model_copy(update={"matrix": matrix_rows(b.matrix)}) for b in bodies]
    return Packing(placements=tuple(placements))


@settings(max_examples=12, deadline=None)
@given(
    copies=st.tuples(st.integers(1, 7), st.integers(1, 7)),
    spread=st.floats(0.0, 0.8),
    gap_mm=st.sampled_from([0.5, 4.0]),
)
def test_pressing_keeps_gaps_walls_and_layers_and_never_ends_higher(copies, spread, gap_mm):
    """Distances by python-fcl."""
    items = [
        item("a", bracket(50, 40, 20), copies[0], gap_mm),
        item("b", block(30, 25, 18), copies[1], gap_mm),
    ]
    box = build_box(160, 120, 900)
    packing = pack_in_tiers(items, box, RULES)
    raised = [lifted(place, spread * (place.matrix[2][3] - box.low_mm[2])) for place in packing.placements]
    begun_mm = top_mm(placed_bodies({one.core_id: one for one in items}, raised))
    tops = []
    for bodies in press(items, raised, box):
        tops.append(top_mm(bodies))
        for n, body in enumerate(bodies):
            assert body.low_mm[2] / LAYER_MM == pytest.approx(round(body.low_mm[2] / LAYER_MM), abs=1e-4)
            assert (body.low_mm >= np.array(box.low_mm) - 1e-6).all()
            assert (body.high_mm <= np.array(box.high_mm) + 1e-6).all()
            for other in bodies[:n]:
                assert distance_mm(body, other) >= gap_mm - 1e-5
    assert tops == sorted(tops, reverse=True)
    assert tops, "what stands clear can be pressed"
    assert tops[-1] < begun_mm + LAYER_MM


def test_bodies_that_cross_are_not_pressed():
    one = item("a", block(40, 40, 30), 2)
    assert press([one], [placed(one, 0, (20, 20, 20)), placed(one, 1, (40, 40, 30))], build_box()) == []
