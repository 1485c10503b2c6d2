"""The engine's packings: valid by the gate and by an independent check, never worse than the first."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.child import make_executor
from corelib.errors import Cancelled
from corelib.job.models import Packing, Search
from corelib.nesting.boxes import Task, packing_of, packing_score
from corelib.nesting.clearance import Clearance
from corelib.nesting.filling import pack_boxes
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.tiers import pack_in_tiers
from corelib.nesting.whole_layers import on_layers
from corelib.progress import Progress
from tests.nesting.bodies import block, bracket, build_box, item
from tests.nesting.test_tiers import assert_valid_by_itself, jobs

RULES = NestRules(layer_thickness_mm=0.3)


@given(jobs())
@settings(max_examples=12, deadline=None)
def test_any_job_leaves_the_engine_valid(items):
    box = build_box()
    task, clearance = Task(tuple(items), box, RULES, Search()), Clearance()
    boxes = pack_boxes(task)
    if boxes is None:
        return
    packing = on_layers(items, box, RULES, packing_of(task, boxes, clearance))
    assert_valid_by_itself(items, box, RULES, packing)
    assert check_packing(items, box, RULES, packing) == ()


@given(jobs(), st.integers(0, 2**32))
@settings(max_examples=8, deadline=None)
def test_locked_cores_stay_and_are_kept_clear_of(items, seed):
    box = build_box()
    whole = pack_in_tiers(items, box, RULES)
    rng = np.random.default_rng(seed)
    kept = tuple(p.model_copy(update={"locked": True}) for p in whole.placements if rng.random() < 0.4)
    packing = pack_build(items, box, RULES, Search(), fixed=kept)
    assert_valid_by_itself(items, box, RULES, packing)
    assert set(kept) <= set(packing.placements)


def test_brackets_nest_lower_than_their_boxes():
    items = [item("a", bracket(80, 80, 20, 12), 24)]
    box = build_box(300, 200, 400)
    task = Task(tuple(items), box, RULES, Search())
    packing = pack_build(items, box, RULES, Search())
    first = pack_in_tiers(items, box, RULES)
    assert packing_score(task, packing)[1] < 0.8 * packing_score(task, first)[1]


def test_whole_sets_share_a_box_and_more_go_in():
    items = [
        item("jacket", bracket(100, 90, 60, 20), 16, set_id="motor"),
        item("port", block(25, 25, 60), 32, set_id="motor", per_set=2),
    ]
    box = build_box(300, 200, 150)
    packing = pack_build(items, box, RULES, Search())
    boxes = {}
    for placement in packing.placements:
        boxes.setdefault(placement.set_index, set()).add(placement.box)
    assert all(len(numbers) == 1 for numbers in boxes.values())
    first = pack_in_tiers(items, box, RULES)
    assert max(p.box for p in packing.placements) < max(p.box for p in first.placements)


def test_the_same_job_gives_the_same_packing_in_any_order_of_items():
    items = [item("b", bracket(50, 40, 20), 6), item("a", block(30, 20, 10), 9)]
    one = pack_build(items, build_box(), RULES, Search())
    assert one == pack_build(items[::-1], build_box(), RULES, Search())


def test_nothing_to_pack_is_an_empty_packing():
    assert pack_build([], build_box(), RULES, Search()) == Packing(placements=())


def test_cancel_ends_the_search():
    items = [item("b", bracket(50, 40, 20), 30)]
    with pytest.raises(Cancelled):
        pack_build(items, build_box(), RULES, Search(), progress=Progress(lambda *_: True))


def test_effort_lowers_the_packing_and_any_number_of_workers_finds_the_same():
    items = [item("b", bracket(60, 40, 25, 10), 34), item("a", block(35, 20, 15), 19)]
    box = build_box(200, 150, 900)
    task = Task(tuple(items), box, RULES, Search())
    quick = pack_build(items, box, RULES, Search(seed=3))
    search = Search(seed=3, effort=8_000_000)
    longer = pack_build(items, box, RULES, search)
    assert packing_score(task, longer)[1] < packing_score(task, quick)[1]
    assert_valid_by_itself(items, box, RULES, longer)
    with make_executor(2) as executor:
        assert pack_build(items, box, RULES, search, executor=executor) == longer


def test_a_given_packing_is_checked_without_loading_the_engine():
    code = (
        "import sys; from tests.nesting.bodies import *; import corelib.plan.packing;"
        "from corelib.nesting.tiers import pack_in_tiers;"
        "from corelib.nesting.gate import check_packing; from corelib.nesting.model import NestRules;"
        "r=NestRules(0.3); i=[item('a', bracket(), 5)]; b=build_box(); p=pack_in_tiers(i,b,r);"
        "assert not check_packing(i,b,r,p);"
        "sys.exit(any(f'corelib.{m}' in sys.modules for m in ('nesting.engine', 'geometry.distance')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
