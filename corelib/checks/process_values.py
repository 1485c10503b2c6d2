"""Solved values of an operating point: each with its inputs, what it still needs, and its evidence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from corelib.errors import InputError
from corelib.job.fields import EvidenceMark, TablePoint
from corelib.job.operating_point import evidence_of
from corelib.job.profiles import OperatingPoint
from corelib.units import SUFFIXES, from_si, in_si, suffix_of

MARKS: tuple[EvidenceMark, ...] = get_args(EvidenceMark)
"""Evidence marks, best first."""


@dataclass(frozen=True)
class Solved:
    """One solved value. `value` is None where an input isn't known (`missing`) or lies out of range."""

    code: str
    unit: str
    value: float | None
    inputs: tuple[str, ...]
    missing: tuple[str, ...] = ()
    refused: InputError | None = None
    evidence: EvidenceMark | None = None


def value_of(point: OperatingPoint, field: str) -> Any:
    """Return a value of the operating point as stated, None where it isn't known."""
    kind, _, name = field.partition(".")
    return getattr(getattr(point, kind), name)


def si_of(point: OperatingPoint, field: str) -> Any:
    """Return a value of the operating point in SI: sizes as tuples, property tables as (kelvin, values)."""
    value = value_of(point, field)
    suffix = suffix_of(field.partition(".")[2])
    if isinstance(value, tuple) and value and isinstance(value[0], TablePoint):
        rows = sorted(value, key=lambda row: row.temperature_c)
        return (
            [in_si(row.temperature_c, "c") for row in rows],
            [in_si(row.value, suffix) for row in rows],
        )
    if isinstance(value, tuple) and value and isinstance(value[0], float):
        return tuple(in_si(part, suffix) for part in value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return in_si(value, suffix)
    return value


def missing_in(point: OperatingPoint, fields: Sequence[str]) -> tuple[str, ...]:
    """Return those of the fields whose value isn't known."""
    return tuple(field for field in fields if value_of(point, field) is None)


def solved(point: OperatingPoint, code: str, fields: Sequence[str], formula: Callable[..., float]) -> Solved:
    """Return the solved value `code`, whose name ends in its unit; `formula` takes the fields in SI."""
    suffix = suffix_of(code)
    unit = SUFFIXES.get(suffix, "-")
    missing = missing_in(point, fields)
    if missing:
        return Solved(code, unit, None, tuple(fields), missing=missing)
    try:
        value = formula(*(si_of(point, field) for field in fields))
    except InputError as error:
        return Solved(code, unit, None, tuple(fields), refused=error)
    return Solved(code, unit, from_si(value, suffix), tuple(fields), evidence=weakest_evidence(point, fields))


def weakest_evidence(point: OperatingPoint, fields: Sequence[str]) -> EvidenceMark | None:
    """Return the weakest evidence mark among the fields' values."""
    marks = [evidence.evidence for field in fields if (evidence := evidence_of(point, field)) is not None]
    return max(marks, key=MARKS.index, default=None)
