"""Ways out of the box, proved by exact sweeps (manifold3d) of the bodies' triangles: no voxels in them."""

from dataclasses import replace

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings

from corelib.geometry.pose import moved
from corelib.job.models import Packing, Search
from corelib.job.nesting_rules import Grip
from corelib.nesting.extraction import extraction_orders, grip_findings
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from tests.nesting.bodies import block, bracket, build_box, item, joined
from tests.nesting.test_gate import placed
from tests.nesting.test_tiers import jobs

RULES = NestRules(layer_thickness_mm=0.3)
HOOK = joined(block(60, 10, 10), block(10, 10, 60), block(60, 10, 10, (0, 0, 50)))
SAND_MM3 = 1e-3  # what an exact intersection may leave by rounding


def order_of(items, *placements, box):
    (found,) = extraction_orders(items, box, RULES, Packing(placements=placements))
    return found


def draws_of(found):
    return [draw for stage in found.stages for draw in stage.draws]


def solid(points, faces):
    """The union of the mesh's closed parts."""
    mesh = manifold3d.Mesh64(np.ascontiguousarray(points), np.ascontiguousarray(faces, dtype=np.uint64))
    return manifold3d.Manifold(mesh)


def swept(points, faces, move):
    """What a body passes through on a straight move: each triangle's prism, and the body at both ends."""
    prisms = []
    for triangle in points[faces]:
        prisms.append(manifold3d.Manifold.hull_points(np.concatenate([triangle, triangle + move])))
    ends = [solid(points, faces), solid(points + move, faces)]
    return manifold3d.Manifold.batch_boolean([*prisms, *ends], manifold3d.OpType.Add)


def assert_swept_clear(items, packing, box):
    """Draw core after core: what each sweeps through meets no core still there, and no wall that stays."""
    known = {one.core_id: one for one in items}
    for found in extraction_orders(items, box, RULES, packing):
        assert found.left == ()
        there = {}
        for p in packing.placements:
            if p.box == found.box:
                mesh = known[p.core].mesh
                there[p.core, p.copy_number] = (moved(mesh.vertices_mm, np.array(p.matrix)), mesh.faces)
        for draw in draws_of(found):
            points, faces = there.pop((draw.core, draw.copy_number))
            for n, move in enumerate(draw.way.moves):
                volume = swept(points, faces, np.array(move))
                for other in there.values():
                    low, high = np.array(volume.bounding_box()).reshape(2, 3)
                    if (other[0].min(axis=0) >= high).any() or (other[0].max(axis=0) <= low).any():
                        continue
                    assert (volume ^ solid(*other)).volume() <= SAND_MM3, draw
                points = points + np.array(move)
                last = n == len(draw.way.moves) - 1
                if not box.sides_open:
                    assert (points.min(axis=0)[:2] >= -1e-6).all()
                    assert (points.max(axis=0)[:2] <= np.add(box.inner_mm[:2], 1e-6)).all()
                if last:  # it is out of the box
                    low, high = points.min(axis=0), points.max(axis=0)
                    out = [
                        low[2] >= box.inner_mm[2] - 1e-6,
                        (low[:2] >= np.subtract(box.inner_mm[:2], 1e-6)).any(),
                    ]
                    assert any([*out, (high[:2] <= 1e-6).any()])
        assert there == {}


@given(jobs())
@settings(max_examples=6, deadline=None)
def test_packings_of_the_engine_leave_by_ways_swept_clear(items):
    box = build_box()
    items = [one for one in items if one.gap_mm > 0] or [item("a", bracket(), 3)]
    assert_swept_clear(items, pack_build(items, box, RULES, Search(effort=30_000)), box)


@pytest.mark.parametrize(
    ("width", "hook_x", "bar_x", "way"),
    [(300, 15, 60, "tilted"), (90, 15, 60, "slid"), (90, 15, 40, None)],
)
def test_a_core_under_an_overhang_leaves_at_a_tilt_or_slid_aside_where_the_walls_allow_it(
    width, hook_x, bar_x, way
):
    hook, bar, box = item("hook", HOOK), item("bar", block(20, 10, 10)), build_box(width, 26, 150)
    there = placed(hook, 0, (hook_x, 8, 20)), placed(bar, 0, (bar_x, 8, 45))
    found = order_of([hook, bar], *there, box=box)
    if way is None:
        assert len(found.left) == 2
        assert [finding.code for finding in found.findings] == ["nesting.interlocked"]
    else:
        assert {draw.way.kind for draw in draws_of(found)} == {way, "up"}
        assert_swept_clear([hook, bar], Packing(placements=there), box)


