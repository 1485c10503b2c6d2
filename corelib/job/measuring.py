"""Measuring routes: a small form each, whose readings become a dated revision of a profile with its evidence.

The profile measured for is never changed: the revision is a new profile whose id ends in the date.
"""

from __future__ import annotations

import math
import re
import statistics
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from corelib.errors import FileError, InputError
from corelib.files import canonical_json, write_atomic
from corelib.job.fields import Evidence
from corelib.job.files import invalid
from corelib.job.operating_point import unit_of
from corelib.job.profiles import PROFILE_KINDS, Profile
from corelib.physics import binder, heat, measuring, motion
from corelib.units import from_si, in_si

Readings = Mapping[str, tuple[float, ...]]
DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_OLD_DATE = re.compile(r"\.\d{4}-\d{2}-\d{2}(-\d+)?$")


@dataclass(frozen=True)
class FormField:
    """One line of a form: readings in the unit that the name ends with, from `low` to `high`.

    `repeats` fields take one reading a repetition (all of them equally many), others a single one.
    """

    name: str
    low: float
    high: float
    repeats: bool = False


@dataclass(frozen=True)
class Measured:
    """What a route found for one profile field: the value, how often it was read, and its spread."""

    value: float
    n: int
    note: str


@dataclass(frozen=True)
class MeasuringRoute:
    """One route: the kind of profile that it revises, its form, and what it makes of the readings."""

    id: str
    kind: str
    form: tuple[FormField, ...]
    gives: tuple[str, ...]
    source: str
    evaluate: Callable[[Profile, Readings], dict[str, Measured]]


def _mean(values: Sequence[float], n: int | None = None) -> Measured:
    mean = statistics.fmean(values)
    if len(values) < 2 or mean == 0:
        return Measured(mean, n or len(values), "single reading")
    spread_pct = 100 * statistics.stdev(values) / abs(mean)
    return Measured(mean, n or len(values), f"standard deviation {spread_pct:.2g} %")


def _drop_volume(_profile: Profile, read: Readings) -> dict[str, Measured]:
    drops = read["nozzles"][0] * read["pulses"][0]
    density = in_si(read["binder_density_g_cm3"][0], "g_cm3")
    volumes = [
        from_si(measuring.drop_volume_from_purge_m3(in_si(mass, "g"), drops, density), "pl")
        for mass in read["purged_g"]
    ]
    return {"drop_volume_pl": _mean(volumes)}


def _bed_density(_profile: Profile, read: Readings) -> dict[str, Measured]:
    on_mix = binder.on_mix_from_on_sand(
        read["binder_on_sand_pct"][0] / 100, read["additive_on_sand_pct"][0] / 100
    )
    solids, evaporated = read["binder_solids_pct"][0] / 100, read["evaporated_pct"][0] / 100
    densities = []
    for x, y, z, mass in zip(
        read["cube_x_mm"], read["cube_y_mm"], read["cube_z_mm"], read["cube_g"], strict=True
    ):
        cured = in_si(mass, "g") / (in_si(x, "mm") * in_si(y, "mm") * in_si(z, "mm"))
        bed = binder.bed_density_from_cured_kg_m3(cured, on_mix, solids, evaporated)
        densities.append(from_si(bed, "g_cm3"))
    return {"bulk_density_g_cm3": _mean(densities)}


def _oven_efficiency(profile: Profile, read: Readings) -> dict[str, Measured]:
    stated = profile.values()
    for field in ("evaporated_pct", "loose_sand_heated_pct", "box_heat_capacity_kj_k"):
        if stated[field] is None:
            raise InputError("measuring.profile_lacks", profile=profile.id, field=field, unit=unit_of(field))
    efficiencies = []
    for number, meter_kwh in enumerate(read["meter_kwh"]):
        balance = heat.cure_heat_j(
            printed_mix_kg=read["printed_mix_kg"][number],
            loose_mix_kg=read["bed_kg"][number] - read["printed_mix_kg"][number],
            printed_water_kg=read["printed_water_kg"][number],
            start_k=in_si(read["start_c"][number], "c"),
            cure_k=in_si(read["reached_c"][number], "c"),
            mix_specific_heat_j_kg_k=read["specific_heat_j_kg_k"][0],
            evaporated=stated["evaporated_pct"] / 100,
            box_heat_capacity_j_k=in_si(stated["box_heat_capacity_kj_k"], "kj_k"),
        )
        taken_up = balance.between_j(stated["loose_sand_heated_pct"] / 100)
        share = measuring.efficiency_from_meter(taken_up, in_si(meter_kwh, "kwh"))
        if not 0 < share <= 1:
            heat_kwh = from_si(taken_up, "kwh")
            raise InputError("measuring.efficiency_impossible", heat_kwh=heat_kwh, meter_kwh=meter_kwh)
        efficiencies.append(100 * share)
    return {"efficiency_pct": _mean(efficiencies)}


