"""Binder, sand and additive of a box: what the cores take, what the bed takes, what comes back."""

from __future__ import annotations

import math
from dataclasses import dataclass

from corelib import units
from corelib.errors import InputError
from corelib.estimate.lines import Input, Line, LineGroup, total
from corelib.estimate.stated import number, numbers
from corelib.estimate.time import LayerTimes
from corelib.job.profiles import OperatingPoint
from corelib.layers.model import BoxLayers, Series
from corelib.physics import binder

MIX = "(1 + additive.additive_on_sand_pct ÷ 100)"
DROP_FIELDS = (
    "head.drop_volume_pl",
    "binder.density_g_cm3",
    "machine.pitch_travel_mm",
    "machine.pitch_across_mm",
    "machine.grey_level",
)


@dataclass(frozen=True)
class PrintedQuantities(LineGroup):
    """What the printed volume of one box takes, or summed over boxes."""

    layer_count: Line
    printed_volume_mm3: Line
    core_volume_mm3: Line
    printed_mix_kg: Line
    printed_sand_kg: Line
    binder_kg: Line
    """Liquid binder in the cores; purge and wipe are in `binder_services_l`."""
    binder_l: Line
    binder_services_l: Line
    binder_drawn_kg: Line
    """Liquid binder that leaves the tank: into the cores, and by purge and wipe."""
    cores_kg: Line
    """Mass of the cores as printed: mix and binder of their solid volume."""


@dataclass(frozen=True)
class BedQuantities(LineGroup):
    """What the bed of one box takes and what comes back of it, or summed over boxes."""

    bed_mix_kg: Line
    bed_sand_kg: Line
    additive_kg: Line
    """Additive in the box, with that in the cores."""
    overfeed_mix_kg: Line
    with_cores_kg: Line
    """Dry mix that leaves the box in the cores."""
    loose_mix_kg: Line
    """Dry mix that is left when the cores are out, overfeed included."""
    reclaimed_kg: Line
    lost_kg: Line
    set_aside_kg: Line
    """Loose mix neither reclaimed nor lost: another outlet or disposal."""
    fresh_sand_kg: Line
    fresh_additive_kg: Line
    gross_box_kg: Line


@dataclass(frozen=True)
class BinderSides:
    """Binder by dose and by drops, and by how much they disagree; None where one isn't stated."""

    by_dose_l: Line | None
    by_drops_l: Line | None
    disagreement_pct: Line | None

    @property
    def basis(self) -> Line:
        """The side that the plan counts with: the dose where it is stated, else the drops."""
        line = self.by_dose_l or self.by_drops_l
        assert line is not None
        return line


def binder_sides(layers: BoxLayers, point: OperatingPoint) -> BinderSides:
    """Return the binder in the printed volume by dose and by drops; raises where neither is stated."""
    by_drops = None
    if all(_value(point, path) is not None for path in DROP_FIELDS):
        by_drops = _by_drops(layers, point)
    by_dose = None
    if point.process.binder_on_sand_pct is not None or by_drops is None:
        by_dose = _by_dose(layers, point)
    disagreement = None
    if by_dose is not None and by_drops is not None and by_dose.value > 0.0:
        inputs = {"binder_by_dose_l": by_dose.value, "binder_by_drops_l": by_drops.value}
        formula = "(binder_by_drops_l ÷ binder_by_dose_l − 1) × 100"
        value = (by_drops.value / by_dose.value - 1.0) * 100.0
        disagreement = Line("binder_disagreement_pct", value, "%", formula, inputs)
    return BinderSides(by_dose, by_drops, disagreement)


def _value(point: OperatingPoint, path: str) -> object:
    kind, _, field = path.partition(".")
    return getattr(getattr(point, kind), field)


def _by_dose(layers: BoxLayers, point: OperatingPoint) -> Line:
    inputs = numbers(
        point,
        "process.binder_on_sand_pct",
        "additive.additive_on_sand_pct",
        "sand.bulk_density_g_cm3",
        "binder.density_g_cm3",
    )
    mass_kg = binder.binder_mass_kg(
        layers.printed_volume_mm3 / layers.thickness_mm * units.M2_PER_MM2,
        layers.thickness_mm * units.M_PER_MM,
        number(point, "sand.bulk_density_g_cm3") * units.KG_M3_PER_G_CM3,
        binder_on_mix(point),
    )
    litres = units.litres(mass_kg, number(point, "binder.density_g_cm3"))
    formula = (
        "process.binder_on_sand_pct ÷ 100 × printed_volume_mm3 × 1e-6 × sand.bulk_density_g_cm3 ÷ "
        f"{MIX} ÷ binder.density_g_cm3"
    )
    inputs = {"printed_volume_mm3": layers.printed_volume_mm3, **inputs}
    return Line("binder_by_dose_l", litres, "L", formula, inputs)


