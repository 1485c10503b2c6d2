"""The way of a job's boxes through printer, oven, cooling and unpacking on the shop's calendar.

Boxes go in their order; each takes the printer, build box, oven and person that is free first. Starting a
build, changing boxes, loading the oven, unpacking and finishing need people and so an open shift; printing
and curing go on outside it where the shop says so, else they wait for a shift that is long enough.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any

from corelib.estimate.box import BoxEstimate
from corelib.estimate.calendar import DAY_S, WorkCalendar
from corelib.estimate.stated import number
from corelib.findings import Finding, in_order
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.units import S_PER_H, S_PER_MIN


@dataclass(frozen=True)
class StationTimes:
    """Seconds that one box takes at each station."""

    build_s: float
    box_change_s: float
    oven_load_s: float
    cure_s: float
    cool_s: float
    hands_s: float
    """Unpacking, finishing, inspection and packing: work of one person."""


@dataclass(frozen=True)
class Stations:
    """How many of each, and what runs unattended."""

    printers: int
    ovens: int
    carriers: int
    unpackers: int
    prints_unattended: bool = True
    cures_unattended: bool = True


@dataclass(frozen=True)
class BoxSchedule:
    """When one box is where; seconds from the first midnight."""

    box: int
    printer: int
    oven: int
    print_start_s: float
    print_end_s: float
    changed_s: float
    """Out of the printer: box change done."""
    load_start_s: float
    cure_start_s: float
    cure_end_s: float
    cool_end_s: float
    unpack_start_s: float
    done_s: float
    ends_outside_shift: bool
    """The build ends when nobody is there, and waits in the printer."""

    @property
    def print_to_cure_s(self) -> float:
        """Wait of the printed box from its last layer to the cure."""
        return self.cure_start_s - self.print_end_s

    def document(self) -> dict[str, Any]:
        """Return the box's way as plain data."""
        return {**asdict(self), "print_to_cure_s": self.print_to_cure_s}


