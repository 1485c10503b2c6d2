"""Cores and casting sets added, changed and taken out: numbers stay, what the job can't be is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.errors import InputError
from corelib.job import set_edits
from corelib.job.files import job_document
from corelib.job.models import Job
from corelib.job.new import NewJob, new_job, with_meshes
from tests.app.invented_plan import job_document as invented


@pytest.fixture
def job():
    return Job.model_validate(invented())


def test_a_new_set_takes_cores_that_have_none(job):
    after = set_edits.with_new_set(job, "Bars")
    assert [(s.name, s.count) for s in after.casting_sets] == [("Pair", 2), ("Bars", 1)]
    assert [member.core_id for member in after.casting_sets[1].members] == ["bar"]
    again = set_edits.with_new_set(after, "All")
    assert {member.core_id for member in again.casting_sets[2].members} == {"ring", "bar"}
    assert len({s.id for s in again.casting_sets}) == 3


def test_a_set_that_goes_leaves_its_cores_loose(job):
    after = set_edits.without_set(job, "pair")
    assert after.casting_sets == ()
    assert after.copies() == job.copies()


def test_a_core_is_put_into_a_set_and_taken_out(job):
    more = set_edits.with_per_set(job, "pair", "bar", 2)
    assert more.copies()["bar"] == 3 + 2 * 2
    assert set_edits.with_per_set(more, "pair", "bar", 0) == job
    with pytest.raises(InputError):
        set_edits.with_per_set(job, "pair", "ring", 0)  # a set of nothing


def test_a_core_that_goes_takes_its_places_along(job):
    more = set_edits.with_per_set(job, "pair", "bar", 2)
    after = set_edits.without_core(more, "bar")
    assert [core.id for core in after.cores] == ["ring"]
    assert after.copies() == {"ring": 2} and after.loose == ()
    with pytest.raises(InputError):
        set_edits.without_core(after, "ring")


def test_a_set_is_called_otherwise(job):
    assert set_edits.with_set_name(job, "pair", "Two").casting_sets[0].name == "Two"


def test_meshes_join_with_ids_of_their_own(tmp_path):
    for name in ("rod.off", "bar.off"):
        (tmp_path / name).write_text("OFF\n0 0 0\n")
    path = tmp_path / "job.json"
    first = new_job(NewJob(meshes=(str(tmp_path / "rod.off"),), unit="mm"), path)
    after = with_meshes(first, [str(tmp_path / "rod.off"), str(tmp_path / "bar.off")], "cm", path)
    assert [core.id for core in after.cores] == ["rod", "rod-2", "bar"]
    assert after.cores[2].mesh is not None and after.cores[2].mesh.unit == "cm"
    assert after.copies() == {"rod": 1, "rod-2": 1, "bar": 1}
    with pytest.raises(InputError):
        with_meshes(first, [str(tmp_path / "bar.off")], None, path)


STEPS = st.one_of(
    st.sampled_from(["a", "b"]).map(lambda name: lambda job: set_edits.with_new_set(job, name)),
    st.tuples(st.sampled_from(["ring", "bar"]), st.integers(0, 4)).map(
        lambda pair: lambda job: set_edits.with_per_set(job, job.casting_sets[-1].id, *pair)
    ),
    st.integers(0, 3).map(
        lambda n: lambda job: set_edits.without_set(job, job.casting_sets[n % len(job.casting_sets)].id)
    ),
)


@settings(max_examples=60, deadline=None)
@given(steps=st.lists(STEPS, max_size=8))
def test_any_edits_give_a_job_that_reads_as_it_is_written(steps):
    job = Job.model_validate(invented())
    for make in steps:
        if not job.casting_sets:
            job = set_edits.with_new_set(job, "again")
        try:
            job = make(job)
        except InputError:
            continue
    assert Job.model_validate(job_document(job)) == job
    assert sum(job.copies().values()) > 0