def _by_drops(layers: BoxLayers, point: OperatingPoint) -> Line:
    area_mm2 = math.fsum(layers.printed_area_mm2)
    volume_m3 = binder.drops_volume_m3(
        area_mm2 * units.M2_PER_MM2,
        number(point, "head.drop_volume_pl") * units.M3_PER_PL,
        number(point, "machine.pitch_travel_mm") * units.M_PER_MM,
        number(point, "machine.pitch_across_mm") * units.M_PER_MM,
        number(point, "machine.grey_level"),
    )
    paths = [path for path in DROP_FIELDS if path != "binder.density_g_cm3"]
    inputs = {"printed_area_sum_mm2": area_mm2, **numbers(point, *paths)}
    formula = (
        "machine.grey_level × printed_area_sum_mm2 ÷ (machine.pitch_travel_mm × machine.pitch_across_mm) × "
        "head.drop_volume_pl × 1e-12"
    )
    return Line("binder_by_drops_l", volume_m3 * units.L_PER_M3, "L", formula, inputs)


def binder_on_mix(point: OperatingPoint) -> float:
    """Return liquid binder per mass of dry mix, from the stated dose on sand."""
    return binder.on_mix_from_on_sand(
        number(point, "process.binder_on_sand_pct") / 100.0,
        number(point, "additive.additive_on_sand_pct") / 100.0,
    )


def binder_by_layer_ml(layers: BoxLayers, sides: BinderSides) -> Series:
    """Return the binder in the cores of every layer: shared by printed area, summing to the basis."""
    area_mm2 = math.fsum(layers.printed_area_mm2)
    share = layers.printed_area_mm2 / area_mm2 if area_mm2 else layers.printed_area_mm2
    series: Series = share * (sides.basis.value * units.ML_PER_L)
    return series


def printed_quantities(
    layers: BoxLayers,
    point: OperatingPoint,
    sides: BinderSides,
    times: LayerTimes,
    core_volume_mm3: float,
) -> PrintedQuantities:
    """Return what the printed volume of a box takes."""
    area_mm2 = float(layers.printed_area_mm2.sum())
    volume = Line(
        "printed_volume_mm3",
        layers.printed_volume_mm3,
        "mm³",
        "layer_thickness_mm × printed_area_sum_mm2",
        {"layer_thickness_mm": layers.thickness_mm, "printed_area_sum_mm2": area_mm2},
    )
    mix = _mix_line("printed_mix_kg", volume, point)
    binder_kg = _binder_mass("binder_kg", sides.basis, point)
    services = _services_l(point, times)
    services_kg = _binder_mass("binder_services_kg", services, point)
    return PrintedQuantities(
        layer_count=_layer_count(layers),
        printed_volume_mm3=volume,
        core_volume_mm3=_given("core_volume_mm3", "mm³", core_volume_mm3),
        printed_mix_kg=mix,
        printed_sand_kg=_sand_of(mix, point, "printed_sand_kg"),
        binder_kg=binder_kg,
        binder_l=_renamed(sides.basis, "binder_l"),
        binder_services_l=services,
        binder_drawn_kg=total("binder_drawn_kg", "kg", (binder_kg, services_kg)),
        cores_kg=core_mass("cores_kg", core_volume_mm3, point, binder_kg.value, mix.value),
    )


def core_mass(
    code: str, core_volume_mm3: float, point: OperatingPoint, binder_kg: float, printed_mix_kg: float
) -> Line:
    """Return the mass of cores as printed, by their solid volume and the binder that their mix carries."""
    density = number(point, "sand.bulk_density_g_cm3")
    share = binder_kg / printed_mix_kg if printed_mix_kg else 0.0
    formula = "core_volume_mm3 × 1e-6 × sand.bulk_density_g_cm3 × (1 + binder_on_mix)"
    value = units.kg(core_volume_mm3, density) * (1.0 + share)
    inputs: dict[str, Input] = {
        "core_volume_mm3": core_volume_mm3,
        "sand.bulk_density_g_cm3": density,
        "binder_on_mix": share,
    }
    return Line(code, value, "kg", formula, inputs)


