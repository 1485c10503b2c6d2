"""Two open instances at a fixed effort: valid by independent means, and no worse than when last recorded.

Instances: ESICUP data sets (CC0), tests/data/packing_instances/README.md. Published heights: solution tables
of J. Tollenaere, KU Leuven, as in tests/speed/packing_record.py.
"""

import pytest

from tests.published.recheck_record import recheck
from tests.speed.packing_record import PUBLISHED, load, play

RECORDED = {"Stoyan et al. 2005/Example3.json": 1.25, "Liu et al. 2015/Experiment1.json": 1.20}
"""Ratio to the best published height (24 orientations) that this effort must reach."""


@pytest.mark.parametrize("name", sorted(RECORDED))
def test_an_open_instance_is_packed_validly_and_no_worse_than_recorded(name):
    result = play(load(name, turns=True), 0, seconds=None, effort=10_000_000, ordered=False, workers=1)
    assert result["valid"]
    assert result["height"] / PUBLISHED[name][1] <= RECORDED[name]
    checked = recheck(name, result["placements"], result["height"], turns=True)
    assert checked["faults"] == []


def test_the_recheck_sees_an_overlap_and_a_copy_too_few():
    name = "Liu et al. 2015/Experiment1.json"
    result = play(load(name, turns=True), 0, seconds=None, effort=0, ordered=False, workers=1)
    moved = [dict(one) for one in result["placements"]]
    moved[0] = moved[1] | {"copy": 99}
    faults = recheck(name, moved, result["height"], turns=True)["faults"]
    assert {"intersection", "collision"} <= set(faults)
    assert recheck(name, result["placements"][1:], result["height"], turns=True)["faults"] == ["copies"]
    assert recheck(name, result["placements"], result["height"] - 0.01, turns=True)["faults"] != []
