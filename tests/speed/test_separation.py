"""Looking depths up along lines, against the same sums in numpy."""

import time

import numpy as np
import pytest

from corelib.nesting import separation
from corelib.nesting.forms import Forms
from corelib.nesting.lattice import Lattice
from corelib.nesting.model import NestRules
from tests.nesting.bodies import bracket, item
from tests.pace import least_s

CORES, LENGTH, TIMES = 40, 90, 40
LEAST_RATIO = 20.0  # 600 seen


def by_numpy(axis, near, weight, depths, place):
    """The cost along a line, core by core, all places of a line at once."""
    line = np.zeros(LENGTH)
    places = np.repeat(place[None], LENGTH, axis=0)
    places[:, axis] = np.arange(LENGTH)
    for link, w in zip(near, weight, strict=True):
        offset = places - link[:3]
        inside = ((offset >= 0) & (offset < link[3:6])).all(axis=1)
        line[inside] += w * depths[link[9] + offset[inside] @ link[6:9]]
    return line


@pytest.mark.benchmark(timer=time.process_time)
def test_look_ups_are_many_times_as_quick_as_in_numpy(benchmark):
    items = [item("a", bracket(40, 30, 20, 8), CORES)]
    forms = Forms(items, NestRules(0.3, is_ordered=False), Lattice(2.0, 1), (), np.zeros(3))
    rng, tables = np.random.default_rng(0), forms.tables
    rows = np.array([[n, *rng.integers(0, 80, 3)] for n in rng.integers(0, len(forms.forms), CORES)])
    apart, weights = np.zeros((CORES, CORES), dtype=bool), np.ones((CORES, CORES))
    near, weight = np.empty((CORES, separation.LINK), dtype=np.int64), np.empty(CORES)
    keep, line = np.empty(CORES, dtype=bool), np.empty(LENGTH)
    found = separation.gather(0, 3, rows, tables.links, weights, apart, near, weight, keep)
    places = [(n % 3, rng.integers(0, 80, 3)) for n in range(TIMES)]

    def looked_up():
        for axis, place in places:
            separation.cost_along(axis, found, near, weight, tables.depths, place, LENGTH, line)

    lines = []

    def in_numpy():
        for axis, place in places:
            lines.append(by_numpy(axis, near[:found], weight[:found], tables.depths, place))

    benchmark(looked_up)
    (slow_s,) = least_s(in_numpy)
    assert np.allclose(lines[-1], line)
    quick_s = benchmark.stats.stats.min
    benchmark.extra_info["places_per_s"] = TIMES * LENGTH / quick_s
    print(f"look-ups in numpy / ours: {slow_s / quick_s:.0f}")
    assert slow_s / quick_s >= LEAST_RATIO
