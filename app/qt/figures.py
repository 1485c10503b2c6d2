"""Figures as the user's locale writes them: numbers, quantities with unit, money."""

from __future__ import annotations

import math

from PySide6.QtCore import QLocale

NONE = "–"


def number(value: float | None, decimals: int) -> str:
    """Return a number with fixed decimals; a dash where there is none."""
    if value is None or not math.isfinite(value):
        return NONE
    return QLocale().toString(float(value), "f", decimals)


def rounded(value: float | None, digits: int = 3) -> str:
    """Return a number with decimals for `digits` significant digits; whole digits are never rounded off."""
    if value is None or not math.isfinite(value):
        return NONE
    before = math.floor(math.log10(abs(value))) + 1 if value else digits
    return number(value, max(0, min(6, digits - before)))


def quantity(value: float | None, unit: str, digits: int = 3) -> str:
    """Return a number with its unit."""
    shown = rounded(value, digits)
    return f"{shown} {unit}" if unit and shown != NONE else shown


def count(value: int | None) -> str:
    """Return a whole number with the locale's grouping."""
    return NONE if value is None else QLocale().toString(int(value))


def money(value: object, currency: str) -> str:
    """Return an amount with two decimals and its currency; amounts come as decimal text or number."""
    try:
        amount = float(str(value))
    except ValueError:
        return NONE
    return f"{number(amount, 2)} {currency}"