def _layer_times(profile: Profile, read: Readings) -> dict[str, Measured]:
    stated = profile.values()
    for field in ("head_speed_mm_s", "head_acceleration_mm_s2"):
        if stated[field] is None:
            raise InputError("measuring.profile_lacks", profile=profile.id, field=field, unit=unit_of(field))
    moving_s = motion.travel_s(
        in_si(read["stroke_travel_mm"][0], "mm"),
        in_si(stated["head_speed_mm_s"], "mm_s"),
        in_si(stated["head_acceleration_mm_s2"], "mm_s2"),
    )
    turn = _mean([stroke_s - moving_s for stroke_s in read["stroke_s"]])
    if turn.value < 0:
        stroke_s = statistics.fmean(read["stroke_s"])
        raise InputError("measuring.stroke_too_quick", stroke_s=stroke_s, moving_s=moving_s)
    return {"recoat_s": _mean(read["recoat_s"]), "turn_s": turn}


def _unpacking(_profile: Profile, read: Readings) -> dict[str, Measured]:
    minutes = read["minutes"]
    if len(minutes) < 3:
        raise InputError("measuring.too_few", field="minutes", n=len(minutes), least=3)
    columns = (read["cores"], read["litres"], read["passages"])
    found = measuring.unpacking_minutes(*columns, minutes)
    off = [
        sum(each * column[number] for each, column in zip(found, columns, strict=True)) - minutes[number]
        for number in range(len(minutes))
    ]
    note = f"least squares, residual {math.sqrt(statistics.fmean([o * o for o in off])):.2g} min"
    names = ("unpack_min_per_core", "unpack_min_per_litre", "unpack_min_per_passage")
    return {name: Measured(value, len(minutes), note) for name, value in zip(names, found, strict=True)}


def _open_time(_profile: Profile, read: Readings) -> dict[str, Measured]:
    longest = measuring.open_time_s(read["idle_s"], read["missing_nozzles"])
    if longest is None:
        raise InputError("measuring.open_time_too_short", idle_s=min(read["idle_s"]))
    failed = any(lost > 0 for lost in read["missing_nozzles"])
    note = "no nozzle missing up to it" if failed else "no nozzle missing at all: a lower bound"
    return {"open_time_s": Measured(longest, len(read["idle_s"]), note)}


ROUTES: dict[str, MeasuringRoute] = {
    route.id: route
    for route in (
        MeasuringRoute(
            "drop_volume",
            "head",
            (
                FormField("purged_g", 1e-3, 1e5, repeats=True),
                FormField("nozzles", 1, 1e6),
                FormField("pulses", 1, 1e9),
                FormField("binder_density_g_cm3", 0.5, 3),
            ),
            ("drop_volume_pl",),
            "weighed purge of counted drops",
            _drop_volume,
        ),
        MeasuringRoute(
            "bed_density",
            "sand",
            (
                FormField("cube_x_mm", 5, 1000, repeats=True),
                FormField("cube_y_mm", 5, 1000, repeats=True),
                FormField("cube_z_mm", 5, 1000, repeats=True),
                FormField("cube_g", 0.1, 1e6, repeats=True),
                FormField("binder_on_sand_pct", 0.01, 20),
                FormField("additive_on_sand_pct", 0, 100),
                FormField("binder_solids_pct", 0.1, 100),
                FormField("evaporated_pct", 0, 100),
            ),
            ("bulk_density_g_cm3",),
            "weighed cured cubes, binder's solids and water deducted",
            _bed_density,
        ),
        MeasuringRoute(
            "oven_efficiency",
            "oven",
            (
                FormField("meter_kwh", 1e-3, 1e5, repeats=True),
                FormField("bed_kg", 0.1, 1e5, repeats=True),
                FormField("printed_mix_kg", 0, 1e5, repeats=True),
                FormField("printed_water_kg", 0, 1e4, repeats=True),
                FormField("start_c", -20, 95, repeats=True),
                FormField("reached_c", 30, 500, repeats=True),
                FormField("specific_heat_j_kg_k", 300, 3000),
            ),
            ("efficiency_pct",),
            "heat balance over the electricity meter",
            _oven_efficiency,
        ),
        MeasuringRoute(
            "layer_times",
            "machine",
            (
                FormField("recoat_s", 0.1, 3600, repeats=True),
                FormField("stroke_s", 0.05, 3600, repeats=True),
                FormField("stroke_travel_mm", 1, 20_000),
            ),
            ("recoat_s", "turn_s"),
            "stopwatch over layers",
            _layer_times,
        ),
        MeasuringRoute(
            "unpacking",
            "rates",
            (
                FormField("cores", 0, 1e4, repeats=True),
                FormField("litres", 0, 1e4, repeats=True),
                FormField("passages", 0, 1e4, repeats=True),
                FormField("minutes", 0.1, 1e4, repeats=True),
            ),
            ("unpack_min_per_core", "unpack_min_per_litre", "unpack_min_per_passage"),
            "timed unpackings",
            _unpacking,
        ),
        MeasuringRoute(
            "open_time",
            "binder",
            (
                FormField("idle_s", 1, 1e5, repeats=True),
                FormField("missing_nozzles", 0, 1e6, repeats=True),
            ),
            ("open_time_s",),
            "idle test with nozzle pattern",
            _open_time,
        ),
    )
}
"""The measuring routes by id."""


