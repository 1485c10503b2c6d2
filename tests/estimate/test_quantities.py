"""Binder, sand and additive of a box: by hand, balances and properties."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.errors import InputError
from corelib.estimate.box import estimate_box, estimate_job
from tests.estimate.made import block_core, block_estimate, block_layers, point


def test_block_by_hand():
    # 200 × 150 × 60 mm = 1.8 L at 1.46 g/cm³ is 2.628 kg of mix; 0.8 additive and 2.0 binder on 100 of sand
    printed = block_estimate().printed
    sand_kg = 2.628 / 1.008
    assert printed.printed_volume_mm3.value == pytest.approx(1.8e6)
    assert printed.printed_mix_kg.value == pytest.approx(2.628)
    assert printed.printed_sand_kg.value == pytest.approx(sand_kg)
    assert printed.binder_kg.value == pytest.approx(0.02 * sand_kg)
    assert printed.binder_l.value == pytest.approx(0.02 * sand_kg / 1.29)
    assert printed.cores_kg.value == pytest.approx(2.628 + 0.02 * sand_kg)


def test_bed_by_hand():
    # 203 layers × 0.3 mm = 60.9 mm in 800 × 500 mm is 24.36 L, 35.5656 kg of mix; 4 % overfeed
    bed = block_estimate().bed
    assert bed.bed_mix_kg.value == pytest.approx(35.5656)
    assert bed.bed_sand_kg.value + bed.additive_kg.value == pytest.approx(35.5656)
    assert bed.additive_kg.value == pytest.approx(0.008 * bed.bed_sand_kg.value)
    assert bed.overfeed_mix_kg.value == pytest.approx(0.04 * 35.5656)
    loose = 1.04 * 35.5656 - 2.628
    assert bed.loose_mix_kg.value == pytest.approx(loose)
    assert bed.reclaimed_kg.value == pytest.approx(0.94 * loose)
    assert bed.lost_kg.value == pytest.approx(0.06 * loose)
    assert bed.set_aside_kg.value == pytest.approx(0.0, abs=1e-9)
    assert bed.gross_box_kg.value == pytest.approx(35.5656 + 0.02 * 2.628 / 1.008 + 110.0)


def test_box_of_one_cubic_metre_and_a_quarter_is_nearly_two_tonnes():
    # 1.8 × 1.0 × 0.7 m filled with a bed of 1.43 g/cm³ is 1.8 t of sand
    layers = block_layers(size_mm=(1000.0, 500.0, 699.0), base=2, cover=1, thickness_mm=0.3)
    box = estimate_box(layers, point(sand__bulk_density_g_cm3=1.43), (1800.0, 1000.0, 700.0), (block_core(),))
    assert box.bed.bed_mix_kg.value == pytest.approx(1801.8, rel=1e-3)


def test_dose_and_drops_agree_at_the_drop_volume_that_the_dose_asks_for():
    dose = 0.02 / 1.008 * 1.46e3 * 0.3e-3  # kg/m² in one layer
    drop_pl = dose / 1290 * (0.1e-3) ** 2 * 1e15
    box = block_estimate(head__drop_volume_pl=drop_pl)
    assert box.binder.disagreement_pct.value == pytest.approx(0.0, abs=1e-9)
    off = block_estimate(head__drop_volume_pl=drop_pl * 1.06)
    assert off.binder.disagreement_pct.value == pytest.approx(6.0)
    assert [finding.code for finding in off.findings] == ["estimate.dose_and_drops_disagree"]
    assert not block_estimate(head__drop_volume_pl=drop_pl * 1.04).findings


def test_drops_alone_carry_the_plan_where_no_dose_is_stated():
    box = block_estimate(process__binder_on_sand_pct=None)
    assert box.binder.by_dose_l is None
    assert box.printed.binder_l.value == box.binder.by_drops_l.value
    # 1 drop of 68 pL on every 0.1 × 0.1 mm of 200 layers of 200 × 150 mm
    assert box.printed.binder_l.value == pytest.approx(200 * 200 * 150 / 0.01 * 68e-12)


def test_dose_is_asked_for_where_neither_side_is_stated():
    with pytest.raises(InputError) as caught:
        block_estimate(process__binder_on_sand_pct=None, head__drop_volume_pl=None)
    assert caught.value.facts["field"] == "process.binder_on_sand_pct"


def test_binder_of_the_layers_sums_to_the_box():
    box = block_estimate()
    assert math.fsum(box.binder_ml) / 1000 == pytest.approx(box.printed.binder_l.value, rel=1e-12)
    assert np.all(box.binder_ml[:2] == 0.0)


def test_services_take_binder_too():
    box = block_estimate()
    wipes, purges = box.layer_times.wipes.sum(), box.layer_times.purges.sum()
    assert box.printed.binder_services_l.value == pytest.approx((6.0 * wipes + 40.0 * purges) / 1000)
    assert box.printed.binder_drawn_kg.value == pytest.approx(
        box.printed.binder_kg.value + 1.29 * box.printed.binder_services_l.value
    )


shares = st.floats(0, 100)


@given(reclaimed=shares, lost=shares, kept=shares, additive=st.floats(0, 5), overfeed=st.floats(0, 50))
def test_sand_is_balanced(reclaimed, lost, kept, additive, overfeed):
    lost = min(lost, 100 - reclaimed)
    bed = block_estimate(
        sand__reclaimed_pct=reclaimed,
        sand__lost_pct=lost,
        additive__kept_in_reclaim_pct=kept,
        additive__additive_on_sand_pct=additive,
        machine__recoater_overfeed_pct=overfeed,
    ).bed
    drawn = bed.bed_mix_kg.value + bed.overfeed_mix_kg.value
    gone = bed.with_cores_kg.value + bed.reclaimed_kg.value + bed.lost_kg.value + bed.set_aside_kg.value
    assert gone == pytest.approx(drawn, rel=1e-9)
    # fresh sand and reclaimed sand together are what is drawn; lost additive is made up
    sand_drawn = drawn / (1 + additive / 100)
    assert bed.fresh_sand_kg.value + bed.reclaimed_kg.value / (1 + additive / 100) == pytest.approx(
        sand_drawn
    )
    assert bed.fresh_additive_kg.value >= bed.fresh_sand_kg.value * additive / 100 - 1e-9


def test_reclaim_and_loss_over_all_the_sand_is_refused():
    with pytest.raises(InputError) as caught:
        block_estimate(sand__reclaimed_pct=97.0, sand__lost_pct=4.0)
    assert caught.value.code == "estimate.reclaim_over_100"


@given(st.floats(0.2, 8.0), st.floats(0.2, 8.0))
def test_binder_grows_with_the_dose(one, other):
    low, high = sorted((one, other))
    kg = [block_estimate(process__binder_on_sand_pct=dose).printed.binder_kg.value for dose in (low, high)]
    assert kg[0] <= kg[1]


def test_job_is_the_sum_of_its_boxes():
    boxes = [block_estimate(box=number) for number in range(2)]
    job = estimate_job(boxes)
    assert job.printed.layer_count.value == 406
    assert job.build_time_s == 2 * boxes[0].time.build_s.value
