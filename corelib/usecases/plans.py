"""Use case: plan a job, to a folder of files or for the window."""

from __future__ import annotations

import platform
import sys
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from corelib import __version__
from corelib.child import Answer, Request
from corelib.export.layers_csv import layers_table
from corelib.export.summary_html import summary_page
from corelib.export.summary_text import summary_lines
from corelib.files import cache_folder, canonical_json, folder_aside, read_document, write_atomic
from corelib.findings import has_stop
from corelib.job.files import job_from_document, read_job
from corelib.kernels import KERNELS_VERSION
from corelib.layers.cache import LayerCache
from corelib.plan.build import build_plan
from corelib.plan.document import PLAN_KIND, PLAN_SCHEMA_VERSION, plan_document
from corelib.plan.model import Plan
from corelib.progress import SILENT, Progress

__all__ = ["PlanResult", "plan_build", "plan_to_folder", "read_plan", "run_plan", "summary_lines"]


def layer_cache() -> LayerCache:
    """Return a cache of sections and outlines that lasts over runs, in the user's cache folder."""
    return LayerCache(cache_folder())


def plan_build(job_path: Path, *, progress: Progress = SILENT, cache: LayerCache | None = None) -> Plan:
    """Return the plan of a job file; raises a CorestowError. The file is not changed."""
    job = read_job(job_path)
    return build_plan(job, job_path.parent, cache=cache or layer_cache(), progress=progress)


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
    """Run in a child: plan the job `request["job"]`, leave plan.json and meshes in `request["folder"]`.

    `request["document"]`, if given, is the job as edited and not yet saved to that path.
    """
    started, began_s = datetime.now(UTC), time.perf_counter()
    folder, path = Path(request["folder"]), Path(request["job"])
    document = request.get("document")
    job = read_job(path) if document is None else job_from_document(document, str(path))
    plan = build_plan(job, path.parent, cache=layer_cache(), progress=progress)
    meshes = folder / "meshes"
    meshes.mkdir(exist_ok=True)
    for core in plan.cores:
        np.save(meshes / f"{core.item.id}.vertices.npy", core.mesh.vertices_mm)
        np.save(meshes / f"{core.item.id}.faces.npy", core.mesh.faces)
    plan_path = folder / "plan.json"
    plan_json = canonical_json(plan_document(plan, request.get("language", "en")))
    write_atomic(plan_path, plan_json, durable=False)  # the folder goes with the window
    run = _run_document(path, folder, started, time.perf_counter() - began_s)
    write_atomic(folder / "run.json", canonical_json(run), durable=False)
    return {"plan": str(plan_path), "meshes": str(meshes)}


def read_plan(path: Path) -> dict[str, Any]:
    """Return the plan document in a plan.json, or in a folder that holds one; raises FileError."""
    return read_document(path / "plan.json" if path.is_dir() else path, PLAN_KIND, PLAN_SCHEMA_VERSION)
