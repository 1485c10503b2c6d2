"""How the boxes of a plan are unpacked: stages of falling sand, for sheets and views."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from corelib.allowance.body import PrintedBody
from corelib.job.models import Job, Packing
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.nesting.extraction import Extraction, extraction_orders
from corelib.plan.nest_input import nest_box, nest_items, nest_rules


def unpacking_orders(
    job: Job,
    point: OperatingPoint,
    bodies: Sequence[PrintedBody],
    ride_along: Mapping[str, int],
    packing: Packing,
) -> tuple[Extraction, ...]:
    """Return the order in which each box of a packing is unpacked."""
    thickness_mm = float(required(point, "process.layer_thickness_mm"))
    items = nest_items(job, point, bodies, ride_along)
    return extraction_orders(items, nest_box(job, point, thickness_mm), nest_rules(thickness_mm), packing)


def unpacking_document(extraction: Extraction) -> dict[str, Any]:
    """Return one box's order as plain data: stages with sand level and draws, and what can't be drawn."""
    return {
        "stages": [
            {
                "sand_mm": stage.sand_mm,
                "draws": [
                    {
                        "core": draw.core,
                        "copy": draw.copy_number,
                        "tilt": list(draw.tilt),
                        "way": draw.way.kind,
                        "moves_mm": [list(move) for move in draw.way.moves],
                        "has_grip": draw.has_grip,
                        "held_by_hand": draw.held_by_hand,
                    }
                    for draw in stage.draws
                ],
            }
            for stage in extraction.stages
        ],
        "left": [list(left) for left in extraction.left],
    }
