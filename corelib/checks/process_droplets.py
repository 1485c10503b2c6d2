"""The droplet window: the operating point in it, its way over temperature, the band that stays inside."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from corelib.checks.process_liquid import (
    DENSITY,
    LiquidProperty,
    check_fits,
    covered_range_k,
    liquid_fields,
    surface_tension_of,
    viscosity_of,
)
from corelib.checks.process_values import Solved, missing_in, si_of, solved
from corelib.errors import InputError
from corelib.findings import Finding
from corelib.job.profiles import OperatingPoint
from corelib.physics import droplets
from corelib.reference import table
from corelib.units import from_si

NOZZLE = ("head.nozzle_diameter_um", "head.drop_speed_m_s")
AT = "head.nozzle_temperature_c"

Edge = Literal["z_low", "z_high", "weber_low", "splash"]
EDGES: tuple[Edge, ...] = ("z_low", "z_high", "weber_low", "splash")

SCAN_STEPS = 120
BISECTIONS = 40


@dataclass(frozen=True)
class DropletPoint:
    """The droplet numbers at one nozzle temperature."""

    temperature_k: float
    viscosity_pa_s: float
    surface_tension_n_m: float
    reynolds: float
    weber: float
    ohnesorge: float
    z: float
    splash: float

    @property
    def crossed(self) -> tuple[Edge, ...]:
        """Edges of the window beyond which this point lies."""
        limit = limits()
        beyond = {
            "z_low": self.z <= limit["z_least"],
            "z_high": self.z >= limit["z_most"],
            "weber_low": self.weber <= limit["weber_least"],
            "splash": self.splash >= limit["splash_most"],
        }
        return tuple(edge for edge in EDGES if beyond[edge])


def limits() -> dict[str, float]:
    """Return the window's limits by name, SI."""
    content = table("droplet_window")
    return {name: float(entry["value"]) for name, entry in content.items() if isinstance(entry, dict)}


def limit_source(name: str) -> str:
    """Return the source of one of the window's limits."""
    return str(table("droplet_window")[name]["source"])


def droplet_point(point: OperatingPoint, temperature_k: float) -> DropletPoint:
    """Return the droplet numbers at a nozzle temperature; raises InputError outside the property's range.

    Raises InputError too where density, viscosity, surface tension, nozzle or drop speed isn't known.
    """
    viscosity_over, tension_over = viscosity_of(point), surface_tension_of(point)
    missing = missing_in(point, (*liquid_fields(point), *NOZZLE))
    if missing or viscosity_over is None or tension_over is None:
        raise InputError("droplets.no_chart")
    density = si_of(point, DENSITY)
    diameter, speed = (si_of(point, field) for field in NOZZLE)
    viscosity, tension = viscosity_over.at(temperature_k), tension_over.at(temperature_k)
    return DropletPoint(
        temperature_k=temperature_k,
        viscosity_pa_s=viscosity,
        surface_tension_n_m=tension,
        reynolds=droplets.reynolds(density, speed, diameter, viscosity),
        weber=droplets.weber(density, speed, diameter, tension),
        ohnesorge=droplets.ohnesorge(density, diameter, viscosity, tension),
        z=droplets.inverse_ohnesorge(density, diameter, viscosity, tension),
        splash=droplets.splash_number(density, speed, diameter, viscosity, tension),
    )


def droplet_curve(point: OperatingPoint, steps: int = 60) -> tuple[DropletPoint, ...]:
    """Return droplet points over the whole range of the property tables, cold to warm; empty if not known."""
    covered = covered_range_k(point)
    if covered is None or missing_in(point, (DENSITY, *NOZZLE)):
        return ()
    low, high = covered
    return tuple(droplet_point(point, low + (high - low) * step / steps) for step in range(steps + 1))


def droplet_range(point: OperatingPoint) -> tuple[DropletPoint, ...]:
    """Return droplet points at the lowest, the set and the highest nozzle temperature, where known."""
    fields = ("head.nozzle_temperature_low_c", AT, "head.nozzle_temperature_high_c")
    covered = covered_range_k(point)
    if covered is None or missing_in(point, (DENSITY, *NOZZLE)):
        return ()
    kelvin = sorted({si_of(point, field) for field in fields if not missing_in(point, (field,))})
    return tuple(droplet_point(point, at) for at in kelvin if covered[0] <= at <= covered[1])


