"""Use case: write what leaves the program for a plan: sheets, labels, workbook, tables, models, layers."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from corelib.checks.process_casting import cores_in_melt
from corelib.checks.process_sheet import process_sheet
from corelib.errors import FileError, InputError
from corelib.export.box_3mf import box_3mf
from corelib.export.core_stl import core_stl, layers_stl
from corelib.export.figures import core_names
from corelib.export.labels import box_cards, core_labels
from corelib.export.layer_svg import PrintedRings, layer_svg
from corelib.export.letterhead import Letterhead
from corelib.export.painting import Shape
from corelib.export.plan_sheet import plan_sheet
from corelib.export.process_sheet_pdf import process_sheet_pdf
from corelib.export.summary_html import summary_page
from corelib.export.tables import TABLES, table_csv, tables_document
from corelib.export.workbook import workbook
from corelib.files import canonical_json, folder_aside, write_atomic
from corelib.job.operating_point import with_modelled_bed
from corelib.layers.raster import DrawnBody, drawn_bodies
from corelib.layers.stacked import stacked_body
from corelib.layers.view import printed_layer
from corelib.progress import SILENT, Progress
from corelib.usecases.sheet_source import JobNow, SheetsAsked, SheetSource, shape_of, sheet_source

__all__ = [
    "PRINTED",
    "SHEETS",
    "JobNow",
    "Letterhead",
    "SheetsAsked",
    "SheetsResult",
    "printed_sheet",
    "write_sheets",
]

SHEETS_KIND = "corestow.sheets"
Files = Iterator[tuple[str, bytes]]


@dataclass(frozen=True)
class SheetsResult:
    """The files written, by their paths in the folder, and what could not be shown."""

    folder: Path
    files: tuple[str, ...]
    out_of_date: bool
    without_meshes: bool


def write_sheets(
    path: Path,
    folder: Path | None = None,
    asked: SheetsAsked | None = None,
    *,
    now: JobNow | None = None,
    progress: Progress = SILENT,
) -> SheetsResult:
    """Write the sheets of a job (planned now) or of a plan.json into a folder, all or none.

    The folder is JOB.sheets beside the file if None. A plan is shown as it stands in its file; if the job,
    a profile or a mesh has changed since, every page says that it is out of date. `now` is the job that the
    plan is held against, where it isn't the file beside it.
    """
    asked = asked or SheetsAsked()
    unknown = sorted(set(asked.only) - set(SHEETS))
    if unknown:
        raise InputError("sheets.unknown", name=unknown[0], known=list(SHEETS))
    target = folder or path.with_suffix(".sheets")
    written: list[str] = []
    with folder_aside(target) as aside:
        source = sheet_source(path, asked, progress.span(0.0, 0.6), now)
        source = replace(source, progress=progress.span(0.6, 1.0))
        wanted = [name for name in SHEETS if name in (asked.only or set(SHEETS) - set(ON_REQUEST))]
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


def printed_sheet(
    path: Path, name: str, asked: SheetsAsked, *, now: JobNow | None = None, progress: Progress = SILENT
) -> tuple[str, bytes]:
    """Return file name and content of one of the `PRINTED` sheets of a job or a plan.

    Raises InputError for an unknown one.
    """
    if name not in PRINTED:
        raise InputError("sheets.unknown", name=name, known=list(PRINTED))
    return next(iter(SHEETS[name](sheet_source(path, asked, progress, now))))


def _write(path: Path, content: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(
            "file.not_writable", path=str(path.parent), reason=error.strerror or str(error)
        ) from error
    write_atomic(path, content)


def _meshes(source: SheetSource) -> Mapping[str, Shape]:
    """Return the meshes; raises InputError where a sheet can't be made without them."""
    if source.shapes is None:
        raise InputError("sheets.no_meshes", job=source.plan["job"]["name"])
    return source.shapes


def _boxes(source: SheetSource) -> range:
    return range(len(source.plan["boxes"]))


def _plan_sheet(source: SheetSource) -> Files:
    yield "plan-sheet.pdf", plan_sheet(source.plan, source.heading("plan_sheet"), source.pictures)


def _process_sheet(source: SheetSource) -> Files:
    cores = cores_in_melt([body.core for body in source.bodies.values()])
    document = process_sheet(with_modelled_bed(source.point), cores).document()
    names = core_names(source.plan)
    yield "process-sheet.pdf", process_sheet_pdf(document, source.heading("process_sheet"), names)


