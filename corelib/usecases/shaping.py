"""Use cases around a core's shape: repair a mesh, advise on orientations, calibrate from coupons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date as calendar_date
from pathlib import Path
from typing import cast, get_args

from corelib.allowance.calibration import Calibration, calibrate, calibrated_profile, tolerance_budget
from corelib.allowance.coupons import read_coupons
from corelib.checks.orientations import OrientationScore, orientation_advice
from corelib.errors import FileError, InputError
from corelib.export.core_stl import mesh_stl
from corelib.files import write_atomic
from corelib.geometry.pose import right_angle_orientations
from corelib.job.measuring import write_revision
from corelib.job.models import LengthUnit
from corelib.job.operating_point import DEFAULT_PROFILES, read_profile
from corelib.job.profiles import HeadProfile, MachineProfile, ProcessProfile, SandProfile
from corelib.mesh.load import LoadedFile, load_files, read_welded
from corelib.mesh.repair import Repair, repair_mesh
from corelib.progress import SILENT, Progress
from corelib.wording import finding_wording, label

__all__ = ["CalibrationReport", "calibrate_file", "orientation_lines", "repair_file", "repair_lines"]


def _unit(unit: str | None) -> LengthUnit | None:
    if unit is not None and unit not in get_args(LengthUnit):
        allowed = ", ".join(get_args(LengthUnit))
        raise InputError("job.value_range", where="--unit", field="unit", value=unit, allowed=allowed)
    return cast(LengthUnit | None, unit)


def repair_file(path: Path, out: Path, *, unit: str | None = None) -> Repair:
    """Write the repaired mesh as binary STL in mm and return what was done; the original stays."""
    if out.exists():
        raise FileError("mesh.out_exists", path=str(out))
    if out.suffix.lower() != ".stl":
        raise InputError("mesh.out_not_stl", path=str(out))
    vertices, faces = read_welded(path, _unit(unit))
    repaired = repair_mesh(vertices, faces)
    write_atomic(out, mesh_stl(repaired.mesh.vertices_mm, repaired.mesh.faces, "mm; repaired mesh"))
    return repaired


def repair_lines(repaired: Repair, language: str = "en") -> list[str]:
    """Return what a repair did and changed."""
    lines = [
        label("shaping", f"step {step.what}", language, count=step.count) for step in repaired.steps
    ] or [label("shaping", "nothing to repair", language)]
    facts = {
        "before_cm3": repaired.volume_before_mm3 / 1e3,
        "after_cm3": repaired.volume_mm3 / 1e3,
        "before_cm2": repaired.area_before_mm2 / 1e2,
        "after_cm2": repaired.area_mm2 / 1e2,
        "distance_mm": repaired.largest_distance_mm,
    }
    return [*lines, label("shaping", "repair changed", language, **facts)]


def orientation_lines(
    path: Path,
    *,
    unit: str | None = None,
    process: str | None = None,
    language: str = "en",
    progress: Progress = SILENT,
) -> list[str]:
    """Return a table of the six sides on which a core may lie, best first, each term shown."""
    (loaded,) = load_files([path], _unit(unit), progress=progress)
    if isinstance(loaded, InputError):
        raise loaded
    if not isinstance(loaded, LoadedFile) or loaded.core is None:
        raise InputError("mesh.no_honest_figures", file=path.name)
    profile = cast(ProcessProfile, read_profile("process", process or DEFAULT_PROFILES.process))
    sand = cast(SandProfile, read_profile("sand", DEFAULT_PROFILES.sand))
    scores = orientation_advice(
        loaded.core, right_angle_orientations(), profile, sand.bulk_density_g_cm3 or 1.5
    )
    return [label("shaping", "orientation head", language), *(_score_line(score) for score in scores)]


def _score_line(score: OrientationScore) -> str:
    return (
        f"{score.orientation.label:<10} {score.score:>6.2f} {score.height_mm:>9.1f} {score.layers:>7d}"
        f" {score.mean_step_mm:>9.3f} {score.standing_thin_mm2 / 100:>10.1f}"
        f" {score.opening_stress_mpa:>10.4f} {score.kept_sand_mm3 / 1e3:>9.1f}"
    )


@dataclass(frozen=True)
class CalibrationReport:
    """A calibration, the profile written from it, and its readable lines."""

    path: Path
    calibration: Calibration
    lines: tuple[str, ...]


def calibrate_file(
    coupons: Path,
    *,
    process: str | None = None,
    date: str | None = None,
    out: Path = Path("profiles"),
    language: str = "en",
) -> CalibrationReport:
    """Write a dated revision of a process profile with the coupons' scale errors and bleeds."""
    profile = cast(ProcessProfile, read_profile("process", process or DEFAULT_PROFILES.process, out))
    made = calibrate(read_coupons(coupons), profile.tolerance_mm)
    day = _day(date)
    revised = calibrated_profile(profile, made, date=day, source=f"coupons in {coupons.name}")
    revised = ProcessProfile.model_validate(
        {**revised.model_dump(by_alias=True), "id": f"{profile.id}.{day}"}
    )
    path = write_revision(revised, out)
    return CalibrationReport(path, made, tuple(_calibration_lines(made, profile, language)))


def _day(date: str | None) -> str:
    try:
        return calendar_date.fromisoformat(date or calendar_date.today().isoformat()).isoformat()
    except ValueError as error:
        raise InputError("measuring.bad_date", date=str(date)) from error


def _calibration_lines(made: Calibration, profile: ProcessProfile, language: str) -> list[str]:
    lines = []
    for fit in made.fits:
        facts = {name: getattr(fit, name) for name in ("direction", "n", "scale_error_pct", "bleed_mm")}
        facts |= {"scale_half_pct": fit.scale_half_width_pct, "bleed_half_mm": fit.bleed_half_width_mm}
        facts["scatter_mm"] = fit.residual_deviation_mm
        lines.append(label("shaping", "calibration fit", language, **facts))
    if made.capability is not None:
        low, high = made.capability.cpk_interval
        facts = {"n": made.capability.n, "cp": made.capability.cp, "cpk": made.capability.cpk}
        lines.append(label("shaping", "capability", language, low=low, high=high, **facts))
    lines.append(_budget_line(made, profile, language))
    for finding in made.findings:
        words = finding_wording(finding, language=language)
        lines.append(f"{finding.severity.upper():<6} {words.message} {words.next}")
    return lines


def _budget_line(made: Calibration, profile: ProcessProfile, language: str) -> str:
    machine = cast(MachineProfile, read_profile("machine", DEFAULT_PROFILES.machine))
    head = cast(HeadProfile, read_profile("head", DEFAULT_PROFILES.head))
    sand = cast(SandProfile, read_profile("sand", DEFAULT_PROFILES.sand))
    pixel_mm = max(machine.pitch_travel_mm or 0.0, machine.pitch_across_mm or head.nozzle_pitch_mm or 0.0)
    budget = tolerance_budget(
        made,
        layer_mm=profile.layer_thickness_mm or 0.0,
        pixel_mm=pixel_mm,
        grain_mm=sand.mean_grain_mm or 0.0,
        wanted_mm=profile.tolerance_mm,
    )
    wanted = "?" if budget.wanted_mm is None else f"{budget.wanted_mm:g}"
    largest = max(budget.terms, key=lambda term: term.deviation_mm)
    return label(
        "shaping", "budget", language, expected_mm=budget.expected_mm, wanted_mm=wanted, largest=largest.name
    )
