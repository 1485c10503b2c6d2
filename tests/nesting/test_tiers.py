"""The first packing: valid for anything that fits, by the gate and by a check of its own."""

import math

import fcl
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.errors import InputError
from corelib.geometry.pose import Orientation, moved, right_angle_orientations
from corelib.job.models import Packing, Search
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.tiers import pack_in_tiers, whole_layers_mm
from tests.nesting.bodies import AS_MODELLED, block, bracket, build_box, item
from tests.pace import lines_run

RULES = NestRules(layer_thickness_mm=0.3)

lengths = st.floats(3.0, 60.0).map(lambda x: round(x, 2))
blocks = st.builds(block, lengths, lengths, lengths)
brackets = st.builds(bracket, st.floats(20.0, 60.0), st.floats(20.0, 50.0), lengths, st.floats(4.0, 15.0))
turns = st.sampled_from(
    [
        right_angle_orientations(),
        AS_MODELLED,
        (Orientation("-z", 30.0), Orientation((1.0, 1.0, -1.0), 0.0)),
    ]
)


@st.composite
def jobs(draw):
    items = []
    for number in range(draw(st.integers(1, 4))):
        items.append(
            item(
                f"core{number}",
                draw(st.one_of(blocks, brackets)),
                draw(st.integers(1, 9)),
                gap_mm=draw(st.sampled_from([0.0, 2.5, 5.0])),
                orientations=draw(turns),
                set_id=draw(st.sampled_from([None, "a", "b"])),
            )
        )
    return items


def fcl_distance_mm(mesh_a, matrix_a, mesh_b, matrix_b):
    """Least distance of two placed surfaces by python-fcl, 0 where they cross."""
    objects = []
    for mesh, matrix in ((mesh_a, matrix_a), (mesh_b, matrix_b)):
        model = fcl.BVHModel()
        model.beginModel(len(mesh.vertices_mm), len(mesh.faces))
        model.addSubModel(mesh.vertices_mm, mesh.faces)
        model.endModel()
        objects.append(fcl.CollisionObject(model, fcl.Transform(matrix[:3, :3], matrix[:3, 3])))
    if fcl.collide(*objects, fcl.CollisionRequest(), fcl.CollisionResult()):
        return 0.0
    return fcl.distance(*objects, fcl.DistanceRequest(), fcl.DistanceResult())


def assert_valid_by_itself(items, box, rules, packing):
    """Copies, box, layers and gaps by plain arithmetic and python-fcl, without the gate."""
    known = {one.core_id: one for one in items}
    placed = [(p.core, p.copy_number) for p in packing.placements]
    assert sorted(placed) == sorted((i.core_id, k.copy_number) for i in items for k in i.copies)
    corners = []
    for placement in packing.placements:
        matrix = np.array(placement.matrix)
        assert np.linalg.det(matrix[:3, :3]) == pytest.approx(1.0)
        vertices = moved(known[placement.core].mesh.vertices_mm, matrix)
        assert (vertices.min(axis=0) >= np.subtract(box.low_mm, 1e-6)).all()
        assert (vertices.max(axis=0) <= np.add(box.high_mm, 1e-6)).all()
        layers = vertices[:, 2].min() / rules.layer_thickness_mm
        assert layers == pytest.approx(round(layers), abs=1e-6)
        corners.append((vertices.min(axis=0), vertices.max(axis=0)))
    for i, first in enumerate(packing.placements):
        for j in range(i):
            second = packing.placements[j]
            need = max(known[first.core].gap_mm, known[second.core].gap_mm)
            apart = np.maximum(corners[i][0] - corners[j][1], corners[j][0] - corners[i][1])
            if first.box != second.box or apart.max() >= need - 1e-6:
                continue
            distance = fcl_distance_mm(
                known[first.core].mesh,
                np.array(first.matrix),
                known[second.core].mesh,
                np.array(second.matrix),
            )
            assert distance >= need - 1e-4


@given(jobs())
@settings(max_examples=40, deadline=None)
def test_any_job_is_packed_with_gaps_margins_and_whole_layers(items):
    box = build_box()
    packing = pack_in_tiers(items, box, RULES)
    assert_valid_by_itself(items, box, RULES, packing)
    assert [f for f in check_packing(items, box, RULES, packing) if f.severity != "note"] == []
    assert packing == pack_in_tiers(list(reversed(items)), box, RULES)


