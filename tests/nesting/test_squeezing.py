"""The overlap search: small packings against exhaustive search, and what stands in the end is apart."""

import itertools

import numpy as np
import pytest

from corelib.job.models import Search
from corelib.nesting.boxes import Task, packing_score
from corelib.nesting.forms import Forms
from corelib.nesting.lattice import Lattice
from corelib.nesting.model import NestBox, NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.separation import measure, stuck
from corelib.nesting.squeezing import Course, Squeeze, Stand
from tests.nesting.bodies import block, bracket, item


def squeeze_of(items, inner, rules, seed=0):
    """A squeeze on a lattice of 1 mm, and a course that begins with all cores in one corner."""
    forms = Forms(items, rules, Lattice(1.0, 1), (), np.zeros(3))
    kinds = np.array([kind for kind, one in enumerate(items) for _ in one.copies])
    squeeze = Squeeze(forms, kinds, np.array(inner), rules.is_ordered)
    rows = np.zeros((len(kinds), 4), dtype=np.int64)
    rows[:, 0] = forms.starts[kinds]
    start = Stand((), rows, float(inner[2]))
    return squeeze, Course(np.random.default_rng(seed), 0.1, start, rows.copy())


@pytest.mark.parametrize(
    ("sizes", "inner", "least"),
    [
        # the volume fills the box to the height given, so nothing is lower
        ([((2, 2, 2), 8)], (4.0, 4.0, 20.0), 4),
        ([((3, 1, 1), 4), ((1, 1, 4), 1)], (4.0, 4.0, 20.0), 1),
        ([((4, 2, 1), 4), ((2, 2, 2), 4)], (4.0, 4.0, 20.0), 4),
    ],
)
def test_small_perfect_packings_are_found(sizes, inner, least):
    items = [item(f"i{n}", block(*size), count, gap_mm=0.0) for n, (size, count) in enumerate(sizes)]
    squeeze, course = squeeze_of(items, inner, NestRules(1.0, is_ordered=False))
    squeeze.advance(course, 3_000_000)
    assert course.succeeded
    assert course.good.top_mm == least


@pytest.mark.parametrize("slabs", [[(3, 2, 1), (2, 2, 2), (3, 1, 2)], [(4, 1, 1), (1, 3, 2), (2, 2, 3)]])
def test_exhaustive_search_of_three_slabs_finds_nothing_lower(slabs):
    items = [item(f"i{n}", block(*size), 1, gap_mm=0.0) for n, size in enumerate(slabs)]
    box, rules = NestBox((4.0, 3.0, 12.0), 0.0, 0.0, 0.0), NestRules(1.0, is_ordered=False)
    packing = pack_build(items, box, rules, Search(effort=2_000_000))
    height = packing_score(Task(tuple(items), box, rules, Search()), packing)[1]
    assert height == pytest.approx(exhaustive_height(slabs, (4, 3)), abs=1e-5)


def exhaustive_height(slabs, base):
    """Least height over all right-angled turns and whole-number places."""
    for height in range(1, 8):
        if fits([], slabs, (*base, height)):
            return height
    raise AssertionError("a tower of 7 must do")


def fits(placed, left, inner):
    if not left:
        return True
    for size in set(itertools.permutations(left[0])):
        for place in itertools.product(*(range(inner[n] - size[n] + 1) for n in range(3))):
            clear = all(
                any(place[n] >= p[n] + s[n] or p[n] >= place[n] + size[n] for n in range(3))
                for p, s in placed
            )
            if clear and fits([*placed, (place, size)], left[1:], inner):
                return True
    return False


@pytest.mark.parametrize("ordered", [False, True])
def test_what_is_good_is_apart_and_can_be_drawn(ordered):
    items = [item("b", bracket(9, 7, 4, 3), 6, gap_mm=1.0), item("a", block(4, 3, 2), 5, gap_mm=1.0)]
    squeeze, course = squeeze_of(items, (13.0, 11.0, 40.0), NestRules(1.0, is_ordered=ordered), seed=1)
    squeeze.advance(course, 2_000_000)
    assert course.succeeded
    assert course.good.top_mm < 20
    tables = squeeze.forms.tables
    depth = np.zeros((11, 11), dtype=np.int64)
    for core in range(11):
        measure(
            core,
            course.good.rows,
            tables.links,
            np.zeros((11, 11), dtype=bool),
            tables.depths,
            tables.spans,
            ordered,
            depth,
        )
    assert (depth == 0).all()
    if ordered:
        path, first = np.zeros((11, 11), dtype=bool), np.zeros((11, 11), dtype=bool)
        assert stuck(course.good.rows, tables.links, tables.spans, squeeze.heights, 1, path, first) == 0


def test_a_stack_is_drawn_from_the_top():
    items = [item("bar", bracket(8, 3, 8, 2), 3, gap_mm=0.0)]
    squeeze, _ = squeeze_of(items, (40.0, 40.0, 40.0), NestRules(1.0))
    tables = squeeze.forms.tables
    path, first = np.zeros((3, 3), dtype=bool), np.zeros((3, 3), dtype=bool)
    stacked = np.array([[0, 0, 0, 0], [0, 0, 0, 9], [0, 0, 0, 18]])
    assert stuck(stacked, tables.links, tables.spans, squeeze.heights, 1, path, first) == 0
    assert path[2, 1]
    assert path[1, 0]
    assert not path[0, 1]
