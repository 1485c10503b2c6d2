"""The cure of an operating point: water and heat, both bounds on a full box, drying and cooling."""

from __future__ import annotations

from itertools import pairwise

from corelib.checks.process_values import Solved, missing_in, si_of, solved
from corelib.errors import InputError
from corelib.findings import Finding
from corelib.job.profiles import OperatingPoint
from corelib.physics import binder, cooling, heat
from corelib.physics.casting import steam_volume_m3
from corelib.physics.ranges import require_range
from corelib.units import from_si

DOSE = ("process.binder_on_sand_pct", "additive.additive_on_sand_pct", "binder.solids_pct")
MIX_HEAT = (
    "sand.specific_heat_j_kg_k",
    "additive.specific_heat_j_kg_k",
    "additive.additive_on_sand_pct",
)
CURE = ("oven.start_c", "oven.cure_c", "oven.evaporated_pct")
FULL_BED = ("machine.box_inner_mm", "sand.bulk_density_g_cm3")
WATER = (*DOSE, "sand.moisture_pct")
COOLING = (
    "machine.box_inner_mm",
    "sand.bulk_density_g_cm3",
    "oven.bed_conductivity_w_m_k",
    *MIX_HEAT,
    "oven.cure_c",
    "oven.unpack_at_c",
    "oven.hall_c",
)
COOLING_MARGIN = 0.8
"""A stated cooling time under this share of the conduction estimate is reported."""


def printed_water(on_sand: float, additive: float, solids: float, moisture: float) -> float:
    """Return the water of the printed bed per mass of dry mix [-]: the binder's and the moisture."""
    on_mix = binder.on_mix_from_on_sand(on_sand, additive)
    return binder.binder_water_kg(on_mix, solids) + moisture


def _volume_m3(size: tuple[float, float, float]) -> float:
    return size[0] * size[1] * size[2]


def _heat_j(point: OperatingPoint, *, printed_kg: float, loose_kg: float, box: bool) -> heat.CureHeat:
    """Return the cure's heat of masses of dry mix; the fields it takes must be known."""
    start_k, cure_k, evaporated = (si_of(point, field) for field in CURE)
    if cure_k <= start_k:
        raise InputError(
            "estimate.cure_not_above_start", start_c=from_si(start_k, "c"), cure_c=from_si(cure_k, "c")
        )
    moisture = si_of(point, "sand.moisture_pct")
    return heat.cure_heat_j(
        printed_mix_kg=printed_kg,
        loose_mix_kg=loose_kg,
        printed_water_kg=printed_kg * printed_water(*(si_of(point, field) for field in WATER)),
        loose_water_kg=loose_kg * moisture,
        start_k=start_k,
        cure_k=cure_k,
        mix_specific_heat_j_kg_k=heat.mix_specific_heat_j_kg_k(*(si_of(point, field) for field in MIX_HEAT)),
        evaporated=evaporated,
        box_heat_capacity_j_k=si_of(point, "oven.box_heat_capacity_kj_k") if box else 0.0,
    )


def _full_box_electric_j(point: OperatingPoint) -> float:
    bed_kg = _volume_m3(si_of(point, FULL_BED[0])) * si_of(point, FULL_BED[1])
    balance = _heat_j(point, printed_kg=0.0, loose_kg=bed_kg, box=True)
    return heat.electric_energy_j(balance.most.total_j, si_of(point, "oven.efficiency_pct"))


def cooling_h(point: OperatingPoint) -> Solved:
    """Return the time [h] until the middle of a full box is down to the unpacking temperature."""

    def time_s(
        size: tuple[float, float, float],
        density: float,
        conductivity: float,
        sand_heat: float,
        additive_heat: float,
        additive: float,
        cure_k: float,
        unpack_k: float,
        hall_k: float,
    ) -> float:
        require_range("physics.unpack_temperature", unpack_k, hall_k + 0.1, cure_k, "K")
        specific = heat.mix_specific_heat_j_kg_k(sand_heat, additive_heat, additive)
        diffusivity = cooling.diffusivity_m2_s(conductivity, density, specific)
        return cooling.block_cooling_s(*size, diffusivity, (unpack_k - hall_k) / (cure_k - hall_k))

    return solved(point, "solved.cooling_h", COOLING, time_s)


def cure_values(point: OperatingPoint) -> tuple[Solved, ...]:
    """Return the solved values of the cure."""
    per_kg = (*WATER, *MIX_HEAT, *CURE)
    full = (*FULL_BED, *per_kg, "oven.box_heat_capacity_kj_k", "oven.efficiency_pct")
    gross = (*FULL_BED, "machine.box_tare_kg")
    drying = ("oven.drying_half_time_s",)
    return (
        solved(point, "solved.printed_water_pct", WATER, printed_water),
        solved(
            point,
            "solved.heat_of_printed_bed_kj_kg",
            per_kg,
            lambda *_: _heat_j(point, printed_kg=1.0, loose_kg=0.0, box=False).least.total_j,
        ),
        solved(
            point,
            "solved.heat_of_loose_bed_kj_kg",
            per_kg,
            lambda *_: _heat_j(point, printed_kg=0.0, loose_kg=1.0, box=False).most.total_j,
        ),
        solved(point, "solved.full_box_bed_kg", FULL_BED, lambda size, bed: _volume_m3(size) * bed),
        solved(
            point,
            "solved.full_box_gross_kg",
            gross,
            lambda size, bed, tare: _volume_m3(size) * bed + tare,
        ),
        solved(point, "solved.full_box_cure_kwh", full, lambda *_: _full_box_electric_j(point)),
        solved(
            point,
            "solved.full_box_power_limit_h",
            (*full, "oven.power_kw"),
            lambda *_: heat.power_limited_time_s(_full_box_electric_j(point), si_of(point, "oven.power_kw")),
        ),
        solved(
            point,
            "solved.full_box_by_rule_h",
            (*gross, "oven.kg_an_hour"),
            lambda size, bed, tare, rule: (_volume_m3(size) * bed + tare) / rule * 3600.0,
        ),
        solved(
            point,
            "solved.drying_time_min",
            ("oven.evaporated_pct", *drying),
            cooling.drying_time_s,
        ),
        solved(point, "solved.water_left_after_hold_pct", ("oven.hold_s", *drying), cooling.water_left),
        solved(
            point,
            "solved.water_in_core_pct",
            (*WATER, "oven.evaporated_pct"),
            lambda *si: printed_water(*si[:4]) * (1 - si[4]),
        ),
        solved(
            point,
            "solved.steam_l_kg",
            (*WATER, "oven.evaporated_pct"),
            lambda *si: steam_volume_m3(printed_water(*si[:4]) * (1 - si[4])),
        ),
        cooling_h(point),
    )


