"""Layer times, services and phases of a box."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corelib.errors import InputError
from corelib.estimate.box import estimate_box
from corelib.estimate.formula import evaluate
from corelib.estimate.time import StrokeSums, head_speed_mm_s, layer_times, lead_mm
from corelib.layers.strokes import Stroke
from tests.estimate.made import INNER_MM, block_core, block_estimate, block_layers, point


def times_of(layers=None, **values):
    return layer_times(layers or block_layers(), point(**values), INNER_MM)


def test_one_layer_by_hand():
    # 200 mm along x, lead 60.5 mm (run-up at 550 mm/s with 2.5 m/s²), two passes of one strip
    times = times_of()
    travel_mm = 200 + 2 * 550**2 / (2 * 2500)
    stroke_s = travel_mm / 550 + 550 / 2500 + 0.2
    assert lead_mm(point()) == pytest.approx(60.5)
    assert times.time_s[10] == pytest.approx(9.0 + 1.0 + 2 * stroke_s)


def test_layer_times_sum_to_the_printing_phase():
    box = block_estimate()
    assert box.time_s.sum() == pytest.approx(box.time.printing_s.value, rel=1e-12)
    assert box.time.build_s.value == box.time.warm_up_s.value + box.time.printing_s.value


def test_services_fall_where_they_are_due():
    times = times_of(machine__wipe_every_layers=25, machine__refill_every_layers=60)
    assert np.flatnonzero(times.wipes).tolist() == list(range(24, 203, 25))
    assert np.flatnonzero(times.refills).tolist() == [59, 119, 179]
    assert times.time_s[24] - times.time_s[23] == pytest.approx(25.0)


def test_purges_come_by_running_time():
    times = times_of(machine__purge_every_s=600.0)
    running_s = times.time_s - times.purges * 30.0
    assert times.purges.sum() == int(running_s.sum() // 600.0)
    assert times.purges.max() == 1


def test_printing_one_way_doubles_the_moves():
    assert times_of(machine__prints_both_ways=False).strokes[10] == 2 * times_of().strokes[10]


def test_a_machine_that_cannot_skip_runs_over_the_whole_box_in_every_layer():
    times = times_of(machine__skips_empty_strokes=False)
    assert set(times.strokes) == {2}
    assert times.travel_mm[0] == pytest.approx(800 + 2 * 60.5)
    assert times.time_s[0] == times.time_s[10]


def test_travel_axis_turns_extent():
    along_y = times_of(machine__travel_axis="y")
    assert along_y.travel_mm[10] == pytest.approx(150 + 2 * 60.5)


def test_strips_beyond_the_head():
    # head 512 mm less 2 mm overlap: 700 mm across need two strips, two passes each
    wide = block_layers(size_mm=(200.0, 700.0, 3.0))
    assert layer_times(wide, point(), (800.0, 900.0, 400.0)).strokes[3] == 4


def test_strips_stand_at_the_boxs_edge():
    # 512 mm head in a box 900 mm wide: an extent from 450 to 600 mm lies in both strips
    wide = point()
    layers = block_layers(size_mm=(200.0, 150.0, 3.0))
    extent = layers.extent_mm + np.array([0.0, 350.0, 0.0, 350.0])
    times = layer_times(replace(layers, extent_mm=extent), wide, (800.0, 900.0, 400.0))
    assert times.strokes[3] == 4
    assert layer_times(layers, wide, (800.0, 900.0, 400.0)).strokes[3] == 2


def test_strokes_of_the_images_take_the_place_of_the_extent():
    layers = block_layers()
    by_extent = layer_times(layers, point(), INNER_MM)
    same = [
        [] if not n else [Stroke(k, 0, p, 100.0, 300.0) for p in range(2)]
        for k, n in enumerate(by_extent.strokes)
    ]
    by_list = layer_times(layers, point(), INNER_MM, StrokeSums.of(same))
    assert np.allclose(by_list.time_s, by_extent.time_s, rtol=1e-12)
    # of two strokes, one half as long: 100 mm less to travel at 550 mm/s
    shorter = [layer[:1] + [Stroke(s.layer, 0, 1, 100.0, 200.0) for s in layer[1:]] for layer in same]
    by_shorter = layer_times(layers, point(), INNER_MM, StrokeSums.of(shorter))
    assert by_extent.time_s[10] - by_shorter.time_s[10] == pytest.approx(100.0 / 550.0)
    box = estimate_box(layers, point(), INNER_MM, (block_core(),), StrokeSums.of(shorter))
    line = box.time.strokes_s
    assert evaluate(line.formula, line.inputs) == pytest.approx(line.value, rel=1e-12)


def test_head_never_outruns_its_nozzles():
    slow = point(head__firing_khz=2.0)
    assert head_speed_mm_s(slow) == pytest.approx(200.0)
    codes = [finding.code for finding in block_estimate(head__firing_khz=2.0).findings]
    assert "estimate.head_faster_than_nozzles" in codes
    assert not block_estimate().findings


def test_overlap_over_the_head_is_refused():
    with pytest.raises(InputError) as caught:
        times_of(head__overlap_mm=600.0)
    assert caught.value.code == "estimate.overlap_over_head"


def test_missing_value_is_asked_for():
    with pytest.raises(InputError) as caught:
        times_of(machine__recoat_s=None)
    assert caught.value.code == "profile.value_missing"
    assert caught.value.facts["field"] == "machine.recoat_s"


FIELDS = ("recoat_s", "platform_s", "dwell_s", "turn_s", "wipe_s", "refill_s", "purge_s", "warm_up_s")


@given(st.sampled_from(FIELDS), st.floats(0, 100), st.floats(0, 100))
def test_time_never_falls_when_a_step_takes_longer(field, one, other):
    short, long = sorted((one, other))
    build = [block_estimate(**{f"machine__{field}": value}).time.build_s.value for value in (short, long)]
    assert build[0] <= build[1] * (1 + 1e-12)


@given(st.floats(50, 700), st.floats(50, 450))
def test_time_never_falls_with_a_larger_extent(x_mm, y_mm):
    small = times_of(block_layers(size_mm=(50.0, 50.0, 6.0)))
    large = times_of(block_layers(size_mm=(x_mm, y_mm, 6.0)))
    assert np.all(large.time_s >= small.time_s)


def test_unpacking_by_litre_comes_on_top():
    by_core = block_estimate().time.unpack_s.value
    by_litre = block_estimate(rates__unpack_min_per_litre=2.0).time.unpack_s.value
    assert by_litre - by_core == pytest.approx(2.0 * 1.8 * 60)
