"""The way from the command line to the window: Qt is imported here and only when it is wanted."""

from __future__ import annotations

from pathlib import Path

from corelib.errors import InputError


def open_window(job: Path | None) -> int:
    """Open the window and return its exit status; raises InputError where Qt can't be loaded."""
    try:
        from app.qt import start
    except ImportError as error:
        raise InputError("window.no_qt", reason=str(error)) from error
    return start.run(job)
