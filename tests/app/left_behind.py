"""A window's work that a crash interrupts, run in a process of its own by the recovery tests."""

from __future__ import annotations

import time
from pathlib import Path

from app.qt.document import Document
from app.qt.recovery import Recovery
from corelib.job import edits


def edit_and_hang(job: str, folder: str) -> None:
    """Change a job, keep the change aside, and hang until killed."""
    document = Document()
    recovery = Recovery(document, Path(folder))
    document.open_job(Path(job))
    recovery.take(Path(job))
    assert document.job is not None
    document.edit("more", edits.with_set_count(document.job, "pair", 7))
    recovery.keep()
    time.sleep(60)
