"""Money: Decimal amounts, rounded once to the currency's minor unit, shared so that not a cent is lost."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import TypeVar

from corelib.errors import InputError
from corelib.reference import table

EXACT = Context(prec=40, rounding=ROUND_HALF_UP)
"""Arithmetic of amounts before they are rounded: more digits than any quantity has."""
Key = TypeVar("Key")


def minor_unit(currency: str) -> Decimal:
    """Return the smallest amount of a currency, as 0.01 for EUR (ISO 4217); raises for an unknown code."""
    digits: dict[str, int] = table("currency_minor_units")["minor_unit_digits"]
    if currency not in digits:
        raise InputError("cost.unknown_currency", currency=currency)
    return Decimal(1).scaleb(-digits[currency])


def decimal_of(value: float | int | Decimal) -> Decimal:
    """Return a quantity as Decimal with 12 significant digits: the same on every machine."""
    return value if isinstance(value, Decimal) else Decimal(format(value, ".12g"))


def product(*factors: float | int | Decimal) -> Decimal:
    """Return the product of quantities and rates, not rounded to the currency."""
    result = Decimal(1)
    for factor in factors:
        result = EXACT.multiply(result, decimal_of(factor))
    return result


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Return the amount in whole minor units, halves away from zero."""
    return amount.quantize(minor_unit(currency), rounding=ROUND_HALF_UP, context=EXACT)


def allocate(amount: Decimal, weights: Mapping[Key, float], currency: str) -> dict[Key, Decimal]:
    """Return the amount shared by weight in whole minor units; the shares sum exactly to the amount.

    Largest remainders: each gets its share rounded down, the units that are left go one each to the largest
    remainders, earlier keys first where they are equal. Weights of only zeros share equally.
    """
    unit = minor_unit(currency)
    units = int(amount / unit)
    exact = {key: Fraction(weight) for key, weight in weights.items()}
    whole = sum(exact.values())
    if not whole:
        exact, whole = dict.fromkeys(exact, Fraction(1)), Fraction(len(exact))
    quotas = {key: units * weight / whole for key, weight in exact.items()}
    shares = {key: int(quota // 1) for key, quota in quotas.items()}
    left = units - sum(shares.values())
    by_remainder = sorted(quotas, key=lambda key: shares[key] - quotas[key])  # stable: earlier keys first
    for key in by_remainder[:left]:
        shares[key] += 1
    return {key: share * unit for key, share in shares.items()}
