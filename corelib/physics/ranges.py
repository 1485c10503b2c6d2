"""Ranges of validity: values are refused outside them, and tables are read between their rows only."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence

from corelib.errors import InputError


def require_range(quantity: str, value: float, low: float, high: float, unit: str) -> None:
    """Return nothing if `low` ≤ value ≤ `high`, else raise the InputError that names quantity and range."""
    if not low <= value <= high:
        raise InputError(
            "physics.out_of_range", quantity=quantity, value=value, low=low, high=high, unit=unit
        )


def interpolated(quantity: str, unit: str, at: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Return y at `at`, linear between the rows of a table with rising `xs`; raises InputError outside it.

    >>> interpolated("strength", "%", 2.5, [2.0, 3.0], [1.0, 3.0])
    2.0
    """
    require_range(quantity, at, xs[0], xs[-1], unit)
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
    require_range("temperature of the viscosity", at_k, temperatures_k[0], temperatures_k[-1], "K")
    logs = [math.log(viscosity) for viscosity in viscosities_pa_s]
    at = min(max(-1.0 / at_k, inverse[0]), inverse[-1])
    return math.exp(interpolated("temperature of the viscosity", "-1/K", at, inverse, logs))
