"""Use case: findings on job files and mesh files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from corelib.errors import FileError, InputError
from corelib.findings import Finding, has_stop, in_order
from corelib.job.models import LengthUnit
from corelib.job.new import MESH_FORMATS
from corelib.mesh.load import inspect_file
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import plan_build
from corelib.wording import finding_wording


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
