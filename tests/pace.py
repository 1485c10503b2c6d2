"""How tests hold what takes time, on a machine that may be slow and busy with other work.

A landing must not fail on a neighbour's load, and a test of speed must be able to fail. So times are only
compared with others of the same run, taken in turns; growth is counted in executed lines where the work is
Python's; and each limit has two figures: the one asked for, and a wider one that a busy machine keeps too,
while a fault in the work (a loop over all pairs, a cancel that waits for the end) goes far past it.

`CORESTOW_PACE=asked pytest tests/speed tests/app` holds the figures asked for; run it on an idle machine.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Callable
from types import FrameType
from typing import Any

import psutil

IS_STRICT = os.environ.get("CORESTOW_PACE") == "asked"
Work = Callable[[], object]
Clock = Callable[[], float]


def held(*, asked: float, busy: float) -> float:
    """Return the limit that this run holds: the one asked for, or the one that a busy machine keeps too."""
    return asked if IS_STRICT else busy


def answered_s(work_s: float) -> float:
    """Return how soon a cancel must be answered: half a second is asked for; in CI long before the work ends.

    `work_s` is how long the work would still take on an idle machine if nobody cancelled it, 20 s or more.
    """
    assert work_s >= 20.0, "work that ends by itself can't tell whether a cancel was heard"
    return held(asked=0.5, busy=0.3 * work_s)


def least_s(*works: Work, runs: int = 3, clock: Clock = time.process_time) -> tuple[float, ...]:
    """Return the least seconds that each work took, all taken in turns so that a busy spell meets all."""
    least = [float("inf")] * len(works)
    for _ in range(runs):
        for number, work in enumerate(works):
            start_s = clock()
            work()
            least[number] = min(least[number], clock() - start_s)
    return tuple(least)


def family_s() -> float:
    """Return the time that this process and its children, ended ones too, had of the processor (by 10 ms)."""
    spent_s = sum(os.times()[:4])
    for child in psutil.Process().children(recursive=True):
        with contextlib.suppress(psutil.NoSuchProcess):
            spent_s += sum(child.cpu_times()[:2])
    return spent_s


def lines_run(work: Work) -> int:
    """Return how many lines of Python a work executes: the same count on every machine.

    Turns of a comprehension count, what compiled code does within a call doesn't.
    """
    count = 0

    def trace(_frame: FrameType, event: str, _argument: Any) -> Any:
        nonlocal count
        count += event == "line"
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        work()
    finally:
        sys.settrace(before)
    return count
