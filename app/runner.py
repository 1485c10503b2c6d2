"""Use cases in standing child processes: reports out, cancel in, results in a run folder.

Five children stand by: one plans and searches packings, one draws the outlines of the layer that is looked
at, one draws it closely, one measures gaps while a core is moved by hand, one reckons prices, so that long
work never holds up a look or a move. They are started on first use (or by `warm`) and replaced when they
die. Results are JSON and .npy files in a folder of the run's own.
"""

from __future__ import annotations

import contextlib
import shutil
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.settings import load_letterhead, runs_folder
from corelib.child import Answer, Child, Entry, OnEvent, Request
from corelib.errors import Cancelled, CorestowError, FileError
from corelib.progress import Progress
from corelib.usecases.outlines import run_outline

LOCK_POLL_S = 0.05
OnProgress = Callable[[float, str], None]
"""Takes the share done (0 to 1) and the step's name."""
OnFound = Callable[[dict[str, Any]], None]
"""Takes a packing found on the way: `found` (the packing) and `boxes` (height and fill of each)."""


@dataclass(frozen=True)
class PlanFiles:
    """Where a finished plan lies: its run folder, plan.json, and the folder of its meshes."""

    folder: Path
    plan: Path
    meshes: Path


@dataclass(frozen=True)
class JobAtHand:
    """The job as it is now, saved or not: against it a plan is out of date; meshes are relative to `path`."""

    path: Path
    document: dict[str, Any]


def work_in_child(request: Request, progress: Progress) -> Answer:
    """Run in the working child: plan, write sheets, or only load what planning needs (`warm`).

    The use cases are imported here, in the child, so that the window starts without them.
    """
    if request["work"] in ("sheets", "preview", "pages"):
        return _sheets(request, progress)
    if request["work"] == "nest":
        from corelib.usecases.nesting_run import run_nest

        return run_nest(request, progress)
    if request["work"] == "check":
        from corelib.usecases.core_check import run_core_check

        return run_core_check(request, progress)
    if request["work"] == "warm":
        from corelib.usecases.warming import prepare_planning

        prepare_planning()
        return {}
    from corelib.usecases.plans import run_plan

    return run_plan(request, progress)


def place_in_child(request: Request, progress: Progress) -> Answer:
    """Run in the child that measures gaps."""
    if request.get("work") == "touch":
        from corelib.usecases.touching import run_touch

        return run_touch(request, progress)
    from corelib.usecases.placing import run_placing

    return run_placing(request, progress)


def look_in_child(request: Request, progress: Progress) -> Answer:
    """Run in the child that draws a layer closely: outlines to print, pixels, nozzles."""
    from corelib.usecases.looking import run_look

    return run_look(request, progress)


def reckon_in_child(request: Request, progress: Progress) -> Answer:
    """Run in the child that reckons money: what a change moves, prices of quantities, meshes to compare."""
    from corelib.usecases.reckoning import run_reckoning

    if request["work"] == "comparison":
        request = {**request, "letterhead": load_letterhead()}
    return run_reckoning(request, progress)


def _sheets(request: Request, progress: Progress) -> Answer:
    from corelib.usecases import sheet_run

    runs = {"sheets": sheet_run.run_sheets, "preview": sheet_run.run_preview, "pages": sheet_run.run_pages}
    return runs[request["work"]]({**request, "letterhead": load_letterhead()}, progress)


