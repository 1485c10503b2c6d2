"""Figures and words as the user's language writes them: numbers, quantities with unit, money, labels."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import QLocale

from app.qt.lengths import LENGTHS, STORED
from corelib.export.figures import label
from corelib.units import L_PER_MM3, show_duration
from corelib.wording import LANGUAGES
from corelib.wording import label as wording_label

NONE = "–"
LARGE_MM3 = 1e5


def language() -> str:
    """Return the language of the program's own sentences: that of the locale if it is known, else English."""
    stated = QLocale().name()[:2]
    return stated if stated in LANGUAGES else LANGUAGES[0]


def words(code: str) -> str:
    """Return the label of a figure, as the sheets have it."""
    return label(code, language())


def profile_word(name: str) -> str:
    """Return the label of a profile's field, of one of its choices, or of an evidence mark."""
    return wording_label("profiles", name, language())


def number(value: float | None, decimals: int) -> str:
    """Return a number with fixed decimals; a dash where there is none."""
    if value is None or not math.isfinite(value):
        return NONE
    return QLocale().toString(float(value), "f", decimals)


def rounded(value: float | None, digits: int = 4) -> str:
    """Return a number with decimals for `digits` significant digits; whole digits are never rounded off."""
    if value is None or not math.isfinite(value):
        return NONE
    before = math.floor(math.log10(abs(value))) + 1 if abs(value) > 1e-9 else digits
    return number(value, max(0, min(6, digits - before)))


def quantity(value: float | None, unit: str, digits: int = 3) -> str:
    """Return a number with its unit: lengths in the unit chosen, long times as people say them, litres."""
    if value is None or not math.isfinite(value):
        return NONE
    if unit == STORED:
        return f"{rounded(LENGTHS.shown(value), digits)} {LENGTHS.sign}"
    if unit == "s" and abs(value) >= 60:
        return show_duration(value)
    if unit == "mm³" and abs(value) >= LARGE_MM3:
        return quantity(value * L_PER_MM3, "L", digits)
    if unit in ("", "1"):
        return number(value, 0) if float(value).is_integer() else rounded(value, digits)
    return f"{rounded(value, digits)} {unit}"


def length(value_mm: float | None, decimals: int) -> str:
    """Return a measured length with fixed decimals (of a mm) and its unit, in the unit shown."""
    if value_mm is None:
        return NONE
    return f"{number(LENGTHS.shown(value_mm), decimals + LENGTHS.more_decimals)} {LENGTHS.sign}"


def stated(value: float | None, unit: str) -> str:
    """Return a stated number with the digits that it has, and its unit; lengths in the unit chosen."""
    if value is None:
        return NONE
    if unit == STORED:
        value, unit = LENGTHS.shown(value), LENGTHS.sign
    shown = number(value, 6)
    sign = QLocale().decimalPoint()
    if sign in shown:
        shown = shown.rstrip("0").rstrip(sign)
    return f"{shown} {unit}" if unit and unit != "-" else shown


def anything(value: Any, unit: str) -> str:
    """Return an input of a figure: a number with its unit, a truth value or a text."""
    if value is None:
        return NONE
    if isinstance(value, bool):
        return words("yes" if value else "no")
    if isinstance(value, (int, float)):
        return quantity(float(value), unit, 4)
    return str(value)


def count(value: int | None) -> str:
    """Return a whole number with the locale's grouping."""
    return NONE if value is None else QLocale().toString(int(value))


def how_sure(spread: Mapping[str, Any] | None, figure: str) -> str:
    """Return the range of a figure (P10 to P90) and its evidence, as an appendix; nothing where unknown."""
    if not spread:
        return ""
    low, _, high = spread[figure]
    return f"  ({rounded(low, 3)} – {rounded(high, 3)}, {profile_word(spread['evidence'])})"


def between(ends: Sequence[float] | None) -> str:
    """Return a range (P10, P50, P90) as an appendix to its figure; nothing where there is none."""
    return "" if ends is None else f"  ({rounded(ends[0], 3)} – {rounded(ends[-1], 3)})"


def money(value: object, currency: str) -> str:
    """Return an amount with two decimals and its currency; amounts come as decimal text or number."""
    try:
        amount = float(str(value))
    except ValueError:
        return NONE
    return f"{number(amount, 2)} {currency}"
