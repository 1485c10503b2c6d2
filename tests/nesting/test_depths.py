"""Depth tables against counting cells, for every relative rotation, both ways round, with ways up."""

import numpy as np
import pytest

from corelib.nesting import separation
from corelib.nesting.forms import Forms
from corelib.nesting.lattice import Lattice
from corelib.nesting.model import NestRules
from corelib.nesting.nofit import packed
from corelib.nesting.penetration import set_depths, set_spans
from tests.nesting.bodies import block, bracket, item


def forms_of(ordered, fineness=1, **marks):
    items = [
        item("a", bracket(7, 5, 3, 2), 1, gap_mm=marks.get("gap_mm", 0.0)),
        item(
            "b",
            bracket(6, 4, 4, 1.5),
            1,
            gap_mm=marks.get("gap_mm", 0.0),
            is_fragile=marks.get("fragile", False),
        ),
        item("c", block(3, 2, 2), 1, gap_mm=0.0),
    ]
    return Forms(items, NestRules(1.0, is_ordered=ordered), Lattice(1.0, fineness), (), np.zeros(3)), items


def steps_out(inside):
    """Steps along the axes from each place to the nearest that is not inside, by spreading outwards."""
    wide = np.pad(inside, 1)
    steps, count = np.zeros(wide.shape, dtype=int), 0
    while wide.any():
        count += 1
        steps[wide] = count
        kept = wide.copy()
        for axis in range(3):
            kept &= np.roll(wide, 1, axis) & np.roll(wide, -1, axis)
        wide = kept
    return steps[1:-1, 1:-1, 1:-1]


@pytest.mark.parametrize("seed", range(5))
def test_depths_are_steps_out_of_the_set(seed):
    rng = np.random.default_rng(seed)
    inside = rng.random((7, 6, 70)) < 0.93
    out = np.zeros(inside.shape, dtype=np.uint8)
    set_depths(packed(inside), 0, 1, out)
    assert (out == steps_out(inside)).all()


def test_spans_are_the_lowest_and_highest_of_each_column():
    rng = np.random.default_rng(2)
    inside = (rng.random((5, 6, 7)) < 0.2).astype(np.uint8)
    for axis in range(3):
        columns = np.moveaxis(inside, axis, 2)
        spans = np.zeros((*columns.shape[:2], 3), dtype=np.int16)
        set_spans(inside, axis, spans)
        for x, y in np.ndindex(columns.shape[:2]):
            found = np.flatnonzero(columns[x, y])
            expected = (found[0], found[-1]) if len(found) else (1, 0)
            assert tuple(spans[x, y, :2]) == expected


@pytest.mark.parametrize("fineness", [1, 2])
def test_every_pair_of_forms_is_judged_as_by_counting_cells(fineness):
    forms, _ = forms_of(False, fineness)
    rng, tables = np.random.default_rng(0), forms.tables
    bodies = [cells_of(form, tables) for form in forms.forms]
    apart, depth = np.zeros((2, 2), dtype=bool), np.zeros((2, 2), dtype=np.int64)
    hits = 0
    for _ in range(400):
        s, t = rng.integers(0, len(bodies), 2)
        rows = np.array([[s, *rng.integers(0, 6, 3)], [t, *rng.integers(0, 6, 3)]])
        separation.measure(0, rows, tables.links, apart, tables.depths, tables.spans, False, depth)
        space = np.zeros((2, 40, 40, 40), dtype=bool)
        for n, body in enumerate((bodies[s], bodies[t])):
            x, y, z = rows[n, 1:] * fineness
            space[n, x : x + body.shape[0], y : y + body.shape[1], z : z + body.shape[2]] = body
        assert (depth[0, 1] > 0) == bool((space[0] & space[1]).any())
        hits += depth[0, 1] > 0
    assert 100 < hits < 390


def cells_of(form, tables):
    from corelib.geometry.voxels import turned
    from corelib.nesting.depths import TURNS

    return turned(tables.moulds[form.stance.mould].body, TURNS[form.stance.turn].astype(float)).cells


@pytest.mark.parametrize("marks", [{}, {"gap_mm": 1.5}, {"gap_mm": 1.0, "fragile": True}])
@pytest.mark.parametrize("ordered", [False, True])
def test_the_same_cost_both_ways_round_and_along_lines(marks, ordered):
    forms, _ = forms_of(ordered, **marks)
    rng, tables, count = np.random.default_rng(3), forms.tables, len(forms.forms)
    no_pair = np.zeros((2, 2), dtype=bool)
    for _ in range(300):
        rows = np.array([[n, *rng.integers(0, 9, 3)] for n in rng.integers(0, count, 2)])
        one, two = np.zeros((2, 2), dtype=np.int64), np.zeros((2, 2), dtype=np.int64)
        separation.measure(0, rows, tables.links, no_pair, tables.depths, tables.spans, ordered, one)
        separation.measure(1, rows, tables.links, no_pair, tables.depths, tables.spans, ordered, two)
        assert (one == two).all()
    cores = 8
    rows = np.array([[n, *rng.integers(0, 20, 3)] for n in rng.integers(0, count, cores)])
    apart, weights = rng.random((cores, cores)) < 0.2, 1.0 + rng.random((cores, cores))
    near, weight = np.empty((cores, separation.LINK), dtype=np.int64), np.empty(cores)
    keep, line = np.empty(cores, dtype=bool), np.empty(30)
    for _ in range(60):
        core, shape, axis = int(rng.integers(cores)), int(rng.integers(count)), int(rng.integers(3))
        found = separation.gather(core, shape, rows, tables.links, weights, apart, near, weight, keep)
        place = rng.integers(0, 25, 3)
        arrays = (tables.depths, tables.spans)
        if not ordered:
            separation.cost_along(axis, found, near, weight, tables.depths, place, 30, line)
        elif axis == 2:
            separation.ordered_up(near[:found], weight, keep, *arrays, place, 30, line)
        else:
            separation.ordered_across(axis, near[:found], weight, keep, *arrays, place, 30, line)
        for t in range(30):
            place[axis] = t
            cost = separation.cost_at(found, near, weight, keep, *arrays, ordered, *place, 1e300)
            assert line[t] == pytest.approx(cost, abs=1e-9)
