"""Fill, bounds and whole sets of packings small enough to reckon by hand."""

import numpy as np
import pytest

from corelib.job.models import Packing, Search
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.quality import mesh_volume_mm3, packing_quality
from tests.nesting.bodies import block, bracket, build_box, item
from tests.nesting.test_gate import placed

RULES = NestRules(layer_thickness_mm=0.5)


def test_fill_and_bounds_by_hand():
    box = build_box(100, 100, 200, wall=0, floor=0, top=0)
    a = item("a", block(50, 50, 40), 2)
    packing = Packing(placements=(placed(a, 0, (0, 0, 0)), placed(a, 1, (0, 0, 60))))
    (found,) = packing_quality([a], box, RULES, packing)
    assert found.height_mm == pytest.approx(100.0)
    assert found.fill_pct == pytest.approx(100 * 2 * 50 * 50 * 40 / (100 * 100 * 100))
    assert found.tallest_bound_mm == pytest.approx(40.0)
    assert found.volume_bound_mm == pytest.approx(20.0)
    assert found.above_bound_pct == pytest.approx(150.0)
    assert found.limited_by == "search"


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
