"""Use case: write what leaves the program for a plan: sheets, labels, workbook, tables, models, layers."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from corelib.allowance.body import PrintedBody
from corelib.allowance.compensation import printed_body
from corelib.errors import CorestowError, FileError, InputError
from corelib.export.box_3mf import box_3mf
from corelib.export.core_stl import core_stl
from corelib.export.figures import core_names, label
from corelib.export.labels import box_cards, core_labels
from corelib.export.layer_svg import layer_svg
from corelib.export.letterhead import Letterhead
from corelib.export.packing_pictures import BoxPictures
from corelib.export.painting import Shape
from corelib.export.paper import Heading, PaperSize
from corelib.export.plan_sheet import plan_sheet
from corelib.export.summary_html import summary_page
from corelib.export.tables import TABLES, table_csv, tables_document
from corelib.export.workbook import workbook
from corelib.files import canonical_json, folder_aside, write_atomic
from corelib.findings import Finding, Lifted
from corelib.job.files import job_from_document, read_job
from corelib.job.models import Job, Packing
from corelib.job.operating_point import operating_point
from corelib.job.profiles import PROFILE_KINDS, OperatingPoint
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.load import load_cores
from corelib.mesh.ride_along import accuracy_coupon, witness_bar
from corelib.plan.document import PLAN_KIND, job_sha256, plan_document
from corelib.plan.unpacking import unpacking_document, unpacking_orders
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import plan_build, read_plan
from corelib.wording import finding_wording

__all__ = ["SHEETS", "Letterhead", "SheetsAsked", "SheetsResult", "write_sheets"]

SHEETS_KIND = "corestow.sheets"
Files = Iterator[tuple[str, bytes]]


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


@dataclass(frozen=True)
class SheetsResult:
    """The files written, by their paths in the folder, and what could not be shown."""

    folder: Path
    files: tuple[str, ...]
    out_of_date: bool
    without_meshes: bool


@dataclass(frozen=True, eq=False)
class _Source:
    """A plan with what its sheets need: meshes at hand, and whether the job has changed since."""

    plan: Mapping[str, Any]
    asked: SheetsAsked
    shapes: Mapping[str, Shape] | None
    printed: Mapping[str, Shape]
    out_of_date: bool

    @cached_property
    def pictures(self) -> BoxPictures | None:
        """The plan's pictures, each painted once for all sheets; None without meshes."""
        return None if self.shapes is None else BoxPictures(self.plan, self.shapes)

    def heading(self, title: str) -> Heading:
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


def write_sheets(
    path: Path, folder: Path | None = None, asked: SheetsAsked | None = None, *, progress: Progress = SILENT
) -> SheetsResult:
    """Write the sheets of a job (planned now) or of a plan.json into a folder, all or none.

    The folder is JOB.sheets beside the file if None. A plan is shown as it stands in its file; if the job,
    a profile or a mesh has changed since, every page says that it is out of date.
    """
    asked = asked or SheetsAsked()
    unknown = sorted(set(asked.only) - set(SHEETS))
    if unknown:
        raise InputError("sheets.unknown", name=unknown[0], known=list(SHEETS))
    target = folder or path.with_suffix(".sheets")
    written: list[str] = []
    with folder_aside(target) as aside:
        source = _source(path, asked, progress.span(0.0, 0.6))
        wanted = [name for name in SHEETS if not asked.only or name in asked.only]
        index = []
        for number, name in enumerate(wanted):
            progress.span(0.6, 1.0)(number / len(wanted), name)
            for file_name, content in SHEETS[name](source):
                _write(aside / file_name, content)
                written.append(file_name)
                entry = {"file": file_name, "sheet": name, "sha256": hashlib.sha256(content).hexdigest()}
                index.append(entry)
        document = {
            "kind": SHEETS_KIND,
            "schema_version": 1,
            "job_sha256": source.plan["job_sha256"],
            "out_of_date": source.out_of_date,
            "files": index,
        }
        _write(aside / "index.json", canonical_json(document))
    progress(1.0, "done")
    return SheetsResult(target, tuple(written), source.out_of_date, source.shapes is None)


