"""What nobody caught: written to the log and told in a sentence, never shown as a traceback."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

log = logging.getLogger("corestow.window")


def report_faults(tell: Callable[[Path | None], None], path: Path | None) -> None:
    """Have every fault that nobody caught written to the log at `path` and told by `tell`."""

    def report(kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        log.critical("internal fault", exc_info=(kind, fault, trace))
        tell(path)

    sys.excepthook = report
