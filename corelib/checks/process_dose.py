"""The dose of an operating point: solved both ways, each quantity from the rest, and what can be set."""

from __future__ import annotations

from dataclasses import dataclass, replace

from corelib.checks.process_values import Solved, missing_in, si_of, solved, value_of
from corelib.findings import Finding
from corelib.job.profiles import OperatingPoint
from corelib.physics import binder, droplets
from corelib.physics.dose import DOSE_QUANTITIES, DoseQuantity, DoseSetting, solve_dose
from corelib.units import from_si, in_si, suffix_of

MOST_DISAGREEMENT_PCT = 5.0
"""From here on a stated dose and its drops are reported to disagree; common practice, no source."""
MOST_PASSES = 64
SAME = 1e-6
"""Relative difference under which two settings are the same."""

STATED_DOSE = ("process.binder_on_sand_pct", "additive.additive_on_sand_pct")
DROPS = (
    "head.drop_volume_pl",
    "binder.density_g_cm3",
    "machine.pitch_travel_mm",
    "machine.pitch_across_mm",
    "machine.grey_level",
)
BED = ("process.layer_thickness_mm", "sand.bulk_density_g_cm3")

FIELD_OF: dict[DoseQuantity, str] = {
    "binder_on_mix": "process.binder_on_sand_pct",
    "drop_volume_m3": "head.drop_volume_pl",
    "pitch_travel_m": "machine.pitch_travel_mm",
    "pitch_across_m": "machine.pitch_across_mm",
    "grey_level": "machine.grey_level",
    "thickness_m": "process.layer_thickness_mm",
}
"""The profile field that states each quantity of the dose solver."""


@dataclass(frozen=True)
class DoseSolution:
    """One quantity solved from the other five: the exact value, and the nearest that can be set.

    `settable` is None where the profile doesn't say in which steps it can be set. `obtained_on_sand_pct` is
    the dose that the drops then bring, `off_pct` how far that is from the stated dose.
    """

    field: str
    stated: float
    exact: float
    settable: float | None
    obtained_on_sand_pct: float
    off_pct: float


def dose_setting(point: OperatingPoint) -> DoseSetting | None:
    """Return the operating point's dose setting in SI, None where one of its values isn't known."""
    if missing_in(point, (*STATED_DOSE, *DROPS, *BED)):
        return None
    on_sand, additive = (si_of(point, field) for field in STATED_DOSE)
    volume, density, travel, across, grey = (si_of(point, field) for field in DROPS)
    thickness, bed = (si_of(point, field) for field in BED)
    return DoseSetting(
        binder_on_mix=binder.on_mix_from_on_sand(on_sand, additive),
        drop_volume_m3=volume,
        pitch_travel_m=travel,
        pitch_across_m=across,
        grey_level=grey,
        thickness_m=thickness,
        binder_density_kg_m3=density,
        bed_density_kg_m3=bed,
    )


def dose_solutions(point: OperatingPoint) -> tuple[DoseSolution, ...]:
    """Return each quantity of the dose solved from the other five; empty where a value isn't known."""
    setting = dose_setting(point)
    if setting is None:
        return ()
    return tuple(_solution(point, setting, wanted) for wanted in DOSE_QUANTITIES)


def _solution(point: OperatingPoint, setting: DoseSetting, wanted: DoseQuantity) -> DoseSolution:
    field = FIELD_OF[wanted]
    suffix = suffix_of(field)
    additive = si_of(point, "additive.additive_on_sand_pct")
    exact_si = getattr(solve_dose(setting, wanted), wanted)
    if wanted == "binder_on_mix":
        exact_si = binder.on_sand_from_on_mix(exact_si, additive)
    exact = from_si(exact_si, suffix)
    settable = _settable(point, wanted, exact)
    used = exact if settable is None else settable
    used_si = in_si(used, suffix)
    if wanted == "binder_on_mix":
        used_si = binder.on_mix_from_on_sand(used_si, additive)
    obtained = replace(setting, **{wanted: used_si})
    on_sand = binder.on_sand_from_on_mix(obtained.by_drops, additive)
    return DoseSolution(
        field=field,
        stated=float(value_of(point, field)),
        exact=exact,
        settable=settable,
        obtained_on_sand_pct=from_si(on_sand, "pct"),
        off_pct=from_si(obtained.disagreement, "pct"),
    )


def _settable(point: OperatingPoint, wanted: DoseQuantity, exact: float) -> float | None:
    """Return the nearest value that the machine can be set to, None where its steps aren't stated."""
    if wanted == "binder_on_mix":
        return exact
    if wanted == "grey_level":
        most = point.head.grey_levels
        return None if most is None else float(min(max(1, round(exact)), most))
    if wanted == "pitch_across_m":
        nozzle = point.head.nozzle_pitch_mm
        return None if nozzle is None else nearest_pitch_across_mm(nozzle, exact)
    steps = {
        "drop_volume_m3": (point.head.drop_volume_step_pl, point.head.drop_volume_pl),
        "pitch_travel_m": (point.machine.pitch_travel_step_mm, 0.0),
        "thickness_m": (point.machine.layer_step_mm, 0.0),
    }
    step, from_here = steps[wanted]
    if step is None or from_here is None:
        return None
    steps_away = round((exact - from_here) / step)
    nearest = from_here + steps_away * step
    return float(f"{nearest if nearest > 0 else step:.12g}")


def nearest_pitch_across_mm(nozzle_pitch_mm: float, wanted_mm: float) -> float:
    """Return the pitch across nearest to the one wanted: nozzle pitch over a whole number of passes."""
    pitches = [nozzle_pitch_mm / passes for passes in range(1, MOST_PASSES + 1)]
    return min(pitches, key=lambda pitch: abs(pitch - wanted_mm))


