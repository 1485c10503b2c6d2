"""Copies on whole pixels: moved by a few pixels at most, gaps kept, alike in their images."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.job.models import Packing, Search
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestRules
from corelib.nesting.packing import pack_build
from corelib.nesting.pixels import on_pixels, pixel_findings
from tests.nesting.bodies import block, bracket, build_box, item
from tests.nesting.test_gate import placed
from tests.nesting.test_tiers import assert_valid_by_itself, jobs

BOX = build_box()
PIXEL_MM = (0.1016, 0.0846)  # 250 and 300 to the inch
RULES = NestRules(layer_thickness_mm=0.3, pixel_mm=PIXEL_MM)


@given(jobs(), st.sampled_from([PIXEL_MM, (0.35, 0.5)]))
@settings(max_examples=10, deadline=None)
def test_every_copy_that_finds_a_pixel_lies_on_it_and_keeps_its_gaps(items, pixel_mm):
    rules = NestRules(layer_thickness_mm=0.3, pixel_mm=pixel_mm)
    before = pack_build(items, BOX, NestRules(layer_thickness_mm=0.3), Search())
    after = on_pixels(items, BOX, rules, before)
    if check_packing(items, BOX, rules, before) == ():
        assert check_packing(items, BOX, rules, after) == ()
    off = sum(finding.facts["count"] for finding in pixel_findings(items, after, pixel_mm))
    pixels = np.array([np.array(p.matrix)[:2, 3] / pixel_mm for p in after.placements])
    assert (np.abs(pixels - pixels.round()).max(axis=1) > 1e-6).sum() == off
    old = {(p.core, p.copy_number): np.array(p.matrix) for p in before.placements}
    for place in after.placements:
        by = np.array(place.matrix) - old[place.core, place.copy_number]
        assert (np.abs(by[:2, 3]) <= 2.5 * np.array(pixel_mm) + 1e-9).all()
        assert by[2, 3] == 0


def test_a_search_on_pixels_gives_valid_packings_with_all_copies_on_them():
    items = [item("a", bracket(70, 60, 30, 14), 8), item("b", block(40, 30, 25), 8)]
    packing = pack_build(items, BOX, RULES, Search())
    assert_valid_by_itself(items, BOX, RULES, packing)
    assert pixel_findings(items, packing, PIXEL_MM) == []


def test_locked_copies_stay_and_are_said():
    a = item("a", block(20, 20, 20), 2)
    locked = placed(a, 0, (30.05, 30.0, 12)).model_copy(update={"locked": True})
    packing = Packing(placements=(locked, placed(a, 1, (90.05, 30.0, 12))))
    after = on_pixels([a], BOX, RULES, packing)
    assert after.placements[0] == locked
    (finding,) = pixel_findings([a], after, PIXEL_MM)
    assert (finding.code, finding.facts) == ("nesting.off_pixels", {"count": 1})
