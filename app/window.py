"""The way from the command line to the window: Qt is imported here and only when it is wanted.

Planning loads in its child while Qt does here: a job that is opened at once finds it ready.
"""

from __future__ import annotations

from pathlib import Path

from app.runner import Runner
from corelib.errors import InputError


def open_window(job: Path | None) -> int:
    """Open the window and return its exit status; raises InputError where Qt can't be loaded."""
    runner = Runner()
    if job is not None:  # else the window comes sooner without a child beside it
        runner.prepare()
    try:
        from app.qt import start

        return start.run(job, runner)
    except ImportError as error:
        raise InputError("window.no_qt", reason=str(error)) from error
    finally:
        runner.end()