def dose_values(point: OperatingPoint) -> tuple[Solved, ...]:
    """Return the solved values of dose and drops."""
    additive = "additive.additive_on_sand_pct"
    return (
        solved(point, "solved.binder_on_mix_pct", STATED_DOSE, binder.on_mix_from_on_sand),
        solved(
            point,
            "solved.solids_on_sand_pct",
            ("process.binder_on_sand_pct", "binder.solids_pct"),
            binder.solids_on_sand,
        ),
        solved(
            point,
            "solved.drops_on_sand_pct",
            (*DROPS, *BED, additive),
            lambda *si: binder.on_sand_from_on_mix(binder.dose_from_drops(*si[:-1]), si[-1]),
        ),
        solved(
            point,
            "solved.drops_over_dose_pct",
            (*DROPS, *BED, *STATED_DOSE),
            lambda *si: binder.dose_from_drops(*si[:7]) / binder.on_mix_from_on_sand(*si[7:]) - 1,
        ),
        solved(
            point,
            "solved.areal_dose_g_m2",
            ("sand.bulk_density_g_cm3", "process.layer_thickness_mm", *STATED_DOSE),
            lambda bed, t, *dose: binder.areal_dose_kg_m2(bed, t, binder.on_mix_from_on_sand(*dose)),
        ),
        solved(point, "solved.areal_drops_g_m2", DROPS, binder.areal_dose_from_drops_kg_m2),
        solved(point, "solved.drop_diameter_um", ("head.drop_volume_pl",), droplets.drop_diameter_m),
        solved(point, "solved.drop_cycle_us", ("head.firing_khz",), droplets.drop_cycle_s),
    )


def check_dose(point: OperatingPoint) -> list[Finding]:
    """Return the findings on areal dose and on what the head can be set to."""
    return [*_areal_limits(point), *_pitch_across(point), *_grey_level(point)]


def check_dose_twice_stated(point: OperatingPoint) -> list[Finding]:
    """Return the finding if stated dose and drops disagree (a plan's estimate says it for each box)."""
    setting = dose_setting(point)
    if setting is None:
        return []
    off_pct = from_si(setting.disagreement, "pct")
    if abs(off_pct) <= MOST_DISAGREEMENT_PCT:
        return []
    needed = solve_dose(setting, "drop_volume_m3").drop_volume_m3
    additive = si_of(point, "additive.additive_on_sand_pct")
    facts = {
        "stated_pct": point.process.binder_on_sand_pct,
        "drops_pct": from_si(binder.on_sand_from_on_mix(setting.by_drops, additive), "pct"),
        "off_pct": off_pct,
        "most_pct": MOST_DISAGREEMENT_PCT,
        "drop_pl": point.head.drop_volume_pl,
        "needed_pl": from_si(needed, "pl"),
    }
    return [Finding("dose.drops_disagree", "check", facts)]


def check_head_speed(point: OperatingPoint) -> list[Finding]:
    """Return the finding if the head is stated faster than its nozzles fire (an estimate says it too)."""
    if missing_in(point, ("head.firing_khz", "machine.pitch_travel_mm", "machine.head_speed_mm_s")):
        return []
    limit = si_of(point, "head.firing_khz") * si_of(point, "machine.pitch_travel_mm")
    speed = si_of(point, "machine.head_speed_mm_s")
    if speed <= limit * (1 + SAME):
        return []
    facts = {"speed_mm_s": point.machine.head_speed_mm_s, "limit_mm_s": from_si(limit, "mm_s")}
    return [Finding("dose.head_faster_than_nozzles", "check", facts)]


def _areal_limits(point: OperatingPoint) -> list[Finding]:
    setting = dose_setting(point)
    least, most = point.process.binder_least_g_m2, point.process.binder_most_g_m2
    if setting is None:
        return []
    if least is None or most is None:
        unstated = [
            f"process.{name}"
            for name in ("binder_least_g_m2", "binder_most_g_m2")
            if value_of(point, f"process.{name}") is None
        ]
        return [Finding("dose.limits_not_stated", "note", {"fields": unstated})]
    areal = from_si(
        binder.areal_dose_kg_m2(setting.bed_density_kg_m3, setting.thickness_m, setting.by_drops), "g_m2"
    )
    facts = {"areal_g_m2": areal, "least_g_m2": least, "most_g_m2": most}
    if least > most:
        return [Finding("dose.limits_crossed", "check", facts)]
    if areal < least:
        return [Finding("dose.starved", "check", facts)]
    return [Finding("dose.flooded", "check", facts)] if areal > most else []


def _pitch_across(point: OperatingPoint) -> list[Finding]:
    nozzle, passes, stated = (
        point.head.nozzle_pitch_mm,
        point.machine.passes,
        point.machine.pitch_across_mm,
    )
    if nozzle is None or passes is None or stated is None:
        return []
    if abs(nozzle / passes - stated) <= SAME * stated:
        return []
    nearest = nearest_pitch_across_mm(nozzle, stated)
    facts = {
        "pitch_mm": stated,
        "nozzle_pitch_mm": nozzle,
        "passes": passes,
        "with_passes_mm": nozzle / passes,
        "nearest_mm": nearest,
        "nearest_passes": round(nozzle / nearest),
    }
    return [Finding("dose.pitch_across_not_settable", "check", facts)]


def _grey_level(point: OperatingPoint) -> list[Finding]:
    stated, most = point.machine.grey_level, point.head.grey_levels
    if stated is None or most is None or stated <= most:
        return []
    return [Finding("dose.grey_level_too_high", "check", {"grey_level": stated, "most": most})]
