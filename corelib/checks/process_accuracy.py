"""Accuracy of an operating point: the outline to print, and what no allowance takes away."""

from __future__ import annotations

from corelib.checks.process_values import Solved, si_of, solved
from corelib.findings import Finding
from corelib.job.profiles import OperatingPoint
from corelib.physics.accuracy import expanded_m, quantisation_deviation_m
from corelib.physics.outline import bleed_left_m, outline_to_print_m
from corelib.units import from_si

NOMINAL_M = 0.1
"""Nominal length that is shown: 100 mm."""

ALLOWANCE = ("process.scale_error_xy_pct", "process.bleed_xy_mm")
STEPS_XY = ("machine.pitch_travel_mm", "machine.pitch_across_mm", "sand.mean_grain_mm")
STEPS_Z = ("process.layer_thickness_mm", "process.bleed_z_mm", "sand.mean_grain_mm")


def accuracy_values(point: OperatingPoint) -> tuple[Solved, ...]:
    """Return the solved values of accuracy; calibration by coupons gives scale error and bleed."""
    return (
        solved(
            point,
            "solved.outline_for_100_mm",
            ALLOWANCE,
            lambda scale, bleed: outline_to_print_m(NOMINAL_M, scale, bleed),
        ),
        solved(
            point,
            "solved.steps_sideways_mm",
            STEPS_XY,
            lambda *steps: expanded_m([quantisation_deviation_m(step) for step in steps], []),
        ),
        solved(
            point,
            "solved.steps_upright_mm",
            STEPS_Z,
            lambda layer, bleed, grain: expanded_m(
                [quantisation_deviation_m(step) for step in (layer, grain)], [bleed_left_m(bleed, layer)]
            ),
        ),
    )


def check_accuracy(point: OperatingPoint) -> list[Finding]:
    """Return the findings if steps and grain alone take up the tolerance wanted."""
    tolerance_mm = point.process.tolerance_mm
    if tolerance_mm is None:
        return []
    found = []
    values = {value.code: value.value for value in accuracy_values(point)}
    for code, finding in (
        ("solved.steps_sideways_mm", "tolerance.finer_than_steps_sideways"),
        ("solved.steps_upright_mm", "tolerance.finer_than_steps_upright"),
    ):
        left_mm = values[code]
        if left_mm is not None and left_mm > tolerance_mm:
            facts = {"left_mm": left_mm, "tolerance_mm": tolerance_mm}
            found.append(Finding(finding, "check", facts))
    if all(si_of(point, field) == 0 for field in ALLOWANCE):
        evidence = [point.process.sources[field.partition(".")[2]].evidence for field in ALLOWANCE]
        if "measured" not in evidence and "fitted" not in evidence:
            size_mm = from_si(NOMINAL_M, "mm")
            found.append(Finding("tolerance.not_calibrated", "note", {"size_mm": size_mm}))
    return found