class Runner:
    """Runs use cases in child processes; every method may be called from any thread."""

    def __init__(
        self,
        plan_entry: Entry = work_in_child,
        outline_entry: Entry = run_outline,
        runs: Path | None = None,
        place_entry: Entry = place_in_child,
        look_entry: Entry = look_in_child,
        reckon_entry: Entry = reckon_in_child,
    ) -> None:
        self._planning = _Desk(plan_entry, "corestow-plan")
        self._drawing = _Desk(outline_entry, "corestow-outline")
        self._placing = _Desk(place_entry, "corestow-place")
        self._looking = _Desk(look_entry, "corestow-look")
        self._reckoning = _Desk(reckon_entry, "corestow-reckon")
        self._runs = runs or runs_folder()
        self._kept: Path | None = None

    def prepare(self) -> None:
        """Have the planning child load in the background, before the window does."""
        threading.Thread(target=self._warm_planning, daemon=True).start()

    def warm(self) -> None:
        """Start the children and have the planning one load its modules before it is asked."""
        self._drawing.warm()
        self._warm_planning()

    def _warm_planning(self) -> None:
        with contextlib.suppress(CorestowError):
            self._planning.ask({"work": "warm"}, None, threading.Event())

    def plan(
        self,
        job: Path,
        on_progress: OnProgress,
        cancelled: threading.Event,
        document: dict[str, Any] | None = None,
        language: str = "en",
    ) -> PlanFiles:
        """Plan a job file and return where the plan lies; raises a CorestowError.

        `document` is the job as edited and not yet saved to that file, `language` that of the findings'
        sentences. A failed or cancelled run leaves nothing behind; a finished one stays until the next
        or `end`.
        """
        folder = self._new_folder()
        request: Request = {"work": "plan", "job": str(job), "folder": str(folder), "language": language}
        if document is not None:
            request["document"] = document
        try:
            answer = self._planning.ask(request, _progress_only(on_progress), cancelled)
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)
            raise
        self._forget()
        self._kept = folder
        return PlanFiles(folder, Path(answer["plan"]), Path(answer["meshes"]))

    def sheets(
        self,
        files: PlanFiles,
        job: JobAtHand,
        folder: Path,
        on_progress: OnProgress,
        cancelled: threading.Event,
        language: str = "en",
        paper: str = "A4",
    ) -> Answer:
        """Write the sheets of a plan into a folder; returns `folder` and `files`; raises a CorestowError."""
        request = _sheet_request("sheets", files, job, folder, language, paper)
        return self._planning.ask(request, _progress_only(on_progress), cancelled)

    def preview(
        self,
        files: PlanFiles,
        job: JobAtHand,
        sheet: str,
        on_progress: OnProgress,
        cancelled: threading.Event,
        language: str = "en",
        paper: str = "A4",
        dots_per_inch: float = 110.0,
    ) -> Answer:
        """Make one printed sheet of a plan; returns `pdf` and `pages` (PNG); raises a CorestowError.

        The files lie in the plan's run folder and go with it.
        """
        request = _sheet_request("preview", files, job, files.folder / "preview", language, paper)
        request |= {"sheet": sheet, "dots_per_inch": dots_per_inch}
        return self._planning.ask(request, _progress_only(on_progress), cancelled)

    def pages(
        self, pdf: Path, dots_per_inch: float, on_progress: OnProgress, cancelled: threading.Event
    ) -> Answer:
        """Return the `pages` of a PDF as pictures (PNG), finer than for the eye; raises a CorestowError."""
        request: Request = {"work": "pages", "pdf": str(pdf), "dots_per_inch": dots_per_inch}
        return self._planning.ask(request, _progress_only(on_progress), cancelled)

    def outline(self, files: PlanFiles, box: int, layer: int) -> Answer:
        """Return the outlines of one layer (box and layer count from 0); raises a CorestowError."""
        request: Request = {
            "plan": str(files.plan),
            "meshes": str(files.meshes),
            "folder": str(files.folder),
            "box": box,
            "layer": layer,
        }
        return self._drawing.ask(request, None, threading.Event())

    def nest(
        self,
        job: Path,
        document: dict[str, Any],
        on_progress: OnProgress,
        on_found: OnFound,
        cancelled: threading.Event,
        seconds: float | None = None,
        begin_with: int | None = None,
    ) -> Answer:
        """Search a packing of a job as in `document`; what is found on the way goes to `on_found`.

        `begin_with` is how many boxes the job is thought to need.

        Returns the answer of `corelib.usecases.nesting_run.run_nest`; raises a CorestowError.
        """
        request: Request = {"work": "nest", "job": str(job), "document": document}
        request |= {"seconds": seconds, "begin_with": begin_with}

        def on_event(event: dict[str, Any]) -> None:
            on_progress(float(event["share"]), str(event["step"]))
            if event["event"] == "found":
                on_found(event["facts"])

        return self._planning.ask(request, on_event, cancelled)

    def check_core(
        self,
        job: Path,
        document: dict[str, Any],
        core_id: str,
        on_progress: OnProgress,
        cancelled: threading.Event,
        language: str = "en",
    ) -> Answer:
        """Return `findings` on one core's shape, with their sentences; raises a CorestowError."""
        request: Request = {
            "work": "check",
            "job": str(job),
            "document": document,
            "core": core_id,
            "language": language,
        }
        return self._planning.ask(request, _progress_only(on_progress), cancelled)

    def place(self, files: PlanFiles, wish: Request) -> Answer:
        """Move, turn or measure one core of a plan's box, or touch its surface.

        What a wish holds say `corelib.usecases.placing` and `corelib.usecases.touching`.
        """
        request = {"plan": str(files.plan), "meshes": str(files.meshes), **wish}
        return self._placing.ask(request, None, threading.Event())

    def look(
        self, files: PlanFiles, wish: Request, on_progress: OnProgress, cancelled: threading.Event
    ) -> Answer:
        """Return what `wish` asks of a plan's layers (see `corelib.usecases.looking`)."""
        own = {"plan": str(files.plan), "meshes": str(files.meshes), "folder": str(files.folder)}
        return self._looking.ask({**own, **wish}, _progress_only(on_progress), cancelled)

    def reckon(self, request: Request, on_event: OnEvent, cancelled: threading.Event) -> Answer:
        """Return what `request` asks about money or plans beside (see `corelib.usecases.reckoning`).

        `on_event` takes the reports as they come: `share`, `step`, and `facts` of what is found on the way.
        """
        return self._reckoning.ask(request, on_event, cancelled)

    def warm_placing(self) -> None:
        """Start the child that measures gaps in the background, before it is asked."""
        threading.Thread(target=self._placing.warm, daemon=True).start()

    def end(self) -> None:
        """End the children with their groups and remove what they left."""
        self._planning.end()
        self._drawing.end()
        self._placing.end()
        self._looking.end()
        self._reckoning.end()
        self._forget()

    def _new_folder(self) -> Path:
        try:
            self._runs.mkdir(parents=True, exist_ok=True)
            return Path(tempfile.mkdtemp(prefix="plan-", dir=self._runs))
        except OSError as error:
            reason = error.strerror or str(error)
            raise FileError("file.not_writable", path=str(self._runs), reason=reason) from error

    def _forget(self) -> None:
        if self._kept is not None:
            shutil.rmtree(self._kept, ignore_errors=True)
            self._kept = None


