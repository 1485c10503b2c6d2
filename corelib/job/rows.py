"""Rows of tables and fits that profiles hold: sieves, drying, strength, properties over temperature."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from corelib.job.fields import Frozen, NotNegative, Positive, Temperature_c, contradiction


class SieveRow(Frozen):
    """Sand retained on one sieve; `sieve` is the ASTM E11 number, or "pan"."""

    sieve: Annotated[str, Field(pattern=r"^(\d{1,3}|pan)$")]
    retained_g: NotNegative


class DryingRow(Frozen):
    """How long the oven takes to drive off so much water from a box."""

    water_kg: NotNegative
    time_s: NotNegative


class BleedRow(Frozen):
    """Bleed at one dose and one wait from print to cure."""

    binder_on_sand_pct: Annotated[float, Field(gt=0, le=20)]
    hours_until_cure: Annotated[float, Field(ge=0, le=1000)]
    bleed_xy_mm: Annotated[float, Field(ge=-2, le=5)]
    bleed_z_mm: Annotated[float, Field(ge=0, le=5)]


class StrengthRow(Frozen):
    """Bending strength of cured test bars at one dose."""

    binder_on_sand_pct: Annotated[float, Field(gt=0, le=20)]
    strength_mpa: Positive


class AndradeFit(Frozen):
    """Viscosity as η = A e^(B/T), fitted between two temperatures."""

    factor_mpa_s: Positive
    slope_k: Annotated[float, Field(gt=0, le=20_000)]
    low_c: Temperature_c
    high_c: Temperature_c


class StraightFit(Frozen):
    """Surface tension as a straight line over temperature, fitted between two temperatures."""

    at_25_c_mn_m: Positive
    slope_mn_m_k: Annotated[float, Field(ge=-5, le=5)]
    low_c: Temperature_c
    high_c: Temperature_c


def refuse_repeats(field: str, places: Sequence[float]) -> None:
    """Return nothing if no place of a table comes twice, else raise the error that names it."""
    repeated = sorted({place for place in places if places.count(place) > 1})
    if repeated:
        raise contradiction("profile.table_repeats", table=field, place=repeated[0])