def bed_quantities(
    layers: BoxLayers,
    point: OperatingPoint,
    filled_mm: tuple[float, ...],
    printed: PrintedQuantities,
) -> BedQuantities:
    """Return what the bed of a box takes, what leaves with the cores, and what comes back.

    The first two of `filled_mm` are the footprint that is filled with sand.
    """
    box = Line(
        "bed_volume_mm3",
        filled_mm[0] * filled_mm[1] * layers.height_mm,
        "mm³",
        "box_x_mm × box_y_mm × filled_height_mm",
        {"box_x_mm": filled_mm[0], "box_y_mm": filled_mm[1], "filled_height_mm": layers.height_mm},
    )
    bed = _mix_line("bed_mix_kg", box, point)
    overfeed = _share("overfeed_mix_kg", bed, point, "machine.recoater_overfeed_pct")
    loose = _loose(bed, overfeed, printed.printed_mix_kg)
    reclaimed = _share("reclaimed_kg", loose, point, "sand.reclaimed_pct")
    lost = _share("lost_kg", loose, point, "sand.lost_pct")
    _refuse_over_100(point)
    return BedQuantities(
        bed_mix_kg=bed,
        bed_sand_kg=_sand_of(bed, point, "bed_sand_kg"),
        additive_kg=_additive_of(bed, point, "additive_kg"),
        overfeed_mix_kg=overfeed,
        with_cores_kg=_renamed(printed.printed_mix_kg, "with_cores_kg"),
        loose_mix_kg=loose,
        reclaimed_kg=reclaimed,
        lost_kg=lost,
        set_aside_kg=_difference("set_aside_kg", loose, reclaimed, lost),
        fresh_sand_kg=_fresh_sand(bed, overfeed, reclaimed, point),
        fresh_additive_kg=_fresh_additive(bed, overfeed, reclaimed, point),
        gross_box_kg=_gross(bed, printed.binder_kg, point),
    )


def _given(code: str, unit: str, value: float) -> Line:
    return Line(code, value, unit, code, {code: value})


def _renamed(line: Line, code: str) -> Line:
    return Line(code, line.value, line.unit, line.formula, line.inputs, line.parts)


def _layer_count(layers: BoxLayers) -> Line:
    core_layers = layers.count - layers.base_layers - layers.cover_layers
    inputs: dict[str, Input] = {
        "base_layers": layers.base_layers,
        "core_layers": core_layers,
        "cover_layers": layers.cover_layers,
    }
    return Line("layer_count", float(layers.count), "1", " + ".join(inputs), inputs)


def _mix_line(code: str, volume: Line, point: OperatingPoint) -> Line:
    density = number(point, "sand.bulk_density_g_cm3")
    inputs: dict[str, Input] = {volume.code: volume.value, "sand.bulk_density_g_cm3": density}
    formula = f"{volume.code} × 1e-6 × sand.bulk_density_g_cm3"
    return Line(code, units.kg(volume.value, density), "kg", formula, inputs)


def _sand_of(mix: Line, point: OperatingPoint, code: str) -> Line:
    inputs = {mix.code: mix.value, **numbers(point, "additive.additive_on_sand_pct")}
    return Line(code, mix.value * (1.0 - _additive_share(point)), "kg", f"{mix.code} ÷ {MIX}", inputs)


def _additive_of(mix: Line, point: OperatingPoint, code: str) -> Line:
    inputs = {mix.code: mix.value, **numbers(point, "additive.additive_on_sand_pct")}
    formula = f"{mix.code} × additive.additive_on_sand_pct ÷ 100 ÷ {MIX}"
    return Line(code, mix.value * _additive_share(point), "kg", formula, inputs)


def _additive_share(point: OperatingPoint) -> float:
    return binder.additive_share_of_mix(number(point, "additive.additive_on_sand_pct") / 100.0)


