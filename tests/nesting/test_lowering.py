"""Least overlap against a count at every place, and small packings against exhaustive search."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.job.models import Search
from corelib.nesting.bank import Bank, Lattice
from corelib.nesting.engine import Task, packing_score
from corelib.nesting.field import Field
from corelib.nesting.lattice import NONE, SHAPE
from corelib.nesting.lowering import Budget, Squeeze
from corelib.nesting.model import NestBox, NestRules
from corelib.nesting.overlap import DIGITS, find_least_overlap, hits
from corelib.nesting.packing import pack_build
from tests.nesting.bodies import AS_MODELLED, block, bracket, item

RULES = NestRules(layer_thickness_mm=1.0, is_ordered=False)


def field_of(items, inner, rules=RULES):
    bank = Bank(items, Lattice(1.0, 1), pool_words=1 << 22)
    kinds = np.array([kind for kind, one in enumerate(items) for _ in one.copies])
    return Field(bank, NestBox(inner, 0.0, 0.0, 0.0), rules, kinds, rules.is_ordered)


@given(st.integers(0, 2**32))
@settings(max_examples=12, deadline=None)
def test_the_least_weighted_overlap_is_the_least_over_all_places(seed):
    rng = np.random.default_rng(seed)
    items = [
        item("a", block(3, 2, 2), 3, gap_mm=0.0, orientations=AS_MODELLED),
        item("b", bracket(5, 4, 2, 2), 2, gap_mm=0.0, orientations=AS_MODELLED),
    ]
    field = field_of(items, (8.0, 7.0, 5.0))
    bank = field.bank
    every = np.arange(len(bank.shapes))
    bank.need(every, every)
    for core in range(1, 5):
        shape = int(bank.of_kind[field.kinds[core]][0])
        field.rows[core] = (shape, *(int(rng.integers(0, n)) for n in field.room[shape, :3]))
    weights = rng.integers(1, 31, 5)
    shape = int(bank.of_kind[0][0])
    hit = np.zeros(5, dtype=bool)
    sums = []
    for x, y, z in itertools.product(*(range(int(n)) for n in field.room[shape, :3])):
        hits(0, shape, x, y, z, field.rows, bank.pool, bank.table, hit)
        sums.append(int(weights[hit].sum()))
    scratch = np.empty(field.scratch.size * (DIGITS + 1), dtype=np.uint64)
    find_least_overlap(
        0, bank.of_kind[0], field.rows, weights, bank.pool, bank.table, bank.paths, field.room, field.heights,
        field.fragile, field.direct, False, 5, np.uint64(7), scratch, field.best, hit,
    )  # fmt: skip
    assert field.best[0] == min(sums)
    assert weights[hit].sum() == min(sums)


@pytest.mark.parametrize(
    ("sizes", "inner", "least"),
    [
        # by exhaustive reasoning: the volume fills the box to the height given, so nothing is lower
        ([((2, 2, 2), 8)], (4.0, 4.0, 20.0), 4),
        ([((3, 1, 1), 4), ((1, 1, 4), 1)], (4.0, 4.0, 20.0), 1),
        ([((4, 2, 1), 4), ((2, 2, 2), 4)], (4.0, 4.0, 20.0), 4),
    ],
)
def test_small_perfect_packings_are_found(sizes, inner, least):
    items = [item(f"i{n}", block(*size), count, gap_mm=0.0) for n, (size, count) in enumerate(sizes)]
    field = field_of(items, inner)
    size = np.array([np.prod(sizes[kind][0]) for kind in field.kinds], dtype=float)
    for core in range(len(field.kinds)):
        assert field.insert(core, 20)
    Squeeze(field, size, np.random.default_rng(0)).lower(Budget(400_000), least)
    assert field.top == least


def test_exhaustive_search_of_three_slabs_finds_nothing_lower():
    slabs = [(3, 2, 1), (2, 2, 2), (3, 1, 2)]
    items = [item(f"i{n}", block(*size), 1, gap_mm=0.0) for n, size in enumerate(slabs)]
    box, rules = NestBox((4.0, 3.0, 12.0), 0.0, 0.0, 0.0), NestRules(1.0, is_ordered=False)
    packing = pack_build(items, box, rules, Search(effort=200_000))
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


def test_what_was_out_is_in_again_and_nothing_overlaps():
    items = [item("b", bracket(9, 7, 4, 3), 6, gap_mm=1.0), item("a", block(4, 3, 2), 5, gap_mm=1.0)]
    field = field_of(items, (13.0, 11.0, 60.0), NestRules(1.0))
    size = np.where(field.kinds == 0, 3.0, 1.0)
    for core in range(11):
        assert field.insert(core, 60)
    start = field.top
    Squeeze(field, size, np.random.default_rng(1)).lower(Budget(100_000), 0)
    assert field.top < start
    assert (field.rows[:, SHAPE] != NONE).all()
    hit = np.zeros(11, dtype=bool)
    for core in range(11):
        shape, x, y, z = (int(value) for value in field.rows[core])
        hits(core, shape, x, y, z, field.rows, field.bank.pool, field.bank.table, hit)
        assert not hit.any()
