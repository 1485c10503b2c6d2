"""The plan picked of several: kept in the job with its reason, and no plan gets out of date by it."""

from __future__ import annotations

import pytest

from corelib.errors import InputError
from corelib.job.edits import with_choice, without_choice
from corelib.job.files import job_document, job_from_document
from corelib.plan.document import job_sha256
from tests.app.invented_plan import job_document as invented

CHOICE = {
    "plan": "low boxes",
    "plan_sha256": "ab" * 32,
    "among": ["low boxes", "few boxes"],
    "by": "A. Planner",
    "reason": "unpacked without a crane",
    "date": "2026-11-27",
}


def test_a_choice_is_kept_and_withdrawn():
    job = job_from_document(invented(), "invented")
    assert job.choice is None  # as in files from before
    chosen = with_choice(job, CHOICE)
    again = job_from_document(job_document(chosen), "again")
    assert again.choice is not None and again.choice.reason == "unpacked without a crane"
    assert again == chosen and with_choice(chosen, None) == job == without_choice(chosen)


def test_a_choice_makes_no_plan_out_of_date():
    job = job_from_document(invented(), "invented")
    assert job_sha256(with_choice(job, CHOICE)) == job_sha256(job)


@pytest.mark.parametrize("wrong", [{"reason": " "}, {"by": ""}, {"date": "soon"}, {"plan_sha256": "abc"}])
def test_a_choice_needs_name_reason_and_day(wrong):
    with pytest.raises(InputError):
        with_choice(job_from_document(invented(), "invented"), {**CHOICE, **wrong})
