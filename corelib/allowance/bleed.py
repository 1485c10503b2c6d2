"""Bleed of the process: a stated value, or a table over dose and hours until cure, read between its rows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corelib.findings import Finding
from corelib.job.profiles import ProcessProfile


@dataclass(frozen=True)
class Bleed:
    """Bleed sideways and downward, and whether the operating point lies within the table."""

    xy_mm: float
    z_mm: float
    from_table: bool
    within: bool


def bleed(process: ProcessProfile) -> Bleed:
    """Return the bleed at the process's dose and hours until cure; what nobody stated counts as 0.

    A table gives the mean of its neighbouring rows, weighted by closeness in dose and hours (bilinear);
    beyond its ends the value at the end holds, and `within` is False.
    """
    if process.bleed_table is None:
        return Bleed(process.bleed_xy_mm or 0.0, process.bleed_z_mm or 0.0, False, True)
    rows = process.bleed_table
    doses = sorted({row.binder_on_sand_pct for row in rows})
    hours = sorted({row.hours_until_cure for row in rows})
    dose, dose_within = _held(process.binder_on_sand_pct, doses)
    hour, hour_within = _held(process.print_to_cure_h, hours)
    values = {
        (row.binder_on_sand_pct, row.hours_until_cure): (row.bleed_xy_mm, row.bleed_z_mm) for row in rows
    }
    found = []
    for part in (0, 1):
        over_dose = [
            float(np.interp(hour, hours, [values[at, hour_at][part] for hour_at in hours])) for at in doses
        ]
        found.append(float(np.interp(dose, doses, over_dose)))
    return Bleed(found[0], found[1], True, dose_within and hour_within)


def _held(stated: float | None, known: list[float]) -> tuple[float, bool]:
    """Return the stated value held within what is known, and whether it was; the highest if it is not."""
    if stated is None:
        return known[-1], False
    return min(max(stated, known[0]), known[-1]), known[0] <= stated <= known[-1]


def bleed_findings(process: ProcessProfile) -> tuple[Finding, ...]:
    """Return a finding if the operating point lies outside the bleed table."""
    at = bleed(process)
    if at.within:
        return ()
    facts = {
        "dose_pct": process.binder_on_sand_pct if process.binder_on_sand_pct is not None else "?",
        "hours": process.print_to_cure_h if process.print_to_cure_h is not None else "?",
        "bleed_mm": at.xy_mm,
    }
    return (Finding("allowance.beyond_bleed_table", "check", facts),)
