"""The door for nesting and the command `corestow nest`, end to end on small jobs of blocks."""

from __future__ import annotations

import json
import re
import threading
import time

import numpy as np
import pytest

from app.cli import run
from corelib.errors import InputError
from corelib.job.files import changed, read_job, write_job
from corelib.job.new import NewJob
from corelib.progress import Progress
from corelib.usecases.jobs import write_new_job
from corelib.usecases.nesting import nest_job
from tests.pace import answered_s


def no_window(_):
    raise AssertionError("a command opens no window")


@pytest.fixture
def job(tmp_path):
    path = tmp_path / "blocks.json"
    write_new_job(path, NewJob(meshes=(), blocks=("Plate=120,80,20,0.2=6", "Bar=150,20,20,0.05=8")))
    stated = read_job(path)
    plate, bar = (core.id for core in stated.cores)
    sets = {"id": "s", "name": "Set", "count": 3, "members": [{"core_id": plate, "per_set": 2}]}
    box = {**stated.box.model_dump(), "inner_mm": (320.0, 240.0, 200.0)}
    bars = {"core_id": bar, "count": 8}
    write_job(changed(stated, casting_sets=[sets], loose=[bars], box=box), path)
    return path


def places(packing):
    return {(p.core, p.copy_number): (p.box, rounded(p)) for p in packing.placements}


def rounded(place):
    """The matrix to what a file keeps of it."""
    return tuple(np.round(np.ravel(place.matrix), 9).tolist())


def test_the_command_tells_height_fill_bounds_sets_order_and_effort(job, capsys):
    before = job.read_bytes()
    assert run(["nest", str(job)], no_window) in (0, 1)
    out = capsys.readouterr().out
    found = nest_job(job)
    (box,) = found.boxes
    line = re.match(
        r"Box 1: (\d+) cores, 3 whole sets, height ([\d.]+) mm, filled to ([\d.]+) %; no packing is "
        r"lower than ([\d.]+) mm \((.+)\), (\d+) % above it; limited by: (.+)",
        out,
    )
    assert line, out
    assert int(line[1]) == box.cores == 14 + sum("witness" in p.core for p in found.packing.placements)
    assert float(line[2]) == pytest.approx(box.height_mm, abs=0.05)
    assert float(line[4]) == pytest.approx(box.bound_mm, abs=0.05)
    assert "Unpacking box 1:" in out and "all straight up" in out
    assert "Search: seed 0, 0 candidate evaluations" in out
    assert job.read_bytes() == before


def test_written_packing_is_the_one_found_and_the_plan_uses_it(job, tmp_path, capsys):
    write_job(changed(read_job(job), search={"seed": 0, "effort": 200_000}), job)
    assert run(["nest", str(job), "--seed", "3", "--write"], no_window) in (0, 1)
    out = capsys.readouterr().out
    kept = read_job(job)
    assert kept.search.seed == 3
    effort = int(re.search(r"seed 3, (\d+) candidate", out)[1])
    assert kept.search.effort == effort
    assert run(["plan", str(job), "--out", str(tmp_path / "plan")], no_window) in (0, 1)
    plan = json.loads((tmp_path / "plan" / "plan.json").read_text(encoding="utf-8"))
    assert plan["packed_by"] == "job"
    height = float(re.search(r"height ([\d.]+) mm", out)[1])
    assert plan["boxes"][0]["quality"]["height_mm"] == pytest.approx(height, abs=0.05)


def test_the_lines_are_there_in_german(job, capsys):
    assert run(["nest", str(job), "--language", "de"], no_window) in (0, 1)
    out = capsys.readouterr().out
    assert "Kasten 1:" in out and "Sandstände" in out and "Box" not in out


@pytest.mark.parametrize("workers", [1, 2])
def test_a_cancel_ends_the_search_and_keeps_the_best(job, monkeypatch, workers):
    monkeypatch.setattr("corelib.usecases.nesting.os.cpu_count", lambda: workers)
    stated = read_job(job)
    cores = [c.model_dump(by_alias=True) for c in stated.cores]
    write_job(changed(stated, cores=cores, loose=[{"core_id": cores[1]["id"], "count": 40}]), job)
    wish, flagged = threading.Event(), []

    def report(share, step, facts):
        if step == "improve" and not wish.is_set():
            wish.set()
            flagged.append(time.monotonic())
        return wish.is_set()

    found = nest_job(job, seconds=60, write=True, progress=Progress(report))
    assert time.monotonic() - flagged[0] < answered_s(60)
    assert found.was_cancelled
    assert "ended early" in found.lines[-1]
    assert places(read_job(job).packing) == places(found.packing)
    again = nest_job(job)  # complete and in order
    assert len(found.packing.placements) == len(again.packing.placements)


