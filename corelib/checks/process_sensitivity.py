"""Sensitivity: which inputs move dose, accuracy, time and cost most, by central differences.

Each input is moved by a small step both ways, everything else held. Its swing is the slope times the half
width of its evidence (`shared/tables/evidence_spread.json`): what an input known so well can do.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from corelib.checks.process_dose import BED, DROPS
from corelib.checks.process_motion import LAYER, full_layer_s
from corelib.checks.process_values import missing_in, si_of, value_of
from corelib.errors import InputError
from corelib.job.fields import EvidenceMark
from corelib.job.operating_point import evidence_of, overridden
from corelib.job.profiles import PROFILE_KINDS, OperatingPoint
from corelib.physics import binder
from corelib.physics.accuracy import expanded_m, quantisation_deviation_m
from corelib.reference import table
from corelib.units import from_si

STEP = 0.01
"""Step of the differences, as a share of the input."""
SETTINGS = frozenset(
    {
        "additive.additive_on_sand_pct",
        "machine.grey_level",
        "machine.head_speed_mm_s",
        "machine.pitch_across_mm",
        "machine.pitch_travel_mm",
        "oven.cure_c",
        "process.binder_on_sand_pct",
        "process.layer_thickness_mm",
        "rates.margin_pct",
        "rates.overhead_pct",
    }
)
"""What the shop sets: known as set, so its swing is shown for `SETTING_WIDTH_PCT` instead of its evidence."""
SETTING_WIDTH_PCT = 1.0
ZERO_WIDTHS = {
    "process.scale_error_xy_pct": 0.2,
    "process.scale_error_z_pct": 0.2,
    "process.bleed_xy_mm": 0.15,
    "process.bleed_z_mm": 0.15,
}
"""What an allowance that is stated as zero may really be; guess, no source."""
OUTLINE_M = 0.1
"""Length of the outline whose accuracy is figured: 100 mm."""
ACCURACY = (
    "process.scale_error_xy_pct",
    "process.bleed_xy_mm",
    "machine.pitch_travel_mm",
    "sand.mean_grain_mm",
)

Figures = Mapping[str, float]


@dataclass(frozen=True)
class Sensitivity:
    """How one input moves one figure.

    `elasticity` is the change of the figure in percent for 1 % of the input, `swing` the figure's change for
    `half_width` of the input (by its evidence; for what is set, 1 % of it), in the figure's unit, `swing_pct`
    the same in percent of it.
    """

    figure: str
    field: str
    value: float
    evidence: EvidenceMark
    is_set: bool
    half_width: float
    elasticity: float
    swing: float
    swing_pct: float


def numeric_fields(point: OperatingPoint) -> tuple[str, ...]:
    """Return all fields with a number that can be moved: no whole numbers, no zeros but allowances."""
    return tuple(
        f"{kind}.{name}"
        for kind in PROFILE_KINDS
        for name, value in getattr(point, kind).values().items()
        if isinstance(value, (float, Decimal)) and (value != 0 or f"{kind}.{name}" in ZERO_WIDTHS)
    )


def process_figures(point: OperatingPoint) -> dict[str, float]:
    """Return the figures that need no packing: dose, accuracy, layer time; without those not known."""
    figures = {}
    if not missing_in(point, (*DROPS, *BED)):
        on_mix = binder.dose_from_drops(*(si_of(point, field) for field in (*DROPS, *BED)))
        additive = si_of(point, "additive.additive_on_sand_pct") or 0.0
        figures["drops_on_sand_pct"] = from_si(binder.on_sand_from_on_mix(on_mix, additive), "pct")
    if not missing_in(point, ACCURACY):
        scale, bleed, pitch, grain = (si_of(point, field) for field in ACCURACY)
        steps = [quantisation_deviation_m(step) for step in (pitch, grain)]
        half_m = expanded_m(steps, [scale * OUTLINE_M, 2 * bleed])
        figures["outline_off_mm"] = from_si(half_m, "mm")
    if not missing_in(point, LAYER):
        with suppress(InputError):  # a head that can't cover the box: the sheet says so
            figures["full_layer_s"] = full_layer_s(point)
    return figures


def sensitivities(
    point: OperatingPoint,
    figures: Callable[[OperatingPoint], Figures] = process_figures,
    fields: Sequence[str] | None = None,
    step: float = STEP,
) -> tuple[Sensitivity, ...]:
    """Return how each field moves each figure, figure by figure, the largest swing first.

    Inputs that move nothing are left out, as are those that can't be moved both ways within their range.
    """
    base = figures(point)
    found = []
    for field in fields if fields is not None else numeric_fields(point):
        if value_of(point, field) == 0:
            found += _from_zero(point, figures, field, base)
            continue
        sides = _both_sides(point, figures, field, step)
        if sides is None:
            continue
        low, high = sides
        for figure, at in base.items():
            if figure in low and figure in high and low[figure] != high[figure]:
                slope = (high[figure] - low[figure]) / (2 * step)  # per share of the input
                found.append(_sensitivity(point, figure, field, at, slope))
    order = {figure: place for place, figure in enumerate(base)}
    return tuple(sorted(found, key=lambda one: (order[one.figure], -abs(one.swing), one.field)))


def _both_sides(
    point: OperatingPoint, figures: Callable[[OperatingPoint], Figures], field: str, step: float
) -> tuple[Figures, Figures] | None:
    value = value_of(point, field)
    try:
        moved = [
            figures(overridden(point, {field: _times(value, factor)})) for factor in (1 - step, 1 + step)
        ]
    except InputError:
        return None
    return moved[0], moved[1]


def _from_zero(
    point: OperatingPoint, figures: Callable[[OperatingPoint], Figures], field: str, base: Figures
) -> list[Sensitivity]:
    """Return what a value stated as zero does to the figures if it is really as large as it may be."""
    width = ZERO_WIDTHS[field]
    moved = figures(overridden(point, {field: width}))
    evidence = evidence_of(point, field)
    return [
        Sensitivity(
            figure=figure,
            field=field,
            value=0.0,
            evidence="guess" if evidence is None else evidence.evidence,
            is_set=False,
            half_width=width,
            elasticity=0.0,
            swing=moved[figure] - at,
            swing_pct=100 * (moved[figure] - at) / at if at else 0.0,
        )
        for figure, at in base.items()
        if figure in moved and moved[figure] != at
    ]


def _times(value: Any, factor: float) -> Any:
    return value * Decimal(str(factor)) if isinstance(value, Decimal) else value * factor


def _sensitivity(point: OperatingPoint, figure: str, field: str, at: float, slope: float) -> Sensitivity:
    evidence = evidence_of(point, field)
    mark: EvidenceMark = "guess" if evidence is None else evidence.evidence
    value = float(value_of(point, field))
    half_width = _half_width(field, value, mark)
    swing = slope * half_width / abs(value)
    return Sensitivity(
        figure=figure,
        field=field,
        value=value,
        evidence=mark,
        is_set=field in SETTINGS,
        half_width=half_width,
        elasticity=slope / at if at else 0.0,
        swing=swing,
        swing_pct=100 * swing / at if at else 0.0,
    )


def _half_width(field: str, value: float, mark: EvidenceMark) -> float:
    """Return what an input may be off by; a percentage by the smaller of itself and what is left to 100."""
    if field in SETTINGS:
        return SETTING_WIDTH_PCT / 100 * abs(value)
    room = min(abs(value), abs(100 - value)) if field.endswith("_pct") else abs(value)
    return float(table("evidence_spread")["half_width_pct"][mark]) / 100 * room
