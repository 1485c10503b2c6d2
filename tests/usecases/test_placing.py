"""Moving by hand and nesting as children do them, on a planned job of small blocks."""

from __future__ import annotations

import json
import threading

import pytest

from app.runner import PlanFiles, Runner
from corelib.job.files import job_document, read_job
from corelib.job.new import NewJob
from corelib.job.packing_edits import copy_of, with_locked, with_packing, with_placement
from corelib.progress import Progress
from corelib.usecases.core_check import run_core_check
from corelib.usecases.jobs import write_new_job
from corelib.usecases.nesting_run import run_nest
from corelib.usecases.placing import run_placing
from corelib.usecases.plans import run_plan


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A job of six blocks with its plan: path, plan document, answer of the plan's child."""
    folder = tmp_path_factory.mktemp("job")
    path = folder / "blocks.json"
    write_new_job(path, NewJob(meshes=(), blocks=("Plate=120,80,20,0.2=4", "Bar=150,20,20,0.05=2")))
    run = folder / "run"
    run.mkdir()
    answer = run_plan({"job": str(path), "folder": str(run)}, Progress())
    return path, json.loads((run / "plan.json").read_bytes()), answer


def placements(document):
    return [
        {name: value for name, value in place.items() if name != "orientation_label"}
        for place in document["boxes"][0]["placements"]
    ]


def ask(planned, **wish):
    _, document, answer = planned
    return run_placing({**answer, "placements": placements(document), **wish}, Progress())


def test_a_core_is_read_moved_and_stopped(planned):
    read = ask(planned, core="Plate", copy=0)
    assert not read["changed"] and read["refused"] is None
    x = read["placement"]["matrix"][0][3]
    far = ask(planned, core="Plate", copy=0, by_mm=[-10_000.0, 0.0, 0.0])
    assert far["changed"] or far["refused"]
    assert far["placement"]["matrix"][0][3] <= x
    assert far["refused"].startswith("The core goes no further.")
    german = ask(planned, core="Plate", copy=0, by_mm=[-10_000.0, 0.0, 0.0], language="de")
    assert german["refused"].startswith("Der Kern kommt nicht weiter.")
    up = ask(planned, core="Plate", copy=0, by_mm=[0.0, 0.0, 3.1])
    assert up["placement"]["placed_by"] == "hand"
    thickness = planned[1]["boxes"][0]["layer_thickness_mm"]
    rise = up["placement"]["matrix"][2][3] - read["placement"]["matrix"][2][3]
    assert rise / thickness == pytest.approx(round(rise / thickness), abs=1e-6)


def test_a_core_turns_to_what_is_allowed_only(planned):
    read = ask(planned, core="Bar", copy=0)
    assert len(read["orientations"]) == 24
    turned = ask(planned, core="Bar", copy=0, turn=1)
    assert turned["changed"] and turned["orientation"] != read["orientation"]
    same = ask(planned, core="Bar", copy=0, orientation=read["orientation"])
    assert not same["changed"]


def test_a_moved_core_is_one_edit_of_the_job(planned):
    path, document, _ = planned
    job = read_job(path)
    moved = ask(planned, core="Plate", copy=1, by_mm=[0.0, 0.0, 30.0])["placement"]
    after = with_placement(job, placements(document), moved)
    assert after.packing is not None and len(after.packing.placements) == 6
    hand = [place for place in after.packing.placements if place.placed_by == "hand"]
    assert [(place.core, place.copy_number) for place in hand] == [("Plate", 1)]
    locked = with_locked(after, job_document(after)["packing"]["placements"], [copy_of(moved)], True)
    assert locked.packing is not None
    assert [place.locked for place in locked.packing.placements].count(True) == 1


def test_nesting_tells_what_it_finds_and_keeps_what_is_locked(planned):
    path, document, _ = planned
    moved = ask(planned, core="Plate", copy=1, by_mm=[0.0, 0.0, 30.0])["placement"]
    job = with_placement(read_job(path), placements(document), {**moved, "locked": True})
    told = []

    def report(_share, _step, facts):
        told.append(facts)
        return False

    answer = run_nest({"job": str(path), "document": job_document(job), "seconds": None}, Progress(report))
    found = [facts for facts in told if "found" in facts]
    assert found and found[0]["boxes"][0]["cores"] == 6
    assert 0 < found[0]["boxes"][0]["fill_pct"] < 100
    kept = next(p for p in answer["packing"]["placements"] if copy_of(p) == copy_of(moved))
    assert kept["locked"] and kept["matrix"] == moved["matrix"]
    assert not answer["is_better"]  # the locked core keeps the box as high as it is
    free = with_placement(job, placements(document), {**moved, "locked": False})
    lower = run_nest({"job": str(path), "document": job_document(free)}, Progress())
    assert lower["is_better"]
    assert lower["boxes"][0]["height_mm"] < answer["boxes"][0]["height_mm"]
    again = with_packing(job, lower["packing"]["placements"], lower["search"])
    assert not run_nest({"job": str(path), "document": job_document(again)}, Progress())["is_better"]


def test_a_core_of_the_job_is_checked_alone(planned):
    path, _, _ = planned
    answer = run_core_check({"job": str(path), "document": job_document(read_job(path)), "core": "Bar"},
                            Progress())  # fmt: skip
    assert all(finding["core"] == "Bar" and finding["message"] for finding in answer["findings"])


def test_the_runner_measures_while_a_plan_is_made(planned, tmp_path):
    path, document, _ = planned
    runner = Runner(runs=tmp_path / "runs")
    try:
        files = PlanFiles(path.parent, path.parent / "run" / "plan.json", path.parent / "run" / "meshes")
        read = runner.place(files, {"placements": placements(document), "core": "Bar", "copy": 1})
        assert read["side"]["side"]
        found = []
        nested = runner.nest(
            path, job_document(read_job(path)), lambda *_: None, found.append, threading.Event(), None
        )
        assert found and len(nested["packing"]["placements"]) == 6
    finally:
        runner.end()