def temperature_band_c(point: OperatingPoint) -> tuple[float, float] | None:
    """Return the band of nozzle temperatures [°C] around the operating point that stays inside the window.

    It ends where an edge is crossed or a property table ends. None where the point itself lies outside, or
    something isn't known.
    """
    at = _here(point)
    covered = covered_range_k(point)
    if at is None or covered is None or at.crossed:
        return None
    low = _end_of_band(point, at.temperature_k, covered[0])
    high = _end_of_band(point, at.temperature_k, covered[1])
    return from_si(low, "c"), from_si(high, "c")


def first_crossing_c(point: OperatingPoint, edge: Edge) -> float | None:
    """Return the nozzle temperature [°C] nearest to the stated one where an edge is crossed, None if none."""
    at = _here(point)
    curve = droplet_curve(point, SCAN_STEPS)
    if at is None or not curve:
        return None
    crossings = []
    for cold, warm in pairwise(curve):
        if (edge in cold.crossed) != (edge in warm.crossed):
            crossings.append(_bisect(point, cold.temperature_k, warm.temperature_k, edge))
    if not crossings:
        return None
    return from_si(min(crossings, key=lambda kelvin: abs(kelvin - at.temperature_k)), "c")


def _here(point: OperatingPoint) -> DropletPoint | None:
    if missing_in(point, (*liquid_fields(point), *NOZZLE, AT)):
        return None
    try:
        return droplet_point(point, si_of(point, AT))
    except InputError:
        return None


def _end_of_band(point: OperatingPoint, inside_k: float, end_k: float) -> float:
    last = inside_k
    for step in range(1, SCAN_STEPS + 1):
        here = inside_k + (end_k - inside_k) * step / SCAN_STEPS
        if droplet_point(point, here).crossed:
            return _bisect(point, last, here, None)
        last = here
    return end_k


def _bisect(point: OperatingPoint, one_k: float, other_k: float, edge: Edge | None) -> float:
    """Return the temperature between two at which the edge (any edge if None) is crossed."""

    def beyond(kelvin: float) -> bool:
        crossed = droplet_point(point, kelvin).crossed
        return bool(crossed) if edge is None else edge in crossed

    at_one = beyond(one_k)
    for _ in range(BISECTIONS):
        middle = (one_k + other_k) / 2
        if beyond(middle) == at_one:
            one_k = middle
        else:
            other_k = middle
    return (one_k + other_k) / 2


def droplet_values(point: OperatingPoint) -> tuple[Solved, ...]:
    """Return the solved values of the droplets at the nozzle's temperature."""
    density, viscosity, tension = liquid_fields(point)

    def number(code: str, fields: tuple[str, ...], name: str) -> Solved:
        return solved(
            point, code, fields, lambda *_: float(getattr(droplet_point(point, si_of(point, AT)), name))
        )

    def over(found: LiquidProperty | None) -> float:
        return math.nan if found is None else found.at(si_of(point, AT))

    everything = (density, viscosity, tension, *NOZZLE, AT)
    return (
        solved(point, "solved.viscosity_mpa_s", (viscosity, AT), lambda *_: over(viscosity_of(point))),
        solved(
            point,
            "solved.surface_tension_mn_m",
            (tension, AT),
            lambda *_: over(surface_tension_of(point)),
        ),
        number("solved.reynolds", everything, "reynolds"),
        number("solved.weber", everything, "weber"),
        number("solved.ohnesorge", everything, "ohnesorge"),
        number("solved.inverse_ohnesorge", everything, "z"),
        number("solved.splash_number", everything, "splash"),
        solved(
            point,
            "solved.least_drop_speed_m_s",
            (density, tension, "head.nozzle_diameter_um", AT),
            lambda rho, _tension, diameter, _at: droplets.least_speed_m_s(
                limits()["weber_least"], rho, diameter, over(surface_tension_of(point))
            ),
        ),
    )


