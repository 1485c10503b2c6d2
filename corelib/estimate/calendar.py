"""Working time: when the shop is open, and when so much work is done, in seconds from the first midnight."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from corelib.errors import InputError
from corelib.job.calendar import WEEKDAYS, Shift, minutes_of

DAY_S = 86_400.0
MOST_CLOSED_DAYS = 400
"""A shop that is closed for longer than this never opens."""
ENDLESS_S = 60 * DAY_S
"""Nothing in a shop takes longer than this without a break."""


@dataclass(frozen=True)
class WorkCalendar:
    """Shifts by weekday, and closed days. Day 0 is `start`; None: a Monday, and no day is closed."""

    shifts: tuple[Shift, ...]
    closed_days: frozenset[str] = frozenset()
    start: date | None = None

    def day(self, number: int) -> date | None:
        """Return the date of a day by its number from 0; None where no start was stated."""
        return None if self.start is None else self.start + timedelta(days=number)

    def open_spans_s(self, number: int) -> list[tuple[float, float]]:
        """Return the open spans of a day, joined where shifts meet."""
        today = self.day(number)
        if today is not None and today.isoformat() in self.closed_days:
            return []
        weekday = WEEKDAYS[number % 7 if today is None else today.weekday()]
        spans = sorted(
            (number * DAY_S + minutes_of(shift.start) * 60.0, number * DAY_S + minutes_of(shift.end) * 60.0)
            for shift in self.shifts
            if weekday in shift.days
        )
        return _joined(spans)

    def spans_from_s(self, time_s: float) -> Iterator[tuple[float, float]]:
        """Yield the open spans that end after a time, in order, each joined over midnight.

        A span of `ENDLESS_S` is given as it is and the next goes on from its end.
        """
        number, closed = int(time_s // DAY_S), 0
        held: tuple[float, float] | None = None
        while closed < MOST_CLOSED_DAYS:
            spans = self.open_spans_s(number)
            closed = 0 if spans else closed + 1
            number += 1
            for span in spans:
                if held is not None and span[0] == held[1]:
                    held = (held[0], span[1])
                    continue
                if held is not None and held[1] > time_s:
                    yield held
                held = span
            if held is not None and (held[1] < number * DAY_S or held[1] - held[0] >= ENDLESS_S):
                if held[1] > time_s:
                    yield held
                held = None
        raise InputError("estimate.shop_never_opens", days=MOST_CLOSED_DAYS)

    def next_open_s(self, time_s: float) -> float:
        """Return the earliest time from `time_s` on at which the shop is open."""
        start, _ = next(self.spans_from_s(time_s))
        return max(start, time_s)

    def after_work_s(self, time_s: float, work_s: float) -> float:
        """Return the time at which `work_s` of open time has passed since `time_s`."""
        left = work_s
        for start, end in self.spans_from_s(time_s):
            begin = max(start, time_s)
            if begin + left <= end:
                return begin + left
            left -= end - begin
        raise AssertionError("spans never end")

    def unbroken_start_s(self, time_s: float, length_s: float) -> float:
        """Return the earliest start from `time_s` on of `length_s` without a break.

        Raises InputError where no open span of the next weeks is long enough.
        """
        longest = 0.0
        for start, end in self.spans_from_s(time_s):
            begin = max(start, time_s)
            if end - begin >= length_s:
                return begin
            longest = max(longest, end - start)
            if begin - time_s > MOST_CLOSED_DAYS * DAY_S:
                break
        raise InputError("estimate.longer_than_any_shift", need_h=length_s / 3600, longest_h=longest / 3600)

    def is_open(self, time_s: float) -> bool:
        """Return True if the shop is open at a time."""
        return any(start <= time_s < end for start, end in self.open_spans_s(int(time_s // DAY_S)))


def _joined(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for start, end in spans:
        if joined and joined[-1][1] == start:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined
