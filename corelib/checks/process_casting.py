"""Strength and heat, screening figures: dose and strength, softening, quartz, lift in the melt, waits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from corelib.checks.process_values import Solved, missing_in, si_of, solved
from corelib.findings import Finding
from corelib.job.profiles import OperatingPoint
from corelib.mesh.core import LoadedCore
from corelib.physics import binder, casting
from corelib.physics.heat import QUARTZ_INVERSION_K
from corelib.physics.ranges import interpolated
from corelib.units import S_PER_H, from_si, in_si

SMALL_SOFTENING_MARGIN_K = 50.0
"""Margin between softening and pouring temperature from which it is reported; guess, no source."""

STRENGTH = ("process.strength_on_dose", "process.binder_on_sand_pct")
CORE_DENSITY = (
    "sand.bulk_density_g_cm3",
    "process.binder_on_sand_pct",
    "additive.additive_on_sand_pct",
    "binder.solids_pct",
    "oven.evaporated_pct",
)
MELT = "process.melt_density_g_cm3"


@dataclass(frozen=True)
class CoreInMelt:
    """A core as it lies in the mould. Seat areas are those in casting position, not in the build box."""

    core: str
    volume_m3: float
    wetted: float | None = None
    seat_above_m2: float | None = None
    """Prints against which the core is pressed from below by the melt."""
    seat_below_m2: float | None = None
    """Prints on which the core rests before the pour."""


@dataclass(frozen=True)
class CoreLift:
    """Lift and print loads of one core; `wetted_is_bound` where no wetted share is stated (all counts)."""

    core: str
    weight_n: float
    net_lift_n: float
    gross_lift_n: float
    wetted_pct: float
    wetted_is_bound: bool
    seat_needed_mm2: float | None
    pressure_above_kpa: float | None
    pressure_below_kpa: float | None


def cores_in_melt(cores: Sequence[LoadedCore]) -> tuple[CoreInMelt, ...]:
    """Return the cores as they lie in the mould, from their items' statements and their volumes."""

    def si(value: float | None, suffix: str) -> float | None:
        return None if value is None else in_si(value, suffix)

    return tuple(
        CoreInMelt(
            core=core.item.id,
            volume_m3=core.core_volume_mm3 * 1e-9,
            wetted=si(core.item.in_mould.wetted_pct, "pct"),
            seat_above_m2=si(core.item.in_mould.seat_above_mm2, "mm2"),
            seat_below_m2=si(core.item.in_mould.seat_below_mm2, "mm2"),
        )
        for core in cores
    )


def check_print_to_cure(point: OperatingPoint, printing_s: Sequence[float]) -> list[Finding]:
    """Return a finding for each box whose printing alone takes longer than the longest wait to the cure."""
    limit_h = point.process.print_to_cure_h
    if limit_h is None:
        return []
    return [
        Finding(
            "casting.waits_too_long", "check", {"print_h": seconds / S_PER_H, "limit_h": limit_h}, box=box
        )
        for box, seconds in enumerate(printing_s)
        if seconds > limit_h * S_PER_H
    ]


def core_density_kg_m3(
    bed: float, on_sand: float, additive: float, solids: float, evaporated: float
) -> float:
    """Return the density of a cured core [kg/m³] from bed, dose, solids and evaporated share (SI)."""
    on_mix = binder.on_mix_from_on_sand(on_sand, additive)
    return binder.cured_density_kg_m3(bed, on_mix, solids, evaporated)


def strength_mpa(point: OperatingPoint) -> Solved:
    """Return the bending strength at the stated dose, between the rows of the profile's table."""

    def at_dose(rows: Sequence[object], dose: float) -> float:
        ordered = sorted(point.process.strength_on_dose or (), key=lambda row: row.binder_on_sand_pct)
        doses = [row.binder_on_sand_pct for row in ordered]
        strengths = [row.strength_mpa * 1e6 for row in ordered]
        return interpolated("physics.strength_dose", "%", dose * 100, doses, strengths)

    return solved(point, "solved.strength_mpa", STRENGTH, at_dose)


def casting_values(point: OperatingPoint) -> tuple[Solved, ...]:
    """Return the solved values of strength and casting."""
    lift = (MELT, *CORE_DENSITY)
    litre = 1e-3
    return (
        strength_mpa(point),
        solved(point, "solved.core_density_g_cm3", CORE_DENSITY, core_density_kg_m3),
        solved(
            point,
            "solved.softening_margin_k",
            ("binder.softening_c", "process.pouring_c"),
            lambda softening, pouring: softening - pouring,
        ),
        solved(
            point,
            "solved.net_lift_of_1_l_n",
            lift,
            lambda melt, *core: casting.net_lift_n(litre, litre, melt, core_density_kg_m3(*core)),
        ),
        solved(point, "solved.gross_lift_of_1_l_n", (MELT,), lambda melt: casting.gross_lift_n(litre, melt)),
    )


