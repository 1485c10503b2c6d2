"""A job made of another's parts is the same job, byte for byte, and takes memory only for what differs."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

from corelib.files import canonical_json
from corelib.job import edits
from corelib.job.files import changed, job_document, job_from_document
from corelib.job.models import Job
from corelib.job.sharing import sharing
from tests.app import invented_plan

PLACES = [
    {"box": 0, "core": core, "copy": copy, "matrix": matrix, "placed_by": "search", "locked": False}
    for core, copy, matrix in invented_plan.PLACES
]


def packed() -> Job:
    job = job_from_document(invented_plan.job_document(), "test")
    return changed(job, packing={"placements": PLACES})


def test_what_differs_is_new_and_the_rest_is_shared() -> None:
    before = packed()
    after = edits.with_core_value(before, "ring", "name", "Other ring")
    made = sharing(after, before)
    assert made == after and made.core("ring").name == "Other ring"
    assert canonical_json(job_document(made)) == canonical_json(job_document(after))
    assert made.packing is before.packing and made.core("bar") is before.core("bar")
    assert made.core("ring") is not before.core("ring")
    assert made.core("ring").block is before.core("ring").block
    assert before.core("ring").name == "Invented ring"


def test_numbers_that_are_equal_but_written_otherwise_are_kept_as_they_are() -> None:
    before = packed()
    assert before.packing is not None
    places = [place.model_dump(by_alias=True) for place in before.packing.placements]
    places[0]["matrix"] = [[1.0, -0.0, 0.0, 70.0], *places[0]["matrix"][1:]]
    after = changed(before, packing={"placements": places})
    assert after == before
    assert sharing(after, before).model_dump_json() == after.model_dump_json() != before.model_dump_json()


def test_cores_come_and_go() -> None:
    before = packed()
    fewer = changed(before, loose=[], packing=None, cores=before.cores[:1])
    assert sharing(fewer, before) == fewer and sharing(before, fewer) == before
    assert sharing(before, fewer).cores[0] is fewer.cores[0]


def test_a_thousand_steps_take_a_few_megabytes(tmp_path: Path) -> None:
    job = packed()
    kept = [job]
    tracemalloc.start()
    try:
        for number in range(100):
            kept.append(sharing(edits.with_gap(kept[-1], 5.0 + 0.01 * number), kept[-1]))
        each_kb = tracemalloc.get_traced_memory()[0] / 100 / 1024
    finally:
        tracemalloc.stop()
    assert each_kb < 6.0
