"""Magnesium stops until a named person answers for it; what is lifted stays in sight."""

import json

import pytest

from corelib.checks.lifted_stops import lifted_findings
from corelib.errors import InputError
from corelib.export.cautions import cautions_before
from corelib.findings import Finding, has_stop
from corelib.job.acknowledged import LiftedStop
from corelib.job.edits import with_alloy, with_lifted_stop, without_lifted_stop
from corelib.job.files import job_document, job_from_document
from corelib.job.models import Block, CoreItem, Job, LooseCores
from corelib.job.operating_point import DEFAULT_PROFILES
from corelib.layers.cache import LayerCache
from corelib.plan.build import build_plan
from corelib.plan.document import plan_document

CODE = "casting.magnesium"


@pytest.fixture
def job() -> Job:
    core = CoreItem(id="bar", name="Bar", block=Block(size_mm=(120.0, 60.0, 45.0), mass_kg=0.4))
    return Job(
        name="bars",
        currency="EUR",
        cores=(core,),
        loose=(LooseCores(core_id="bar", count=2),),
        profiles=DEFAULT_PROFILES,
    )


def planned(job: Job, tmp_path, language="en"):
    plan = build_plan(job, tmp_path, cache=LayerCache(tmp_path / "sections"))
    return plan, json.loads(json.dumps(plan_document(plan, language)))


def magnesium_caution(document):
    found = [c for c in cautions_before("step_cast", document) if c.code == "magnesium"]
    return found[0] if found else None


def test_an_alloy_left_unstated_is_noted_and_counts_as_magnesium_on_the_sheets(job, tmp_path):
    plan, document = planned(job, tmp_path)
    codes = {finding.code: finding.severity for finding in plan.findings}
    assert codes["casting.alloy_not_stated"] == "note" and CODE not in codes
    assert "STOP for magnesium" in magnesium_caution(document).stop


def test_aluminium_is_no_magnesium(job, tmp_path):
    plan, document = planned(with_alloy(job, "aluminium"), tmp_path)
    assert not {CODE, "casting.alloy_not_stated"} & {finding.code for finding in plan.findings}
    assert magnesium_caution(document) is None


def test_magnesium_stops_until_a_named_person_lifts_it(job, tmp_path):
    poured = with_alloy(job, "magnesium")
    plan, _ = planned(poured, tmp_path)
    assert has_stop(plan.findings)
    lifted = with_lifted_stop(poured, CODE, None, "A. Weber", "Inhibitor KBF4, trial 12", "2026-11-27")
    plan, document = planned(lifted, tmp_path)
    assert not has_stop(plan.findings)
    found = next(finding for finding in document["findings"] if finding["code"] == CODE)
    assert found["severity"] == "check"
    assert found["lifted"] == {"by": "A. Weber", "reason": "Inhibitor KBF4, trial 12", "date": "2026-11-27"}
    assert found["message"].startswith("Stop lifted by A. Weber (2026-11-27), because: Inhibitor KBF4")
    assert magnesium_caution(document).stop.startswith("Stop lifted by A. Weber")
    assert job_from_document(job_document(lifted), "here") == lifted
    assert has_stop(planned(without_lifted_stop(lifted, CODE, None), tmp_path)[0].findings)


def test_lifting_what_does_not_stop_is_noted(job, tmp_path):
    plan, _ = planned(with_lifted_stop(job, CODE, None, "A. Weber", "just in case"), tmp_path)
    assert "plan.lifts_nothing" in {finding.code for finding in plan.findings}


@pytest.mark.parametrize(
    ("by", "reason"), [("", "because"), ("  ", "because"), ("A. Weber", " "), ("A. Weber", "")]
)
def test_nobody_lifts_a_stop_without_name_and_reason(job, by, reason):
    with pytest.raises(InputError):
        with_lifted_stop(job, CODE, None, by, reason)


def test_a_body_without_an_honest_figure_stays_a_stop(job):
    with pytest.raises(InputError) as error:
        with_lifted_stop(job, "mesh.no_volume", "bar", "A. Weber", "we know this mesh")
    assert error.value.code == "job.stop_stays"
    forced = LiftedStop.model_construct(code="mesh.no_volume", core="bar", by="A", reason="b", date=None)
    stop = Finding("mesh.no_volume", "stop", core="bar")
    assert lifted_findings([stop], [forced]) == (stop,)


def test_a_stop_on_another_core_stays():
    stops = [LiftedStop(code="nesting.out_of_box", core="a", by="A. Weber", reason="a reason")]
    found = lifted_findings(
        [Finding("nesting.out_of_box", "stop", core="a"), Finding("nesting.out_of_box", "stop", core="b")],
        stops,
    )
    assert [(finding.core, finding.severity) for finding in found] == [("b", "stop"), ("a", "check")]
