"""Figures that open to their inputs: a value, its unit, its formula and the numbers that went in."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, TypeVar

Input = float | int | str | None


@dataclass(frozen=True)
class Line:
    """One figure. `formula` reads in the names of `inputs`; a profile's value has its dotted name.

    A sum has `parts` and is exactly their `math.fsum`, so that it adds up whatever the order.
    """

    code: str
    value: float
    unit: str
    formula: str
    inputs: Mapping[str, Input] = field(default_factory=dict)
    parts: tuple[Line, ...] = ()

    @property
    def profile_fields(self) -> tuple[str, ...]:
        """Dotted names of the profile values that went in, its parts' included, sorted."""
        own = {name for name in self.inputs if "." in name}
        return tuple(sorted(own.union(*(part.profile_fields for part in self.parts))))

    def document(self) -> dict[str, Any]:
        """Return the line as plain data for a file."""
        content: dict[str, Any] = {
            "code": self.code,
            "value": self.value,
            "unit": self.unit,
            "formula": self.formula,
            "inputs": dict(self.inputs),
        }
        if self.parts:
            content["parts"] = [part.document() for part in self.parts]
        return content


def total(code: str, unit: str, parts: Iterable[Line]) -> Line:
    """Return the line that sums others of one unit; raises ValueError where the units differ."""
    lines = tuple(parts)
    if any(line.unit != unit for line in lines):
        raise ValueError(f"{code}: parts are not all in {unit}")
    codes = [line.code for line in lines]
    if len(set(codes)) < len(codes):
        codes = [f"{name}_{number}" for number, name in enumerate(codes, start=1)]
    inputs: dict[str, Input] = dict(zip(codes, (line.value for line in lines), strict=True))
    return Line(code, math.fsum(line.value for line in lines), unit, " + ".join(inputs) or "0", inputs, lines)


@dataclass(frozen=True)
class LineGroup:
    """Base of result types whose fields are lines: listed in field order, summed field by field."""

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines, in the order of the fields."""
        return tuple(getattr(self, item.name) for item in fields(self))


Group = TypeVar("Group", bound=LineGroup)


def summed(groups: Sequence[Group]) -> Group:
    """Return the group whose every line is the sum of the given groups' (one at least)."""
    first = groups[0]
    names = [item.name for item in fields(first)]
    sums = {
        name: total(getattr(first, name).code, getattr(first, name).unit, (getattr(g, name) for g in groups))
        for name in names
    }
    return type(first)(**sums)