def _summary(source: SheetSource) -> Files:
    pictures = {}
    if source.pictures is not None:
        pictures = {number: source.pictures.box(number) for number in _boxes(source)}
    page = summary_page(
        source.plan, language=source.asked.language, pictures=pictures, out_of_date=source.out_of_date
    )
    yield "summary.html", page.encode("utf-8")


def _labels(source: SheetSource) -> Files:
    yield "core-labels.pdf", core_labels(source.plan, source.heading("labels"))


def _box_cards(source: SheetSource) -> Files:
    yield "box-cards.pdf", box_cards(source.plan, source.heading("box_cards"), source.pictures)


def _workbook(source: SheetSource) -> Files:
    yield "workbook.xlsx", workbook(source.plan, source.asked.language, out_of_date=source.out_of_date)


def _tables(source: SheetSource) -> Files:
    separator, decimal_sign = (";", ",") if source.asked.language == "de" else (",", ".")
    yield "tables.json", canonical_json(tables_document(source.plan))
    for name in TABLES:
        text = table_csv(source.plan, name, separator=separator, decimal_sign=decimal_sign)
        yield f"tables/{name}.csv", text.encode("utf-8-sig" if source.asked.language == "de" else "utf-8")


def _boxes_3mf(source: SheetSource) -> Files:
    shapes = _meshes(source)
    for number in _boxes(source):
        yield f"box-{number + 1}.3mf", box_3mf(source.plan, number, shapes)


def _cores_stl(source: SheetSource) -> Files:
    _meshes(source)
    for core in source.plan["cores"]:
        yield f"printed-cores/{core['id']}.stl", core_stl(core, shape_of(source.bodies[core["id"]].mesh))


def _layer_bodies(source: SheetSource) -> Files:
    """Yield each core as its printed layers stand on one another, once for each way in which it lies."""
    _meshes(source)
    poses: dict[str, DrawnBody] = {}
    for box, placed in zip(source.plan["boxes"], source.placed, strict=True):
        for body in drawn_bodies(placed, box["layer_thickness_mm"]):
            poses.setdefault(body.key, body)
    numbers: Counter[str] = Counter()
    for drawn in poses.values():
        numbers[drawn.core_id] += 1
        stack = stacked_body(drawn.pose, source.cache.outlines, source.progress)
        x, y, z = drawn.pose.rotation[2].tolist()
        stl = layers_stl(stack.vertices_mm, stack.faces, stack.layers, stack.thickness_mm, (x, y, z))
        yield f"printed-cores/{drawn.core_id}.layers-{numbers[drawn.core_id]}.stl", stl


def _layers_svg(source: SheetSource) -> Files:
    shapes = _meshes(source)
    for number in _boxes(source):
        layers = source.plan["boxes"][number]["layers"]
        largest = max(range(len(layers)), key=lambda index: layers[index]["printed_area_mm2"])
        for layer in source.asked.layers or (largest,):
            if layer < len(layers):
                rings = _printed_rings(source, number, layer)
                text = layer_svg(source.plan, number, layer, shapes, rings, source.asked.language)
                yield f"layers/box-{number + 1}-layer-{layer:05d}.svg", text.encode("utf-8")


def _printed_rings(source: SheetSource, number: int, layer: int) -> PrintedRings:
    """Return the outlines to print of each copy in a layer of a box."""
    thickness_mm = source.plan["boxes"][number]["layer_thickness_mm"]
    bodies = drawn_bodies(source.placed[number], thickness_mm)
    drawn = printed_layer(bodies, source.cache.outlines, layer)
    rings: dict[tuple[str, int], list[NDArray[np.float64]]] = {}
    for ring, body in zip(pairwise(drawn.ring_starts.tolist()), drawn.body.tolist(), strict=True):
        copy = bodies[body].core_id, bodies[body].copy_number
        rings.setdefault(copy, []).append(drawn.points_mm[slice(*ring)])
    return rings


SHEETS: dict[str, Callable[[SheetSource], Files]] = {
    "plan-sheet": _plan_sheet,
    "process-sheet": _process_sheet,
    "summary": _summary,
    "labels": _labels,
    "box-cards": _box_cards,
    "workbook": _workbook,
    "tables": _tables,
    "3mf": _boxes_3mf,
    "stl": _cores_stl,
    "svg": _layers_svg,
    "layer-bodies": _layer_bodies,
}
"""The sheets by the name that `--only` takes."""
ON_REQUEST = ("layer-bodies",)
"""Sheets that take long and are made only where they are asked for by name."""
PRINTED = ("plan-sheet", "process-sheet", "labels", "box-cards")
"""The sheets that are one PDF each."""
