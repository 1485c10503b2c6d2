"""Regions to keep out of, whole pixels and wishes: changed one by one, refused as a whole."""

from __future__ import annotations

import pytest

from corelib.errors import InputError
from corelib.job import packing_rule_edits as rule_edits
from corelib.job.models import Job
from tests.app.invented_plan import job_document as invented


@pytest.fixture
def job():
    return Job.model_validate(invented())


def test_a_region_is_added_changed_and_taken_out(job):
    one = rule_edits.with_new_region(job, "sensor")
    assert [(r.reason, r.low_mm, r.high_mm) for r in one.box.keep_out] == [
        ("sensor", (0, 0, 0), (50, 50, 50))
    ]
    wide = rule_edits.with_region_value(one, 0, "high_mm", 0, 120.0)
    assert wide.box.keep_out[0].high_mm == (120.0, 50.0, 50.0)
    named = rule_edits.with_region_value(wide, 0, "reason", None, "probe")
    assert rule_edits.with_region_value(named, 0, "gap_mm", None, 4.0).box.keep_out[0].gap_mm == 4.0
    with pytest.raises(InputError):
        rule_edits.with_region_value(one, 0, "low_mm", 2, 60.0)  # inside out
    assert rule_edits.without_region(one, 0) == job


def test_wishes_and_pixels_are_stated(job):
    assert rule_edits.with_wish(job, "heavy_low", 2.0).wishes.heavy_low == 2.0
    with pytest.raises(InputError):
        rule_edits.with_wish(job, "even_area", 101.0)
    assert rule_edits.with_whole_pixels(job, True).box.snap_to_pixels
