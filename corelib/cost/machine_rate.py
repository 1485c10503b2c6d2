"""The machine's hour rate, built up as in cost accounting's machine-hour scheme (VDI 3258 sheet 1).

Running time is what is left of the calendar after standstill and upkeep: `machine_use_h`. Energy is counted
by build and not in the rate; depreciation is in the rate and must not be in the overhead as well.
"""

from __future__ import annotations

from decimal import Decimal

from corelib.cost.lines import CostInput, CostLine, profile_value
from corelib.cost.money import EXACT, decimal_of, minor_unit
from corelib.estimate.formula import evaluate, names_in
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint

HALF_PURCHASE = "half purchase"
DEPRECIATION = "(replacement − rates.machine_scrap) ÷ (rates.machine_life_a × rates.machine_use_h)"
INTEREST = "interest_base ÷ 2 × rates.interest_pct ÷ 100 ÷ rates.machine_use_h"
SPACE = "rates.machine_area_m2 × rates.area_per_m2_a ÷ rates.machine_use_h"
UPKEEP = "rates.machine_upkeep_per_a ÷ rates.machine_use_h"
RATE_PARTS = (
    ("depreciation_per_h", DEPRECIATION),
    ("interest_per_h", INTEREST),
    ("space_per_h", SPACE),
    ("upkeep_per_h", UPKEEP),
)
BUILD_UP_FIELDS = (
    "rates.machine_purchase",
    "rates.machine_scrap",
    "rates.machine_life_a",
    "rates.machine_use_h",
    "rates.interest_pct",
    "rates.interest_base",
    "rates.machine_area_m2",
    "rates.area_per_m2_a",
    "rates.machine_upkeep_per_a",
)
RATE_DIGITS = 2
"""Digits of an hour rate beyond the currency's minor unit."""


def missing_for_build_up(point: OperatingPoint) -> tuple[str, ...]:
    """Return the profile values that a build-up of the hour rate needs and nobody stated."""
    return tuple(path for path in BUILD_UP_FIELDS if profile_value(point, path) is None)


def machine_rate(point: OperatingPoint, currency: str) -> CostLine:
    """Return the machine's hour rate: as stated, else built up; raises InputError where neither can be."""
    stated = point.rates.machine_per_h
    if stated is not None:
        return CostLine(
            "machine_rate_per_h", "machine", stated, "rates.machine_per_h", {"rates.machine_per_h": stated}
        )
    if missing_for_build_up(point):
        required(point, "rates.machine_per_h")
    return built_up_rate(point, currency)


def built_up_rate(point: OperatingPoint, currency: str) -> CostLine:
    """Return the hour rate from purchase, life, interest, floor space, upkeep and hours of use.

    Interest is on half the purchase or half the replacement value, as `interest_base` states: the two
    schools differ. Parts are rounded to a hundredth of the currency's minor unit and add exactly.
    """
    purchase: Decimal = required(point, "rates.machine_purchase")
    replacement = point.rates.machine_replacement or purchase
    is_half_purchase = required(point, "rates.interest_base") == HALF_PURCHASE
    values: dict[str, CostInput] = {
        "replacement": replacement,
        "interest_base": purchase if is_half_purchase else replacement,
    }
    parts = tuple(_part(code, formula, point, values, currency) for code, formula in RATE_PARTS)
    inputs: dict[str, CostInput] = {part.code: part.amount for part in parts}
    amount = sum((part.amount for part in parts), Decimal(0))
    return CostLine("machine_rate_per_h", "machine", amount, " + ".join(inputs), inputs, parts)


def _part(
    code: str, formula: str, point: OperatingPoint, values: dict[str, CostInput], currency: str
) -> CostLine:
    inputs = {name: required(point, name) if "." in name else values[name] for name in names_in(formula)}
    exact = evaluate(formula, {name: decimal_of(value) for name, value in inputs.items()})
    amount = exact.quantize(minor_unit(currency).scaleb(-RATE_DIGITS), context=EXACT)
    return CostLine(code, "machine", amount, formula, inputs)
