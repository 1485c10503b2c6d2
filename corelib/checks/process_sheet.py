"""The process sheet: the whole operating point with stated values, solved values, findings and sources."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from corelib.checks.process import check_process_alone
from corelib.checks.process_accuracy import accuracy_values
from corelib.checks.process_casting import (
    CoreInMelt,
    CoreLift,
    casting_values,
    check_lifts,
    core_lifts,
)
from corelib.checks.process_cure import cure_values
from corelib.checks.process_dose import DoseSolution, dose_solutions, dose_values
from corelib.checks.process_droplets import (
    DropletPoint,
    droplet_curve,
    droplet_range,
    droplet_values,
    limit_source,
    limits,
    temperature_band_c,
)
from corelib.checks.process_motion import motion_values
from corelib.checks.process_sand import sand_values
from corelib.checks.process_values import Solved
from corelib.findings import Finding, in_order
from corelib.job.fields import Evidence
from corelib.job.operating_point import allowed, unit_of
from corelib.job.profiles import PROFILE_KINDS, OperatingPoint
from corelib.reference import table
from corelib.units import from_si


@dataclass(frozen=True)
class StatedValue:
    """One value as a profile or a job states it, with where it comes from."""

    field: str
    value: Any
    unit: str
    evidence: Evidence
    is_overridden: bool


@dataclass(frozen=True)
class UnknownValue:
    """One value that nobody has stated, with what would be allowed."""

    field: str
    unit: str
    allowed: str


@dataclass(frozen=True)
class ProcessSheet:
    """The whole operating point, as it is printed."""

    profiles: dict[str, str]
    stated: tuple[StatedValue, ...]
    unknown: tuple[UnknownValue, ...]
    solved: dict[str, tuple[Solved, ...]]
    """Solved values by group: dose, motion, droplets, sand, cure, accuracy, casting."""
    dose: tuple[DoseSolution, ...]
    curve: tuple[DropletPoint, ...]
    """Droplet points over all temperatures that the binder's data cover."""
    nozzle: tuple[DropletPoint, ...]
    """Droplet points at the lowest, the set and the highest nozzle temperature."""
    band_c: tuple[float, float] | None
    lifts: tuple[CoreLift, ...]
    findings: tuple[Finding, ...]

    def document(self) -> dict[str, Any]:
        """Return the sheet as plain data for a file."""
        return {
            "kind": "corestow.process_sheet",
            "schema_version": 1,
            "profiles": self.profiles,
            "stated": [_stated_document(entry) for entry in self.stated],
            "unknown": [asdict(entry) for entry in self.unknown],
            "solved": {
                group: [_solved_document(entry) for entry in entries]
                for group, entries in self.solved.items()
            },
            "dose_solver": [asdict(entry) for entry in self.dose],
            "droplet_window": {
                "band_c": None if self.band_c is None else list(self.band_c),
                "nozzle": [_droplet_document(entry) for entry in self.nozzle],
                "curve": [_droplet_document(entry) for entry in self.curve],
                "limits": {
                    name: {"value": value, "source": limit_source(name)} for name, value in limits().items()
                },
                "source": table("droplet_window")["source"],
            },
            "core_lifts": [asdict(entry) for entry in self.lifts],
            "findings": [
                {
                    "code": found.code,
                    "severity": found.severity,
                    "facts": found.facts,
                    "core": found.core,
                }
                for found in self.findings
            ],
        }


def process_sheet(point: OperatingPoint, cores: Sequence[CoreInMelt] = ()) -> ProcessSheet:
    """Return the process sheet of an operating point, with the lift of these cores in the melt."""
    return ProcessSheet(
        profiles={kind: getattr(point, kind).id for kind in PROFILE_KINDS},
        stated=tuple(_stated(point)),
        unknown=tuple(_unknown(point)),
        solved={
            "dose": dose_values(point),
            "motion": motion_values(point),
            "droplets": droplet_values(point),
            "sand": sand_values(point),
            "cure": cure_values(point),
            "accuracy": accuracy_values(point),
            "casting": casting_values(point),
        },
        dose=dose_solutions(point),
        curve=droplet_curve(point),
        nozzle=droplet_range(point),
        band_c=temperature_band_c(point),
        lifts=core_lifts(point, cores),
        findings=in_order([*check_process_alone(point), *check_lifts(point, cores)]),
    )


def _stated(point: OperatingPoint) -> list[StatedValue]:
    changed = {entry.field for entry in point.overridden}
    found = []
    for kind in PROFILE_KINDS:
        profile = getattr(point, kind)
        for name, value in profile.values().items():
            if value is not None:
                field = f"{kind}.{name}"
                evidence = profile.sources[name]
                found.append(StatedValue(field, _plain(value), unit_of(name), evidence, field in changed))
    return found


def _unknown(point: OperatingPoint) -> list[UnknownValue]:
    return [
        UnknownValue(f"{kind}.{name}", unit_of(name), allowed(kind, name))
        for kind in PROFILE_KINDS
        for name, value in getattr(point, kind).values().items()
        if value is None
    ]


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if hasattr(value, "model_dump"):
        return value.model_dump(mode="json")
    return value if isinstance(value, (bool, int, float, str)) else str(value)


def _stated_document(entry: StatedValue) -> dict[str, Any]:
    return {
        "field": entry.field,
        "value": entry.value,
        "unit": entry.unit,
        "is_overridden": entry.is_overridden,
        **entry.evidence.model_dump(mode="json", exclude_none=True),
    }


def _solved_document(entry: Solved) -> dict[str, Any]:
    return {
        "code": entry.code,
        "value": entry.value,
        "unit": entry.unit,
        "inputs": list(entry.inputs),
        "missing": list(entry.missing),
        "refused": None
        if entry.refused is None
        else {"code": entry.refused.code, "facts": entry.refused.facts},
        "evidence": entry.evidence,
    }


def _droplet_document(entry: DropletPoint) -> dict[str, float]:
    return {
        "temperature_c": from_si(entry.temperature_k, "c"),
        "viscosity_mpa_s": from_si(entry.viscosity_pa_s, "mpa_s"),
        "surface_tension_mn_m": from_si(entry.surface_tension_n_m, "mn_m"),
        "reynolds": entry.reynolds,
        "weber": entry.weber,
        "inverse_ohnesorge": entry.z,
        "splash_number": entry.splash,
    }