def check_cure(point: OperatingPoint) -> list[Finding]:
    """Return the findings on cure temperature, drying and cooling."""
    return [
        *_cure_temperature(point),
        *_hold(point),
        *_drying_table(point),
        *_cooling(point),
    ]


def check_box_in_oven(point: OperatingPoint) -> list[Finding]:
    """Return the findings if the machine's full box doesn't go into the oven (a plan says it by box)."""
    found = []
    oven_mm = point.oven.inner_mm
    box_mm = point.machine.box_outer_mm or point.machine.box_inner_mm
    if oven_mm is not None and box_mm is not None:
        straight = box_mm[0] <= oven_mm[0] and box_mm[1] <= oven_mm[1]
        turned = box_mm[1] <= oven_mm[0] and box_mm[0] <= oven_mm[1]
        if not (straight or turned) or box_mm[2] > oven_mm[2]:
            facts = {"box_mm": [*box_mm], "oven_mm": [*oven_mm]}
            found.append(Finding("cure.box_larger_than_oven", "stop", facts))
    gross = solved(
        point,
        "solved.full_box_gross_kg",
        (*FULL_BED, "machine.box_tare_kg"),
        lambda size, bed, tare: _volume_m3(size) * bed + tare,
    ).value
    carriers = {
        "platform": point.machine.platform_load_kg,
        "conveyor": point.machine.conveyor_load_kg,
        "oven": point.oven.rated_load_kg,
        "truck": point.machine.truck_load_kg,
    }
    over = [name for name, rated in carriers.items() if gross and rated is not None and gross > rated]
    if over:
        least = min(rated for name, rated in carriers.items() if name in over and rated is not None)
        load = {"gross_kg": gross, "carriers": over, "rated_kg": least}
        found.append(Finding("cure.full_box_overloads", "check", load))
    return found


def _cure_temperature(point: OperatingPoint) -> list[Finding]:
    if missing_in(point, ("oven.start_c", "oven.cure_c")):
        return []
    start_c, cure_c = point.oven.start_c, point.oven.cure_c
    assert start_c is not None and cure_c is not None
    if cure_c <= start_c:
        return [Finding("cure.not_above_start", "stop", {"start_c": start_c, "cure_c": cure_c})]
    boiling_c = from_si(heat.BOILING_K, "c")
    if cure_c < boiling_c:
        return [Finding("cure.below_boiling", "note", {"cure_c": cure_c, "boiling_c": boiling_c})]
    return []


def _hold(point: OperatingPoint) -> list[Finding]:
    fields = ("oven.evaporated_pct", "oven.drying_half_time_s", "oven.hold_s")
    if missing_in(point, fields):
        return []
    evaporated, half_s, hold_s = (si_of(point, field) for field in fields)
    if evaporated >= 1.0:
        return [Finding("cure.never_dry", "note", {"evaporated_pct": 100.0})]
    needed_s = cooling.drying_time_s(evaporated, half_s)
    if hold_s >= needed_s * (1 - 1e-9):
        return []
    facts = {
        "evaporated_pct": from_si(evaporated, "pct"),
        "needed_min": needed_s / 60,
        "hold_min": hold_s / 60,
        "then_pct": 100 * (1 - cooling.water_left(hold_s, half_s)),
        "half_time_min": half_s / 60,
    }
    return [Finding("cure.hold_too_short", "check", facts)]


def _drying_table(point: OperatingPoint) -> list[Finding]:
    rows = sorted(point.oven.drying_table or (), key=lambda row: row.water_kg)
    for less, more in pairwise(rows):
        if more.time_s < less.time_s or more.water_kg == less.water_kg:
            facts = {"water_kg": more.water_kg, "time_s": more.time_s, "before_s": less.time_s}
            return [Finding("cure.drying_table_falls", "check", facts)]
    return []


def _cooling(point: OperatingPoint) -> list[Finding]:
    estimate = cooling_h(point)
    if estimate.refused is not None:
        facts = {
            "unpack_c": point.oven.unpack_at_c,
            "hall_c": point.oven.hall_c,
            "cure_c": point.oven.cure_c,
        }
        return [Finding("cure.unpack_temperature", "check", facts)]
    stated = point.oven.cool_h
    if estimate.value is None or stated is None or stated >= COOLING_MARGIN * estimate.value:
        return []
    facts = {
        "stated_h": stated,
        "estimate_h": estimate.value,
        "unpack_c": point.oven.unpack_at_c,
        "cure_c": point.oven.cure_c,
    }
    return [Finding("cure.cools_slower", "check", facts)]