def _binder_mass(code: str, volume: Line, point: OperatingPoint) -> Line:
    inputs = {volume.code: volume.value, **numbers(point, "binder.density_g_cm3")}
    value = volume.value * number(point, "binder.density_g_cm3")
    return Line(code, value, "kg", f"{volume.code} × binder.density_g_cm3", inputs)


def _services_l(point: OperatingPoint, times: LayerTimes) -> Line:
    wipes, purges = int(times.wipes.sum()), int(times.purges.sum())
    wipe_ml = number(point, "machine.wipe_binder_ml") if wipes else 0.0
    purge_ml = number(point, "machine.purge_binder_ml") if purges else 0.0
    inputs: dict[str, Input] = {
        "wipes": wipes,
        "machine.wipe_binder_ml": wipe_ml,
        "purges": purges,
        "machine.purge_binder_ml": purge_ml,
    }
    formula = "(wipes × machine.wipe_binder_ml + purges × machine.purge_binder_ml) ÷ 1000"
    value = (wipes * wipe_ml + purges * purge_ml) / units.ML_PER_L
    return Line("binder_services_l", value, "L", formula, inputs)


def _share(code: str, mix: Line, point: OperatingPoint, path: str) -> Line:
    inputs = {mix.code: mix.value, **numbers(point, path)}
    return Line(code, mix.value * number(point, path) / 100.0, "kg", f"{mix.code} × {path} ÷ 100", inputs)


def _difference(code: str, whole: Line, *less: Line) -> Line:
    lines = (whole, *less)
    value = math.fsum((whole.value, *(-line.value for line in less)))
    inputs: dict[str, Input] = {line.code: line.value for line in lines}
    return Line(code, max(0.0, value), whole.unit, " − ".join(inputs), inputs)


def _loose(bed: Line, overfeed: Line, with_cores: Line) -> Line:
    inputs: dict[str, Input] = {line.code: line.value for line in (bed, overfeed, with_cores)}
    value = math.fsum((bed.value, overfeed.value, -with_cores.value))
    return Line("loose_mix_kg", value, "kg", "bed_mix_kg + overfeed_mix_kg − printed_mix_kg", inputs)


def _refuse_over_100(point: OperatingPoint) -> None:
    reclaimed, lost = number(point, "sand.reclaimed_pct"), number(point, "sand.lost_pct")
    if reclaimed + lost > 100.0 + 1e-9:
        raise InputError("estimate.reclaim_over_100", reclaimed_pct=reclaimed, lost_pct=lost)


def _fresh_sand(bed: Line, overfeed: Line, reclaimed: Line, point: OperatingPoint) -> Line:
    inputs = {
        **{line.code: line.value for line in (bed, overfeed, reclaimed)},
        **numbers(point, "additive.additive_on_sand_pct"),
    }
    value = (bed.value + overfeed.value - reclaimed.value) * (1.0 - _additive_share(point))
    formula = f"(bed_mix_kg + overfeed_mix_kg − reclaimed_kg) ÷ {MIX}"
    return Line("fresh_sand_kg", value, "kg", formula, inputs)


def _fresh_additive(bed: Line, overfeed: Line, reclaimed: Line, point: OperatingPoint) -> Line:
    kept = "additive.kept_in_reclaim_pct"
    inputs = {
        **{line.code: line.value for line in (bed, overfeed, reclaimed)},
        **numbers(point, "additive.additive_on_sand_pct", kept),
    }
    mix_kg = bed.value + overfeed.value - reclaimed.value * number(point, kept) / 100.0
    formula = (
        f"(bed_mix_kg + overfeed_mix_kg − reclaimed_kg × {kept} ÷ 100) × "
        f"additive.additive_on_sand_pct ÷ 100 ÷ {MIX}"
    )
    return Line("fresh_additive_kg", mix_kg * _additive_share(point), "kg", formula, inputs)


def _gross(bed: Line, binder_kg: Line, point: OperatingPoint) -> Line:
    """Return the mass of the filled box; a tare that isn't stated counts 0 and is a finding of the loads."""
    tare = point.machine.box_tare_kg or 0.0
    inputs: dict[str, Input] = {bed.code: bed.value, binder_kg.code: binder_kg.value}
    inputs["machine.box_tare_kg"] = tare
    value = math.fsum((bed.value, binder_kg.value, tare))
    return Line("gross_box_kg", value, "kg", "bed_mix_kg + binder_kg + machine.box_tare_kg", inputs)
