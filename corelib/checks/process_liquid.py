"""The binder as a liquid: viscosity and surface tension over temperature, from tables or fits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from corelib.checks.process_values import si_of
from corelib.findings import Finding
from corelib.job.operating_point import overridden
from corelib.job.profiles import OperatingPoint
from corelib.physics.droplets import andrade_viscosity_pa_s
from corelib.physics.ranges import interpolated, interpolated_viscosity_pa_s, require_range
from corelib.units import from_si, in_si

DENSITY = "binder.density_g_cm3"
VISCOSITY = ("binder.viscosity_mpa_s", "binder.viscosity_fit")
TENSION = ("binder.surface_tension_mn_m", "binder.surface_tension_fit")
MOST_FIT_DIFFERENCE_PCT = 10.0
"""Difference of a property's fit from its table that is reported."""


@dataclass(frozen=True)
class LiquidProperty:
    """A property of the binder over temperature, from its table or, where there is none, from its fit."""

    field: str
    low_k: float
    high_k: float
    at: Callable[[float], float]
    """Returns the property [SI] at a temperature [K]; raises InputError outside its range."""


def viscosity_of(point: OperatingPoint) -> LiquidProperty | None:
    """Return the binder's viscosity [Pa·s] over temperature, None where it isn't known."""
    rows = si_of(point, VISCOSITY[0])
    if rows is not None:
        kelvin, values = rows
        return LiquidProperty(
            VISCOSITY[0], kelvin[0], kelvin[-1], lambda at: interpolated_viscosity_pa_s(at, kelvin, values)
        )
    fit = point.binder.viscosity_fit
    if fit is None:
        return None
    low, high = in_si(fit.low_c, "c"), in_si(fit.high_c, "c")
    factor, slope = in_si(fit.factor_mpa_s, "mpa_s"), fit.slope_k

    def fitted(at: float) -> float:
        require_range("physics.viscosity_temperature", at, low, high, "K")
        return andrade_viscosity_pa_s(at, factor, slope)

    return LiquidProperty(VISCOSITY[1], low, high, fitted)


def surface_tension_of(point: OperatingPoint) -> LiquidProperty | None:
    """Return the binder's surface tension [N/m] over temperature, None where it isn't known."""
    code = "physics.tension_temperature"
    rows = si_of(point, TENSION[0])
    if rows is not None:
        kelvin, values = rows
        return LiquidProperty(
            TENSION[0], kelvin[0], kelvin[-1], lambda at: interpolated(code, "K", at, kelvin, values)
        )
    fit = point.binder.surface_tension_fit
    if fit is None:
        return None
    low, high = in_si(fit.low_c, "c"), in_si(fit.high_c, "c")
    at_25_c, slope = in_si(fit.at_25_c_mn_m, "mn_m"), in_si(fit.slope_mn_m_k, "mn_m")

    def fitted(at: float) -> float:
        require_range(code, at, low, high, "K")
        return at_25_c + slope * (at - in_si(25.0, "c"))

    return LiquidProperty(TENSION[1], low, high, fitted)


def liquid_fields(point: OperatingPoint) -> tuple[str, str, str]:
    """Return the fields that state density, viscosity and surface tension: tables before fits."""
    viscosity, tension = viscosity_of(point), surface_tension_of(point)
    return (
        DENSITY,
        VISCOSITY[0] if viscosity is None else viscosity.field,
        TENSION[0] if tension is None else tension.field,
    )


def covered_range_k(point: OperatingPoint) -> tuple[float, float] | None:
    """Return the temperatures [K] that viscosity and surface tension both cover, None if none are."""
    viscosity, tension = viscosity_of(point), surface_tension_of(point)
    if viscosity is None or tension is None:
        return None
    low, high = max(viscosity.low_k, tension.low_k), min(viscosity.high_k, tension.high_k)
    return (low, high) if low <= high else None


def check_fits(point: OperatingPoint) -> list[Finding]:
    """Return a finding for each property whose fit and table, both stated, differ in the table's rows."""
    found = []
    for (table_field, fit_field), property_of in ((VISCOSITY, viscosity_of), (TENSION, surface_tension_of)):
        rows = si_of(point, table_field)
        fitted = property_of(overridden(point, {table_field: None}))
        if rows is None or fitted is None:
            continue
        off = [
            (100 * (fitted.at(kelvin) / value - 1), kelvin)
            for kelvin, value in zip(*rows, strict=True)
            if fitted.low_k <= kelvin <= fitted.high_k
        ]
        worst_pct, at_k = max(off, key=lambda pair: abs(pair[0]), default=(0.0, 0.0))
        if abs(worst_pct) > MOST_FIT_DIFFERENCE_PCT:
            facts = {
                "fit": fit_field,
                "table": table_field,
                "off_pct": worst_pct,
                "temperature_c": from_si(at_k, "c"),
            }
            found.append(Finding("droplets.fit_differs_from_table", "check", facts))
    return found
