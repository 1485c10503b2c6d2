"""The shop's calendar: weekly shifts and closed days, refused where they contradict themselves."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from corelib.job.fields import Frozen, contradiction

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ClockTime = Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d$|^24:00$")]
"""Time of day as 06:00; 24:00 is the day's end."""


def _real_date(text: str) -> str:
    try:
        date.fromisoformat(text)
    except ValueError:
        raise contradiction("job.no_such_day", day=text) from None
    return text


DateText = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$"), AfterValidator(_real_date)]


def minutes_of(clock: str) -> int:
    """Return the minutes since midnight of a clock time."""
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)


class Shift(Frozen):
    """One shift on some weekdays. A shift over midnight is two: to 24:00, and from 00:00 the next day."""

    days: Annotated[tuple[Weekday, ...], Field(min_length=1, max_length=7)]
    start: ClockTime
    end: ClockTime

    @model_validator(mode="after")
    def _ends_after_its_start(self) -> Self:
        if minutes_of(self.end) <= minutes_of(self.start):
            raise contradiction("job.shift_ends_before_start", start=self.start, end=self.end)
        if len(set(self.days)) < len(self.days):
            raise contradiction("job.shift_day_repeated", days=", ".join(self.days))
        return self


def without_overlap(shifts: Sequence[Shift]) -> tuple[Shift, ...]:
    """Return the shifts as they are; raises where two of them are at the same time."""
    for day in WEEKDAYS:
        on_day = sorted((shift for shift in shifts if day in shift.days), key=lambda s: minutes_of(s.start))
        for earlier, later in pairwise(on_day):
            if minutes_of(later.start) < minutes_of(earlier.end):
                facts = {"day": day, "first": f"{earlier.start}–{earlier.end}"}
                raise contradiction("job.shifts_overlap", **facts, second=f"{later.start}–{later.end}")
    return tuple(shifts)


Shifts = Annotated[tuple[Shift, ...], Field(min_length=1, max_length=50), AfterValidator(without_overlap)]
