"""Figures and labels as people read them on a sheet, in English or German.

Digits are grouped by a narrow no-break space, after ISO 80000-1; the decimal sign follows the language.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cache
from typing import Any

from corelib import units
from corelib.reference import shared_folder

GROUP = "\u00a0"
"""No-break space: every embedded font and every reader of text knows it."""

Plan = Mapping[str, Any]
"""A plan document as in plan.json."""


@cache
def _labels(language: str) -> dict[str, str]:
    path = shared_folder() / "wording" / language / "labels" / "sheets.json"
    labels: dict[str, str] = json.loads(path.read_text(encoding="utf-8"))
    return labels


def label(name: str, language: str = "en") -> str:
    """Return the label of a figure or heading; a name without one is shown as words without its unit."""
    known = _labels(language).get(name)
    if known is not None:
        return known
    words = name.rpartition(".")[2]
    for suffix in sorted(units.SUFFIXES, key=len, reverse=True):
        if words.endswith(f"_{suffix}"):
            words = words[: -len(suffix) - 1]
            break
    text = words.replace("_", " ").strip() or name
    return text[0].upper() + text[1:]


def text(name: str, language: str = "en", **facts: object) -> str:
    """Return the label of `name` with facts filled in."""
    return label(name, language).format(**facts)


def unit_of(name: str) -> str:
    """Return the unit that the end of a name says, as people write it; empty if it says none."""
    words = name.rpartition(".")[2]
    for suffix in sorted(units.SUFFIXES, key=len, reverse=True):
        if words.endswith(f"_{suffix}"):
            return units.SUFFIXES[suffix]
    return ""


def number(value: float, language: str = "en", digits: int = 4) -> str:
    """Return a number with `digits` significant digits (whole ones always kept), grouped by thousands."""
    if not math.isfinite(value):
        return "–"
    if abs(value) < 1e-9:  # what rounding leaves of a difference
        return "0"
    magnitude = math.floor(math.log10(abs(value)))
    if magnitude < -4:
        return f"{value:.{digits - 1}e}".replace(".", "," if language == "de" else ".")
    decimals = max(0, digits - 1 - magnitude)
    shown = f"{value:,.{decimals}f}"
    if "." in shown:
        shown = shown.rstrip("0").rstrip(".")
    return _localised(shown, language)


def fixed(value: float | Decimal, decimals: int, language: str = "en") -> str:
    """Return a number with a fixed count of decimals, for columns."""
    return _localised(f"{value:,.{decimals}f}", language)


def place(value_mm: float, language: str = "en") -> str:
    """Return a coordinate to a tenth of a millimetre, its digits not grouped: it is compared, not read."""
    shown = f"{value_mm + 0.0:.1f}"
    return shown.replace(".", ",") if language == "de" else shown


def _localised(shown: str, language: str) -> str:
    whole, _, fraction = shown.replace(",", GROUP).partition(".")
    whole = "−" + whole[1:] if whole.startswith("-") else whole
    if not fraction:
        return whole
    return f"{whole},{fraction}" if language == "de" else f"{whole}.{fraction}"


def duration(seconds: float) -> str:
    """Return a time span as people write it, days for long ones: `2 d 4 h`, `6 h 05 min`."""
    hours = round(seconds / 3600)
    if hours >= 48:
        days, rest = divmod(hours, 24)
        return f"{days} d {rest} h" if rest else f"{days} d"
    return units.show_duration(seconds)


def quantity(value: Any, unit: str, language: str = "en") -> str:
    """Return a value with its unit: seconds as a time span, large volumes in dm³, true as yes."""
    if value is None:
        return "–"
    if isinstance(value, bool):
        return label("yes" if value else "no", language)
    if not isinstance(value, (int, float, Decimal)):
        return str(value)
    amount = float(value)
    if unit == "s" and abs(amount) >= 60:
        return duration(amount)
    if unit == "mm³" and abs(amount) >= 1e5:
        return f"{number(amount / 1e6, language)}\u00a0dm³"
    shown = number(amount, language)
    return f"{shown}\u00a0{unit}" if unit not in ("", "1") else shown


def named(name: str, value: Any, language: str = "en") -> str:
    """Return a value with the unit that its name says."""
    return quantity(value, unit_of(name), language)


def source_words(evidence: Mapping[str, Any], mark: str, language: str = "en") -> str:
    """Return how well a value is known (`mark`, in words) and from where, once where both say the same."""
    kind, source = str(evidence["evidence"]), str(evidence["source"])
    if source in (kind, mark, label(f"evidence.{kind}")):
        return mark
    rest = source.removeprefix(kind).removeprefix(mark).removeprefix(",").strip()
    known = {"no source": "no_source", "from memory, no source": "from_memory"}
    if rest in known:
        return f"{mark}, {label(known[rest], language)}"
    return source if source.startswith(mark) else f"{mark}: {source}"


def money(value: Any, currency: str, language: str = "en") -> str:
    """Return an amount of money to two decimals with its currency."""
    if value is None:
        return "–"
    return f"{fixed(Decimal(str(value)), 2, language)}\u00a0{currency}"


def core_names(plan: Plan) -> dict[str, str]:
    """Return the name of each core by its id, of what rides along too."""
    names = {core["id"]: core["name"] for core in plan["job"]["cores"]}
    return names | {core["id"]: core["name"] for core in plan.get("cores", ())}


def cost_by_kind(
    lines: Sequence[Mapping[str, Any]],
) -> tuple[tuple[str, Decimal, tuple[Mapping[str, Any], ...]], ...]:
    """Return the cost lines of a plan document by kind: kind, sum and lines, in order of first appearance."""
    kinds = dict.fromkeys(line["kind"] for line in lines)
    groups = {kind: tuple(line for line in lines if line["kind"] == kind) for kind in kinds}
    sums = {kind: sum((Decimal(line["value"]) for line in own), Decimal(0)) for kind, own in groups.items()}
    return tuple((kind, sums[kind], own) for kind, own in groups.items())
