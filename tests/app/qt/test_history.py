"""Every kind of edit is undone to the same bytes and redone to the same bytes, in any order and number."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.qt.document import Document
from corelib.errors import CorestowError
from corelib.files import canonical_json
from corelib.job import edits, packing_edits, set_edits
from corelib.job.files import job_document, read_job
from corelib.job.models import Job
from tests.app import invented_plan

Step = tuple[str, Callable[[Job], Job]]
CORES = st.sampled_from(["ring", "bar"])
SETS = st.sampled_from(["pair", "set-1", "set-2"])
COUNTS = st.integers(-1, 60)
LENGTHS = st.one_of(st.none(), st.floats(-5.0, 1200.0))
LINES = st.text(max_size=30)
STOPS = st.sampled_from(["loads.platform", "casting.magnesium", "walls.thin"])
ANGLES = st.sampled_from([0.0, 90.0, 180.0])
VALUES = st.sampled_from(
    [
        ("process.layer_thickness_mm", 0.25),
        ("process.layer_thickness_mm", None),
        ("sand.is_silica", False),
        ("binder.viscosity_mpa_s", [{"temperature_c": 20.0, "value": 12.5}]),
        ("machine.box_inner_mm", [700.0, 400.0, 300.0]),
        ("shop.closed_days", ["2026-12-24"]),
        ("binder.viscosity_mpa_s", None),
    ]
)
PLACES = [
    {"box": 0, "core": core, "copy": copy, "matrix": matrix, "placed_by": "search", "locked": False}
    for core, copy, matrix in invented_plan.PLACES
]


CHOICE = {
    "plan": "lower",
    "plan_sha256": "0" * 64,
    "among": ("lower", "cheaper"),
    "by": "A. Founder",
    "reason": "it is done a day sooner",
    "date": "2026-11-27",
}


def moved(number: int, x_mm: float, is_locked: bool) -> dict[str, Any]:
    """Return one of the placements, elsewhere."""
    place = PLACES[number]
    matrix = [list(row) for row in place["matrix"]]
    matrix[0][3] = x_mm
    return {**place, "matrix": matrix, "placed_by": "hand", "locked": is_locked}


def of(edit: Callable[..., Job], *values: st.SearchStrategy[Any]) -> st.SearchStrategy[Step]:
    """Return steps that make an edit with drawn values."""
    return st.tuples(*values).map(lambda drawn: (edit.__name__, lambda job: edit(job, *drawn)))


KINDS: dict[str, st.SearchStrategy[Step]] = {
    "with_set_count": of(edits.with_set_count, SETS, COUNTS),
    "with_core_value": st.one_of(
        of(edits.with_core_value, CORES, st.just("spares"), COUNTS),
        of(edits.with_core_value, CORES, st.just("gap_mm"), LENGTHS),
        of(edits.with_core_value, CORES, st.just("name"), LINES),
        of(edits.with_core_value, CORES, st.just("is_fragile"), st.booleans()),
    ),
    "with_loose_count": of(edits.with_loose_count, CORES, COUNTS),
    "with_gap": of(edits.with_gap, LENGTHS),
    "with_box_value": st.one_of(
        of(edits.with_box_value, st.sampled_from(["wall_margin_mm", "floor_margin_mm"]), LENGTHS),
        of(edits.with_box_value, st.just("inner_mm"), st.sampled_from([None, (500.0, 400.0, 300.0)])),
    ),
    "with_extra": of(edits.with_extra, st.sampled_from(["witness_bars", "accuracy_coupons"]), COUNTS),
    "with_alloy": of(edits.with_alloy, st.sampled_from([None, "iron", "magnesium", "cheese"])),
    "with_lifted_stop": of(edits.with_lifted_stop, STOPS, st.none() | CORES, LINES, LINES),
    "without_lifted_stop": of(edits.without_lifted_stop, STOPS, st.none() | CORES),
    "with_choice": of(edits.with_choice, st.sampled_from([None, CHOICE, {**CHOICE, "by": ""}])),
    "without_choice": of(edits.without_choice),
    "with_override": VALUES.flatmap(lambda pair: of(edits.with_override, st.just(pair[0]), st.just(pair[1]))),
    "with_new_set": of(set_edits.with_new_set, LINES),
    "without_set": of(set_edits.without_set, SETS),
    "with_set_name": of(set_edits.with_set_name, SETS, LINES),
    "with_per_set": of(set_edits.with_per_set, SETS, CORES, COUNTS),
    "without_core": of(set_edits.without_core, CORES),
    "with_packing": of(packing_edits.with_packing, st.just(PLACES)),
    "with_placement": st.builds(moved, st.integers(0, 4), st.floats(0, 200), st.booleans()).flatmap(
        lambda place: of(packing_edits.with_placement, st.just(PLACES), st.just(place))
    ),
    "with_other_box": st.builds(moved, st.integers(0, 4), st.floats(0, 200), st.booleans()).flatmap(
        lambda place: of(packing_edits.with_other_box, st.just(PLACES), st.just({**place, "box": 1}))
    ),
    "with_locked": of(
        packing_edits.with_locked, st.just(PLACES), st.just([("ring", 0), ("bar", 2)]), st.booleans()
    ),
    "with_locked_only": of(packing_edits.with_locked_only),
    "with_search": of(packing_edits.with_search, st.sampled_from(["seed", "effort"]), COUNTS),
}
STEPS = st.one_of(*KINDS.values())
MERGES = st.sampled_from(["", "", "drag"])


def bytes_of(document: Document) -> bytes:
    """Return the job's bytes."""
    assert document.job is not None
    return canonical_json(job_document(document.job))


