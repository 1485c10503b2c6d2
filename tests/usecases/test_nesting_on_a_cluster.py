"""The same packing from a dask cluster as from this machine; runs where the extra is installed."""

import pytest

from corelib.job.files import changed, read_job, write_job
from corelib.job.new import NewJob
from corelib.usecases.jobs import write_new_job
from corelib.usecases.nesting import nest_job

distributed = pytest.importorskip("distributed")


def test_a_cluster_finds_what_this_machine_finds(tmp_path):
    path = tmp_path / "blocks.json"
    write_new_job(path, NewJob(meshes=(), blocks=("Plate=120,80,20,0.2=12", "Bar=150,20,20,0.05=24")))
    stated = read_job(path)
    box = {**stated.box.model_dump(), "inner_mm": (320.0, 240.0, 300.0)}
    write_job(changed(stated, box=box, search={"seed": 1, "effort": 400_000}), path)
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        there = nest_job(path, scheduler=cluster.scheduler_address)
    here = nest_job(path)
    assert there.packing == here.packing
    assert there.search == here.search
    assert there.search.effort > 0
