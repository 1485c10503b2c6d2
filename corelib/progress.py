"""Progress and cancelling in one call: report where the work stands, learn that it was cancelled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from corelib.errors import Cancelled

Report = Callable[[float, str, dict[str, Any]], bool]
"""Takes (share done of the whole, step's name, extra facts); returns True when the work is to stop."""


@dataclass(frozen=True)
class Progress:
    """A span within the whole work: `progress(0.5, "nest")` reports the middle of this span."""

    report: Report | None = None
    start: float = 0.0
    end: float = 1.0

    def __call__(self, share: float, step: str, **facts: Any) -> None:
        """Report `share` (0 to 1) of this span as done; raises Cancelled if the user has cancelled."""
        if self.report is None:
            return
        whole = self.start + (self.end - self.start) * min(1.0, max(0.0, share))
        if self.report(whole, step, facts):
            raise Cancelled()

    def span(self, start: float, end: float) -> Progress:
        """Return the part of this span from `start` to `end` (shares of this span)."""
        width = self.end - self.start
        return Progress(self.report, self.start + start * width, self.start + end * width)


SILENT = Progress()