def check_droplets(point: OperatingPoint) -> list[Finding]:
    """Return the findings on the droplet window, over the stated range of nozzle temperatures too."""
    missing = missing_in(point, (*liquid_fields(point), *NOZZLE, AT))
    found = [*_slow_cycle(point), *check_fits(point)]
    if missing:
        return [*found, Finding("droplets.not_known", "note", {"fields": list(missing)})]
    outside = _outside_tables(point)
    here = _here(point)
    if outside or here is None:
        return [*found, *outside]
    found += [_crossed(point, here, edge) for edge in here.crossed]
    found += _leaves_over_range(point, here)
    if here.surface_tension_n_m < limits()["wetting_surface_tension_n_m"]:
        facts = {
            "tension_mn_m": from_si(here.surface_tension_n_m, "mn_m"),
            "limit_mn_m": from_si(limits()["wetting_surface_tension_n_m"], "mn_m"),
        }
        found.append(Finding("droplets.wets_nozzle_plate", "note", facts))
    return found


def _slow_cycle(point: OperatingPoint) -> list[Finding]:
    if point.head.firing_khz is None:
        return []
    cycle_s = droplets.drop_cycle_s(si_of(point, "head.firing_khz"))
    most_s = limits()["drop_cycle_most_s"]
    if cycle_s <= most_s:
        return []
    facts = {"cycle_us": from_si(cycle_s, "us"), "most_us": from_si(most_s, "us")}
    return [Finding("droplets.slow_cycle", "note", facts)]


def _outside_tables(point: OperatingPoint) -> list[Finding]:
    """Return the finding if the nozzle's temperature, or its stated range, leaves the property tables."""
    covered = covered_range_k(point)
    if covered is None:
        return [Finding("droplets.tables_apart", "check", {})]
    stated = [AT, "head.nozzle_temperature_low_c", "head.nozzle_temperature_high_c"]
    temperatures = [si_of(point, field) for field in stated if field not in missing_in(point, stated)]
    if all(covered[0] <= kelvin <= covered[1] for kelvin in temperatures):
        return []
    facts = {
        "temperatures_c": sorted({from_si(kelvin, "c") for kelvin in temperatures}),
        "low_c": from_si(covered[0], "c"),
        "high_c": from_si(covered[1], "c"),
    }
    return [Finding("droplets.outside_tables", "check", facts)]


def _crossed(point: OperatingPoint, here: DropletPoint, edge: Edge) -> Finding:
    edges = {
        "z_low": ("z_least", here.z, "droplets.z_low", "droplets.z_low_until"),
        "z_high": ("z_most", here.z, "droplets.z_high", "droplets.z_high_until"),
        "weber_low": ("weber_least", here.weber, "droplets.weber_low", "droplets.weber_low_until"),
        "splash": ("splash_most", here.splash, "droplets.splash", "droplets.splash_until"),
    }
    name, value, code, code_until = edges[edge]
    back_c = first_crossing_c(point, edge)
    facts = {
        "number": value,
        "limit": limits()[name],
        "temperature_c": from_si(here.temperature_k, "c"),
        "viscosity_mpa_s": from_si(here.viscosity_pa_s, "mpa_s"),
        "source": limit_source(name),
    }
    if back_c is None:
        return Finding(code, "check", facts)
    return Finding(code_until, "check", {**facts, "edge_c": back_c})


def _leaves_over_range(point: OperatingPoint, here: DropletPoint) -> list[Finding]:
    low_field, high_field = "head.nozzle_temperature_low_c", "head.nozzle_temperature_high_c"
    band = temperature_band_c(point)
    if missing_in(point, (low_field, high_field)) or here.crossed or band is None:
        return []
    low_c, high_c = from_si(si_of(point, low_field), "c"), from_si(si_of(point, high_field), "c")
    if low_c > high_c:
        return [Finding("droplets.range_crossed", "check", {"low_c": low_c, "high_c": high_c})]
    if band[0] <= low_c and high_c <= band[1]:
        return []
    facts = {"low_c": low_c, "high_c": high_c, "band_low_c": band[0], "band_high_c": band[1]}
    return [Finding("droplets.range_leaves_window", "check", facts)]
