"""Profile values as numbers and as lines: what is not stated is asked for by name."""

from __future__ import annotations

from corelib.estimate.lines import Input, Line
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint


def number(point: OperatingPoint, path: str) -> float:
    """Return the profile value at `path` as a number; raises InputError where it isn't stated."""
    return float(required(point, path))


def numbers(point: OperatingPoint, *paths: str) -> dict[str, Input]:
    """Return several profile values by their dotted names: the inputs of a line."""
    return {path: number(point, path) for path in paths}


def stated(code: str, unit: str, point: OperatingPoint, path: str) -> Line:
    """Return the line that is a profile's value as stated."""
    value = number(point, path)
    return Line(code, value, unit, path, {path: value})