def public_edits(module: ModuleType) -> Iterator[str]:
    """Return the names of a module's own edits: functions that take a job and return one."""
    for name, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ == module.__name__ and name.startswith("with"):
            yield name


def test_no_kind_of_edit_is_left_out() -> None:
    known = {name for module in (edits, set_edits, packing_edits) for name in public_edits(module)}
    assert known == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_edit_can_be_taken(kind: str, tmp_path: Path) -> None:
    """Else the property below would say nothing about it."""
    job = read_job(invented_plan.write_job(tmp_path))
    job = edits.with_override(job, "binder.viscosity_mpa_s", [{"temperature_c": 5.0, "value": 1.0}])
    job = packing_edits.with_packing(set_edits.with_new_set(job, "more"), [moved(0, 70.0, True), *PLACES[1:]])
    job = edits.with_lifted_stop(job, "walls.thin", None, "A. Founder", "looked at it")
    job = edits.with_choice(job, CHOICE)
    changed = []

    @settings(max_examples=60, database=None)
    @given(step=KINDS[kind])
    def take(step: Step) -> None:
        try:
            changed.append(step[1](job) != job)
        except (CorestowError, KeyError, StopIteration):
            return

    take()
    assert any(changed)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(st.tuples(STEPS, MERGES), max_size=15), backwards=st.lists(st.integers(0, 15), max_size=4)
)
def test_undone_and_redone_jobs_have_the_same_bytes(
    tmp_path: Path, steps: list[tuple[Step, str]], backwards: list[int]
) -> None:
    document = Document()
    path = invented_plan.write_job(tmp_path)
    document.open_job(path)
    for (name, make), merge in steps:
        assert document.job is not None
        before = bytes_of(document)
        try:
            document.edit(name, make(document.job), merge)
        except (CorestowError, KeyError, StopIteration):
            assert bytes_of(document) == before
    history, states = document.history, [b""] * (document.history.count() + 1)
    assert history.index() == history.count()
    for index in range(history.count(), -1, -1):
        history.setIndex(index)
        states[index] = bytes_of(document)
    assert states[0] == canonical_json(job_document(read_job(path)))
    assert not document.is_dirty
    for index in (*range(len(states)), *(min(place, history.count()) for place in backwards)):
        history.setIndex(index)
        assert bytes_of(document) == states[index]
        assert document.is_dirty is (index != 0)
    history.setIndex(history.count())
    assert bytes_of(document) == states[-1]
    document.save()
    assert canonical_json(job_document(read_job(path))) == states[-1]
