"""Energy of a box: printing, waiting and the cure's heat with its two bounds, as electric kWh."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corelib import units
from corelib.errors import InputError
from corelib.estimate.lines import Input, Line, LineGroup, total
from corelib.estimate.quantities import MIX, BedQuantities, PrintedQuantities
from corelib.estimate.stated import number, numbers
from corelib.estimate.time import BoxTime
from corelib.job.profiles import OperatingPoint
from corelib.physics.heat import CureHeat, cure_heat_j, electric_energy_j, mix_specific_heat_j_kg_k

HEATED = (
    "(sand.specific_heat_j_kg_k + additive.additive_on_sand_pct ÷ 100 × additive.specific_heat_j_kg_k) ÷ "
    f"{MIX} × (oven.cure_c − oven.start_c) ÷ 3600000"
)
HEATED_FIELDS = (
    "sand.specific_heat_j_kg_k",
    "additive.additive_on_sand_pct",
    "additive.specific_heat_j_kg_k",
    "oven.cure_c",
    "oven.start_c",
)
DRIED = "(heating_j_kg + oven.evaporated_pct ÷ 100 × evaporation_j_kg) ÷ 3600000"


@dataclass(frozen=True)
class CureLines(LineGroup):
    """Water and heat of the cure of one box, or summed over boxes; heats are before the oven's efficiency."""

    printed_water_kg: Line
    loose_water_kg: Line
    printed_mix_heat_kwh: Line
    printed_water_heat_kwh: Line
    loose_mix_heat_kwh: Line
    loose_water_heat_kwh: Line
    box_heat_kwh: Line
    cure_least_kwh: Line
    """Electric energy of the cure, if only the printed bed and its water heat."""
    cure_most_kwh: Line
    """Electric energy of the cure, if the whole filled box heats."""
    cure_kwh: Line
    """Electric energy of the cure at the stated share of loose sand that heats along."""


@dataclass(frozen=True)
class BoxEnergy(LineGroup):
    """Electric energy of one box, or summed over boxes."""

    printing_kwh: Line
    waiting_kwh: Line
    cure_least_kwh: Line
    cure_most_kwh: Line
    cure_kwh: Line

    @property
    def energy_kwh(self) -> Line:
        """Printing, waiting and cure."""
        return total("energy_kwh", "kWh", (self.printing_kwh, self.waiting_kwh, self.cure_kwh))

    @property
    def energy_least_kwh(self) -> Line:
        """Printing, waiting and the lower bound of the cure."""
        return total("energy_least_kwh", "kWh", (self.printing_kwh, self.waiting_kwh, self.cure_least_kwh))

    @property
    def energy_most_kwh(self) -> Line:
        """Printing, waiting and the upper bound of the cure."""
        return total("energy_most_kwh", "kWh", (self.printing_kwh, self.waiting_kwh, self.cure_most_kwh))


def cure_lines(point: OperatingPoint, printed: PrintedQuantities, bed: BedQuantities) -> CureLines:
    """Return water, heat and electric energy of the cure of a box, from the heat balance."""
    printed_water, loose_water = _water(point, printed, bed)
    loose_kg = bed.bed_mix_kg.value - printed.printed_mix_kg.value
    heat = _cure_heat(point, printed.printed_mix_kg.value, loose_kg, printed_water.value, loose_water.value)
    heats = _heats(point, heat, printed, bed, (printed_water, loose_water))
    least = _electric("cure_least_kwh", heat.least.total_j, heats[:2], point)
    most = _electric("cure_most_kwh", heat.most.total_j, heats, point)
    return CureLines(printed_water, loose_water, *heats, least, most, _between(heat, least, most, point))


