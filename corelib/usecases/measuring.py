"""Use case: measure a value, and write it as a dated revision of a profile."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from corelib.errors import InputError
from corelib.job.measuring import ROUTES, MeasuringRoute, revision, route_of, write_revision
from corelib.job.operating_point import read_profile, unit_of
from corelib.job.profiles import Profile
from corelib.wording import label

__all__ = ["measure_profile", "read_readings", "route_lines"]


def measure_profile(
    route_id: str,
    profile_id: str,
    readings: Mapping[str, Any],
    *,
    date: str,
    out: Path,
    profiles: Path | None = None,
) -> tuple[Path, Profile]:
    """Write the revision that a route's readings make of a profile; return its path and the new profile.

    `out` is the folder to write KIND/ID.json in; `profiles` a folder of more profiles (`out` if None).
    """
    route = route_of(route_id)
    revised = revision(read_profile(route.kind, profile_id, profiles or out), route_id, readings, date)
    return write_revision(revised, out), revised


def read_readings(texts: Sequence[str]) -> dict[str, list[float]]:
    """Return the readings of `NAME=VALUE,VALUE` texts."""
    readings: dict[str, list[float]] = {}
    for text in texts:
        name, sign, values = text.partition("=")
        try:
            readings[name] = [float(value) for value in values.split(",")]
        except ValueError as error:
            raise InputError("measuring.bad_reading", text=text) from error
        if not sign or not name:
            raise InputError("measuring.bad_reading", text=text)
    return readings


def route_lines(route_id: str | None = None, language: str = "en") -> list[str]:
    """Return the forms of all routes, or of one: how to measure, and the lines to fill in."""
    if route_id is not None:
        return _form(route_of(route_id), language)
    lines = [label("measuring", "title", language)]
    for route in ROUTES.values():
        lines += ["", *_form(route, language)]
    return lines


def _form(route: MeasuringRoute, language: str) -> list[str]:
    facts = {"route": route.id, "kind": route.kind, "gives": list(route.gives)}
    lines = [label("measuring", "form", language, **facts), f"  {label('measuring', route.id, language)}"]
    for field in route.form:
        repeats = label("measuring", "repeats", language) if field.repeats else ""
        line = label(
            "measuring",
            "field",
            language,
            field=field.name,
            unit=unit_of(field.name),
            low=field.low,
            high=field.high,
            repeats=repeats,
        )
        lines.append(f"    {line}")
    return lines