def _write(path: Path, content: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(
            "file.not_writable", path=str(path.parent), reason=error.strerror or str(error)
        ) from error
    write_atomic(path, content)


def _source(path: Path, asked: SheetsAsked, progress: Progress) -> _Source:
    if path.is_dir() or _is_plan(path):
        return _from_plan_file(path, asked, progress)
    plan = plan_build(path, progress=progress)
    document = plan_document(plan, asked.language)
    _say_unpacking(document, plan.job, plan.point, plan.bodies, plan.ride_along)
    shapes = {core.item.id: _shape(core.mesh) for core in plan.cores}
    printed = {body.core_id: _shape(body.mesh) for body in plan.bodies}
    return _Source(document, asked, shapes, printed, out_of_date=False)


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
    places = [
        {name: value for name, value in place.items() if name != "orientation_label"}
        for box in document["boxes"]
        for place in box["placements"]
    ]
    packing = Packing.model_validate({"placements": places})
    for order in unpacking_orders(job, point, bodies, ride_along, packing):
        document["boxes"][order.box]["unpacking"] = unpacking_document(order)


def _is_plan(path: Path) -> bool:
    """Return True if the file names itself a plan; what else it is, its reader says."""
    try:
        head = path.read_bytes()
    except OSError:
        return False
    return f'"{PLAN_KIND}"'.encode() in head


def _from_plan_file(path: Path, asked: SheetsAsked, progress: Progress) -> _Source:
    plan = _reworded(read_plan(path), asked.language)
    job_path = _job_of(path if path.is_dir() else path.parent)
    if job_path is None:
        return _Source(plan, asked, None, {}, out_of_date=False)
    job = job_from_document(plan["job"], str(path))
    out_of_date = _has_changed(plan, job_path)
    try:
        cores = (*load_cores(job.cores, job_path.parent, progress=progress), *_pieces())
    except CorestowError:
        return _Source(plan, asked, None, {}, out_of_date=True)
    hashes = {core["id"]: core.get("sha256") for core in plan["cores"]}
    same = {core.item.id: core for core in cores if hashes.get(core.item.id, "") == core.file_sha256}
    whole = set(same) == set(hashes)
    point = _point_of(plan)
    bodies = [printed_body(core, point.process) for core in same.values()]
    if whole:
        ride_along = {core["id"]: core["copies"] for core in plan["cores"] if core["rides_along"]}
        _say_unpacking(plan, job, point, bodies, ride_along)
    shapes = {core_id: _shape(core.mesh) for core_id, core in same.items()}
    printed = {body.core_id: _shape(body.mesh) for body in bodies}
    return _Source(plan, asked, shapes if whole else None, printed, out_of_date or not whole)


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


def _has_changed(plan: Mapping[str, Any], job_path: Path) -> bool:
    try:
        job = read_job(job_path)
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


def _shape(mesh: CoreMesh) -> Shape:
    return Shape(mesh.vertices_mm, mesh.faces)


def _meshes(source: _Source) -> Mapping[str, Shape]:
    """Return the meshes; raises InputError where a sheet can't be made without them."""
    if source.shapes is None:
        raise InputError("sheets.no_meshes", job=source.plan["job"]["name"])
    return source.shapes


def _boxes(source: _Source) -> range:
    return range(len(source.plan["boxes"]))


def _plan_sheet(source: _Source) -> Files:
    yield "plan-sheet.pdf", plan_sheet(source.plan, source.heading("plan_sheet"), source.pictures)


def _summary(source: _Source) -> Files:
    pictures = {}
    if source.pictures is not None:
        pictures = {number: source.pictures.box(number) for number in _boxes(source)}
    page = summary_page(
        source.plan, language=source.asked.language, pictures=pictures, out_of_date=source.out_of_date
    )
    yield "summary.html", page.encode("utf-8")


def _labels(source: _Source) -> Files:
    yield "core-labels.pdf", core_labels(source.plan, source.heading("labels"))


def _box_cards(source: _Source) -> Files:
    yield "box-cards.pdf", box_cards(source.plan, source.heading("box_cards"), source.pictures)


def _workbook(source: _Source) -> Files:
    yield "workbook.xlsx", workbook(source.plan, source.asked.language, out_of_date=source.out_of_date)


def _tables(source: _Source) -> Files:
    separator, decimal_sign = (";", ",") if source.asked.language == "de" else (",", ".")
    yield "tables.json", canonical_json(tables_document(source.plan))
    for name in TABLES:
        text = table_csv(source.plan, name, separator=separator, decimal_sign=decimal_sign)
        yield f"tables/{name}.csv", text.encode("utf-8-sig" if source.asked.language == "de" else "utf-8")


def _boxes_3mf(source: _Source) -> Files:
    shapes = _meshes(source)
    for number in _boxes(source):
        yield f"box-{number + 1}.3mf", box_3mf(source.plan, number, shapes)


def _cores_stl(source: _Source) -> Files:
    _meshes(source)
    for core in source.plan["cores"]:
        yield f"printed-cores/{core['id']}.stl", core_stl(core, source.printed[core["id"]])


def _layers_svg(source: _Source) -> Files:
    shapes = _meshes(source)
    for number in _boxes(source):
        layers = source.plan["boxes"][number]["layers"]
        largest = max(range(len(layers)), key=lambda index: layers[index]["printed_area_mm2"])
        for layer in source.asked.layers or (largest,):
            if layer < len(layers):
                text = layer_svg(source.plan, number, layer, shapes)
                yield f"layers/box-{number + 1}-layer-{layer:05d}.svg", text.encode("utf-8")


SHEETS: dict[str, Callable[[_Source], Files]] = {
    "plan-sheet": _plan_sheet,
    "summary": _summary,
    "labels": _labels,
    "box-cards": _box_cards,
    "workbook": _workbook,
    "tables": _tables,
    "3mf": _boxes_3mf,
    "stl": _cores_stl,
    "svg": _layers_svg,
}
"""The sheets by the name that `--only` takes."""
