"""Calibration from coupons: scale error and bleed with their uncertainties, and a process profile of them.

Across (x and y together) both faces of a length bleed, so k = ±2; upright only the lower face of a length
bleeds, so k = ±1. An x axis that differs from y by more than the fits' uncertainties is a finding.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from corelib.allowance.coupons import CouponLength
from corelib.errors import InputError
from corelib.findings import Finding
from corelib.job.fields import Evidence
from corelib.job.profiles import ProcessProfile
from corelib.physics.accuracy import (
    Capability,
    LinearFit,
    capability,
    expanded_m,
    fit_scale_and_bleed,
    quantisation_deviation_m,
)

Direction = Literal["xy", "z"]

MOST_CORRELATION = 0.95
"""Beyond this correlation the coupons hardly tell scale from bleed."""
CONFIDENCE = 0.95


@dataclass(frozen=True)
class AxisFit:
    """Scale error and bleed of one direction, fitted."""

    direction: Direction
    n: int
    scale_error_pct: float
    scale_half_width_pct: float
    bleed_mm: float
    bleed_half_width_mm: float
    residual_deviation_mm: float
    correlation: float
    residuals_mm: tuple[float, ...]


@dataclass(frozen=True)
class BudgetTerm:
    """One independent, centred term of the tolerance budget as a standard deviation."""

    name: str
    deviation_mm: float


@dataclass(frozen=True)
class ToleranceBudget:
    """What remains after compensation, beside the accuracy wanted."""

    terms: tuple[BudgetTerm, ...]
    bias_mm: float
    expected_mm: float
    """k = 2 times the root sum of squares, plus the known bias."""
    wanted_mm: float | None


@dataclass(frozen=True)
class Calibration:
    """The fits of a coupon table, the capability of its residuals, and what to know about them."""

    fits: tuple[AxisFit, ...]
    capability: Capability | None
    findings: tuple[Finding, ...]

    def fit(self, direction: Direction) -> AxisFit | None:
        """The fit of this direction, if its coupons allow one."""
        return next((fit for fit in self.fits if fit.direction == direction), None)


def calibrate(lengths: Sequence[CouponLength], tolerance_mm: float | None = None) -> Calibration:
    """Return scale error and bleed across and up. Raises InputError if no direction can be fitted."""
    findings: list[Finding] = []
    fits = []
    for direction, axes in (("xy", "xy"), ("z", "z")):
        rows = [row for row in lengths if row.axis in axes]
        fit = _axis_fit(direction, rows, findings)  # type: ignore[arg-type]
        if fit is not None:
            fits.append(fit)
    if not fits:
        raise InputError("coupon.no_fit", rows=len(lengths))
    _compare_x_and_y(lengths, findings)
    residuals = [value for fit in fits for value in fit.residuals_mm]
    found = None
    if tolerance_mm is not None:
        found = capability(residuals, -tolerance_mm, tolerance_mm)
        if found is None:
            findings.append(Finding("coupon.no_capability", "note", {"n": len(residuals)}))
    return Calibration(tuple(fits), found, tuple(findings))


def _bleed_times(row: CouponLength) -> float:
    faces = 1.0 if row.axis == "z" else 2.0
    return faces if row.side == "outside" else -faces


def _fitted(rows: Sequence[CouponLength]) -> LinearFit:
    return fit_scale_and_bleed(
        [row.printed_mm for row in rows],
        [row.measured_mm for row in rows],
        [_bleed_times(row) for row in rows],
    )


def _axis_fit(direction: Direction, rows: Sequence[CouponLength], findings: list[Finding]) -> AxisFit | None:
    if not rows:
        return None
    try:
        fit = _fitted(rows)
    except ValueError as error:
        facts = {"direction": direction, "n": len(rows), "reason": str(error)}
        findings.append(Finding("coupon.not_separable", "check", facts))
        return None
    if abs(fit.correlation) > MOST_CORRELATION:
        doubt = {"direction": direction, "correlation": fit.correlation}
        findings.append(Finding("coupon.hardly_separable", "check", doubt))
    return AxisFit(
        direction,
        len(rows),
        100 * fit.first,
        100 * fit.half_width(0, CONFIDENCE),
        fit.second,
        fit.half_width(1, CONFIDENCE),
        fit.residual_deviation,
        fit.correlation,
        fit.residuals,
    )


def _compare_x_and_y(lengths: Sequence[CouponLength], findings: list[Finding]) -> None:
    """Find a scale error that differs between x and y by more than both fits' uncertainties explain."""
    fits = []
    for axis in "xy":
        try:
            fits.append(_fitted([row for row in lengths if row.axis == axis]))
        except ValueError:
            return
    apart = abs(fits[0].first - fits[1].first)
    if apart > math.hypot(*(fit.half_width(0, CONFIDENCE) for fit in fits)):
        facts = {"x_pct": 100 * fits[0].first, "y_pct": 100 * fits[1].first}
        findings.append(Finding("coupon.axes_differ", "check", facts))


def calibrated_profile(
    profile: ProcessProfile, calibration: Calibration, *, date: str, source: str
) -> ProcessProfile:
    """Return the process profile with the fitted scale errors and bleeds and their evidence."""
    values: dict[str, float] = {}
    counts: dict[str, int] = {}
    for fit in calibration.fits:
        values[f"scale_error_{fit.direction}_pct"] = fit.scale_error_pct
        bleed_mm = fit.bleed_mm if fit.direction == "xy" else max(0.0, fit.bleed_mm)
        values[f"bleed_{fit.direction}_mm"] = bleed_mm
        counts[fit.direction] = fit.n
    sources = dict(profile.sources)
    for name in values:
        n = counts["xy" if "_xy_" in name else "z"]
        sources[name] = Evidence(evidence="fitted", source=source, n=n, date=date)
    stated = profile.model_dump(by_alias=True)
    return ProcessProfile.model_validate({**stated, **values, "sources": sources})


def tolerance_budget(
    calibration: Calibration | None,
    *,
    layer_mm: float,
    pixel_mm: float,
    grain_mm: float,
    wanted_mm: float | None = None,
    bias_mm: float = 0.0,
) -> ToleranceBudget:
    """Return what remains after compensation: steps of layer, pixel and grain as width/√12, scatter."""
    terms = [
        BudgetTerm("layer step", quantisation_deviation_m(layer_mm)),
        BudgetTerm("pixel", quantisation_deviation_m(pixel_mm)),
        BudgetTerm("grain", quantisation_deviation_m(grain_mm)),
    ]
    for fit in calibration.fits if calibration is not None else ():
        terms.append(BudgetTerm(f"scatter of coupons, {fit.direction}", fit.residual_deviation_mm))
    expected_mm = expanded_m([term.deviation_mm for term in terms], [bias_mm])
    return ToleranceBudget(tuple(terms), bias_mm, expected_mm, wanted_mm)