def core_lifts(point: OperatingPoint, cores: Sequence[CoreInMelt]) -> tuple[CoreLift, ...]:
    """Return lift and print loads of each core; empty where melt or core density isn't known."""
    if missing_in(point, (MELT, *CORE_DENSITY)):
        return ()
    density = core_density_kg_m3(*(si_of(point, field) for field in CORE_DENSITY))
    return tuple(_core_lift(point, core, density) for core in cores)


def _core_lift(point: OperatingPoint, core: CoreInMelt, density_kg_m3: float) -> CoreLift:
    stated = core.wetted if core.wetted is not None else si_of(point, "process.wetted_pct")
    wetted = 1.0 if stated is None else stated
    melt = si_of(point, MELT)
    net = casting.net_lift_n(core.volume_m3, wetted * core.volume_m3, melt, density_kg_m3)
    weight = density_kg_m3 * core.volume_m3 * casting.STANDARD_GRAVITY_M_S2
    allowed = si_of(point, "process.print_pressure_kpa")
    load = max(net, 0.0)
    above, below = core.seat_above_m2, core.seat_below_m2
    return CoreLift(
        core=core.core,
        weight_n=weight,
        net_lift_n=net,
        gross_lift_n=casting.gross_lift_n(wetted * core.volume_m3, melt),
        wetted_pct=100 * wetted,
        wetted_is_bound=stated is None,
        seat_needed_mm2=None if allowed is None else from_si(casting.seat_area_m2(load, allowed), "mm2"),
        pressure_above_kpa=_pressure_kpa(load, above),
        pressure_below_kpa=_pressure_kpa(weight, below),
    )


def _pressure_kpa(load_n: float, seat_m2: float | None) -> float | None:
    return None if seat_m2 is None else from_si(casting.seat_pressure_pa(load_n, seat_m2), "kpa")


def check_lifts(point: OperatingPoint, cores: Sequence[CoreInMelt]) -> list[Finding]:
    """Return the findings on print seats that bear more than the mould is stated to bear."""
    allowed_kpa = point.process.print_pressure_kpa
    found = []
    for lift in core_lifts(point, cores):
        loads = {
            "casting.seat_above_overloaded": (lift.pressure_above_kpa, lift.net_lift_n),
            "casting.seat_below_overloaded": (lift.pressure_below_kpa, lift.weight_n),
        }
        for code, (pressure_kpa, load_n) in loads.items():
            if allowed_kpa is None or pressure_kpa is None or pressure_kpa <= allowed_kpa:
                continue
            facts = {
                "load_n": load_n,
                "pressure_kpa": pressure_kpa,
                "allowed_kpa": allowed_kpa,
                "wetted_pct": lift.wetted_pct,
                "needed_mm2": from_si(casting.seat_area_m2(load_n, allowed_kpa * 1000), "mm2"),
            }
            found.append(Finding(code, "check", facts, core=lift.core))
    return found


def check_casting(point: OperatingPoint) -> list[Finding]:
    """Return the findings on strength, softening, quartz and waits."""
    return [*_strength(point), *_softening(point), *_quartz(point), *_waits(point)]


def _strength(point: OperatingPoint) -> list[Finding]:
    strength = strength_mpa(point)
    if strength.refused is None:
        return []
    facts = strength.refused.facts
    outside = {"dose_pct": facts["value"], "low_pct": facts["low"], "high_pct": facts["high"]}
    return [Finding("casting.dose_outside_strength_table", "check", outside)]


def _softening(point: OperatingPoint) -> list[Finding]:
    softening_c, pouring_c = point.binder.softening_c, point.process.pouring_c
    if softening_c is None or pouring_c is None:
        return []
    margin = softening_c - pouring_c
    facts = {"softening_c": softening_c, "pouring_c": pouring_c, "margin_k": margin}
    if margin < 0:
        return [Finding("casting.softens_below_pouring", "check", facts)]
    if margin < SMALL_SOFTENING_MARGIN_K:
        return [Finding("casting.softening_margin_small", "note", facts)]
    return []


def _quartz(point: OperatingPoint) -> list[Finding]:
    pouring_c = point.process.pouring_c
    inversion_c = from_si(QUARTZ_INVERSION_K, "c")
    if point.sand.is_silica is not True or pouring_c is None or pouring_c <= inversion_c:
        return []
    facts = {"pouring_c": pouring_c, "inversion_c": inversion_c}
    return [Finding("casting.quartz_inversion", "note", facts)]


def _waits(point: OperatingPoint) -> list[Finding]:
    fields = ("process.print_to_cure_h", "process.cured_use_by_h")
    missing = missing_in(point, fields)
    if missing:
        return [Finding("casting.waits_not_stated", "note", {"fields": list(missing)})]
    facts = {
        "print_to_cure_h": point.process.print_to_cure_h,
        "use_by_h": point.process.cured_use_by_h,
    }
    return [Finding("casting.waits", "note", facts)]