def test_ctrl_c_prints_the_best_so_far(job, monkeypatch, capsys):
    from corelib.nesting import portfolio

    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(portfolio.Portfolio, "run_round", interrupted)
    assert run(["nest", str(job), "--seconds", "5"], no_window) == 130
    assert "ended early" in capsys.readouterr().out


def test_urgent_cores_come_in_and_the_rest_stays(job):
    first = nest_job(job, write=True)
    stated = read_job(job)
    (bars,) = stated.loose
    write_job(changed(stated, loose=[{"core_id": bars.core_id, "count": bars.count + 2}]), job)
    found = nest_job(job, keep=True)
    was, now = places(first.packing), places(found.packing)
    assert found.changes is not None
    assert sorted(found.changes.added) == [(bars.core_id, 8), (bars.core_id, 9)]
    assert found.changes.moved == found.changes.dropped == ()
    assert all(now[key] == at for key, at in was.items())
    assert not any(p.locked for p in found.packing.placements)
    assert not found.has_stop
    assert any(line.startswith("Added: 2 (Bar 9, Bar 10)") for line in found.lines)


def test_a_set_more_takes_over_the_same_places_and_what_is_not_wanted_goes(job):
    first = nest_job(job, write=True)
    stated = read_job(job)
    (one,) = stated.casting_sets
    (bars,) = stated.loose
    more = {**one.model_dump(), "count": 4}
    write_job(changed(stated, casting_sets=[more], loose=[{"core_id": bars.core_id, "count": 5}]), job)
    found = nest_job(job, keep=True)
    assert len(found.changes.added) == 2 and len(found.changes.dropped) == 3
    assert found.changes.moved == ()
    old = {rounded(p) for p in first.packing.placements}
    assert sum(rounded(p) in old for p in found.packing.placements) == len(first.packing.placements) - 3
    assert found.boxes[0].whole_sets == 4


def test_a_core_that_can_t_stay_moves_and_is_named(job):
    first = nest_job(job, write=True)
    bar = next(p for p in first.packing.placements if "bar" in p.core.lower() and p.copy_number == 0)
    low = np.array(bar.matrix)[:3, 3]
    stated = read_job(job)
    zone = {"reason": "repair", "low_mm": (low - 1).tolist(), "high_mm": (low + 1).tolist()}
    write_job(changed(stated, box={**stated.box.model_dump(), "keep_out": [zone]}), job)
    found = nest_job(job, keep=True)
    assert found.changes.moved == ((bar.core, 0),)
    assert found.changes.added == ()
    assert not found.has_stop


def test_rules_that_contradict_are_refused_before_the_search(job):
    stated = read_job(job)
    zone = {"reason": "clamps", "low_mm": (0, 0, 0), "high_mm": (320, 240, 190)}
    write_job(changed(stated, box={**stated.box.model_dump(), "keep_out": [zone]}), job)
    started = time.monotonic()
    with pytest.raises(InputError) as caught:
        nest_job(job, seconds=60)
    assert caught.value.code == "nesting.no_room_beside_zones"
    assert time.monotonic() - started < 40  # the search would take sixty


def test_how_many_sets_a_box_holds(job, capsys):
    stated = read_job(job)
    plate = stated.casting_sets[0].members[0].core_id
    cores = [c.model_dump(by_alias=True) for c in stated.cores if c.id == plate]
    write_job(changed(stated, cores=cores, loose=(), extras={}), job)
    assert run(["nest", str(job), "--most-sets"], no_window) == 0
    held = int(re.match(r"A full box holds (\d+) whole sets of each kind\.", capsys.readouterr().out)[1])
    for count, boxes in ((held, 1), (held + 1, 2)):
        sets = {**stated.casting_sets[0].model_dump(), "count": count}
        write_job(changed(read_job(job), casting_sets=[sets]), job)
        assert len(nest_job(job).boxes) == boxes


def test_cores_outside_sets_leave_no_box_of_sets_alone(job, capsys):
    assert run(["nest", str(job), "--most-sets", "--language", "de"], no_window) == 0
    assert capsys.readouterr().out.startswith("Kein voller Kasten")
