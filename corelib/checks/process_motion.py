"""Head and motion of an operating point: strips, one full layer, a box filled to the top."""

from __future__ import annotations

import math

from corelib.checks.process_values import Solved, solved
from corelib.estimate.time import head_speed_mm_s, head_width_mm, lead_mm
from corelib.job.profiles import OperatingPoint
from corelib.physics.motion import strip_count, travel_s
from corelib.units import M_PER_MM, in_si

HEAD = ("head.nozzle_count", "head.nozzle_pitch_mm")
SPEED = ("machine.head_speed_mm_s", "head.firing_khz", "machine.pitch_travel_mm")
STROKE = (
    *SPEED,
    "machine.head_acceleration_mm_s2",
    "machine.stroke_overrun_mm",
    "machine.turn_s",
)
STRIPS = (*HEAD, "machine.box_inner_mm", "machine.travel_axis")
LAYER = (
    *STRIPS,
    *STROKE,
    "machine.passes",
    "machine.prints_both_ways",
    "machine.recoat_s",
    "machine.platform_s",
    "machine.dwell_s",
    "machine.wipe_every_layers",
    "machine.wipe_s",
    "machine.refill_every_layers",
    "machine.refill_s",
    "machine.purge_every_s",
    "machine.purge_s",
)


def strips_across(point: OperatingPoint) -> int:
    """Return how many strips of the head cover the box's inner width across the travel."""
    _, across_mm = _along_and_across_mm(point)
    return int(strip_count(across_mm, head_width_mm(point), point.head.overlap_mm or 0.0))


def full_layer_s(point: OperatingPoint) -> float:
    """Return the time [s] of a layer printed over the whole inner box, with its share of the services.

    The slowest layer that a box can have; a plan counts with each layer's own extent.
    """
    machine = point.machine
    along_mm, _ = _along_and_across_mm(point)
    moves = strips_across(point) * (machine.passes or 1) * (1 if machine.prints_both_ways else 2)
    move_s = travel_s(
        (along_mm + 2 * lead_mm(point)) * M_PER_MM,
        head_speed_mm_s(point) * M_PER_MM,
        in_si(machine.head_acceleration_mm_s2 or 0.0, "mm_s2"),
    )
    layer_s = (machine.recoat_s or 0.0) + (machine.platform_s or 0.0) + (machine.dwell_s or 0.0)
    layer_s += moves * (move_s + (machine.turn_s or 0.0))
    for every, seconds in (
        (machine.wipe_every_layers, machine.wipe_s),
        (machine.refill_every_layers, machine.refill_s),
    ):
        layer_s += (seconds or 0.0) / every if every else 0.0
    purge_share = (machine.purge_s or 0.0) / machine.purge_every_s if machine.purge_every_s else 0.0
    return float(layer_s * (1 + purge_share))


def _along_and_across_mm(point: OperatingPoint) -> tuple[float, float]:
    inner = point.machine.box_inner_mm or (0.0, 0.0, 0.0)
    return (inner[0], inner[1]) if point.machine.travel_axis == "x" else (inner[1], inner[0])


def layers_in_box(height_m: float, thickness_m: float) -> float:
    """Return how many layers [-] fill a box to the top."""
    return math.ceil(height_m / thickness_m - 1e-9)


def motion_values(point: OperatingPoint) -> tuple[Solved, ...]:
    """Return the solved values of head and motion."""
    box = ("machine.box_inner_mm", "process.layer_thickness_mm")
    return (
        solved(point, "solved.head_width_mm", HEAD, lambda count, pitch: count * pitch),
        solved(point, "solved.strips_across", STRIPS, lambda *_: float(strips_across(point))),
        solved(point, "solved.nozzle_speed_limit_mm_s", SPEED[1:], lambda firing, pitch: firing * pitch),
        solved(point, "solved.head_speed_mm_s", SPEED, lambda *_: head_speed_mm_s(point) * M_PER_MM),
        solved(point, "solved.full_layer_s", LAYER, lambda *_: full_layer_s(point)),
        solved(
            point,
            "solved.layers_in_box",
            box,
            lambda size, thickness: layers_in_box(size[2], thickness),
        ),
        solved(
            point,
            "solved.full_box_printing_h",
            (*LAYER, *box[1:]),
            lambda *_: (
                full_layer_s(point)
                * layers_in_box(
                    in_si((point.machine.box_inner_mm or (0.0, 0.0, 0.0))[2], "mm"),
                    in_si(point.process.layer_thickness_mm or 1.0, "mm"),
                )
            ),
        ),
    )