@pytest.mark.parametrize("opens", ["top only", "platform rises", "walls off"])
def test_sideways_only_where_the_walls_come_off_or_the_contents_rise_above_them(opens):
    # a bar with cross ends in the jaws of a clamp as wide as the box: out at the front only
    bar = item("bar", joined(block(10, 30, 10), block(60, 10, 10, (0, 10, 0)), block(10, 30, 10, (50, 0, 0))))
    foot = item("foot", joined(block(80, 30, 6), block(6, 30, 60, (0, 0, 0)), block(80, 30, 6, (0, 0, 54))))
    box = replace(build_box(100, 34, 150), opens=opens)
    hooked = placed(foot, 0, (10, 2, 12)), placed(bar, 0, (26, 2, 32))
    found = order_of([foot, bar], *hooked, box=box)
    if opens == "top only":
        assert len(found.left) == 2
    else:
        assert {draw.way.kind for draw in draws_of(found)} <= {"tilted", "sideways", "up"}
        assert found.left == ()
        assert_swept_clear([foot, bar], Packing(placements=hooked), box)


def test_a_fragile_core_under_another_is_a_check():
    under, over = item("under", block(40, 40, 8), is_fragile=True), item("over", block(40, 40, 20))
    box = build_box()
    above = placed(under, 0, (50, 50, 12)), placed(over, 0, (60, 60, 40))
    (finding,) = order_of([under, over], *above, box=box).findings
    assert (finding.code, finding.severity, finding.core) == ("nesting.fragile_under", "check", "under")
    assert finding.facts["other"] == "over"
    beside = placed(under, 0, (50, 50, 12)), placed(over, 0, (120, 60, 40))
    assert order_of([under, over], *beside, box=box).findings == ()


def gripped(core_id, grip, at, count=1):
    one = item(core_id, block(40, 40, 30), count, grip=grip)
    return one, [placed(one, n, place) for n, place in enumerate(at)]


def test_room_to_grip_is_looked_for_on_two_opposite_sides():
    box, grip = build_box(300, 200, 150), Grip(beside_mm=25, reach_mm=20, width_mm=30)
    one, (place,) = gripped("one", grip, [(130, 80, 12)])
    walls = item("walls", block(30, 120, 30), 2)
    towers = item("towers", block(120, 30, 60), 2)
    left_right = [placed(walls, 0, (80, 40, 12)), placed(walls, 1, (190, 40, 12))]  # 20 mm off on both sides
    front_back = [placed(towers, 0, (100, 30, 12)), placed(towers, 1, (100, 140, 12))]  # 20 mm off
    for others, short in (([], 0), (left_right, 0), (front_back, 0), (left_right + front_back, 1)):
        items = [one, walls, towers]
        orders = extraction_orders(items, box, RULES, Packing(placements=(place, *others)))
        drawn_first = draws_of(orders[0])[0].core
        findings = grip_findings(items, orders)
        if short and drawn_first == "one":
            assert [finding.code for finding in findings] == ["nesting.no_grip"]
        else:
            assert findings == []


def test_what_has_room_to_grip_is_drawn_first_and_makes_room():
    box, grip = build_box(300, 120, 150), Grip(beside_mm=30, reach_mm=20, width_mm=30)
    one, row = gripped("row", grip, [(60, 40, 12), (105, 40, 12), (150, 40, 12)], 3)
    order = order_of([one], *row, box=box)
    assert all(draw.has_grip for draw in draws_of(order))  # front and back are free all along
    tight = build_box(300, 62, 150)  # 11 mm to the front and back walls: only along the row
    row = [placed(one, n, (60 + 45 * n, 11, 12)) for n in range(3)]
    order = order_of([one], *row, box=tight)
    assert [draw.has_grip for draw in draws_of(order)].count(False) == 2  # until only one is left
    findings = grip_findings([one], [order])
    assert findings[0].facts["count"] == 2
    assert grip_findings([one], [order_of([one], *row, box=replace(tight, opens="walls off"))]) == []


def test_large_cores_are_not_refined_beyond_what_memory_holds():
    # two frames that interlock, 600 mm wide, at a gap of 0.8 mm: cells of 0.05 mm would be 10^12
    big = item(
        "big",
        joined(
            block(600, 20, 20),
            block(20, 600, 20),
            block(600, 20, 20, (0, 580, 0)),
            block(20, 600, 20, (580, 0, 0)),
        ),
        2,
        gap_mm=0.8,
    )
    across = np.array([[1.0, 0, 0], [0, 0, -1.0], [0, 1.0, 0]])
    box = build_box(1400, 700, 700)
    first, second = placed(big, 0, (20, 20, 300)), placed(big, 1, (300, 0, 0))
    matrix = np.eye(4)
    matrix[:3, :3], matrix[:3, 3] = across, (330, 330, 12)
    rows = tuple(tuple(row) for row in matrix.tolist())
    order = order_of([big], first, second.model_copy(update={"matrix": rows}), box=box)
    assert len(order.left) == 2
