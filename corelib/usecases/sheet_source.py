"""What sheets are made from: the plan, its meshes where they are at hand, and how sheets are asked for."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from corelib.allowance.body import PrintedBody
from corelib.allowance.compensation import printed_body
from corelib.errors import CorestowError
from corelib.export.figures import core_names, label
from corelib.export.letterhead import Letterhead
from corelib.export.packing_pictures import BoxPictures
from corelib.export.painting import Shape
from corelib.export.paper import Heading, PaperSize
from corelib.files import canonical_json
from corelib.findings import Finding, Lifted
from corelib.job.files import job_from_document, read_job
from corelib.job.models import Job, Packing
from corelib.job.operating_point import operating_point
from corelib.job.profiles import PROFILE_KINDS, OperatingPoint
from corelib.layers.cache import LayerCache
from corelib.layers.model import PlacedBody
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.load import load_cores
from corelib.mesh.ride_along import accuracy_coupon, witness_bar
from corelib.plan.build import placed_by_box
from corelib.plan.document import PLAN_KIND, job_sha256, plan_document
from corelib.plan.unpacking import unpacking_document, unpacking_orders
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import plan_build, read_plan
from corelib.wording import finding_wording


@dataclass(frozen=True)
class SheetsAsked:
    """Which sheets are wanted, and how: `only` empty means all of them."""

    only: tuple[str, ...] = ()
    paper: PaperSize = "A4"
    language: Literal["en", "de"] = "en"
    layers: tuple[int, ...] = ()
    """Layers to draw as SVG in every box; none: the one with the largest printed area."""
    dated: str | None = None
    """Date on the sheets, as people write it; None: today (ISO 8601)."""
    letterhead: Letterhead = field(default_factory=Letterhead)


@dataclass(frozen=True, eq=False)
class SheetSource:
    """A plan with what its sheets need: meshes at hand, and whether the job has changed since.

    `bodies` are the printed bodies by core id; empty where not all meshes are as they were.
    """

    plan: Mapping[str, Any]
    asked: SheetsAsked
    shapes: Mapping[str, Shape] | None
    bodies: Mapping[str, PrintedBody]
    point: OperatingPoint
    out_of_date: bool
    progress: Progress = SILENT
    """Told by a sheet that takes long; raises Cancelled."""

    @cached_property
    def pictures(self) -> BoxPictures | None:
        """The plan's pictures, each painted once for all sheets; None without meshes."""
        return None if self.shapes is None else BoxPictures(self.plan, self.shapes)

    @cached_property
    def cache(self) -> LayerCache:
        """The layers' outlines, each cut once for all sheets."""
        return LayerCache()

    @cached_property
    def placed(self) -> tuple[tuple[PlacedBody, ...], ...]:
        """The printed bodies at their places, by box."""
        return placed_by_box(_packing(self.plan), list(self.bodies.values()))

    def heading(self, title: str) -> Heading:
        """Return what stands at the head of each page of a sheet."""
        return Heading(
            title=label(title, self.asked.language),
            subject=self.plan["job"]["name"],
            revision=str(self.plan["job_sha256"])[:12],
            date=self.asked.dated or date.today().isoformat(),
            letterhead=self.asked.letterhead,
            out_of_date=self.out_of_date,
            language=self.asked.language,
            paper=self.asked.paper,
        )


@dataclass(frozen=True)
class JobNow:
    """The job as it is now, saved or not: what a plan is held against; meshes are relative to `path`."""

    path: Path
    job: Job


def sheet_source(
    path: Path, asked: SheetsAsked, progress: Progress, now: JobNow | None = None
) -> SheetSource:
    """Return what the sheets of a job (planned now) or of a plan file are made from.

    Without `now`, a plan is held against the job file that its folder belongs to, if that is there.
    """
    if path.is_dir() or _is_plan(path):
        return _from_plan_file(path, asked, progress, now)
    plan = plan_build(path, progress=progress)
    document = plan_document(plan, asked.language)
    _say_unpacking(document, plan.job, plan.point, plan.bodies, plan.ride_along)
    shapes = {core.item.id: shape_of(core.mesh) for core in plan.cores}
    bodies = {body.core_id: body for body in plan.bodies}
    return SheetSource(document, asked, shapes, bodies, plan.point, out_of_date=False)


def _say_unpacking(
    document: dict[str, Any],
    job: Job,
    point: OperatingPoint,
    bodies: Sequence[PrintedBody],
    ride_along: Mapping[str, int],
) -> None:
    """Put the order of unpacking into each box of the plan that has none yet."""
    if all("unpacking" in box for box in document["boxes"]):
        return
    for order in unpacking_orders(job, point, bodies, ride_along, _packing(document)):
        document["boxes"][order.box]["unpacking"] = unpacking_document(order)


