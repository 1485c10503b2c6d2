"""Findings about masses: the filled box against what carries it, a core against what a person lifts."""

from __future__ import annotations

from collections.abc import Sequence

from corelib.estimate.box import BoxEstimate
from corelib.findings import Finding, in_order
from corelib.job.profiles import OperatingPoint

CARRIERS = ("platform", "conveyor", "oven", "truck")
NOT_STATED = (
    "loads.platform_not_stated",
    "loads.conveyor_not_stated",
    "loads.oven_not_stated",
    "loads.truck_not_stated",
)
OVERLOADED = (
    "loads.platform_overloaded",
    "loads.conveyor_overloaded",
    "loads.oven_overloaded",
    "loads.truck_overloaded",
)


def check_loads(boxes: Sequence[BoxEstimate], point: OperatingPoint) -> tuple[Finding, ...]:
    """Return the findings on gross box mass, oven size and core mass, in their fixed order.

    A mass over a stated load is a `stop`; a load that nobody stated is a `note`, once a carrier.
    """
    found = _unstated(point)
    for box in boxes:
        found += _overloads(box, point)
        found += _outside_oven(box, point)
        found += _heavy_cores(box, point)
    return in_order(found)


def _rated_kg(point: OperatingPoint) -> tuple[float | None, ...]:
    """Return the rated loads in the order of `CARRIERS`."""
    machine = point.machine
    oven_kg = point.oven.rated_load_kg
    return machine.platform_load_kg, machine.conveyor_load_kg, oven_kg, machine.truck_load_kg


def _unstated(point: OperatingPoint) -> list[Finding]:
    rated = zip(NOT_STATED, _rated_kg(point), strict=True)
    found = [Finding(code, "note") for code, rated_kg in rated if rated_kg is None]
    if point.machine.box_tare_kg is None:
        found.append(Finding("loads.tare_not_stated", "check"))
    if point.process.lifted_by_hand_kg is None:
        found.append(Finding("loads.hand_limit_not_stated", "note"))
    return found


def _overloads(box: BoxEstimate, point: OperatingPoint) -> list[Finding]:
    gross_kg = box.bed.gross_box_kg.value
    found = []
    for code, rated_kg in zip(OVERLOADED, _rated_kg(point), strict=True):
        if rated_kg is not None and gross_kg > rated_kg:
            facts = {"gross_kg": gross_kg, "rated_kg": rated_kg, "over_kg": gross_kg - rated_kg}
            found.append(Finding(code, "stop", facts, box=box.box))
    return found


def _outside_oven(box: BoxEstimate, point: OperatingPoint) -> list[Finding]:
    oven_mm = point.oven.inner_mm
    if oven_mm is None:
        return []
    is_machine_box = point.machine.box_outer_mm is not None and box.inner_mm == point.machine.box_inner_mm
    box_mm = (point.machine.box_outer_mm if is_machine_box else None) or box.inner_mm
    x, y, z = box_mm
    lies = x <= oven_mm[0] and y <= oven_mm[1]
    lies_turned = y <= oven_mm[0] and x <= oven_mm[1]
    if (lies or lies_turned) and z <= oven_mm[2]:
        return []
    facts = {"box_mm": [*box_mm], "oven_mm": [*oven_mm]}
    return [Finding("loads.box_larger_than_oven", "stop", facts, box=box.box)]


def _heavy_cores(box: BoxEstimate, point: OperatingPoint) -> list[Finding]:
    by_hand_kg = point.process.lifted_by_hand_kg
    if by_hand_kg is None:
        return []
    return [
        Finding("loads.core_heavy", "check", {"core_kg": line.value, "by_hand_kg": by_hand_kg}, core=core_id)
        for core_id, line in sorted(box.core_kg.items())
        if line.value >= by_hand_kg
    ]
