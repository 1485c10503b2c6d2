"""How long work still takes, told from how far it has come: only where the answer holds still for a while."""

from __future__ import annotations

from collections import deque

FIRST_S = 2.0
"""So long nothing is said."""
FIRST_SHARE = 0.03
HOLD_S = 2.0
"""So long the moment of the end has to stay where it is."""
HOLD_SHARE = 0.2
"""How far it may wander meanwhile, as a share of what is left."""
LEAST_WANDER_S = 1.0
EVEN = 0.7
"""The slower of the later half and of the whole way has to reach this share of the faster."""
SHORT_S, LONG_S = 60.0, 3600.0


class Remaining:
    """Takes share and time of each report, and says what is left in seconds, or None where it is not known.

    The speed is that of the later half of the way so far, and has to be near that of the whole way: of work
    that grows slower or faster the end is not known. The end counts once it has held still for two seconds.
    """

    def __init__(self) -> None:
        self._reports: list[tuple[float, float]] = []
        self._ends: deque[tuple[float, float]] = deque()

    def begin(self, now_s: float) -> None:
        """Begin anew."""
        self._reports = [(now_s, 0.0)]
        self._ends.clear()

    def report(self, now_s: float, share: float) -> None:
        """Take how far the work has come; a share that goes back is a new start."""
        if self._reports and share < self._reports[-1][1]:
            self.begin(now_s)
        self._reports.append((now_s, share))

    def left_s(self, now_s: float) -> float | None:
        """Return the seconds that are left, None while they are not known."""
        end_s = self._end_s(now_s)
        if end_s is None:
            self._ends.clear()
            return None
        self._ends.append((now_s, end_s))
        while self._ends[0][0] < now_s - HOLD_S:
            self._ends.popleft()
        left_s = end_s - now_s
        ends = [end for _, end in self._ends]
        has_held = now_s - self._ends[0][0] >= 0.75 * HOLD_S
        if not has_held or max(ends) - min(ends) > max(LEAST_WANDER_S, HOLD_SHARE * left_s):
            return None
        return max(0.0, left_s)

    def _end_s(self, now_s: float) -> float | None:
        """Return the moment of the end at the speed of the later half of the way."""
        if not self._reports:
            return None
        begun_s, share = self._reports[0][0], self._reports[-1][1]
        if now_s - begun_s < FIRST_S or share < FIRST_SHARE:
            return None
        middle_s = begun_s + 0.5 * (now_s - begun_s)
        then_s, then = max((one for one in self._reports if one[0] <= middle_s), default=self._reports[0])
        speed, mean = (share - then) / (now_s - then_s), share / (now_s - begun_s)
        if speed <= 0 or min(speed, mean) < EVEN * max(speed, mean):
            return None
        return now_s + (1.0 - share) / speed


def rounded_s(left_s: float) -> float:
    """Return seconds as one says them of what is only about right: in steps of 5 s, a minute, 5 minutes."""
    if left_s < SHORT_S - 2.5:
        return max(5.0, 5.0 * round(left_s / 5.0))
    step_s = 60.0 if left_s < LONG_S else 300.0
    return step_s * round(left_s / step_s)