def _water(point: OperatingPoint, printed: PrintedQuantities, bed: BedQuantities) -> tuple[Line, Line]:
    moisture = numbers(point, "sand.moisture_pct")
    wet = number(point, "sand.moisture_pct") / 100.0
    solids = numbers(point, "binder.solids_pct")
    share = 1.0 - number(point, "binder.solids_pct") / 100.0
    mix_kg = printed.printed_mix_kg.value
    in_printed = Line(
        "printed_water_kg",
        printed.binder_kg.value * share + mix_kg * wet,
        "kg",
        "binder_kg × (1 − binder.solids_pct ÷ 100) + printed_mix_kg × sand.moisture_pct ÷ 100",
        {**_values(printed.binder_kg, printed.printed_mix_kg), **solids, **moisture},
    )
    in_loose = Line(
        "loose_water_kg",
        (bed.bed_mix_kg.value - mix_kg) * wet,
        "kg",
        "(bed_mix_kg − printed_mix_kg) × sand.moisture_pct ÷ 100",
        {**_values(bed.bed_mix_kg, printed.printed_mix_kg), **moisture},
    )
    return in_printed, in_loose


def _heats(
    point: OperatingPoint,
    heat: CureHeat,
    printed: PrintedQuantities,
    bed: BedQuantities,
    water: tuple[Line, Line],
) -> tuple[Line, Line, Line, Line, Line]:
    """Return the heat of printed mix, its water, loose mix, its water, and the box."""
    fields = numbers(point, *HEATED_FIELDS)
    printed_mix, bed_mix = _values(printed.printed_mix_kg), _values(bed.bed_mix_kg)
    loose = f"(bed_mix_kg − printed_mix_kg) × {HEATED}"
    box = numbers(point, "oven.box_heat_capacity_kj_k", "oven.cure_c", "oven.start_c")
    least_water_j = heat.least.water_heated_j + heat.least.evaporation_j
    most_water_j = heat.most.water_heated_j + heat.most.evaporation_j
    return (
        _heat(
            "printed_mix_heat_kwh",
            heat.least.printed_mix_j,
            f"printed_mix_kg × {HEATED}",
            printed_mix | fields,
        ),
        _water_heat("printed_water_heat_kwh", water[0], least_water_j, point),
        _heat("loose_mix_heat_kwh", heat.most.loose_mix_j, loose, bed_mix | printed_mix | fields),
        _water_heat("loose_water_heat_kwh", water[1], most_water_j - least_water_j, point),
        _heat("box_heat_kwh", heat.most.box_j, BOX_HEATED, box),
    )


BOX_HEATED = "oven.box_heat_capacity_kj_k × (oven.cure_c − oven.start_c) ÷ 3600"


def _values(*lines: Line) -> dict[str, Input]:
    return {line.code: line.value for line in lines}


def _heat(code: str, heat_j: float, formula: str, inputs: dict[str, Input]) -> Line:
    return Line(code, heat_j / units.J_PER_KWH, "kWh", formula, inputs)


def _water_heat(code: str, water: Line, heat_j: float, point: OperatingPoint) -> Line:
    each = _cure_heat(point, 0.0, 0.0, 1.0, 0.0, evaporated=1.0).least
    inputs = {
        **_values(water),
        "heating_j_kg": each.water_heated_j,
        "evaporation_j_kg": each.evaporation_j,
        **numbers(point, "oven.evaporated_pct"),
    }
    return _heat(code, heat_j, f"{water.code} × {DRIED}", inputs)


def _electric(code: str, heat_j: float, heats: tuple[Line, ...], point: OperatingPoint) -> Line:
    inputs = {**_values(*heats), **numbers(point, "oven.efficiency_pct")}
    formula = f"({' + '.join(_values(*heats))}) ÷ (oven.efficiency_pct ÷ 100)"
    return Line(code, electric_energy_j(heat_j, _efficiency(point)) / units.J_PER_KWH, "kWh", formula, inputs)


def _between(heat: CureHeat, least: Line, most: Line, point: OperatingPoint) -> Line:
    share = "oven.loose_sand_heated_pct"
    electric_j = electric_energy_j(heat.between_j(number(point, share) / 100.0), _efficiency(point))
    formula = f"cure_least_kwh + {share} ÷ 100 × (cure_most_kwh − cure_least_kwh)"
    return _heat("cure_kwh", electric_j, formula, {**_values(least, most), **numbers(point, share)})


def _efficiency(point: OperatingPoint) -> float:
    return number(point, "oven.efficiency_pct") / 100.0


