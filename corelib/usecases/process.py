"""Use case: the process sheet of a job or of a profile."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from corelib.checks.process_casting import CoreInMelt, cores_in_melt
from corelib.checks.process_sensitivity import sensitivities
from corelib.checks.process_sheet import ProcessSheet, process_sheet
from corelib.errors import FileError, InputError
from corelib.export.droplet_chart import droplet_chart_svg
from corelib.export.process_text import process_sheet_lines
from corelib.export.sensitivity_text import sensitivity_lines
from corelib.files import canonical_json, read_document, write_atomic
from corelib.findings import has_stop
from corelib.job.files import changed, read_job
from corelib.job.models import JOB_KIND
from corelib.job.operating_point import (
    DEFAULT_PROFILES,
    operating_point,
    overridden,
    profile_from_file,
    profile_ids,
    profiles_point,
    with_modelled_bed,
)
from corelib.job.profiles import PROFILE_KINDS, OperatingPoint
from corelib.mesh.load import load_cores
from corelib.plan.build import build_plan
from corelib.plan.sensitivity import plan_sensitivity
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import layer_cache

__all__ = ["ProcessResult", "point_of", "process_of", "read_settings", "sensitivity_of"]


@dataclass(frozen=True)
class ProcessResult:
    """A process sheet with its texts."""

    sheet: ProcessSheet
    document: dict[str, Any]
    lines: tuple[str, ...]
    has_stop: bool

    @property
    def json_bytes(self) -> bytes:
        """The document's canonical bytes."""
        return canonical_json(self.document)

    def write_chart(self, path: Path, language: str = "en") -> None:
        """Write the chart of the droplet window as SVG; raises FileError, InputError if nothing is known."""
        write_atomic(path, droplet_chart_svg(self.document, language).encode("utf-8"))


def process_of(
    what: str,
    settings: Mapping[str, Any] | None = None,
    *,
    profiles: Path | None = None,
    language: str = "en",
    progress: Progress = SILENT,
) -> ProcessResult:
    """Return the process sheet of a job file, a profile file, or a profile named ID or KIND/ID.

    `settings` replaces values for this sheet alone; `profiles` is a folder of more profiles. A profile is
    shown with the default profiles of the other kinds. Raises a CorestowError.
    """
    path = Path(what)
    cores: tuple[CoreInMelt, ...] = ()
    if _kind_of(path) == JOB_KIND:
        job = read_job(path)
        point = operating_point(job, profiles or path.parent)
        loaded = load_cores(
            job.cores, path.parent, bulk_density_g_cm3=point.sand.bulk_density_g_cm3, progress=progress
        )
        cores = cores_in_melt(loaded)
    else:
        point = point_of(what, profiles)
    sheet = process_sheet(with_modelled_bed(overridden(point, settings or {})), cores)
    document = sheet.document()
    lines = tuple(process_sheet_lines(document, language))
    return ProcessResult(sheet, document, lines, has_stop(sheet.findings))


def sensitivity_of(
    what: str,
    settings: Mapping[str, Any] | None = None,
    *,
    profiles: Path | None = None,
    language: str = "en",
    progress: Progress = SILENT,
) -> list[str]:
    """Return the ranked tables of what moves the figures most: of a job's plan, or of a profile alone."""
    path = Path(what)
    if _kind_of(path) != JOB_KIND:
        point = with_modelled_bed(overridden(point_of(what, profiles), settings or {}))
        return sensitivity_lines(sensitivities(point), language)
    job = read_job(path)
    if settings:
        job = changed(job, overrides={**job.overrides, **settings})
    cache = layer_cache()
    plan = build_plan(job, path.parent, cache=cache, progress=progress.span(0.0, 0.3))
    return sensitivity_lines(plan_sensitivity(plan, cache, progress.span(0.3, 1.0)), language)


def point_of(what: str, profiles: Path | None = None) -> OperatingPoint:
    """Return the operating point of a profile file, or of a profile named ID or KIND/ID."""
    path = Path(what)
    file_kind = (_kind_of(path) or "").removeprefix("corestow.profile.")
    if file_kind in PROFILE_KINDS:
        point = profiles_point(DEFAULT_PROFILES, profiles)
        return OperatingPoint.model_validate({**dict(point), file_kind: profile_from_file(file_kind, path)})
    if path.suffix == ".json":
        raise InputError("profile.not_a_job_or_profile", path=what, kinds=sorted(PROFILE_KINDS))
    kinds = [kind for kind in PROFILE_KINDS if path.name in profile_ids(kind, profiles)]
    stated = str(path.parent)
    if stated != ".":
        kinds = [kind for kind in kinds if kind == stated]
    if len(kinds) != 1:
        code = "profile.ambiguous" if kinds else "profile.not_found"
        known = [f"{kind}/{name}" for kind in PROFILE_KINDS for name in profile_ids(kind, profiles)]
        raise InputError(code, id=what, kinds=kinds, known=known)
    return profiles_point(DEFAULT_PROFILES.model_copy(update={kinds[0]: path.name}), profiles)


def _kind_of(path: Path) -> str | None:
    """Return the `kind` that a file says of itself, None where it is no file with one."""
    if path.suffix != ".json":
        return None
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise FileError("file.missing", path=str(path)) from error
    except (OSError, ValueError):
        # what is wrong with the file is said by the reader of jobs
        read_document(path, JOB_KIND, 1)
        return JOB_KIND
    kind = document.get("kind") if isinstance(document, dict) else None
    return kind if isinstance(kind, str) else None


def read_settings(texts: Sequence[str]) -> dict[str, Any]:
    """Return the values of `FIELD=VALUE` texts; VALUE is JSON, or else taken as it stands."""
    settings: dict[str, Any] = {}
    for text in texts:
        field, sign, value = text.partition("=")
        if not sign or not field:
            raise InputError("profile.bad_setting", text=text)
        try:
            settings[field] = json.loads(value)
        except ValueError:
            settings[field] = value
    return settings
