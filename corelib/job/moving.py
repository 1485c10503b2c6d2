"""A job in another folder: its meshes stay where they are, its profiles have to be found there too."""

from __future__ import annotations

import os
from pathlib import Path

from corelib.errors import InputError
from corelib.job.files import changed
from corelib.job.models import Job
from corelib.job.operating_point import read_profile
from corelib.job.profiles import PROFILE_KINDS


def moved(job: Job, from_folder: Path, to_folder: Path) -> Job:
    """Return the job of one folder as it reads in another: its mesh files are named from there.

    A path that is absolute stays; on another drive a relative one becomes absolute.
    """
    if from_folder.resolve() == to_folder.resolve():
        return job
    cores = [core.model_dump(mode="python", by_alias=True) for core in job.cores]
    for core in cores:
        mesh = core.get("mesh")
        if mesh is not None and not Path(mesh["path"]).is_absolute():
            mesh["path"] = _from(to_folder.resolve(), from_folder.resolve() / mesh["path"])
    return changed(job, cores=cores)


def _from(folder: Path, path: Path) -> str:
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return path.as_posix()


def require_same_profiles(job: Job, from_folder: Path, to_folder: Path) -> None:
    """Raise InputError if a profile of the job means something else in another folder, or is not there."""
    if from_folder.resolve() == to_folder.resolve():
        return
    for kind in PROFILE_KINDS:
        name = getattr(job.profiles, kind)
        here = read_profile(kind, name, from_folder)
        try:
            there = read_profile(kind, name, to_folder)
        except InputError:
            there = None
        if there != here:
            raise InputError(
                "profile.stays_behind", kind=kind, id=name, path=str(from_folder), folder=str(to_folder)
            )