def _packing(plan: Mapping[str, Any]) -> Packing:
    """Return where a plan has its cores."""
    places = [
        {name: value for name, value in place.items() if name != "orientation_label"}
        for box in plan["boxes"]
        for place in box["placements"]
    ]
    return Packing.model_validate({"placements": places})


def _is_plan(path: Path) -> bool:
    """Return True if the file names itself a plan; what else it is, its reader says."""
    try:
        head = path.read_bytes()
    except OSError:
        return False
    return f'"{PLAN_KIND}"'.encode() in head


def _from_plan_file(path: Path, asked: SheetsAsked, progress: Progress, now: JobNow | None) -> SheetSource:
    plan = _reworded(read_plan(path), asked.language)
    point = _point_of(plan)
    job_path = now.path if now is not None else _job_of(path if path.is_dir() else path.parent)
    if job_path is None:
        return SheetSource(plan, asked, None, {}, point, out_of_date=False)
    job = job_from_document(plan["job"], str(path))
    out_of_date = _has_changed(plan, job_path, None if now is None else now.job)
    try:
        loaded = load_cores(
            job.cores,
            job_path.parent,
            bulk_density_g_cm3=point.sand.bulk_density_g_cm3,
            layer_thickness_mm=point.process.layer_thickness_mm,
            progress=progress,
        )
    except CorestowError:
        return SheetSource(plan, asked, None, {}, point, out_of_date=True)
    cores = (*loaded, *_pieces())
    hashes = {core["id"]: core.get("sha256") for core in plan["cores"]}
    same = {core.item.id: core for core in cores if hashes.get(core.item.id, "") == core.file_sha256}
    if set(same) != set(hashes):
        return SheetSource(plan, asked, None, {}, point, out_of_date=True)
    bodies = {core_id: printed_body(core, point.process) for core_id, core in same.items()}
    ride_along = {core["id"]: core["copies"] for core in plan["cores"] if core["rides_along"]}
    _say_unpacking(plan, job, point, list(bodies.values()), ride_along)
    shapes = {core_id: shape_of(core.mesh) for core_id, core in same.items()}
    return SheetSource(plan, asked, shapes, bodies, point, out_of_date)


def _reworded(plan: dict[str, Any], language: str) -> dict[str, Any]:
    """Return the plan with its findings said in the sheets' language."""
    names = core_names(plan)
    for item in plan["findings"]:
        finding = Finding(
            item["code"],
            item["severity"],
            item["facts"],
            core=item["core"],
            box=item["box"],
            layers=None if item["layers"] is None else (item["layers"][0], item["layers"][1]),
            lifted=Lifted(**item["lifted"]) if item.get("lifted") else None,
        )
        with suppress(KeyError):  # a code that this version no longer knows keeps its sentences
            words = finding_wording(finding, names.get(finding.core or ""), language)
            item["message"], item["remedy"] = words.message, words.next
    return plan


def _job_of(folder: Path) -> Path | None:
    """Return the job file that a plan's folder belongs to (JOB.plan beside JOB.json), if it is there."""
    beside = folder.resolve().with_suffix(".json")
    return beside if beside.is_file() else None


def _has_changed(plan: Mapping[str, Any], job_path: Path, job: Job | None) -> bool:
    try:
        job = job or read_job(job_path)
        return job_sha256(job) != plan["job_sha256"] or _profiles(job, job_path.parent) != plan["profiles"]
    except CorestowError:
        return True


def _profiles(job: Job, folder: Path) -> dict[str, Any]:
    """Return the profiles as a plan written now would hold them, its rounding of numbers included."""
    point = operating_point(job, folder)
    profiles = {kind: getattr(point, kind).model_dump(mode="json") for kind in PROFILE_KINDS}
    written: dict[str, Any] = json.loads(canonical_json(profiles))
    return written


def _point_of(plan: Mapping[str, Any]) -> OperatingPoint:
    """Return the profiles as the plan used them."""
    return OperatingPoint.model_validate({**plan["profiles"], "overridden": plan.get("overridden", [])})


def _pieces() -> Sequence[LoadedCore]:
    return accuracy_coupon(), witness_bar()


def shape_of(mesh: CoreMesh) -> Shape:
    """Return a mesh as pictures and model files take it."""
    return Shape(mesh.vertices_mm, mesh.faces)
