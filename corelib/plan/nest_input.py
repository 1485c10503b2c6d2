"""From a job to what the packing takes: copies with their casting sets, box, rules."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from corelib.allowance.body import PrintedBody
from corelib.geometry.pose import Orientation
from corelib.job.models import Job, Packing
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.mesh.core import LoadedCore
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules, Zone
from corelib.nesting.orientations import allowed_orientations


def copy_keys(job: Job, core_id: str) -> tuple[CopyKey, ...]:
    """Return the copies of a core: casting sets in id order first, then loose ones, then spares."""
    owners: list[tuple[str | None, int | None, str | None]] = []
    for casting_set in sorted(job.casting_sets, key=lambda casting_set: casting_set.id):
        per_set = sum(member.per_set for member in casting_set.members if member.core_id == core_id)
        due = casting_set.due_date
        owners += [(casting_set.id, index, due) for index in range(casting_set.count) for _ in range(per_set)]
    for loose in job.loose:
        owners += [(None, None, loose.due_date)] * (loose.count if loose.core_id == core_id else 0)
    owners += [(None, None, None)] * (job.copies()[core_id] - len(owners))
    return tuple(CopyKey(number, *owner) for number, owner in enumerate(owners))


def gap_mm(job: Job, point: OperatingPoint) -> float:
    """Return the least sand between two cores: the job's own, else the process profile's."""
    return job.gap_mm if job.gap_mm is not None else float(required(point, "process.gap_mm"))


def nest_items(
    job: Job, point: OperatingPoint, bodies: Sequence[PrintedBody], ride_along: Mapping[str, int]
) -> tuple[NestItem, ...]:
    """Return the items to pack, in core id order; `ride_along` counts pieces that are no cores of the job."""
    least_mm = gap_mm(job, point)
    items = []
    for body in bodies:
        item = body.core.item
        if item.id in ride_along:
            copies = tuple(CopyKey(number) for number in range(ride_along[item.id]))
        else:
            copies = copy_keys(job, item.id)
        if copies:
            items.append(
                NestItem(
                    core_id=item.id,
                    mesh=body.mesh,
                    orientations=_orientations(body.core),
                    gap_mm=item.gap_mm if item.gap_mm is not None else least_mm,
                    copies=copies,
                    is_fragile=item.is_fragile,
                    held_by_hand=item.held_by_hand,
                    free_yaw=item.orientations.rule == "free yaw",
                    grip=item.grip,
                )
            )
    return tuple(items)


def _orientations(core: LoadedCore) -> tuple[Orientation, ...]:
    return allowed_orientations(core.item.orientations)


def nest_box(job: Job, point: OperatingPoint, thickness_mm: float) -> NestBox:
    """Return the build box: the job's own values, else the machine's; base layers lift the floor margin."""
    box, machine = job.box, point.machine
    base_mm = (machine.base_layers or 0) * thickness_mm

    def margin(stated: float | None, field: str) -> float:
        return stated if stated is not None else float(required(point, field))

    return NestBox(
        inner_mm=box.inner_mm if box.inner_mm is not None else required(point, "machine.box_inner_mm"),
        wall_margin_mm=margin(box.wall_margin_mm, "machine.wall_margin_mm"),
        floor_margin_mm=max(base_mm, margin(box.floor_margin_mm, "machine.floor_margin_mm")),
        top_margin_mm=margin(box.top_margin_mm, "machine.top_margin_mm"),
        zones=tuple(Zone(zone.low_mm, zone.high_mm, zone.gap_mm, zone.reason) for zone in box.keep_out),
        opens=box.opens or machine.box_opens or "top only",
    )


def nest_rules(thickness_mm: float) -> NestRules:
    """Return the rules for the whole packing."""
    return NestRules(layer_thickness_mm=thickness_mm)


def is_complete(packing: Packing, items: Sequence[NestItem]) -> bool:
    """Return True if the packing places exactly the copies wanted."""
    wanted = sorted((item.core_id, key.copy_number) for item in items for key in item.copies)
    return sorted((place.core, place.copy_number) for place in packing.placements) == wanted
