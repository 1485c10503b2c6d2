"""The sand of an operating point: sieve analysis, layer against grain, bed density, pores and moisture."""

from __future__ import annotations

import math
from typing import Any

from corelib.checks.process_dose import BED, DROPS
from corelib.checks.process_values import Solved, si_of, solved, value_of
from corelib.findings import Finding, Severity
from corelib.job.operating_point import MODELLED, evidence_of
from corelib.job.profiles import OperatingPoint
from corelib.physics import sand
from corelib.reference import table
from corelib.units import from_si

LEAST_GRAINS_IN_LAYER = 2.0
"""Mean grains one on another under which a layer tends to stay patchy; common practice, no source."""
MOST_MOISTURE_PCT = 0.3
"""Moisture of the sand from which it flows badly in a recoater; common practice, no source."""
MOST_DIFFERENCE_PCT = 10.0
"""Difference between a stated value and what the sieves or the model say that is reported."""
MOST_SATURATION_PCT = 60.0
"""Share of the pores full of liquid from which binder spreads; guess, no source."""

SIEVES = "sand.sieve_analysis"
POROSITY = ("sand.bulk_density_g_cm3", "sand.grain_density_g_cm3")


def grain_fineness(point: OperatingPoint) -> float | None:
    """Return the grain fineness number of the sieve analysis, None where it can't be had."""
    rows, name = point.sand.sieve_analysis, point.sand.sieve_multipliers
    if not rows or name is None:
        return None
    factors = table("sieves")["multiplier_sets"][name]["multipliers"]
    retained = [row for row in rows if row.retained_g > 0]
    if not retained or any(row.sieve not in factors for row in retained):
        return None
    return sand.grain_fineness_number(
        [row.retained_g for row in retained], [factors[row.sieve] for row in retained]
    )


def size_at_passing_m(point: OperatingPoint, share: float) -> float | None:
    """Return the grain size [m] at which a share of the sand passes, None where the sieves don't say."""
    curve = sieve_curve(point)
    if curve is None:
        return None
    size = sand.size_at_passing_m(share, *curve)
    return None if math.isnan(size) else size


def sieve_curve(point: OperatingPoint) -> tuple[list[float], list[float]] | None:
    """Return openings [m], coarsest first, and the share passing each; None where the sieves don't say."""
    rows = point.sand.sieve_analysis
    openings = table("sieves")["openings_mm"]
    if not rows or any(row.sieve not in openings for row in rows if row.sieve != "pan"):
        return None
    ordered = sorted(rows, key=lambda row: -openings.get(row.sieve, 0.0))
    if sum(row.retained_g for row in ordered) <= 0:
        return None
    passing = sand.passing([row.retained_g for row in ordered])
    sizes = [openings[row.sieve] / 1000 for row in ordered if row.sieve != "pan"]
    return sizes, passing[: len(sizes)]


def bed_density_bounds_kg_m3(point: OperatingPoint) -> tuple[float, float] | None:
    """Return the least and most bed density [kg/m³] that sand and additive can make, None if not known.

    Least: side by side; most: all additive in the pores. A measured bed density wins over both.
    """
    fields = ("sand.sand_only_density_g_cm3", "additive.bulk_density_g_cm3", "additive.additive_on_sand_pct")
    if any(value_of(point, field) is None for field in fields):
        return None
    alone, additive, share = (si_of(point, field) for field in fields)
    return (
        sand.bed_density_side_by_side_kg_m3(alone, additive, share),
        sand.bed_density_pores_filled_kg_m3(alone, share),
    )


def sand_values(point: OperatingPoint) -> tuple[Solved, ...]:
    """Return the solved values of the sand."""
    bounds = bed_density_bounds_kg_m3(point)
    curve = sieve_curve(point)
    bound_fields = (
        "sand.sand_only_density_g_cm3",
        "additive.bulk_density_g_cm3",
        "additive.additive_on_sand_pct",
    )
    saturation_fields = (*DROPS, *BED, "sand.grain_density_g_cm3")
    return (
        _from_sieves(point, "solved.grain_fineness_number", grain_fineness(point), "sand.sieve_multipliers"),
        _from_sieves(point, "solved.median_grain_mm", size_at_passing_m(point, 0.5)),
        _from_sieves(point, "solved.grain_d90_mm", size_at_passing_m(point, 0.9)),
        _from_sieves(
            point, "solved.grain_uniformity_pct", None if curve is None else sand.uniformity(*curve)
        ),
        solved(
            point,
            "solved.layer_in_mean_grains",
            ("process.layer_thickness_mm", "sand.mean_grain_mm"),
            sand.layers_of_grains,
        ),
        solved(
            point,
            "solved.layer_in_d90_grains",
            ("process.layer_thickness_mm", "sand.d90_mm"),
            sand.layers_of_grains,
        ),
        solved(
            point,
            "solved.bed_density_least_g_cm3",
            bound_fields,
            lambda *_: bounds[0] if bounds else math.nan,
        ),
        solved(
            point,
            "solved.bed_density_most_g_cm3",
            bound_fields,
            lambda *_: bounds[1] if bounds else math.nan,
        ),
        solved(point, "solved.porosity_pct", POROSITY, sand.porosity),
        solved(point, "solved.saturation_pct", saturation_fields, _saturation),
    )


def _saturation(
    drop: float, _binder: float, travel: float, across: float, grey: float, t: float, bed: float, grain: float
) -> float:
    return sand.saturation_from_drops(drop, travel, across, grey, t, sand.porosity(bed, grain))


