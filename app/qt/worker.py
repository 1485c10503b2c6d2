"""Threads that wait on the runner and tell the window by signals.

The work itself runs in child processes; these threads only wait, so that the window stays quick.
"""

from __future__ import annotations

import contextlib
import logging
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal, SignalInstance

from app.qt.outlines import read_outlines
from app.qt.shown_plan import ShownPlan, read_plan
from app.runner import JobAtHand, PlanFiles, Runner
from corelib.errors import Cancelled, ChildError, CorestowError, FileError
from corelib.job.models import Job
from corelib.usecases.jobs import with_meshes

BREATH_S = 0.004
log = logging.getLogger("corestow.window")


class PlanWorker(QObject):
    """Plans a job, searches a packing, checks a core or writes sheets: one piece of long work at a time."""

    started = Signal()
    progressed = Signal(float, str)
    planned = Signal(object)
    sheets_written = Signal(object)
    found = Signal(object)
    nested = Signal(object)
    core_checked = Signal(object)
    meshes_added = Signal(object)
    failed = Signal(object)
    cancelled = Signal()
    idle = Signal()

    def __init__(self, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._runner = runner
        self._cancelled = threading.Event()
        self._thread: threading.Thread | None = None
        self._busy = False
        self._limit_s: float | None = None

    @property
    def limit_s(self) -> float | None:
        """The time that the work was given, None where it goes on until it is done."""
        return self._limit_s

    @property
    def is_busy(self) -> bool:
        """True from `start` until `idle`."""
        return self._busy

    def start(self, job: Path, document: dict[str, Any], language: str = "en") -> None:
        """Plan a job as in `document`, its findings worded in `language`; `planned` follows."""

        def plan(cancelled: threading.Event) -> ShownPlan:
            files = self._runner.plan(job, self._report, cancelled, document, language)
            return read_plan(files, lambda: _pause(cancelled))

        self._begin(self.planned, plan)

    def write_sheets(
        self, files: PlanFiles, job: JobAtHand, folder: Path, language: str = "en", paper: str = "A4"
    ) -> None:
        """Write the sheets of a plan into a folder; `sheets_written` follows with what was written."""
        self._begin(
            self.sheets_written,
            lambda cancelled: self._runner.sheets(
                files, job, folder, self._report, cancelled, language, paper
            ),
        )

    def nest(
        self, job: Path, document: dict[str, Any], seconds: float | None, begin_with: int | None = None
    ) -> None:
        """Search a packing of a job as in `document`; `found` follows for each better one, then `nested`."""
        self._begin(
            self.nested,
            lambda cancelled: self._runner.nest(
                job, document, self._report, self._tell_found, cancelled, seconds, begin_with
            ),
            seconds,
        )

    def check_core(self, job: Path, document: dict[str, Any], core_id: str, language: str = "en") -> None:
        """Check one core's shape; `core_checked` follows with its id (`core`) and `findings`."""
        self._begin(
            self.core_checked,
            lambda cancelled: {
                "core": core_id,
                **self._runner.check_core(job, document, core_id, self._report, cancelled, language),
            },
        )

    def add_meshes(self, job: Job, meshes: Sequence[Path], unit: str | None, job_path: Path) -> None:
        """Make mesh files cores of a job; `meshes_added` follows with the job before and after."""
        names = [str(mesh) for mesh in meshes]
        self._begin(self.meshes_added, lambda _: (job, with_meshes(job, names, unit, job_path)))

    def warm(self) -> None:
        """Start the children in the background."""
        threading.Thread(target=self._runner.warm, daemon=True).start()

    def cancel(self) -> None:
        """Ask the work that runs to stop; `idle` follows within half a second."""
        self._cancelled.set()

    def wait(self, limit_s: float) -> None:
        """Wait until the thread has ended."""
        if self._thread is not None:
            self._thread.join(limit_s)

    def _begin(
        self,
        done: SignalInstance,
        work: Callable[[threading.Event], object],
        limit_s: float | None = None,
    ) -> None:
        """Do a piece of work, given a time or not, in a thread; does nothing while another runs."""
        if self._busy:
            return
        self._busy = True
        self._limit_s = limit_s
        self._cancelled = threading.Event()
        self._thread = threading.Thread(target=self._run, args=(done, work, self._cancelled), daemon=True)
        self.started.emit()
        self._thread.start()

    def _run(
        self,
        done: SignalInstance,
        work: Callable[[threading.Event], object],
        cancelled: threading.Event,
    ) -> None:
        signal, content = self._outcome(done, work, cancelled)
        self._busy = False
        with contextlib.suppress(RuntimeError):  # the window may be gone
            signal.emit(*content)
            self.idle.emit()

    def _outcome(
        self,
        done: SignalInstance,
        work: Callable[[threading.Event], object],
        cancelled: threading.Event,
    ) -> tuple[SignalInstance, tuple[object, ...]]:
        try:
            return done, (work(cancelled),)
        except Cancelled:
            return self.cancelled, ()
        except CorestowError as error:
            if isinstance(error, ChildError):
                log.error("%s %s", error.code, error.facts)
            return self.failed, (error,)
        except Exception as error:
            log.exception("the work failed")
            return self.failed, (ChildError("work.failed", reason=f"{type(error).__name__}: {error}"),)

    def _tell_found(self, found: dict[str, Any]) -> None:
        with contextlib.suppress(RuntimeError):
            self.found.emit(found)

    def _report(self, share: float, step: str) -> None:
        with contextlib.suppress(RuntimeError):
            self.progressed.emit(share, step)


def _pause(cancelled: threading.Event) -> None:
    """Let the window's thread have the interpreter for a moment; raises Cancelled."""
    if cancelled.is_set():
        raise Cancelled()
    time.sleep(BREATH_S)


class OutlineWorker(QObject):
    """Fetches the outlines of the layer looked at; of several requests only the latest counts."""

    drawn = Signal(int, int, object)
    failed = Signal(object)

    def __init__(self, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._runner = runner
        self._wanted: tuple[PlanFiles, int, int] | None = None
        self._ended = False
        self._turn = threading.Condition()
        self._thread: threading.Thread | None = None

    def ask(self, files: PlanFiles, box: int, layer: int) -> None:
        """Ask for the outlines of a layer; `drawn(box, layer, outlines)` follows unless a later ask did."""
        with self._turn:
            self._wanted = (files, box, layer)
            if self._thread is None:
                self._thread = threading.Thread(target=self._serve, daemon=True)
                self._thread.start()
            self._turn.notify()

    def end(self) -> None:
        """End the thread once its present request is done."""
        with self._turn:
            self._ended = True
            self._turn.notify()

    def _serve(self) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: self._ended or self._wanted is not None)
                if self._ended or self._wanted is None:
                    return
                (files, box, layer), self._wanted = self._wanted, None
            with contextlib.suppress(RuntimeError):
                self._fetch(files, box, layer)

    def _fetch(self, files: PlanFiles, box: int, layer: int) -> None:
        try:
            outlines = read_outlines(self._runner.outline(files, box, layer))
        except Cancelled:
            return
        except (CorestowError, OSError) as error:
            if files.plan.exists() and not self._ended:  # else a newer plan has taken its place
                log.warning("no outline of box %s layer %s: %s", box, layer, error)
                own = isinstance(error, CorestowError)
                folder = str(files.folder)
                self.failed.emit(
                    error if own else FileError("file.not_readable", path=folder, reason=str(error))
                )
        else:
            self.drawn.emit(box, layer, outlines)