@given(jobs(), st.integers(0, 2**32))
@settings(max_examples=15, deadline=None)
def test_fixed_copies_stay_and_the_rest_keeps_clear(items, seed):
    box = build_box()
    whole = pack_in_tiers(items, box, RULES)
    rng = np.random.default_rng(seed)
    kept = tuple(p.model_copy(update={"locked": True}) for p in whole.placements if rng.random() < 0.4)
    packing = pack_in_tiers(items, box, RULES, kept)
    assert_valid_by_itself(items, box, RULES, packing)
    assert set(kept) <= set(packing.placements)


def test_casting_sets_stay_whole_in_a_box():
    items = [
        item("jacket", block(120, 120, 60), 12, set_id="motor"),
        item("port", block(30, 30, 60), 24, set_id="motor", per_set=2),
    ]
    packing = pack_in_tiers(items, build_box(), RULES)
    boxes = {}
    for placement in packing.placements:
        boxes.setdefault(placement.set_index, set()).add(placement.box)
    assert len(boxes) == 12
    assert all(len(numbers) == 1 for numbers in boxes.values())
    assert max(p.box for p in packing.placements) > 0


def test_a_set_larger_than_a_box_is_spread_over_boxes():
    items = [item("big", block(250, 150, 100), 3, set_id="s", per_set=3)]
    packing = pack_in_tiers(items, build_box(), RULES)
    assert sorted(p.box for p in packing.placements) == [0, 1, 2]


def test_the_orientation_that_fits_is_found():
    items = [item("bar", block(20, 20, 270), 4, gap_mm=5.0)]
    packing = pack_in_tiers(items, build_box(), RULES)
    assert {p.orientation.down for p in packing.placements} <= {"+x", "-x", "+y", "-y"}


def test_a_core_that_fits_in_no_orientation_says_which_way_and_by_how_much():
    with pytest.raises(InputError) as caught:
        pack_build([item("bar", block(20, 20, 300))], build_box(), RULES, Search())
    assert caught.value.code == "nesting.core_too_large"
    assert caught.value.facts["dimension"] == "x"
    assert caught.value.facts["excess_mm"] == 20.0
    assert caught.value.facts["core"] == "bar"


def test_a_core_that_fits_exactly_is_packed():
    items = [item("slab", block(280, 180, 129.8), orientations=AS_MODELLED)]
    packing = pack_in_tiers(items, build_box(z=150.0), RULES)  # 10 mm is 33.3 layers: starts at 10.2
    assert packing.placements[0].matrix[2][3] == pytest.approx(34 * 0.3)
    with pytest.raises(InputError):
        pack_in_tiers([item("slab", block(280, 180, 129.9), orientations=AS_MODELLED)], build_box(), RULES)


def test_a_locked_copy_outside_the_box_is_refused():
    items = [item("a", block(20, 20, 20), 2)]
    good = pack_in_tiers(items, build_box(), RULES).placements[0]
    rows = [list(row) for row in good.matrix]
    rows[0][3] = 500.0
    moved_out = good.model_copy(update={"matrix": tuple(map(tuple, rows))})
    with pytest.raises(InputError) as caught:
        pack_build(items, build_box(), RULES, Search(), fixed=[moved_out])
    assert caught.value.code == "nesting.locked_outside"


def test_five_thousand_copies_grow_no_worse_than_their_number():
    """Counted, not timed: 8 times the copies are 23 times the work; a search over all pairs would do 64.

    It is 8 times as long as they go into one box; here halving finds how many of them fill the first.
    """
    box = build_box(600, 400, 300)
    packings = []

    def work(share):
        items = [
            item("a", bracket(30, 20, 10), 375 * share),
            item("b", block(12, 25, 40), 125 * share),
            item("c", block(50, 9, 14), 125 * share),
        ]
        lines = lines_run(lambda: packings.append(pack_in_tiers(items, box, RULES)))
        return items, packings[-1], lines

    few, (items, packing, many) = work(1)[-1], work(8)
    assert len(packing.placements) == 5000
    assert many < 32 * few
    assert check_packing(items, box, RULES, packing) == ()


def test_progress_is_reported_and_nothing_is_packed_for_no_items():
    assert pack_in_tiers([], build_box(), RULES) == Packing(placements=())


@pytest.mark.parametrize(
    ("height_mm", "layers"), [(0.0, 0), (0.3, 1), (0.30000001, 2), (10.0, 34), (0.9, 3), (2.1, 7)]
)
def test_whole_layers_are_rounded_up_but_not_by_rounding_noise(height_mm, layers):
    assert whole_layers_mm(height_mm, 0.3) == layers * 0.3
    assert math.isclose(whole_layers_mm(3 * 0.3, 0.3), 0.9)