@dataclass(frozen=True)
class Schedule:
    """All boxes of a job on the calendar."""

    boxes: tuple[BoxSchedule, ...]
    start_s: float
    """First open minute: work on the job starts."""
    done_s: float
    start_day: date | None
    done_day: date | None
    findings: tuple[Finding, ...] = field(default=())

    @property
    def lead_time_s(self) -> float:
        """From the start of work to the last finished core."""
        return self.done_s - self.start_s

    @property
    def lead_time_days(self) -> int:
        """Calendar days in which work goes on, the first and the last counted."""
        return int(self.done_s // DAY_S) - int(self.start_s // DAY_S) + 1

    def document(self) -> dict[str, Any]:
        """Return the schedule as plain data; seconds count from the first midnight."""
        return {
            "start_day": None if self.start_day is None else self.start_day.isoformat(),
            "done_day": None if self.done_day is None else self.done_day.isoformat(),
            "lead_time_days": self.lead_time_days,
            "lead_time_s": self.lead_time_s,
            "boxes": [box.document() for box in self.boxes],
        }


def station_times(box: BoxEstimate, point: OperatingPoint) -> StationTimes:
    """Return how long a box takes at each station."""
    time = box.time
    inspection = point.rates.inspection_min_per_core or 0.0
    packing = point.rates.packing_min_per_core or 0.0
    more_s = box.core_count * (inspection + packing) * S_PER_MIN
    return StationTimes(
        build_s=time.build_s.value,
        box_change_s=time.box_change_s.value,
        oven_load_s=time.oven_load_s.value,
        cure_s=time.cure_s.value,
        cool_s=time.cool_s.value,
        hands_s=time.unpack_s.value + time.finish_s.value + more_s,
    )


def stations_of(point: OperatingPoint) -> Stations:
    """Return the shop's stations; raises InputError for what isn't stated."""
    return Stations(
        printers=required(point, "shop.printers"),
        ovens=required(point, "shop.ovens"),
        carriers=required(point, "shop.carriers"),
        unpackers=required(point, "shop.unpackers"),
        prints_unattended=required(point, "shop.prints_unattended"),
        cures_unattended=required(point, "shop.cures_unattended"),
    )


def calendar_of(point: OperatingPoint, start: date | None = None) -> WorkCalendar:
    """Return the shop's calendar from a day on; raises InputError for shifts that aren't stated."""
    shifts = required(point, "shop.shifts")
    return WorkCalendar(shifts, frozenset(point.shop.closed_days or ()), start)


def schedule_job(
    boxes: Sequence[BoxEstimate], point: OperatingPoint, start: date | None = None, slower: float = 1.0
) -> Schedule:
    """Return the schedule of a job's boxes, data preparation first.

    `slower` stretches printing and hands, for the ends of a range.
    """
    times = [station_times(box, point) for box in boxes]
    times = [
        StationTimes(
            t.build_s * slower, t.box_change_s, t.oven_load_s, t.cure_s, t.cool_s, t.hands_s * slower
        )
        for t in times
    ]
    prepared_s = number(point, "rates.data_preparation_h") * S_PER_H
    longest_h = point.process.print_to_cure_h
    return schedule(times, stations_of(point), calendar_of(point, start), prepared_s, longest_h)


def schedule(
    times: Sequence[StationTimes],
    stations: Stations,
    calendar: WorkCalendar,
    prepared_s: float = 0.0,
    print_to_cure_h: float | None = None,
) -> Schedule:
    """Return the schedule of boxes in their order; `prepared_s` is open time before the first build."""
    start_s = calendar.next_open_s(0.0)
    ready_s = calendar.after_work_s(0.0, prepared_s)
    free = _Free(
        printers=[ready_s] * stations.printers,
        ovens=[ready_s] * stations.ovens,
        carriers=[ready_s] * stations.carriers,
        people=[ready_s] * stations.unpackers,
    )
    boxes = tuple(_through(number, time, free, stations, calendar) for number, time in enumerate(times))
    done_s = max((box.done_s for box in boxes), default=ready_s)
    return Schedule(
        boxes=boxes,
        start_s=start_s,
        done_s=done_s,
        start_day=calendar.day(int(start_s // DAY_S)),
        done_day=calendar.day(int(done_s // DAY_S)),
        findings=in_order(_findings(boxes, print_to_cure_h)),
    )


@dataclass
class _Free:
    """When each printer, oven, build box and person is free again."""

    printers: list[float]
    ovens: list[float]
    carriers: list[float]
    people: list[float]


def _first(free_s: list[float]) -> int:
    return min(range(len(free_s)), key=lambda place: (free_s[place], place))


def _through(
    number: int, time: StationTimes, free: _Free, stations: Stations, calendar: WorkCalendar
) -> BoxSchedule:
    printer, carrier = _first(free.printers), _first(free.carriers)
    print_start_s = calendar.next_open_s(max(free.printers[printer], free.carriers[carrier]))
    if not stations.prints_unattended:
        print_start_s = calendar.unbroken_start_s(print_start_s, time.build_s)
    print_end_s = print_start_s + time.build_s
    changed_s = calendar.after_work_s(print_end_s, time.box_change_s)
    free.printers[printer] = changed_s
    oven = _first(free.ovens)
    load_start_s = calendar.next_open_s(max(changed_s, free.ovens[oven]))
    if not stations.cures_unattended:
        load_start_s = calendar.unbroken_start_s(load_start_s, time.oven_load_s + time.cure_s)
    cure_start_s = calendar.after_work_s(load_start_s, time.oven_load_s)
    cure_end_s = cure_start_s + time.cure_s
    free.ovens[oven] = calendar.next_open_s(cure_end_s)
    cool_end_s = cure_end_s + time.cool_s
    person = _first(free.people)
    unpack_start_s = calendar.next_open_s(max(cool_end_s, free.people[person]))
    done_s = calendar.after_work_s(unpack_start_s, time.hands_s)
    free.people[person] = free.carriers[carrier] = done_s
    return BoxSchedule(
        box=number,
        printer=printer,
        oven=oven,
        print_start_s=print_start_s,
        print_end_s=print_end_s,
        changed_s=changed_s,
        load_start_s=load_start_s,
        cure_start_s=cure_start_s,
        cure_end_s=cure_end_s,
        cool_end_s=cool_end_s,
        unpack_start_s=unpack_start_s,
        done_s=done_s,
        ends_outside_shift=calendar.next_open_s(print_end_s) > print_end_s,
    )


def _findings(boxes: Sequence[BoxSchedule], print_to_cure_h: float | None) -> list[Finding]:
    found: list[Finding] = []
    for box in boxes:
        if print_to_cure_h is not None and box.print_to_cure_s > print_to_cure_h * S_PER_H:
            facts = {"wait_h": box.print_to_cure_s / S_PER_H, "longest_h": print_to_cure_h}
            found.append(Finding("estimate.waits_too_long_for_cure", "check", facts, box=box.box))
    at_night = [box.box + 1 for box in boxes if box.ends_outside_shift]
    if at_night:
        found.append(Finding("estimate.builds_end_outside_shift", "note", {"boxes": at_night}))
    return found
