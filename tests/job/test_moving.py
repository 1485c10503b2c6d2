"""A job read from another folder finds the same files."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from corelib.job.files import changed
from corelib.job.models import Job
from corelib.job.moving import moved
from corelib.job.new import NewJob, new_job

PARTS = st.lists(st.sampled_from(["a", "b", "c c", "ä"]), max_size=4)
BLOCK = NewJob(meshes=(), blocks=("Plate=10,10,10,0.5",))


def with_mesh(path: str) -> Job:
    """Return a job whose one core is a mesh file."""
    job = new_job(BLOCK, Path("job.json"))
    mesh = {"path": path, "unit": "mm", "sha256": "0" * 64}
    core = {**job.cores[0].model_dump(by_alias=True), "mesh": mesh, "block": None}
    return changed(job, cores=[core])


def mesh_path(job: Job) -> str:
    """Return where the job's mesh is."""
    mesh = job.cores[0].mesh
    assert mesh is not None
    return mesh.path


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(here=PARTS, there=PARTS, mesh=PARTS)
def test_a_mesh_is_the_same_file_from_everywhere(
    tmp_path: Path, here: list[str], there: list[str], mesh: list[str]
) -> None:
    first, second = tmp_path.joinpath("jobs", *here), tmp_path.joinpath("jobs", *there)
    job = with_mesh(Path("..", *mesh, "core.stl").as_posix())
    wanted = (first / mesh_path(job)).resolve()
    again = moved(job, first, second)
    assert (second / mesh_path(again)).resolve() == wanted
    assert (first / mesh_path(moved(again, second, first))).resolve() == wanted
    assert moved(job, first, first) is job


def test_an_absolute_path_stays(tmp_path: Path) -> None:
    job = with_mesh((tmp_path / "core.stl").as_posix())
    assert moved(job, tmp_path / "a", tmp_path / "b") == job
