"""The exact gate finds every fault of a packing, and nothing in a good one."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.geometry.pose import Orientation, rigid
from corelib.job.models import Packing
from corelib.mesh.core import CoreMesh
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestRules
from corelib.nesting.tiers import matrix_rows, pack_in_tiers, placement_of
from corelib.wording import LANGUAGES, finding_wording
from tests.nesting.bodies import block, bracket, build_box, item, joined
from tests.nesting.test_tiers import fcl_distance_mm

RULES = NestRules(layer_thickness_mm=0.3)
BOX = build_box()


def placed(nest_item, copy, at, orientation=None, box=0):
    orientation = orientation or Orientation()
    matrix = rigid(orientation.rotation, np.array(at, dtype=float))
    return placement_of(nest_item, nest_item.copies[copy], box, orientation, matrix)


def codes(items, *placements):
    findings = check_packing(items, BOX, RULES, Packing(placements=placements))
    for finding in findings:
        for language in LANGUAGES:
            wording = finding_wording(finding, language=language)
            assert "?)" not in wording.message + wording.next, wording
    return [finding.code for finding in findings]


def test_a_good_hand_made_packing_has_no_findings():
    a = item("a", bracket(), 2)
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (80, 20, 12))) == []


def test_missing_double_and_unknown_copies_are_named():
    a, b = item("a", block(10, 10, 10), 3), item("b", block(10, 10, 10), 1)
    stray = placed(b, 0, (100, 100, 12)).model_copy(update={"core": "ghost"})
    found = codes([a, b], placed(a, 0, (20, 20, 12)), placed(a, 0, (60, 20, 12)), stray)
    assert sorted(found) == [
        "nesting.copy_missing",
        "nesting.copy_missing",
        "nesting.copy_twice",
        "nesting.copy_unknown",
    ]


@pytest.mark.parametrize(
    ("at", "side"),
    [
        ((9, 50, 50), "left wall"),
        ((50, 9, 50), "front wall"),
        ((50, 50, 9), "floor"),
        ((281, 50, 50), "right wall"),
        ((50, 181, 50), "back wall"),
        ((50, 50, 131), "top"),
    ],
)
def test_a_margin_not_kept_names_the_side(at, side):
    a = item("a", block(10, 10, 10))
    (finding,) = check_packing([a], BOX, RULES, Packing(placements=(placed(a, 0, at),)))
    assert finding.code == "nesting.outside_box"
    assert finding.facts["side"] == side
    assert finding.facts["short_mm"] == pytest.approx(1.0)


def test_a_mirrored_sheared_or_scaled_placement_is_refused():
    a = item("a", block(10, 10, 10))
    good = placed(a, 0, (50, 50, 50))
    for wrong in (np.diag([-1.0, 1, 1]), np.diag([2.0, 1, 1]), np.array([[1, 0.2, 0], [0, 1, 0], [0, 0, 1]])):
        matrix = matrix_rows(rigid(wrong, np.array([50.0, 50, 50])))
        assert codes([a], good.model_copy(update={"matrix": matrix})) == ["nesting.not_rigid"]


def test_an_orientation_outside_the_rule_is_a_check():
    a = item("a", block(10, 10, 10), orientations=(Orientation(),))
    assert codes([a], placed(a, 0, (50, 50, 50), Orientation("-z", 30.0))) == [
        "nesting.orientation_not_allowed"
    ]


def test_a_short_gap_gives_the_distance_and_the_place():
    a = item("a", block(20, 20, 20), 2)
    packing = Packing(placements=(placed(a, 0, (20, 20, 12)), placed(a, 1, (44.5, 20, 12))))
    (finding,) = check_packing([a], BOX, RULES, packing)
    assert finding.code == "nesting.gap_short"
    assert finding.facts["distance_mm"] == pytest.approx(4.5, abs=1e-9)
    assert finding.facts["place_mm"] == pytest.approx([42.25, 30, 22])
    assert finding.places_mm[0] == pytest.approx((22.25, 10, 10))


def test_overlap_touch_and_a_core_inside_another_are_overlaps():
    a, b = item("a", block(40, 40, 40), 1), item("b", block(10, 10, 10), 1)
    for at in ((55, 30, 30), (35, 35, 27), (60, 30, 30)):
        assert codes([a, b], placed(a, 0, (20, 20, 12)), placed(b, 0, at)) == ["nesting.overlap"]


def test_at_gap_zero_touching_is_allowed_and_overlap_is_not():
    a = item("a", block(20, 20, 20), 2, gap_mm=0.0)
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (40, 20, 12))) == []
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (39.99, 20, 12))) == ["nesting.overlap"]


def test_the_larger_of_two_gaps_counts():
    a, b = item("a", block(20, 20, 20), gap_mm=3.0), item("b", block(20, 20, 20), gap_mm=8.0)
    assert codes([a, b], placed(a, 0, (20, 20, 12)), placed(b, 0, (47, 20, 12))) == ["nesting.gap_short"]
    assert codes([a, b], placed(a, 0, (20, 20, 12)), placed(b, 0, (48, 20, 12))) == []


def test_cores_in_different_boxes_do_not_meet():
    a = item("a", block(20, 20, 20), 2)
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (20, 20, 12), box=1)) == []


def test_nested_brackets_pass_where_their_bounding_boxes_overlap():
    a = item("a", bracket(60, 60, 20, 8), 2)
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (35, 35, 12))) == []
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (32.9, 35, 12))) == ["nesting.gap_short"]


def test_an_open_mesh_is_judged_by_its_facets_and_at_gap_zero_by_its_box():
    whole = block(20, 20, 20)
    open_mesh = CoreMesh(whole.vertices_mm, whole.faces[:-1])
    a, flush = item("a", open_mesh, 2), item("a", open_mesh, 2, gap_mm=0.0)
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (45, 20, 12))) == []
    assert codes([a], placed(a, 0, (20, 20, 12)), placed(a, 1, (44, 20, 12))) == ["nesting.gap_short"]
    found = codes([flush], placed(flush, 0, (20, 20, 12)), placed(flush, 1, (39, 20, 12)))
    assert found == ["nesting.overlap", "nesting.gap_by_boxes"]


def test_a_core_within_the_hollow_of_another_is_judged_by_the_true_distance():
    walls = joined(
        block(60, 5, 20), block(60, 5, 20, (0, 55, 0)), block(5, 60, 20), block(5, 60, 20, (55, 0, 0))
    )
    frame, plug = item("frame", walls), item("plug", block(30, 30, 20))
    assert codes([frame, plug], placed(frame, 0, (20, 20, 12)), placed(plug, 0, (35, 35, 12))) == []
    assert codes([frame, plug], placed(frame, 0, (20, 20, 12)), placed(plug, 0, (29, 35, 12))) == [
        "nesting.gap_short"
    ]


@given(
    st.tuples(st.floats(-70, 70), st.floats(-70, 70), st.floats(-40, 40)),
    st.floats(0, 360),
    st.sampled_from(["-z", "+x", "+y"]),
)
@settings(max_examples=60, deadline=None)
def test_the_gate_agrees_with_python_fcl_on_pairs_of_brackets(shift, yaw, down):
    turn = Orientation(down, yaw)
    a = item("a", bracket(60, 50, 20, 8), 2, orientations=(Orientation(), turn))
    box = build_box(400, 400, 400)
    one = placed(a, 0, (200, 200, 200))
    two = placed(a, 1, np.add((200, 200, 200), shift), turn)
    findings = check_packing([a], box, RULES, Packing(placements=(one, two)))
    distance = fcl_distance_mm(a.mesh, np.array(one.matrix), a.mesh, np.array(two.matrix))
    if abs(distance - 5.0) > 1e-3:
        assert bool(findings) == (distance < 5.0)
    for finding in findings:
        if finding.code == "nesting.gap_short":
            assert finding.facts["distance_mm"] == pytest.approx(distance, abs=1e-3)


@given(st.integers(0, 2**32))
@settings(max_examples=20, deadline=None)
def test_a_copy_pushed_into_its_neighbour_is_always_found(seed):
    rng = np.random.default_rng(seed)
    a = item("a", bracket(), 8)
    packing = pack_in_tiers([a], BOX, RULES)
    i, j = rng.choice(8, 2, replace=False)
    target = packing.placements[i]
    shift = np.array(target.matrix)[:3, 3] + rng.uniform(-2, 2, 3)
    pushed = target.model_copy(
        update={"copy_number": int(j), "matrix": matrix_rows(rigid(target.orientation.rotation, shift))}
    )
    others = tuple(p for p in packing.placements if p.copy_number != j)
    found = check_packing([a], BOX, RULES, Packing(placements=(*others, pushed)))
    assert any(finding.code in ("nesting.overlap", "nesting.gap_short") for finding in found)
    assert math.isfinite(sum(point for f in found for place in f.places_mm for point in place))
