"""Shares of a job's cost: rules by hand, sums to the cent."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.cost.sharing import BY_DENIED_BED, BY_TIME, SHARING_RULES, share_cost
from corelib.cost.sheet import cost_job
from corelib.estimate.box import LOOSE, CoreInBox, estimate_box, estimate_job
from tests.estimate.made import INNER_MM, block_layers, point

LAYERS = block_layers()


def job_of(*cores: CoreInBox, boxes: int = 1):
    estimate = estimate_job(
        [estimate_box(block_layers(box=number), point(), INNER_MM, cores) for number in range(boxes)]
    )
    return estimate, cost_job(estimate, point(), "EUR")


def core(name, copies=1, volume_mm3=1e5, bounding_mm3=2e5, area_mm2=None, **by_set):
    area = None if area_mm2 is None else np.where(LAYERS.printed_area_mm2 > 0, area_mm2, 0.0)
    return CoreInBox(name, copies, volume_mm3, bounding_mm3, area, by_set)


volumes = st.floats(1.0, 1e8)
cores_strategy = st.lists(
    st.tuples(st.integers(1, 9), volumes, volumes, st.floats(0, 3e4)), min_size=1, max_size=6
)


@given(cores_strategy, st.integers(1, 3), st.sampled_from(SHARING_RULES))
def test_shares_sum_to_cost_and_price_to_the_cent(given_cores, boxes, rule):
    cores = [
        core(f"core-{n}", copies, volume, bounding, area, s=copies)
        for n, (copies, volume, bounding, area) in enumerate(given_cores)
    ]
    estimate, sheet = job_of(*cores, boxes=boxes)
    shared = share_cost(sheet, estimate, {"s": 2}, rule)
    assert sum(share.cost for share in shared.cores) == sheet.cost
    assert sum(share.price for share in shared.cores) == sheet.price
    assert sum(share.price for share in shared.sets) == sheet.price
    assert shared.loose is None


def test_sets_and_loose_cores_make_the_whole():
    estimate, sheet = job_of(core("a", 6, a=4, b=2), core("b", 5, 2e5, **{"a": 4, LOOSE: 1}))
    shared = share_cost(sheet, estimate, {"a": 4, "b": 2})
    assert [share.name for share in shared.sets] == ["a", "b"]
    assert sum(share.price for share in shared.sets) + shared.loose.price == sheet.price
    assert shared.loose.count == 1
    assert shared.sets[0].price_each == (shared.sets[0].price / 4).quantize(Decimal("0.01"))


def test_equal_volumes_share_equally():
    estimate, sheet = job_of(core("a"), core("b"))
    one, other = share_cost(sheet, estimate, {}, "solid volume").cores
    assert abs(one.price - other.price) <= Decimal("0.20")  # a cent a line at most


def test_bounding_volume_is_its_own_rule():
    estimate, sheet = job_of(core("a", bounding_mm3=3e5), core("b", bounding_mm3=1e5))
    one, other = share_cost(sheet, estimate, {}, "bounding volume").cores
    assert one.price / other.price == pytest.approx(Decimal(3), rel=Decimal("1e-3"))


def test_machine_time_goes_by_printed_area_of_each_layer():
    # the same volumes, but a has three quarters of every layer's area: a takes three quarters of the machine
    estimate, sheet = job_of(core("a", area_mm2=3e4), core("b", area_mm2=1e4))
    machine = sum(line.amount for line in sheet.boxes[0].lines if line.code in BY_TIME)
    one, other = share_cost(sheet, estimate, {}).cores
    by_volume = share_cost(sheet, estimate, {}, "solid volume").cores
    direct = sheet.boxes[0].amount
    expected = (one.cost - by_volume[0].cost) / sheet.cost
    assert expected == pytest.approx(machine / 4 / direct, rel=Decimal("1e-2"))
    assert one.cost > other.cost


def test_without_areas_it_says_that_it_shares_by_volume():
    estimate, sheet = job_of(core("a"), core("b", area_mm2=1e4))
    assert [finding.code for finding in share_cost(sheet, estimate, {}).findings] == ["cost.shared_by_volume"]
    assert share_cost(sheet, estimate, {}, "solid volume").findings == ()


def test_bed_goes_by_the_volume_denied_to_others():
    one = core("a", area_mm2=1e4)
    wide = replace(core("b", area_mm2=1e4), denied_volume_mm3=8e5)
    estimate, sheet = job_of(one, wide)
    first, second = share_cost(sheet, estimate, {}).cores
    bed = sum(line.amount for line in sheet.boxes[0].lines if line.code in BY_DENIED_BED)
    # everything but the bed is shared by halves; of the bed a has 2e5 and b 8e5 of 1e6 mm³
    expected = bed * (Decimal("0.8") - Decimal("0.2")) / sheet.direct
    assert (second.cost - first.cost) / sheet.cost == pytest.approx(expected, rel=Decimal("1e-2"))
