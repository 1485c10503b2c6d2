"""Use case: write a new job file from meshes and blocks."""

from __future__ import annotations

from pathlib import Path

from corelib.errors import FileError
from corelib.job.files import write_job
from corelib.job.models import Job
from corelib.job.new import NewJob, new_job, with_meshes
from corelib.job.operating_point import operating_point

__all__ = ["NewJob", "with_meshes", "write_new_job"]


def write_new_job(path: Path, asked: NewJob) -> Job:
    """Write a new job file and return the job; an existing file is never overwritten."""
    if path.exists():
        raise FileError("job.exists", path=str(path))
    job = new_job(asked, path)
    operating_point(job, path.parent)  # profiles and overrides are checked before anything is written
    write_job(job, path)
    return job
