"""Fill, bounds and whole sets of packings small enough to reckon by hand."""

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings

from corelib.geometry.pose import Orientation
from corelib.job.models import Packing, Search
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.profile import volume_below_mm3
from corelib.nesting.quality import mesh_volume_mm3, packing_quality
from tests.nesting.bodies import AS_MODELLED, block, bracket, build_box, item
from tests.nesting.test_gate import placed
from tests.nesting.test_tiers import jobs

RULES = NestRules(layer_thickness_mm=0.5)


def test_fill_and_bounds_by_hand():
    box = build_box(100, 100, 200, wall=0, floor=0, top=0)
    a = item("a", block(50, 50, 40), 2)
    packing = Packing(placements=(placed(a, 0, (0, 0, 0)), placed(a, 1, (0, 0, 60))))
    (found,) = packing_quality([a], box, RULES, packing)
    assert found.height_mm == pytest.approx(100.0)
    assert found.fill_pct == pytest.approx(100 * 2 * 50 * 50 * 40 / (100 * 100 * 100))
    assert found.tallest_bound_mm == pytest.approx(40.0)
    # each block grown by half its gap of 5 mm is at least (V^1/3 + (4 pi/3)^1/3 2.5)^3 large
    grown = 2 * ((50 * 50 * 40) ** (1 / 3) + (4 * np.pi / 3) ** (1 / 3) * 2.5) ** 3
    assert found.volume_bound_mm == pytest.approx(max(20.0, grown / 105**2 - 5))
    assert found.area_bound_mm == 0.0
    assert found.above_bound_pct == pytest.approx(150.0)
    assert found.limited_by == "search"
    many = item("a", block(20, 20, 20), 64)  # small ones with wide gaps: here the gaps bind more
    rows = [placed(many, n, (25.0 * (n % 4), 25.0 * (n // 4 % 4), 25.0 * (n // 16))) for n in range(64)]
    (found,) = packing_quality([many], box, RULES, Packing(placements=rows))
    grown = 64 * (20 + (4 * np.pi / 3) ** (1 / 3) * 2.5) ** 3
    assert found.volume_bound_mm == pytest.approx(grown / 105**2 - 5)
    assert 64 * 20**3 / 100**2 < found.volume_bound_mm < found.height_mm


def test_a_flat_packing_is_limited_by_its_tallest_core():
    items = [item("a", block(60, 40, 30), 3, set_id="s"), item("b", bracket(), 3, set_id="s")]
    packing = pack_build(items, build_box(), RULES, Search())
    (found,) = packing_quality(items, build_box(), RULES, packing)
    assert found.limited_by == "tallest core"
    assert found.whole_sets == 3
    assert found.cores == 6


def test_mesh_volume():
    assert mesh_volume_mm3(block(3, 4, 5)) == pytest.approx(60.0)
    assert mesh_volume_mm3(bracket(40, 30, 20, 8)) == pytest.approx((40 * 8 + 22 * 8) * 20)
    assert np.isfinite(mesh_volume_mm3(bracket()))


def test_cores_that_find_no_room_beside_each_other_bound_the_height_by_their_area():
    box = build_box(100, 100, 200, wall=0, floor=0, top=0)
    a = item("a", block(60, 60, 40), 3, orientations=AS_MODELLED)  # 3 x 3600 mm2 in 10,000 mm2: two tiers
    packing = pack_build([a], box, RULES, Search())
    (found,) = packing_quality([a], box, RULES, packing)
    assert 65.0 < found.area_bound_mm < 80.0
    assert found.bound_by == "area"
    assert found.bound_mm <= found.height_mm


@given(jobs())
@settings(max_examples=15, deadline=None)
def test_no_bound_is_above_a_packing_that_exists(items):
    box, rules = build_box(150, 120, 400), NestRules(layer_thickness_mm=0.3)
    packing = pack_build(items, box, rules, Search())
    for found in packing_quality(items, box, rules, packing):
        assert found.bound_mm <= found.height_mm + 1e-9


@pytest.mark.parametrize("turn", [Orientation(), Orientation("+x"), Orientation((1.0, 2.0, 3.0), 20.0)])
def test_volume_below_a_height_against_cutting_with_manifold3d(turn):
    mesh = bracket(40, 30, 20, 8)
    points = mesh.vertices_mm @ turn.rotation.T
    points -= points.min(axis=0)
    whole = manifold3d.Manifold(manifold3d.Mesh64(points, np.ascontiguousarray(mesh.faces, dtype=np.uint64)))
    heights = np.linspace(0.0, points[:, 2].max(), 9)
    cut = [whole.trim_by_plane((0, 0, -1), -z).volume() if z > 0 else 0.0 for z in heights]
    np.testing.assert_allclose(volume_below_mm3(mesh, turn.rotation, heights), cut, rtol=1e-9, atol=1e-6)