class _Desk:
    """One standing child and the lock that lets it take one request at a time."""

    def __init__(self, entry: Entry, name: str) -> None:
        self._child = Child(entry, name=name)
        self._lock = threading.Lock()
        self._cancelled = threading.Event()
        self._ended = False

    def warm(self) -> None:
        with self._lock:
            if not self._ended:
                self._child.start()

    def ask(self, request: Request, on_event: OnEvent | None, cancelled: threading.Event) -> Answer:
        while not self._lock.acquire(timeout=LOCK_POLL_S):
            if cancelled.is_set() or self._ended:
                raise Cancelled()
        try:
            self._cancelled = cancelled
            if self._ended:
                raise Cancelled()
            return self._child.ask(request, on_event=on_event, cancelled=cancelled)
        finally:
            self._lock.release()

    def end(self) -> None:
        """Cancel what runs, which takes half a second at most, then end the child."""
        self._ended = True
        self._cancelled.set()
        with self._lock:
            self._child.end()


def _sheet_request(
    work: str, files: PlanFiles, job: JobAtHand, folder: Path, language: str, paper: str
) -> Request:
    return {
        "work": work,
        "plan": str(files.plan),
        "job": str(job.path),
        "document": job.document,
        "folder": str(folder),
        "language": language,
        "paper": paper,
    }


def _progress_only(on_progress: OnProgress) -> OnEvent:
    def on_event(event: dict[str, Any]) -> None:
        on_progress(float(event["share"]), str(event["step"]))

    return on_event
