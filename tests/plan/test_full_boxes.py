"""Full boxes packed once and repeated: every set is there, and what is repeated is what was packed."""

import pytest

from corelib.allowance.compensation import printed_body
from corelib.job.models import Job
from corelib.job.operating_point import operating_point
from corelib.layers.cache import LayerCache
from corelib.mesh.load import load_cores
from corelib.plan.full_boxes import BoxFiller, job_of_sets
from tests.journeys.test_quote import JOB


def filler_of(folder, **changes):
    job = Job.model_validate({**JOB, **changes})
    point = operating_point(job)
    cores = load_cores(job.cores, folder, bulk_density_g_cm3=point.sand.bulk_density_g_cm3)
    bodies = [printed_body(core, point.process) for core in cores]
    return BoxFiller(job, point, bodies, LayerCache(folder))


def copies(filled):
    found = {}
    for box in filled.boxes:
        for core in box.cores:
            found[core.core_id] = found.get(core.core_id, 0) + core.copies
    return found


@pytest.mark.parametrize("sets", [1, 2, 3, 7, 25])
def test_every_set_is_in_a_box(tmp_path, sets):
    filled = filler_of(tmp_path).filled(sets)
    assert copies(filled) == {"elbow": 2 * sets, "jacket": sets}
    assert [box.box for box in filled.boxes] == list(range(len(filled.boxes)))


def test_full_boxes_are_the_packed_one_again(tmp_path):
    filled = filler_of(tmp_path).filled(25)
    first = filled.boxes[0]
    alike = [box for box in filled.boxes if box.printed is first.printed]
    assert len(alike) >= 10
    assert all(box.time is first.time and box.cores == first.cores for box in alike)
    assert copies(filled)["jacket"] == 25


def test_no_more_boxes_than_whole_sets_need(tmp_path):
    filler = filler_of(tmp_path)
    full = filler.filled(25).whole_sets_first
    assert full == 2
    assert len(filler.filled(25).boxes) == 13


def test_loose_cores_and_spares_come_once(tmp_path):
    cores = [{**core, "spares": 1} if core["id"] == "elbow" else core for core in JOB["cores"]]
    filled = filler_of(tmp_path, cores=cores, loose=[{"core_id": "jacket", "count": 2}]).filled(9)
    assert copies(filled) == {"elbow": 19, "jacket": 11}


def test_cores_in_no_set_are_packed_with_all(tmp_path):
    spare = {"id": "plug", "name": "Plug", "block": {"size_mm": [30, 30, 30], "volume_mm3": 20000}}
    filled = filler_of(
        tmp_path, cores=[*JOB["cores"], spare], loose=[{"core_id": "plug", "count": 3}]
    ).filled(3)
    assert copies(filled) == {"elbow": 6, "jacket": 3, "plug": 3}


def test_job_of_sets_counts_and_forgets_the_packing():
    job = job_of_sets(Job.model_validate(JOB), 4)
    assert job.copies() == {"elbow": 8, "jacket": 4}
    assert job.packing is None
