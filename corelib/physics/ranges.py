"""Ranges of validity: values are refused outside them, and tables are read between their rows only."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence

from corelib.errors import InputError
from corelib.units import KELVIN_AT_0_C


def require_range(code: str, value: float, low: float, high: float, unit: str) -> None:
    """Return nothing if `low` ≤ value ≤ `high`, else raise the InputError `code` with value and range.

    Temperatures come in kelvin (`unit` "K") and are reported in °C.
    """
    if low <= value <= high:
        return
    shift = KELVIN_AT_0_C if unit == "K" else 0.0
    facts = {"value": value - shift, "low": low - shift, "high": high - shift}
    raise InputError(code, unit="°C" if unit == "K" else unit, **facts)


def interpolated(code: str, unit: str, at: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Return y at `at`, linear between the rows of a table with rising `xs`; InputError `code` outside it.

    >>> interpolated("physics.strength_dose", "%", 2.5, [2.0, 3.0], [1.0, 3.0])
    2.0
    """
    require_range(code, at, xs[0], xs[-1], unit)
    if len(xs) == 1:
        return ys[0]
    right = min(bisect_right(xs, at), len(xs) - 1)
    share = (at - xs[right - 1]) / (xs[right] - xs[right - 1])
    return ys[right - 1] + share * (ys[right] - ys[right - 1])


def interpolated_viscosity_pa_s(
    at_k: float, temperatures_k: Sequence[float], viscosities_pa_s: Sequence[float]
) -> float:
    """Return the viscosity [Pa·s] at a temperature [K], between the rows of a table with rising temperatures.

    Between two rows Andrade's law holds, ln η linear in 1/T, which a viscosity follows far better than a
    straight line. Outside the table: InputError. Source of the law: Andrade 1930, from memory; J. Solution
    Chem. 36 (2007), doi 10.1007/s10953-007-9214-6 finds it for sodium silicate solutions, 15 to 70 °C.

    >>> round(interpolated_viscosity_pa_s(303.15, [293.15, 323.15], [0.010, 0.004530685]) * 1000, 5)
    7.54791
    """
    inverse = [-1.0 / temperature for temperature in temperatures_k]
    require_range("physics.viscosity_temperature", at_k, temperatures_k[0], temperatures_k[-1], "K")
    logs = [math.log(viscosity) for viscosity in viscosities_pa_s]
    at = min(max(-1.0 / at_k, inverse[0]), inverse[-1])
    return math.exp(interpolated("physics.viscosity_temperature", "-1/K", at, inverse, logs))
