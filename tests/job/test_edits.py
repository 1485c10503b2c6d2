"""Edits of a job: a new job each, checked; the old one stays; what is refused changes nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from corelib.errors import InputError
from corelib.files import canonical_json
from corelib.job import edits
from corelib.job.files import job_document, read_job
from corelib.job.models import Job
from corelib.job.operating_point import operating_point

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "pump_housing.json"


@pytest.fixture
def job() -> Job:
    """Return the pump housing job."""
    return read_job(SAMPLE)


def test_a_set_count_multiplies_its_cores(job: Job) -> None:
    before = canonical_json(job_document(job))
    more = edits.with_set_count(job, "housing", 8)
    assert more.copies()["inlet_elbow"] == 8
    assert more.copies()["bearing_jacket"] == 9  # with its spare
    assert canonical_json(job_document(job)) == before
    with pytest.raises(KeyError):
        edits.with_set_count(job, "none", 1)


@pytest.mark.parametrize("count", [0, -1, 5001])
def test_a_count_out_of_range_is_refused(job: Job, count: int) -> None:
    with pytest.raises(InputError):
        edits.with_set_count(job, "housing", count)


def test_core_values_are_checked_like_a_file(job: Job) -> None:
    assert edits.with_core_value(job, "inlet_elbow", "spares", 3).copies()["inlet_elbow"] == 9
    assert edits.with_core_value(job, "inlet_elbow", "gap_mm", 8.0).core("inlet_elbow").gap_mm == 8.0
    with pytest.raises(InputError):
        edits.with_core_value(job, "inlet_elbow", "gap_mm", -1.0)
    with pytest.raises(InputError):
        edits.with_core_value(job, "inlet_elbow", "colour", "red")


def test_loose_copies_come_and_go(job: Job) -> None:
    some = edits.with_loose_count(job, "inlet_elbow", 2)
    assert some.copies()["inlet_elbow"] == 8
    assert edits.with_loose_count(some, "inlet_elbow", 0) == job


def test_none_takes_the_profiles_value_again(job: Job) -> None:
    wide = edits.with_gap(job, 12.0)
    assert wide.gap_mm == 12.0
    assert edits.with_gap(wide, job.gap_mm) == job
    thin = edits.with_override(job, "process.layer_thickness_mm", 0.25)
    assert operating_point(thin).process.layer_thickness_mm == 0.25
    assert [entry.field for entry in operating_point(thin).overridden][-1] == "process.layer_thickness_mm"
    assert edits.with_override(thin, "process.layer_thickness_mm", None) == job


def test_box_and_extras(job: Job) -> None:
    assert edits.with_box_value(job, "wall_margin_mm", 15.0).box.wall_margin_mm == 15.0
    assert edits.with_extra(job, "witness_bars", 5).extras.witness_bars == 5
    with pytest.raises(InputError):
        edits.with_box_value(job, "inner_mm", (0.0, 100.0, 100.0))
