"""What there is to say of a job's boxes: gate, unpacking, sets and dates, sand saved by filler walls."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from corelib.estimate.box import BoxEstimate
from corelib.estimate.calendar import DAY_S
from corelib.estimate.schedule import Schedule
from corelib.findings import Finding
from corelib.job.models import Packing
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.nesting.extraction import Extraction, grip_findings
from corelib.nesting.gate import check_packing
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.packing import MOST_COPIES, is_large
from corelib.nesting.pixels import pixel_findings
from corelib.nesting.sets import due_dates, set_findings
from corelib.units import KG_PER_MM3_AT_1_G_CM3


def packing_findings(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    packing: Packing,
    orders: Sequence[Extraction],
    effort: int | None,
) -> list[Finding]:
    """Return what the gate, the orders of unpacking and the job's rules for its boxes have to say.

    `effort` is what the search was given, None for a packing that wasn't searched.
    """
    return [
        *_large_findings(items, effort),
        *check_packing(items, box, rules, packing),
        *set_findings(items, packing),
        *pixel_findings(items, packing, rules.pixel_mm),
        *(finding for order in orders for finding in order.findings),
        *grip_findings(items, orders),
    ]


def _large_findings(items: Sequence[NestItem], effort: int | None) -> list[Finding]:
    """Return a note on how a job too large to be looked at as a whole was packed."""
    if effort is None or not is_large(items):
        return []
    facts = {"copies": sum(len(item.copies) for item in items), "most": MOST_COPIES}
    return [Finding("nesting.in_parts" if effort else "nesting.in_tiers", "note", facts)]


def filler_findings(
    inner_mm: tuple[float, float, float], boxes: Sequence[BoxEstimate], point: OperatingPoint
) -> list[Finding]:
    """Return a note for each box that filler walls make smaller, with the sand that they save."""
    density = float(required(point, "sand.bulk_density_g_cm3"))
    found = []
    for box in boxes:
        by_mm = [inner - filled for inner, filled in zip(inner_mm, box.filled_mm, strict=False)]
        if max(by_mm) <= 0.0:
            continue
        saved_mm3 = (inner_mm[0] * inner_mm[1] - box.filled_mm[0] * box.filled_mm[1]) * box.height_mm
        facts = {
            "x_mm": by_mm[0],
            "y_mm": by_mm[1],
            "saved_kg": saved_mm3 * density * KG_PER_MM3_AT_1_G_CM3,
        }
        found.append(Finding("nesting.filler_walls", "note", facts, box=box.box))
    return found


def late_findings(items: Sequence[NestItem], packing: Packing, schedule: Schedule | None) -> list[Finding]:
    """Return a check for each box that is done after the day by which one of its cores is needed.

    Nothing where no start day is stated: without it no box has a day.
    """
    if schedule is None or schedule.start_day is None:
        return []
    due = due_dates(items)
    first_day = schedule.start_day - timedelta(days=int(schedule.start_s // DAY_S))
    found = []
    for box in schedule.boxes:
        done = (first_day + timedelta(days=int(box.done_s // DAY_S))).isoformat()
        held = [
            (due[place.core, place.copy_number], place.core, place.copy_number)
            for place in packing.placements
            if place.box == box.box and (place.core, place.copy_number) in due
        ]
        if held and min(held)[0] < done:
            day, core, copy_number = min(held)
            facts = {"copy": copy_number, "due": day, "done": done}
            found.append(Finding("nesting.due_missed", "check", facts, core=core, box=box.box))
    return found
