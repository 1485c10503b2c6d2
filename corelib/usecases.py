"""The one door for window, command line and scripts: a function a use case, nothing computed here."""

from __future__ import annotations

import platform
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, cast, get_args

import numpy as np

from corelib import __version__
from corelib.child import Answer, Request
from corelib.errors import FileError, InputError
from corelib.export.layers_csv import layers_table
from corelib.export.summary_html import summary_page
from corelib.export.summary_text import summary_lines
from corelib.files import cache_folder, canonical_json, folder_aside, write_atomic
from corelib.findings import Finding, has_stop, in_order
from corelib.job.files import read_job, write_job
from corelib.job.models import Job, LengthUnit
from corelib.job.new import MESH_FORMATS, NewJob, new_job
from corelib.job.operating_point import operating_point
from corelib.kernels import KERNELS_VERSION
from corelib.layers.sections import SectionCache
from corelib.mesh.load import inspect_file
from corelib.plan.build import build_plan
from corelib.plan.document import plan_document
from corelib.plan.model import Plan
from corelib.progress import SILENT, Progress
from corelib.reference import shared_folder
from corelib.wording import finding_wording

__all__ = [
    "FilesReport",
    "NewJob",
    "PlanResult",
    "check_files",
    "licence_texts",
    "plan_build",
    "plan_to_folder",
    "run_plan",
    "summary_lines",
    "warm_kernels",
    "write_new_job",
]


def write_new_job(path: Path, asked: NewJob) -> Job:
    """Write a new job file and return the job; an existing file is never overwritten."""
    if path.exists():
        raise FileError("job.exists", path=str(path))
    job = new_job(asked, path)
    operating_point(job, path.parent)  # profiles and overrides are checked before anything is written
    write_job(job, path)
    return job


def section_cache() -> SectionCache:
    """Return a cache of sections that lasts over runs, in the user's cache folder."""
    return SectionCache(cache_folder() / "sections")


def plan_build(job_path: Path, *, progress: Progress = SILENT, cache: SectionCache | None = None) -> Plan:
    """Return the plan of a job file; raises a CorestowError. The file is not changed."""
    job = read_job(job_path)
    return build_plan(job, job_path.parent, cache=cache or section_cache(), progress=progress)


@dataclass(frozen=True)
class PlanResult:
    """A plan on disk."""

    folder: Path
    document: dict[str, Any]
    plan_json: bytes
    has_stop: bool


def plan_to_folder(job_path: Path, folder: Path | None = None, *, progress: Progress = SILENT) -> PlanResult:
    """Plan a job file and write plan.json, run.json, layers.csv and summary.html into a folder.

    The folder (JOB.plan beside the job if None) is built aside and renamed: all files or none.
    """
    started, began_s = datetime.now(UTC), time.perf_counter()
    target = job_path.with_suffix(".plan") if folder is None else folder
    with folder_aside(target) as aside:
        plan = plan_build(job_path, progress=progress.span(0.0, 0.9))
        document = plan_document(plan)
        plan_json = canonical_json(document)
        files = {
            "plan.json": plan_json,
            "layers.csv": layers_table(document).encode("utf-8"),
            "summary.html": summary_page(document).encode("utf-8"),
        }
        for name, content in files.items():
            write_atomic(aside / name, content)
        run = _run_document(job_path, target, started, time.perf_counter() - began_s)
        write_atomic(aside / "run.json", canonical_json(run))
    progress(1.0, "done")
    return PlanResult(target, document, plan_json, has_stop(plan.findings))


def _run_document(job_path: Path, folder: Path, started: datetime, duration_s: float) -> dict[str, Any]:
    """Return what belongs to one run and not to the plan: dates, durations, host, absolute paths."""
    return {
        "kind": "corestow.run",
        "schema_version": 1,
        "version": __version__,
        "kernels": KERNELS_VERSION,
        "started": started.isoformat(timespec="seconds"),
        "duration_s": round(duration_s, 3),
        "host": platform.node(),
        "system": platform.platform(),
        "processor": platform.processor() or platform.machine(),
        "python": sys.version.split()[0],
        "job": str(job_path.resolve()),
        "folder": str(folder.resolve()),
    }


def run_plan(request: Request, progress: Progress) -> Answer:
    """Run in a child: plan the job `request["job"]`, leave plan.json and meshes in `request["folder"]`."""
    folder = Path(request["folder"])
    plan = plan_build(Path(request["job"]), progress=progress)
    meshes = folder / "meshes"
    meshes.mkdir(exist_ok=True)
    for core in plan.cores:
        np.save(meshes / f"{core.item.id}.vertices.npy", core.mesh.vertices_mm)
        np.save(meshes / f"{core.item.id}.faces.npy", core.mesh.faces)
    path = folder / "plan.json"
    write_atomic(path, canonical_json(plan_document(plan, request.get("language", "en"))))
    return {"plan": str(path), "meshes": str(meshes)}


@dataclass(frozen=True)
class FilesReport:
    """What `check` found: readable lines, and whether something forbids the build."""

    lines: tuple[str, ...]
    has_stop: bool


def check_files(
    paths: Sequence[Path], *, unit: str | None = None, progress: Progress = SILENT
) -> FilesReport:
    """Return the findings on job files and mesh files; raises a CorestowError for what can't be used."""
    if not paths:
        raise InputError("job.no_meshes")
    if unit is not None and unit not in get_args(LengthUnit):
        raise InputError("job.value_range", where="--unit", field="unit", value=unit, allowed=_units())
    lines: list[str] = []
    stop = False
    for number, path in enumerate(paths):
        findings, names = _findings_on(
            path, unit, progress.span(number / len(paths), (number + 1) / len(paths))
        )
        stop = stop or has_stop(findings)
        lines += _finding_lines(path, findings, names)
    return FilesReport(tuple(lines), stop)


def _units() -> str:
    return ", ".join(get_args(LengthUnit))


def _findings_on(
    path: Path, unit: str | None, progress: Progress
) -> tuple[tuple[Finding, ...], dict[str, str]]:
    if path.suffix.lower() == ".json":
        plan = plan_build(path, progress=progress)
        return plan.findings, plan.core_names
    if path.suffix.lower() not in MESH_FORMATS:
        raise InputError("job.wants_mesh_or_job", path=str(path), formats=", ".join(MESH_FORMATS))
    if not path.is_file():
        raise FileError("file.missing", path=str(path))
    inspection, _ = inspect_file(path, cast(LengthUnit | None, unit))
    return in_order(inspection.findings), {}


def _finding_lines(path: Path, findings: Sequence[Finding], names: dict[str, str]) -> list[str]:
    if not findings:
        return [f"{path}: no findings"]
    lines = [f"{path}: {len(findings)} findings"]
    for finding in findings:
        words = finding_wording(finding, names.get(finding.core or "", path.stem))
        lines.append(f"  {finding.severity.upper():<6} {words.message} {words.next}")
    return lines


def warm_kernels() -> dict[str, Any]:
    """Compile all kernels (importing their modules does it) and return where they are kept."""
    from corelib.layers import section_kernels
    from corelib.mesh import topology

    modules = (section_kernels, topology)
    return {"kernels": KERNELS_VERSION, "folder": str(cache_folder() / "kernels"), "modules": len(modules)}


def licence_texts() -> str:
    """Return Corestow's licence and those of the libraries that it uses."""
    folder = shared_folder() / "licences"
    texts = [path.read_text(encoding="utf-8").rstrip() for path in sorted(folder.glob("*.txt"))]
    return "\n\n".join(texts)
