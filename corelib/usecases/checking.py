"""Use case: findings on job files, mesh files and folders of meshes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from corelib.checks.cores import shape_findings
from corelib.errors import FileError, InputError
from corelib.findings import Finding, has_stop, in_order
from corelib.job.models import LengthUnit
from corelib.job.new import MESH_FORMATS
from corelib.job.operating_point import DEFAULT_PROFILES, read_profile
from corelib.job.profiles import ProcessProfile, SandProfile
from corelib.mesh.load import LoadedFile, load_files
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import plan_build
from corelib.wording import error_sentence, finding_wording


@dataclass(frozen=True)
class FilesReport:
    """What `check` found: readable lines, and whether something forbids the build."""

    lines: tuple[str, ...]
    has_stop: bool


def check_files(
    paths: Sequence[Path],
    *,
    unit: str | None = None,
    process: str | None = None,
    progress: Progress = SILENT,
) -> FilesReport:
    """Return the findings on job files, mesh files and folders of meshes.

    Meshes are judged against the process profile named by `process`. One file that can't be used raises its
    CorestowError; among several it becomes a line that forbids the build, and the others are checked.
    """
    if not paths:
        raise InputError("job.no_meshes")
    if unit is not None and unit not in get_args(LengthUnit):
        raise InputError("job.value_range", where="--unit", field="unit", value=unit, allowed=_units())
    jobs = [path for path in paths if path.suffix.lower() == ".json"]
    meshes = [mesh for path in paths if path not in jobs for mesh in _meshes_of(path)]
    lines: list[str] = []
    stop = False
    for number, path in enumerate(jobs):
        span = progress.span(number / (len(jobs) + 1), (number + 1) / (len(jobs) + 1))
        findings, names = _job_findings(path, span)
        stop = stop or has_stop(findings)
        lines += _finding_lines(str(path), findings, names)
    if meshes:
        span = progress.span(len(jobs) / (len(jobs) + 1), 1.0)
        report = _mesh_report(
            meshes, cast(LengthUnit | None, unit), process or DEFAULT_PROFILES.process, span
        )
        lines += report.lines
        stop = stop or report.has_stop
    return FilesReport(tuple(lines), stop)


def _units() -> str:
    return ", ".join(get_args(LengthUnit))


def _meshes_of(path: Path) -> Iterator[Path]:
    """Yield a mesh file, or the mesh files of a folder in the order of their names."""
    if path.is_dir():
        found = sorted(entry for entry in path.iterdir() if entry.suffix.lower() in MESH_FORMATS)
        if not found:
            raise InputError("job.no_meshes")
        yield from found
        return
    if path.suffix.lower() not in MESH_FORMATS:
        raise InputError("job.wants_mesh_or_job", path=str(path), formats=", ".join(MESH_FORMATS))
    if not path.is_file():
        raise FileError("file.missing", path=str(path))
    yield path


def _job_findings(path: Path, progress: Progress) -> tuple[tuple[Finding, ...], dict[str, str]]:
    """Return the findings of a job's plan, and those on the shapes of its cores."""
    plan = plan_build(path, progress=progress.span(0.0, 0.6))
    own = {core.id for core in plan.job.cores}
    cores = [core for core in plan.cores if core.item.id in own]
    density = plan.point.sand.bulk_density_g_cm3
    shapes = shape_findings(cores, plan.point.process, density, progress.span(0.6, 1.0))
    return in_order([*plan.findings, *shapes]), plan.core_names


def _mesh_report(
    paths: Sequence[Path], unit: LengthUnit | None, process: str, progress: Progress
) -> FilesReport:
    profile = cast(ProcessProfile, read_profile("process", process))
    sand = cast(SandProfile, read_profile("sand", DEFAULT_PROFILES.sand))
    loaded = load_files(paths, unit, progress=progress.span(0.0, 0.4))
    if len(paths) == 1 and isinstance(loaded[0], InputError):
        raise loaded[0]
    cores = [file.core for file in loaded if isinstance(file, LoadedFile) and file.core is not None]
    shapes = shape_findings(cores, profile, sand.bulk_density_g_cm3, progress.span(0.4, 1.0))
    names = {str(number): path.name for number, path in enumerate(paths, start=1)}
    lines: list[str] = []
    stop = False
    for number, (path, file) in enumerate(zip(paths, loaded, strict=True), start=1):
        if isinstance(file, InputError):
            lines += [f"{path}: can't be used", f"  STOP   {error_sentence(file)}"]
            stop = True
            continue
        of_shape = [finding for finding in shapes if finding.core == str(number)]
        findings = in_order([*file.findings, *of_shape])
        stop = stop or has_stop(findings)
        lines += _finding_lines(str(path), findings, names)
    return FilesReport(tuple(lines), stop)


def _counted(count: int) -> str:
    """Return `1 finding`, `3 findings`."""
    return f"{count} finding" + ("" if count == 1 else "s")


def _finding_lines(title: str, findings: Sequence[Finding], names: Mapping[str, str]) -> list[str]:
    if not findings:
        return [f"{title}: no findings"]
    lines = [f"{title}: {_counted(len(findings))}"]
    for finding in findings:
        words = finding_wording(finding, names.get(finding.core or "", title))
        lines.append(f"  {finding.severity.upper():<6} {words.message} {words.next}")
    return lines
