"""Use case: the images of all layers of a job, with drops, strokes and the nozzles' idle times."""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, get_args

from corelib.errors import FileError, InputError
from corelib.export.bilevel import SUFFIX, ImageFormat
from corelib.export.layer_images import ImageConvention, ImageFolder, LayerImageWriter, proof_image
from corelib.export.layer_index import index_document, nozzle_table, stroke_table
from corelib.files import canonical_json
from corelib.findings import Finding, has_stop, in_order
from corelib.job.files import write_job
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.kernels import KERNELS_VERSION
from corelib.plan.build import placed_by_box
from corelib.plan.document import plan_document
from corelib.plan.layer_run import BoxRun, binder_ml, box_grid, moved_job, run_box
from corelib.plan.model import Plan
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import layer_cache, plan_build
from corelib.wording import finding_wording

Entry = dict[str, Any]


@dataclass(frozen=True)
class ImagesAsked:
    """What is asked of a run beside the job: file format, dead nozzles, cores to spare, where to write."""

    image_format: str = "tiff"
    dead_nozzles: tuple[int, ...] = ()
    critical_cores: frozenset[str] = field(default_factory=frozenset)
    spared_job: Path | None = None
    """Where to write the job with its contents moved so that dead nozzles spare the critical cores."""


@dataclass(frozen=True)
class ImagesResult:
    """Images on disk."""

    folder: Path
    document: dict[str, Any]
    lines: tuple[str, ...]
    has_stop: bool
    resumed: int


def image_convention(point: OperatingPoint, image_format: str = "tiff") -> ImageConvention:
    """Return the machine's image convention; raises InputError for what its profile doesn't state."""
    if image_format not in get_args(ImageFormat):
        raise InputError("layers.image_format", given=image_format, known=", ".join(get_args(ImageFormat)))
    return ImageConvention(
        jet_value=required(point, "machine.image_jet_value"),
        origin=required(point, "machine.image_origin"),
        rows=required(point, "machine.image_rows"),
        canvas=required(point, "machine.image_canvas"),
        first_number=required(point, "machine.image_first_number"),
        blank_layers=required(point, "machine.image_blank_layers"),
        image_format="png" if image_format == "png" else "tiff",
    )


def layers_to_folder(
    job_path: Path, folder: Path, asked: ImagesAsked | None = None, *, progress: Progress = SILENT
) -> ImagesResult:
    """Draw a job's layers into a folder: images by box, index.json, nozzles.csv, strokes.csv, a proof image.

    The folder is filled beside its place; a run that was cut off is taken up where it stopped. Raises a
    CorestowError.
    """
    asked = asked or ImagesAsked()
    if asked.spared_job is not None and asked.spared_job.exists():
        raise FileError("job.exists", path=str(asked.spared_job))
    plan = plan_build(job_path, progress=progress.span(0.0, 0.1))
    convention = image_convention(plan.point, asked.image_format)
    _check_dead(plan, asked)
    images = ImageFolder(folder, _run_key(plan, convention))
    runs = _runs(plan, images, convention, asked, progress.span(0.1, 0.98))
    findings = in_order(finding for run in runs for finding in run.findings)
    document = index_document(plan, runs, convention, findings)
    images.finish(
        {
            f"proof.{SUFFIX[convention.image_format]}": proof_image(runs[0].grid, convention),
            "nozzles.csv": nozzle_table(runs),
            "strokes.csv": stroke_table(runs),
            "index.json": canonical_json(document),
        }
    )
    if asked.spared_job is not None:
        _write_spared(plan, runs, asked.spared_job)
    progress(1.0, "done")
    lines = _lines(plan, runs, findings)
    return ImagesResult(folder, document, lines, has_stop((*plan.findings, *findings)), images.resumed)


def _runs(
    plan: Plan, images: ImageFolder, convention: ImageConvention, asked: ImagesAsked, progress: Progress
) -> list[BoxRun[Entry]]:
    store, grid = layer_cache().outlines, box_grid(plan)
    placed = placed_by_box(plan.packing, plan.bodies)
    runs = []
    for box, here in enumerate(placed):
        span = progress.span(box / len(placed), (box + 1) / len(placed))
        writer = LayerImageWriter(images, box, grid, convention)
        runs.append(
            run_box(
                plan,
                here,
                plan.layers[box],
                writer,
                store=store,
                dead=asked.dead_nozzles,
                critical=asked.critical_cores,
                progress=span,
            )
        )
    return runs


def _run_key(plan: Plan, convention: ImageConvention) -> str:
    content = canonical_json({"plan": plan_document(plan), "convention": asdict(convention)})
    return hashlib.sha256(KERNELS_VERSION.encode() + content).hexdigest()


def _check_dead(plan: Plan, asked: ImagesAsked) -> None:
    most = int(required(plan.point, "head.nozzle_count"))
    wrong = [nozzle for nozzle in asked.dead_nozzles if not 0 <= nozzle < most]
    if wrong:
        raise InputError("layers.no_such_nozzle", nozzle=wrong[0], most=most - 1)
    unknown = sorted(asked.critical_cores - set(plan.core_names))
    if unknown:
        raise InputError("layers.no_such_core", core=unknown[0])


def _write_spared(plan: Plan, runs: list[BoxRun[Entry]], path: Path) -> None:
    """Write the job with the contents of every box moved as its sparing shift says."""
    job = plan.job
    for run in runs:
        if run.shift is not None and run.shift.nozzles:
            job = moved_job(job, plan, run.box, run.shift.shift_mm)
    write_job(job if job is not plan.job else moved_job(job, plan, 0, 0.0), path)


def _lines(plan: Plan, runs: list[BoxRun[Entry]], findings: tuple[Finding, ...]) -> tuple[str, ...]:
    lines = []
    for run in runs:
        pixels_l = run.drops.pixels.sum() * run.grid.pixel_mm2 * run.layers.thickness_mm * 1e-6
        strokes = sum(len(strokes) for strokes in run.drops.strokes)
        used = int(run.drops.nozzle_pixels.any(axis=0).sum())
        images = sum(entry["file"] is not None for entry in run.drops.made)
        lines += [
            f"Box {run.box + 1}: {run.layers.count} layers, {images} images "
            f"of {run.grid.columns} × {run.grid.rows} pixels at most",
            f"  printed {pixels_l:.3f} L by pixels, {run.layers.printed_volume_mm3 * 1e-6:.3f} L by outlines",
            f"  binder by drops {binder_ml(run, plan.point).sum():.0f} mL, "
            f"{strokes} strokes, {used} of {run.layout.nozzle_count} nozzles used",
        ]
    for finding in findings:
        words = finding_wording(finding, plan.core_names.get(finding.core or ""))
        lines.append(f"{finding.severity.upper():<6} {words.message} {words.next}")
    return tuple(lines)
