"""The shop's calendar and the way of boxes through it."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from corelib.errors import InputError
from corelib.estimate.calendar import DAY_S, WorkCalendar
from corelib.estimate.schedule import Stations, StationTimes, schedule, schedule_job
from corelib.job.calendar import WEEKDAYS, Shift
from tests.estimate.made import block_estimate, point

HOUR = 3600.0
DAYS = ("mon", "tue", "wed", "thu", "fri")
ONE_SHIFT = WorkCalendar((Shift(days=DAYS, start="06:00", end="14:00"),))
ALWAYS = WorkCalendar((Shift(days=WEEKDAYS, start="00:00", end="24:00"),))
THREE_SHIFTS = WorkCalendar(
    (
        Shift(days=DAYS, start="06:00", end="24:00"),
        Shift(days=("tue", "wed", "thu", "fri", "sat"), start="00:00", end="06:00"),
    )
)


def stepped_after_work_s(calendar: WorkCalendar, time_s: float, work_s: float) -> float:
    """Return the time at which the work is done, minute by minute."""
    while work_s > 0:
        if calendar.is_open(time_s):
            work_s -= 60.0
        time_s += 60.0
    return time_s


@given(
    st.sampled_from([ONE_SHIFT, THREE_SHIFTS, ALWAYS]),
    st.integers(0, 12 * 24 * 60),
    st.integers(1, 40 * 60),
)
def test_work_ends_as_counted_minute_by_minute(calendar, start_min, work_min):
    expected = stepped_after_work_s(calendar, start_min * 60.0, work_min * 60.0)
    assert calendar.after_work_s(start_min * 60.0, work_min * 60.0) == expected


def test_shop_opens_on_its_days():
    assert ONE_SHIFT.next_open_s(0.0) == 6 * HOUR
    assert ONE_SHIFT.next_open_s(4 * DAY_S + 15 * HOUR) == 7 * DAY_S + 6 * HOUR  # Friday afternoon → Monday
    assert ONE_SHIFT.is_open(7 * HOUR)
    assert not ONE_SHIFT.is_open(14 * HOUR)


def test_closed_days_and_start_day():
    # 24 December 2026 is a Thursday
    christmas = WorkCalendar(ONE_SHIFT.shifts, frozenset({"2026-12-24", "2026-12-25"}), date(2026, 12, 24))
    assert christmas.next_open_s(0.0) == 4 * DAY_S + 6 * HOUR
    assert christmas.day(4) == date(2026, 12, 28)


def test_shop_that_never_opens_is_refused():
    every_day = frozenset(str(date.fromordinal(n)) for n in range(date(2026, 1, 1).toordinal(), 740600))
    closed = WorkCalendar(ONE_SHIFT.shifts, every_day, date(2026, 1, 1))
    with pytest.raises(InputError) as caught:
        closed.next_open_s(0.0)
    assert caught.value.code == "estimate.shop_never_opens"


def test_shifts_meet_over_midnight():
    assert THREE_SHIFTS.unbroken_start_s(0.0, 30 * HOUR) == 6 * HOUR
    with pytest.raises(InputError) as caught:
        ONE_SHIFT.unbroken_start_s(0.0, 9 * HOUR)
    assert caught.value.code == "estimate.longer_than_any_shift"
    assert caught.value.facts["longest_h"] == 8.0


@pytest.mark.parametrize(
    ("shifts", "code"),
    [
        ([{"days": ["mon"], "start": "14:00", "end": "06:00"}], "job.shift_ends_before_start"),
        ([{"days": ["mon", "mon"], "start": "06:00", "end": "14:00"}], "job.shift_day_repeated"),
        (
            [
                {"days": ["mon"], "start": "06:00", "end": "14:00"},
                {"days": ["mon", "tue"], "start": "13:00", "end": "22:00"},
            ],
            "job.shifts_overlap",
        ),
    ],
)
def test_contradictory_calendars_are_refused(shifts, code):
    profile = point().shop.model_dump(mode="python")
    with pytest.raises(ValidationError) as caught:
        type(point().shop).model_validate({**profile, "shifts": shifts})
    assert caught.value.errors()[0]["type"] == code


def times(build_h=2.0, cure_h=1.0, hands_h=1.0, cool_h=3.0, change_h=0.5, load_h=0.25) -> StationTimes:
    return StationTimes(
        build_h * HOUR, change_h * HOUR, load_h * HOUR, cure_h * HOUR, cool_h * HOUR, hands_h * HOUR
    )


def test_one_box_by_hand():
    plan = schedule([times()], Stations(1, 1, 1, 1), ONE_SHIFT)
    box = plan.boxes[0]
    # Monday 6:00 print, 8:00 change, 8:30 load, 8:45 cure, 9:45 cool, 12:45 unpack, 13:45 done
    hours = [box.print_start_s, box.print_end_s, box.changed_s, box.cure_start_s, box.cure_end_s]
    assert [time / HOUR for time in hours] == [6, 8, 8.5, 8.75, 9.75]
    assert plan.done_s == 13.75 * HOUR
    assert plan.lead_time_s == 7.75 * HOUR
    assert plan.lead_time_days == 1


def test_unpacking_that_passes_the_shift_goes_on_next_morning():
    plan = schedule([times(hands_h=2.0)], Stations(1, 1, 1, 1), ONE_SHIFT)
    assert plan.done_s == DAY_S + 6.75 * HOUR
    assert plan.lead_time_days == 2


def test_build_that_ends_at_night_waits_in_the_printer():
    plan = schedule([times(build_h=12.0)], Stations(1, 1, 1, 1), ONE_SHIFT, print_to_cure_h=8.0)
    box = plan.boxes[0]
    assert box.ends_outside_shift
    assert box.changed_s == DAY_S + 6.5 * HOUR
    assert box.print_to_cure_s == 12.75 * HOUR
    codes = {finding.code: finding.severity for finding in plan.findings}
    assert codes == {
        "estimate.builds_end_outside_shift": "note",
        "estimate.waits_too_long_for_cure": "check",
    }


def test_attended_printing_needs_a_long_enough_shift():
    attended = Stations(1, 1, 2, 1, prints_unattended=False)
    plan = schedule([times(build_h=5.0), times(build_h=5.0)], attended, ONE_SHIFT)
    assert plan.boxes[1].print_start_s == DAY_S + 6 * HOUR
    with pytest.raises(InputError):
        schedule([times(build_h=9.0)], attended, ONE_SHIFT)


def test_one_build_box_makes_boxes_wait_for_unpacking():
    two = [times(), times()]
    few = schedule(two, Stations(1, 1, 1, 1), ALWAYS)
    many = schedule(two, Stations(1, 1, 2, 1), ALWAYS)
    assert few.boxes[1].print_start_s == few.boxes[0].done_s
    assert many.boxes[1].print_start_s == many.boxes[0].changed_s


def test_johnsons_rule_example():
    # M: the usual textbook example of Johnson's rule for two machines: A 5/2, B 1/6, C 9/7, D 3/8, E 10/4;
    # the order B, D, C, E, A takes 30, and no order takes less.
    jobs = {"A": (5, 2), "B": (1, 6), "C": (9, 7), "D": (3, 8), "E": (10, 4)}

    def makespan_h(order: str) -> float:
        rows = [StationTimes(jobs[name][0] * HOUR, 0, 0, jobs[name][1] * HOUR, 0, 0) for name in order]
        return schedule(rows, Stations(1, 1, 9, 9), ALWAYS).lead_time_s / HOUR

    assert makespan_h("BDCEA") == 30
    assert min(makespan_h(order) for order in ("ABCDE", "BDCEA", "EDCBA", "CEDBA", "DBCEA")) == 30


durations = st.floats(0.1, 20.0)
rows = st.lists(st.builds(times, durations, durations, durations), min_size=1, max_size=8)


@given(rows, st.integers(1, 3), st.integers(1, 3), st.integers(1, 4))
def test_no_station_serves_two_boxes_at_once(boxes, printers, ovens, carriers):
    plan = schedule(boxes, Stations(printers, ovens, carriers, 1), THREE_SHIFTS)
    for one in plan.boxes:
        for other in plan.boxes[: one.box]:
            if one.printer == other.printer:
                assert one.print_start_s >= other.changed_s
            if one.oven == other.oven:
                assert one.load_start_s >= other.cure_end_s
    for box in plan.boxes:
        assert sum(b.print_start_s <= box.print_start_s < b.done_s for b in plan.boxes) <= carriers


@given(rows)
def test_more_stations_never_take_longer(boxes):
    one = schedule(boxes, Stations(1, 1, 1, 1), ALWAYS).done_s
    more = schedule(boxes, Stations(2, 2, 4, 2), ALWAYS).done_s
    assert more <= one * (1 + 1e-12)


def test_job_schedule_reads_the_shop():
    boxes = [block_estimate(box=number) for number in range(3)]
    plan = schedule_job(boxes, point(), date(2026, 11, 30))
    assert plan.start_day == date(2026, 11, 30)
    assert plan.done_day is not None and plan.done_day > plan.start_day
    assert plan.boxes[0].print_start_s == 7 * HOUR  # one hour of data preparation from 6:00
    slow = schedule_job(boxes, point(), date(2026, 11, 30), slower=1.5)
    assert slow.done_s >= plan.done_s