def _cure_heat(
    point: OperatingPoint,
    printed_mix_kg: float,
    loose_mix_kg: float,
    printed_water_kg: float,
    loose_water_kg: float,
    evaporated: float | None = None,
) -> CureHeat:
    start_c, cure_c = number(point, "oven.start_c"), number(point, "oven.cure_c")
    if cure_c <= start_c:
        raise InputError("estimate.cure_not_above_start", start_c=start_c, cure_c=cure_c)
    return cure_heat_j(
        printed_mix_kg=printed_mix_kg,
        loose_mix_kg=loose_mix_kg,
        printed_water_kg=printed_water_kg,
        loose_water_kg=loose_water_kg,
        start_k=start_c + units.KELVIN_AT_0_C,
        cure_k=cure_c + units.KELVIN_AT_0_C,
        mix_specific_heat_j_kg_k=mix_specific_heat_j_kg_k(
            number(point, "sand.specific_heat_j_kg_k"),
            number(point, "additive.specific_heat_j_kg_k"),
            number(point, "additive.additive_on_sand_pct") / 100.0,
        ),
        evaporated=number(point, "oven.evaporated_pct") / 100.0 if evaporated is None else evaporated,
        box_heat_capacity_j_k=number(point, "oven.box_heat_capacity_kj_k") * units.J_PER_KJ,
    )


def cure_time(point: OperatingPoint, cure: CureLines, gross_box: Line) -> Line:
    """Return a box's oven time: the longest of power, drying table and kg-an-hour rule, and the hold."""
    inputs: dict[str, Input] = {**_values(cure.cure_kwh), **numbers(point, "oven.power_kw", "oven.hold_s")}
    limits = {
        "cure_kwh ÷ oven.power_kw × 3600": cure.cure_kwh.value
        / number(point, "oven.power_kw")
        * units.S_PER_H
    }
    if point.oven.kg_an_hour is not None:
        inputs |= {**_values(gross_box), "oven.kg_an_hour": point.oven.kg_an_hour}
        seconds = gross_box.value / point.oven.kg_an_hour * units.S_PER_H
        limits["gross_box_kg ÷ oven.kg_an_hour × 3600"] = seconds
    if point.oven.drying_table is not None:
        dried_s = drying_time_s(point, cure.printed_water_kg.value)
        inputs["drying_table_s"] = limits["drying_table_s"] = dried_s
    longest = f"max({', '.join(limits)})" if len(limits) > 1 else next(iter(limits))
    value = max(limits.values()) + number(point, "oven.hold_s")
    return Line("cure_s", value, "s", f"{longest} + oven.hold_s", inputs)


def drying_time_s(point: OperatingPoint, printed_water_kg: float) -> float:
    """Return the shop's own curing time for the water to drive off, between the rows of its drying table.

    Beyond the last row the time grows in proportion to the water.
    """
    rows = sorted(point.oven.drying_table or (), key=lambda row: row.water_kg)
    driven_off_kg = printed_water_kg * number(point, "oven.evaporated_pct") / 100.0
    last = rows[-1]
    if driven_off_kg > last.water_kg:
        return last.time_s * driven_off_kg / last.water_kg
    water_kg, time_s = [row.water_kg for row in rows], [row.time_s for row in rows]
    return float(np.interp(driven_off_kg, water_kg, time_s))


def box_energy(point: OperatingPoint, time: BoxTime, cure: CureLines) -> BoxEnergy:
    """Return the electric energy of a box."""
    return BoxEnergy(
        printing_kwh=_running("printing_kwh", time.build_s, point, "machine.power_printing_kw"),
        waiting_kwh=_running("waiting_kwh", time.box_change_s, point, "machine.power_standby_kw"),
        cure_least_kwh=cure.cure_least_kwh,
        cure_most_kwh=cure.cure_most_kwh,
        cure_kwh=cure.cure_kwh,
    )


def _running(code: str, time: Line, point: OperatingPoint, path: str) -> Line:
    inputs = {time.code: time.value, **numbers(point, path)}
    value = time.value / units.S_PER_H * number(point, path)
    return Line(code, value, "kWh", f"{time.code} ÷ 3600 × {path}", inputs)
