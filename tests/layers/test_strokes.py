"""Strips, passes and strokes of the head: every row has its nozzle, empty strokes are skipped."""

import numpy as np
import pytest

from corelib.errors import InputError
from corelib.layers.grid import PixelGrid
from corelib.layers.raster import LayerPixels
from corelib.layers.strokes import StrokeRules, head_layout, layer_strokes, nozzle_pixels

GRID = PixelGrid("x", 0.1, 0.1, 1000, 500)
RULES = StrokeRules(skips_empty=True, prints_both_ways=True, first_from_low=True)


def layout(nozzles=100, pitch=0.2, overlap=0.0, passes=2, shift=0, grid=GRID):
    return head_layout(
        grid,
        nozzle_count=nozzles,
        nozzle_pitch_mm=pitch,
        overlap_mm=overlap,
        passes=passes,
        shift_rows=shift,
    )


def drawn(rows, reach=(100, 200)):
    """A layer with pixels on these rows."""
    pixels = np.zeros(500, dtype=np.int32)
    pixels[list(rows)] = reach[1] - reach[0]
    ends = np.tile(np.array([2**31 - 1, 0], dtype=np.int32), (500, 1))
    ends[list(rows)] = reach
    return LayerPixels(7, pixels, ends, 0, 0)


def test_a_head_as_wide_as_the_box_has_one_strip():
    made = layout(nozzles=250)
    assert (made.strips, made.interlace, made.shares, made.passes) == (1, 2, 1, 2)
    assert made.row_nozzle[:6].tolist() == [0, 0, 1, 1, 2, 2]
    assert made.row_pass[:4].tolist() == [0, 1, 0, 1]
    assert made.row_nozzle[-1] == 249


def test_narrow_heads_go_in_strips_and_every_row_has_one_nozzle():
    made = layout(nozzles=100)  # 200 rows a strip
    assert made.strips == 3
    assert np.bincount(made.row_strip).tolist() == [200, 200, 100]
    pairs = set(zip(made.row_strip.tolist(), made.row_nozzle.tolist(), made.row_pass.tolist(), strict=True))
    assert len(pairs) == 500
    assert (made.row_nozzle >= 0).all()


def test_overlap_is_shared_at_its_middle():
    made = layout(nozzles=100, overlap=4.0)  # 40 rows
    assert made.strips == 3
    changes = np.flatnonzero(np.diff(made.row_strip)) + 1
    assert changes.tolist() == [180, 340]
    assert made.row_nozzle[179] == 89
    assert made.row_nozzle[180] == 10


def test_more_passes_than_rows_in_a_nozzle_pitch_share_the_columns():
    made = layout(nozzles=250, passes=4)
    assert (made.interlace, made.shares, made.passes) == (2, 2, 4)


def test_a_shifted_head_opens_another_strip():
    made = layout(nozzles=250, shift=6)
    assert made.row_nozzle[0] == 3
    assert made.strips == 2
    assert (made.row_strip[493], made.row_strip[494], made.row_nozzle[494]) == (0, 1, 0)
    assert (made.row_nozzle >= 0).all()


@pytest.mark.parametrize(("pitch", "passes"), [(0.25, 2), (0.2, 3), (0.04, 1)])
def test_pitches_that_do_not_fit_are_refused(pitch, passes):
    with pytest.raises(InputError) as caught:
        layout(pitch=pitch, passes=passes)
    assert caught.value.code == "layers.pitch_unfit"


def test_an_overlap_as_wide_as_the_head_is_refused():
    with pytest.raises(InputError) as caught:
        layout(nozzles=100, overlap=20.0)
    assert caught.value.code == "layers.overlap_unfit"


def test_strokes_reach_from_the_first_pixel_to_the_last():
    made = layout(nozzles=100)
    strokes = layer_strokes(drawn([10, 12, 250]), made, GRID, RULES)
    assert [(s.strip, s.pass_number, s.low_mm, s.high_mm) for s in strokes] == [
        (0, 0, 10.0, 20.0),
        (1, 0, 10.0, 20.0),
    ]
    assert strokes[0].layer == 7
    assert strokes[0].printed_mm == 10.0


def test_a_machine_that_cannot_skip_runs_over_the_whole_box():
    made = layout(nozzles=100)
    strokes = layer_strokes(drawn([10]), made, GRID, StrokeRules(False, True, True))
    assert len(strokes) == 3 * 2
    assert {(s.low_mm, s.high_mm) for s in strokes} == {(0.0, 100.0)}
    assert layer_strokes(drawn([]), made, GRID, RULES) == ()


def test_shared_rows_take_a_stroke_in_each_pass():
    made = layout(nozzles=250, passes=4)
    assert [s.pass_number for s in layer_strokes(drawn([11]), made, GRID, RULES)] == [1, 3]


def test_nozzles_count_all_their_rows():
    made = layout(nozzles=100)
    counted = nozzle_pixels(drawn([10, 11, 210, 300]).row_pixels, made)
    assert counted[5] == 3 * 100
    assert counted[50] == 100
    assert counted.sum() == 400


def test_strokes_go_both_ways_in_turn_where_the_machine_prints_so():
    made, layer = layout(nozzles=100), drawn([10, 11, 210, 211])

    def ways(both, from_low):
        return [s.is_forward for s in layer_strokes(layer, made, GRID, StrokeRules(True, both, from_low))]

    assert ways(both=True, from_low=True) == [True, False, True, False]
    assert ways(both=True, from_low=False) == [False, True, False, True]
    assert ways(both=False, from_low=True) == [True] * 4
    assert ways(both=False, from_low=False) == [False] * 4
