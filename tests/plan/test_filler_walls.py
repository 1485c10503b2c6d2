"""Filler walls: a footprint in whole steps around the cores, less sand by as much, the rest unchanged."""

import json
from datetime import date

import numpy as np
import pytest

from app.cli import run
from corelib.geometry.pose import moved
from corelib.job.files import changed, read_job, write_job
from corelib.job.nesting_rules import FillerWalls
from corelib.job.new import NewJob
from corelib.nesting.filler import filled_footprints, smaller_footprints
from corelib.nesting.model import NestRules
from corelib.nesting.tiers import pack_in_tiers
from corelib.usecases.jobs import write_new_job
from corelib.usecases.plans import plan_build
from tests.nesting.bodies import block, build_box, item

WALLS = {"step_mm": 50.0, "most_mm": (200.0, 150.0)}


@pytest.fixture
def job(tmp_path):
    path = tmp_path / "tall.json"
    write_new_job(path, NewJob(meshes=(), blocks=("Tower=60,60,180,0.4=3",)))
    stated = read_job(path)
    box = {**stated.box.model_dump(), "inner_mm": (600.0, 400.0, 300.0)}
    cores = [{**c.model_dump(by_alias=True), "orientations": {"rule": "fixed"}} for c in stated.cores]
    write_job(changed(stated, box=box, cores=cores, extras={}), path)
    return path


def with_walls(path):
    stated = read_job(path)
    write_job(changed(stated, box={**stated.box.model_dump(), "filler_walls": WALLS}), path)
    return path


def test_the_sand_that_filler_walls_save_is_said_and_time_and_height_stay(job):
    without = plan_build(job)
    plan = plan_build(with_walls(job))
    (box,), (old,) = plan.estimate.boxes, without.estimate.boxes
    removed = np.subtract((600.0, 400.0), box.filled_mm)
    assert removed.max() > 0
    np.testing.assert_allclose(removed % 50.0, 0.0)
    assert (removed <= (200.0, 150.0)).all()
    assert box.height_mm == old.height_mm
    assert plan.box.inner_mm == without.box.inner_mm
    share = box.filled_mm[0] * box.filled_mm[1] / (600.0 * 400.0)
    assert box.bed.bed_mix_kg.value == pytest.approx(share * old.bed.bed_mix_kg.value)
    assert box.printed.binder_kg.value == pytest.approx(old.printed.binder_kg.value)
    (note,) = [f for f in plan.findings if f.code == "nesting.filler_walls"]
    assert note.facts["saved_kg"] == pytest.approx(old.bed.bed_mix_kg.value - box.bed.bed_mix_kg.value)
    margin = plan.box.wall_margin_mm
    for body in plan.packing.placements:
        (core,) = plan.cores
        far = moved(core.mesh.vertices_mm, np.array(body.matrix)).max(axis=0)
        assert (far[:2] + margin <= np.add(box.filled_mm, 1e-6)).all()


def test_a_given_packing_is_left_as_it_is(job, tmp_path):
    assert run(["nest", str(with_walls(job)), "--write"], lambda _: 99) in (0, 1)
    before = read_job(job).packing
    plan = plan_build(job)
    assert plan.packing == before
    assert plan.estimate.boxes[0].filled_mm[0] < 600.0
    assert run(["plan", str(job), "--out", str(tmp_path / "out")], lambda _: 99) in (0, 1)
    document = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert document["boxes"][0]["filled_mm"] == list(plan.estimate.boxes[0].filled_mm)


def test_whole_steps_within_the_stated_reduction():
    walls, box = FillerWalls(step_mm=40.0, most_mm=(100.0, 0.0)), build_box(300, 200, 150)
    assert smaller_footprints(box, walls) == [(220.0, 200.0), (260.0, 200.0)]
    one = item("a", block(55, 40, 30), 1)
    packing = pack_in_tiers([one], box, NestRules(0.3))
    assert filled_footprints([one], box, walls, packing) == ((220.0, 200.0),)
    assert filled_footprints([one], box, None, packing) == ((300.0, 200.0),)


def test_a_box_done_after_its_day_is_named(job):
    stated = read_job(job)
    (loose,) = stated.loose
    start = date(2026, 3, 2)
    terms = {} if stated.quotation is None else stated.quotation.model_dump()
    for due, late in (("2026-03-02", True), ("2026-12-24", False)):
        due_loose = [{**loose.model_dump(), "due_date": due}]
        terms = {**terms, "start_date": start.isoformat()}
        write_job(changed(stated, loose=due_loose, quotation=terms), job)
        plan = plan_build(job)
        assert plan.schedule is not None and plan.schedule.start_day is not None
        found = [f for f in plan.findings if f.code == "nesting.due_missed"]
        assert bool(found) == (late and plan.schedule.done_day.isoformat() > due)
        assert not late or found[0].facts["done"] == plan.schedule.done_day.isoformat()
