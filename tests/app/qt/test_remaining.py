"""The time left is said where it is nearly right, and not said where it is not known."""

from __future__ import annotations

import random
import time
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytestqt.qtbot import QtBot

from app.qt import work_strip
from app.qt.main_window import MainWindow
from app.qt.remaining import Remaining, rounded_s
from tests.app.qt.conftest import READY_MS, MakeJob

LOOK_S = 0.5
Share = Callable[[float], float]


def said(share: Share, whole_s: float, every_s: float = 0.1) -> list[tuple[float, float | None]]:
    """Follow work whose share after so many seconds is given; returns what was said at each look."""
    remaining, looks, now_s = Remaining(), [], 0.0
    remaining.begin(0.0)
    next_report_s = every_s
    while now_s < whole_s - LOOK_S:
        now_s += LOOK_S
        while next_report_s <= now_s:
            remaining.report(next_report_s, share(next_report_s))
            next_report_s += every_s
        looks.append((now_s, remaining.left_s(now_s)))
    return looks


@given(whole_s=st.floats(20.0, 2000.0), seed=st.integers(0, 100))
def test_of_even_work_the_time_left_is_said_and_right(whole_s: float, seed: int) -> None:
    noise = random.Random(seed)
    done = 0.0

    def share(now_s: float) -> float:
        nonlocal done
        done = max(done, min(1.0, now_s / whole_s * (1.0 + noise.uniform(-0.01, 0.01))))
        return done

    looks = said(share, whole_s, max(0.1, whole_s / 1000))
    later = [(now_s, left_s) for now_s, left_s in looks if now_s > max(8.0, 0.3 * whole_s)]
    known = [(now_s, left_s) for now_s, left_s in later if left_s is not None]
    assert len(known) > 0.6 * len(later)
    for now_s, left_s in known:
        assert left_s == pytest.approx(whole_s - now_s, rel=0.12, abs=0.06 * whole_s)


def test_nothing_is_said_at_once() -> None:
    assert all(left_s is None for now_s, left_s in said(lambda now_s: now_s / 60.0, 60.0) if now_s < 3.0)


@pytest.mark.parametrize(
    "share",
    [
        lambda now_s: (now_s / 40.0) ** 3,  # faster and faster
        lambda now_s: (now_s / 40.0) ** 0.4,  # slower and slower
    ],
)
def test_of_uneven_work_nothing_far_off_is_said(share: Share) -> None:
    looks = said(share, 40.0)
    for now_s, left_s in looks:
        assert left_s is None or now_s == pytest.approx(40.0 - left_s, abs=max(6.0, 0.5 * (40.0 - now_s))), (
            now_s
        )


def test_of_two_steps_what_is_said_follows_the_second() -> None:
    """Nobody can tell from the first how long the second takes."""
    looks = said(lambda now_s: now_s / 20.0 if now_s < 10.0 else 0.5 + (now_s - 10.0) / 120.0, 70.0)
    later = [(now_s, left_s) for now_s, left_s in looks if now_s > 40.0 and left_s is not None]
    assert all(left_s == pytest.approx(70.0 - now_s, rel=0.1, abs=2.0) for now_s, left_s in later)
    assert not any(left_s is not None for now_s, left_s in looks if 13.0 < now_s < 20.0)  # while they mix


@pytest.mark.parametrize("share", [0.0, 0.01, 0.4])
def test_of_work_that_stands_still_nothing_is_said(share: float) -> None:
    assert all(left_s is None for now_s, left_s in said(lambda _: share, 40.0) if now_s > 5.0)


def test_work_that_stops_moving_is_no_longer_told() -> None:
    looks = said(lambda now_s: min(now_s, 20.0) / 40.0, 60.0)
    assert any(left_s is not None for now_s, left_s in looks if now_s < 20.0)
    assert all(left_s is None for now_s, left_s in looks if now_s > 24.0)


def test_a_share_that_goes_back_is_a_new_start() -> None:
    remaining = Remaining()
    remaining.begin(0.0)
    for tenth in range(1, 101):
        remaining.report(tenth / 10, tenth / 200)
        remaining.left_s(tenth / 10)
    assert remaining.left_s(10.0) == pytest.approx(10.0, rel=0.05)
    remaining.report(10.1, 0.05)
    assert remaining.left_s(10.5) is None


@pytest.mark.parametrize(
    ("left_s", "shown_s"), [(0.4, 5), (7.4, 5), (12.6, 15), (58.0, 60), (95.0, 120), (3700.0, 3600)]
)
def test_what_is_about_right_is_said_in_round_numbers(left_s: float, shown_s: float) -> None:
    assert rounded_s(left_s) == shown_s


def test_the_window_says_what_is_left(
    window: MainWindow, make_job: MakeJob, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []
    monkeypatch.setattr(window.work_strip._remaining, "left_s", lambda _: 43.0)
    window.work_strip._look.timeout.connect(lambda: seen.append(window.work_strip.left.text()))
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(make_job(delay_s=2.0))
    assert "about 45 s left" in seen
    assert window.work_strip.left.text() == ""  # nothing stays once it is done


def test_of_a_search_with_a_time_the_rest_of_that_time_is_said(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.plan_worker._limit_s = 20.0
    strip = window.work_strip
    strip._begin()
    begun_s = time.monotonic()
    for passed_s, words in ((5.2, "15 s of the search time left"), (21.0, "search time is over")):
        monkeypatch.setattr(work_strip.time, "monotonic", lambda passed_s=passed_s: begun_s + passed_s)
        strip._show_left()
        assert strip.left.text() == words
    strip._end()