def _from_sieves(point: OperatingPoint, code: str, value_si: float | None, *more: str) -> Solved:
    """Return a value of the sieve curve; it is missing where the analysis is, or doesn't reach that far."""
    fields = (SIEVES, *more)

    def known(*_: Any) -> float:
        return math.nan if value_si is None else value_si

    result = solved(point, code, fields, known)
    if result.value is not None and math.isnan(result.value):
        return Solved(code, result.unit, None, fields, missing=(SIEVES,))
    return result


def check_sand(point: OperatingPoint) -> list[Finding]:
    """Return the findings on grain, layer, bed density, saturation and moisture."""
    return [
        *_sieves_readable(point),
        *_layer_against_grain(point),
        *_stated_against_sieves(point),
        *_bed_density(point),
        *_pores(point),
        *_moisture(point),
    ]


def _sieves_readable(point: OperatingPoint) -> list[Finding]:
    rows = point.sand.sieve_analysis
    if rows is None:
        return []
    openings = table("sieves")["openings_mm"]
    unknown = [row.sieve for row in rows if row.sieve not in openings and row.sieve != "pan"]
    if unknown:
        facts = {"sieves": unknown, "known": sorted(openings, key=int)}
        return [Finding("bed.sieve_not_known", "check", facts)]
    name = point.sand.sieve_multipliers
    if name is None:
        return [Finding("bed.multipliers_not_stated", "note", {})]
    factors = table("sieves")["multiplier_sets"][name]["multipliers"]
    without = [row.sieve for row in rows if row.retained_g > 0 and row.sieve not in factors]
    if without:
        return [Finding("bed.sieve_without_multiplier", "check", {"sieves": without, "set": name})]
    return []


def _layer_against_grain(point: OperatingPoint) -> list[Finding]:
    layer_mm = point.process.layer_thickness_mm
    if layer_mm is None:
        return []
    found = []
    mean_mm, d90_mm = point.sand.mean_grain_mm, point.sand.d90_mm
    if mean_mm is not None and sand.layers_of_grains(layer_mm, mean_mm) < LEAST_GRAINS_IN_LAYER:
        facts = {
            "layer_mm": layer_mm,
            "grain_mm": mean_mm,
            "grains": layer_mm / mean_mm,
            "least": LEAST_GRAINS_IN_LAYER,
        }
        found.append(Finding("bed.layer_thin_for_grain", "check", facts))
    if d90_mm is not None and layer_mm < d90_mm:
        found.append(Finding("bed.layer_under_d90", "check", {"layer_mm": layer_mm, "d90_mm": d90_mm}))
    return found


def _stated_against_sieves(point: OperatingPoint) -> list[Finding]:
    found = []
    for field, share in (("sand.mean_grain_mm", 0.5), ("sand.d90_mm", 0.9)):
        stated, from_sieves = si_of(point, field), size_at_passing_m(point, share)
        if stated is None or from_sieves is None:
            continue
        off_pct = 100 * (stated / from_sieves - 1)
        if abs(off_pct) > MOST_DIFFERENCE_PCT:
            facts = {
                "field": field,
                "stated_mm": from_si(stated, "mm"),
                "sieves_mm": from_si(from_sieves, "mm"),
                "off_pct": off_pct,
            }
            found.append(Finding("bed.grain_differs_from_sieves", "check", facts))
    return found


def _bed_density(point: OperatingPoint) -> list[Finding]:
    bounds = bed_density_bounds_kg_m3(point)
    stated = si_of(point, "sand.bulk_density_g_cm3")
    if bounds is None:
        return []
    facts = {"least_g_cm3": from_si(bounds[0], "g_cm3"), "most_g_cm3": from_si(bounds[1], "g_cm3")}
    evidence = evidence_of(point, "sand.bulk_density_g_cm3")
    if stated is None or (evidence is not None and evidence.source.startswith(MODELLED)):
        return [Finding("bed.density_from_model", "check", facts)]
    grain = si_of(point, "sand.grain_density_g_cm3")
    found = []
    if grain is not None and stated >= grain:
        dense = {"stated_g_cm3": from_si(stated, "g_cm3"), "grain_g_cm3": from_si(grain, "g_cm3")}
        found.append(Finding("bed.denser_than_grain", "stop", dense))
    low, high = (bound * (1 + sign * 0.02) for bound, sign in zip(bounds, (-1, 1), strict=True))
    if not low <= stated <= high:
        facts["stated_g_cm3"] = from_si(stated, "g_cm3")
        is_measured = evidence is not None and evidence.evidence == "measured"
        severity: Severity = "note" if is_measured else "check"
        found.append(Finding("bed.density_outside_model", severity, facts))
    return found


def _pores(point: OperatingPoint) -> list[Finding]:
    filled = next(value for value in sand_values(point) if value.code == "solved.saturation_pct").value
    if filled is None or 0 <= filled <= MOST_SATURATION_PCT:
        return []
    facts = {"saturation_pct": filled, "most_pct": MOST_SATURATION_PCT}
    return [Finding("bed.pores_too_full", "check", facts)]


def _moisture(point: OperatingPoint) -> list[Finding]:
    moisture = point.sand.moisture_pct
    if moisture is None or moisture <= MOST_MOISTURE_PCT:
        return []
    facts = {"moisture_pct": moisture, "most_pct": MOST_MOISTURE_PCT}
    return [Finding("bed.moist", "check", facts)]