def route_of(route_id: str) -> MeasuringRoute:
    """Return a route by its id; raises InputError that lists those that exist."""
    if route_id not in ROUTES:
        raise InputError("measuring.unknown_route", route=route_id, known=sorted(ROUTES))
    return ROUTES[route_id]


def revision(profile: Profile, route_id: str, readings: Mapping[str, Any], date: str) -> Profile:
    """Return the dated revision of a profile that a route's readings make; raises InputError.

    `readings` maps each field of the form to a number or a list of numbers; `date` is YYYY-MM-DD. Values that
    were not measured keep their evidence.
    """
    route = route_of(route_id)
    kind = type(profile).model_fields["kind"].default.rpartition(".")[2]
    if kind != route.kind:
        raise InputError("measuring.wrong_kind", route=route_id, wanted=route.kind, found=kind)
    if not DATE.fullmatch(date):
        raise InputError("measuring.bad_date", date=date)
    found = route.evaluate(profile, _read(route, readings))
    document = profile.model_dump(mode="python")
    document["id"] = _OLD_DATE.sub("", profile.id) + f".{date}"
    for field, measured in found.items():
        document[field] = measured.value
        document["sources"][field] = Evidence(
            evidence="measured", source=f"{route.source}; {measured.note}", n=measured.n, date=date
        )
    try:
        return PROFILE_KINDS[kind].model_validate(document)
    except ValidationError as error:
        raise invalid(error, f"{kind}/{document['id']}", document) from error


def write_revision(profile: Profile, folder: Path) -> Path:
    """Write a profile as FOLDER/KIND/ID.json and return the path; an existing file is never overwritten."""
    kind = type(profile).model_fields["kind"].default.rpartition(".")[2]
    path = folder / kind / f"{profile.id}.json"
    if path.exists():
        raise FileError("measuring.revision_exists", path=str(path))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError("file.not_writable", path=str(path.parent), reason=str(error.strerror)) from error
    write_atomic(path, canonical_json(profile.model_dump(mode="json")))
    return path


def _read(route: MeasuringRoute, readings: Mapping[str, Any]) -> Readings:
    """Return the readings as tuples, each field there, in range and as often as the others."""
    names = [field.name for field in route.form]
    unknown = sorted(set(readings) - set(names))
    if unknown:
        raise InputError("measuring.unknown_reading", route=route.id, field=unknown[0], known=names)
    read = {field.name: _numbers(route, field, readings.get(field.name)) for field in route.form}
    counts = {field.name: len(read[field.name]) for field in route.form if field.repeats}
    independent = route.id == "layer_times"  # recoats and strokes need not be timed equally often
    if len(set(counts.values())) > 1 and not independent:
        raise InputError("measuring.unequal_lists", route=route.id, counts=_listed(counts))
    return read


def _listed(counts: Mapping[str, int]) -> list[str]:
    return [f"{name}: {count}" for name, count in counts.items()]


def _numbers(route: MeasuringRoute, field: FormField, given: Any) -> tuple[float, ...]:
    facts = {
        "route": route.id,
        "field": field.name,
        "unit": unit_of(field.name),
        "low": field.low,
        "high": field.high,
    }
    values = list(given) if isinstance(given, (list, tuple)) else [] if given is None else [given]
    if not values:
        raise InputError("measuring.reading_missing", **facts)
    if len(values) > 1 and not field.repeats:
        raise InputError("measuring.one_reading", **facts)
    for value in values:
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        if not number or not field.low <= value <= field.high:
            raise InputError("measuring.reading_refused", **facts, value=str(value)[:40])
    return tuple(float(value) for value in values)
