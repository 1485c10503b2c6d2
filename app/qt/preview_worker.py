"""A thread that waits for a printed sheet and its pages, and tells the preview by signals."""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal, SignalInstance

from app.runner import JobAtHand, PlanFiles, Runner
from corelib.errors import Cancelled, ChildError, CorestowError

log = logging.getLogger("corestow.window")


class PreviewWorker(QObject):
    """Of several wishes only the latest counts; the earlier one is cancelled."""

    made = Signal(object)
    pages_ready = Signal(object)
    progressed = Signal(float, str)
    failed = Signal(object)

    def __init__(self, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._runner = runner
        self._cancelled = threading.Event()

    def make(self, files: PlanFiles, job: JobAtHand, sheet: str, language: str, paper: str) -> None:
        """Make a printed sheet; `made` follows with `pdf` and `pages`."""
        self._begin(
            self.made,
            lambda cancelled: self._runner.preview(
                files, job, sheet, self._report, cancelled, language, paper
            ),
        )

    def render(self, pdf: Path, dots_per_inch: float) -> None:
        """Make finer pictures of a PDF's pages; `pages_ready` follows with `pages`."""
        self._begin(
            self.pages_ready,
            lambda cancelled: self._runner.pages(pdf, dots_per_inch, self._report, cancelled),
        )

    def cancel(self) -> None:
        """Give up what is in work; nothing follows."""
        self._cancelled.set()

    def _begin(self, done: SignalInstance, work: Callable[[threading.Event], object]) -> None:
        self._cancelled.set()
        self._cancelled = cancelled = threading.Event()
        threading.Thread(target=self._run, args=(done, work, cancelled), daemon=True).start()

    def _run(
        self, done: SignalInstance, work: Callable[[threading.Event], object], cancelled: threading.Event
    ) -> None:
        signal, content = done, None
        try:
            content = work(cancelled)
        except Cancelled:
            return
        except CorestowError as error:
            signal, content = self.failed, error
        except Exception as error:
            log.exception("the preview failed")
            signal = self.failed
            content = ChildError("work.failed", reason=f"{type(error).__name__}: {error}")
        if not cancelled.is_set():
            with contextlib.suppress(RuntimeError):  # the window may be gone
                signal.emit(content)

    def _report(self, share: float, step: str) -> None:
        with contextlib.suppress(RuntimeError):
            self.progressed.emit(share, step)
