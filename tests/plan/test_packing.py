"""What rides along lies in every box; a complete packing is used as it is; locked copies stay."""

from collections import Counter

import pytest

from corelib.allowance.compensation import printed_body
from corelib.errors import InputError
from corelib.job.files import changed, job_from_document
from corelib.job.operating_point import DEFAULT_PROFILES, operating_point
from corelib.mesh.load import load_cores
from corelib.mesh.ride_along import COUPON_ID, WITNESS_BAR_ID, accuracy_coupon, witness_bar
from corelib.nesting.gate import check_packing
from corelib.plan.nest_input import copy_keys
from corelib.plan.packing import packed, plan_rules


def job(count=9, bars=2, coupons=1, **more):
    return job_from_document(
        {
            "kind": "corestow.job",
            "schema_version": 1,
            "name": "Blocks",
            "currency": "EUR",
            "cores": [{"id": "a", "name": "A", "block": {"size_mm": [150, 120, 90], "volume_mm3": 1e6}}],
            "loose": [{"core_id": "a", "count": count}],
            "box": {"inner_mm": [420, 320, 260]},
            "extras": {"witness_bars": bars, "accuracy_coupons": coupons},
            "profiles": DEFAULT_PROFILES.model_dump(),
            **more,
        },
        "job",
    )


def pack(stated):
    point = operating_point(stated)
    cores = [*load_cores(stated.cores, None, bulk_density_g_cm3=1.5), accuracy_coupon(), witness_bar()]
    bodies = [printed_body(core, point.process) for core in cores]
    return packed(stated, point, bodies), point


@pytest.mark.parametrize("count", [1, 9, 23])
def test_bars_and_coupons_lie_in_every_box_and_the_gate_passes(count):
    (packing, counts, box, items), point = pack(job(count))
    boxes = 1 + max(place.box for place in packing.placements)
    for number in range(boxes):
        held = Counter(place.core for place in packing.placements if place.box == number)
        assert (held[WITNESS_BAR_ID], held[COUPON_ID]) == (2, 1)
        assert held["a"] > 0
    assert counts == {COUPON_ID: boxes, WITNESS_BAR_ID: 2 * boxes}
    assert check_packing(items, box, plan_rules(point), packing) == ()


def test_a_complete_packing_is_used_as_it_is():
    (packing, *_), _ = pack(job())
    (again, *_), _ = pack(changed(job(), packing=packing.model_dump(by_alias=True)))
    assert again == packing


def test_locked_copies_stay_and_the_rest_is_packed_around_them():
    (packing, *_), _ = pack(job(3))
    kept = next(place for place in packing.placements if place.core == "a")
    locked = kept.model_copy(update={"locked": True, "placed_by": "hand"})
    stated = changed(job(6), packing={"placements": [locked.model_dump(by_alias=True)]})
    (again, _, box, items), point = pack(stated)
    assert locked in again.placements
    assert check_packing(items, box, plan_rules(point), again) == ()


def test_more_bars_than_a_box_holds_is_said():
    with pytest.raises(InputError) as caught:
        pack(job(bars=500))
    assert caught.value.code == "plan.ride_along_fills_boxes"


def test_copies_belong_to_sets_first_then_loose_then_spares():
    stated = job(
        casting_sets=[{"id": "s", "name": "S", "count": 2, "members": [{"core_id": "a", "per_set": 2}]}]
    )
    keys = copy_keys(stated, "a")
    assert [(key.set_id, key.set_index) for key in keys[:5]] == [
        ("s", 0),
        ("s", 0),
        ("s", 1),
        ("s", 1),
        (None, None),
    ]
    assert [key.copy_number for key in keys] == list(range(13))
