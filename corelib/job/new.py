"""A new job from mesh files and blocks, with the default profiles."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from corelib.errors import FileError, InputError
from corelib.job.files import changed, invalid
from corelib.job.models import JOB_KIND, JOB_SCHEMA_VERSION, MOST_COPIES, Job
from corelib.job.operating_point import DEFAULT_PROFILES

MESH_FORMATS: dict[str, bool] = {
    ".stl": False,
    ".obj": False,
    ".ply": False,
    ".off": False,
    ".3mf": True,
    ".step": True,
    ".stp": True,
}
"""File endings of meshes, and whether the format itself has a length unit."""

DEFAULT_CURRENCY = "EUR"
"""The currency of the default rates profile; a job file may state another."""

_SIZES = "X,Y,Z"
_BLOCK = "NAME=X,Y,Z,KG or NAME=X,Y,Z,KG=COUNT"


@dataclass(frozen=True)
class NewJob:
    """What a new job is made from: texts as typed on the command line, numbers in the units named."""

    meshes: tuple[str, ...]
    blocks: tuple[str, ...] = ()
    unit: str | None = None
    box: str | None = None
    gap_mm: float | None = None
    layer_thickness_mm: float | None = None
    binder_on_sand_pct: float | None = None
    machine: str | None = None


def new_job(asked: NewJob, job_path: Path) -> Job:
    """Return the job; raises InputError or FileError with one sentence for what can't be used."""
    if not asked.meshes and not asked.blocks:
        raise InputError("job.no_meshes")
    parts = [_mesh_core(text, asked.unit, job_path) for text in asked.meshes]
    parts += [_block_core(text) for text in asked.blocks]
    cores: list[dict[str, Any]] = []
    loose: list[dict[str, Any]] = []
    for core, count in parts:
        core["id"] = _unused_id(core["name"], {other["id"] for other in cores})
        cores.append(core)
        loose.append({"core_id": core["id"], "count": count})
    overrides: dict[str, float] = {}
    if asked.layer_thickness_mm is not None:
        overrides["process.layer_thickness_mm"] = asked.layer_thickness_mm
    if asked.binder_on_sand_pct is not None:
        overrides["process.binder_on_sand_pct"] = asked.binder_on_sand_pct
    profiles = DEFAULT_PROFILES.model_dump()
    if asked.machine is not None:
        profiles["machine"] = asked.machine
    document: dict[str, Any] = {
        "kind": JOB_KIND,
        "schema_version": JOB_SCHEMA_VERSION,
        "name": job_path.stem or "job",
        "currency": DEFAULT_CURRENCY,
        "cores": cores,
        "loose": loose,
        "box": {} if asked.box is None else {"inner_mm": _numbers(asked.box, asked.box, 3, _SIZES)},
        "gap_mm": asked.gap_mm,
        "profiles": profiles,
        "overrides": overrides,
    }
    try:
        return Job.model_validate(document)
    except ValidationError as error:
        raise invalid(error, str(job_path), document) from error


def with_meshes(job: Job, meshes: Sequence[str], unit: str | None, job_path: Path) -> Job:
    """Return a job with more cores, one loose copy of each mesh file; raises InputError or FileError.

    `unit` is the length unit of files whose format has none.
    """
    cores = [core.model_dump(mode="python", by_alias=True) for core in job.cores]
    loose = [entry.model_dump() for entry in job.loose]
    used = {core.id for core in job.cores}
    for text in meshes:
        core, count = _mesh_core(text, unit, job_path)
        core["id"] = _unused_id(core["name"], used)
        used.add(core["id"])
        cores.append(core)
        loose.append({"core_id": core["id"], "count": count})
    return changed(job, cores=cores, loose=loose)


def _mesh_core(text: str, unit: str | None, job_path: Path) -> tuple[dict[str, Any], int]:
    path_text, count = _with_count(text)
    path = Path(path_text)
    suffix = path.suffix.lower()
    if suffix not in MESH_FORMATS:
        raise InputError("job.wants_mesh_or_job", path=path_text, formats=", ".join(MESH_FORMATS))
    try:
        sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError as error:
        raise FileError("file.missing", path=path_text) from error
    except OSError as error:
        raise FileError("file.not_readable", path=path_text, reason=error.strerror) from error
    if unit is None and not MESH_FORMATS[suffix]:
        raise InputError("job.unit_missing", path=path_text)
    mesh = {
        "path": _from(job_path.parent, path),
        "sha256": sha256,
        "unit": None if MESH_FORMATS[suffix] else unit,
    }
    return {"name": path.stem, "mesh": mesh}, count


def _from(folder: Path, path: Path) -> str:
    """Return the path as seen from the job's folder, with forward slashes; absolute on another drive."""
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:
        return path.resolve().as_posix()


def _block_core(text: str) -> tuple[dict[str, Any], int]:
    name, sign, rest = text.partition("=")
    sizes, _, _ = rest.partition("=")
    if not (name and sign):
        raise InputError("job.bad_sizes", text=text, form=_BLOCK)
    x, y, z, kg = _numbers(sizes, text, 4, _BLOCK)
    count = _count(rest.partition("=")[2], text) if "=" in rest else 1
    return {"name": name, "block": {"size_mm": (x, y, z), "mass_kg": kg}}, count


def _numbers(text: str, whole: str, wanted: int, form: str) -> tuple[float, ...]:
    try:
        numbers = tuple(float(part) for part in text.split(","))
    except ValueError as error:
        raise InputError("job.bad_sizes", text=whole, form=form) from error
    if len(numbers) != wanted:
        raise InputError("job.bad_sizes", text=whole, form=form)
    return numbers


def _with_count(text: str) -> tuple[str, int]:
    """Return path and count of MESH=COUNT; a file whose own name holds the `=` needs no count."""
    if "=" not in text or Path(text).is_file():
        return text, 1
    path, _, count = text.rpartition("=")
    return path, _count(count, text)


def _count(text: str, whole: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= MOST_COPIES:
        raise InputError("job.bad_count", text=whole, most=MOST_COPIES)
    return int(text)


def _unused_id(name: str, used: set[str]) -> str:
    base = re.sub(r"[^A-Za-z0-9_.\-]+", "-", name).strip("-")[:56] or "core"
    candidate, number = base, 2
    while candidate in used:
        candidate, number = f"{base}-{number}", number + 1
    return candidate
