"""Child processes: the one place that starts, watches, limits and ends them.

Every child is spawned (never forked) and leads its own process group. It takes one request at a time as
JSON and answers with JSON events: `progress`, `found` (a result so far), then `result` or `error`. Arrays
travel as .npy files in a run folder that both sides know. To cancel, a flag is sent first; a child that
has not stopped 0.3 s later is ended with its whole group. A child that is left alone gives back its memory.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from multiprocessing.connection import Connection
from typing import Any

from corelib.errors import Cancelled, ChildError, CorestowError, FileError, InputError, MeshError
from corelib.memory import give_back
from corelib.progress import Progress

Request = dict[str, Any]
Answer = dict[str, Any]
Entry = Callable[[Request, Progress], Answer]
"""What a child runs: a top-level function that takes a request and a Progress and returns an answer."""
OnEvent = Callable[[dict[str, Any]], None]

GRACE_S = 0.3
"""With what it takes to end it and to tell, half a second is kept on a busy machine too."""
POLL_S = 0.02
REPORT_EVERY_S = 0.05
IDLE_S = 1.0
"""Time without a request after which a child gives back the memory that its work has left free."""
SCHEDULER_ANSWERS_S = 10.0

_ERROR_KINDS: dict[str, type[CorestowError]] = {
    kind.__name__: kind for kind in (CorestowError, InputError, MeshError, FileError, Cancelled, ChildError)
}


def freeze_support() -> None:
    """Let a frozen (bundled) program start children; call it first thing in the main module."""
    multiprocessing.freeze_support()


def _limit_memory(memory_mb: int | None) -> None:
    """Limit the address space of this process, where the system can."""
    if memory_mb is None or sys.platform == "win32":
        return
    import resource

    limit = memory_mb * 2**20
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def _send(connection: Connection, event: dict[str, Any]) -> None:
    connection.send_bytes(json.dumps(event).encode("utf-8"))


class _ChildReport:
    """The child's end of progress: sends at most every 50 ms, and hears a cancel flag."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.last_s = 0.0

    def __call__(self, share: float, step: str, facts: dict[str, Any]) -> bool:
        now_s = time.monotonic()
        if facts or now_s - self.last_s >= REPORT_EVERY_S:
            self.last_s = now_s
            event = "found" if "found" in facts else "progress"
            _send(self.connection, {"event": event, "share": share, "step": step, "facts": facts})
        if self.connection.poll():
            return bool(json.loads(self.connection.recv_bytes()).get("cancel"))
        return False


def _serve(connection: Connection, entry: Entry, memory_mb: int | None) -> None:
    """Run in the child: answer requests until the parent closes the pipe."""
    if hasattr(os, "setsid"):
        os.setsid()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides what Ctrl-C means
    _limit_memory(memory_mb)
    while True:
        try:
            if not connection.poll(IDLE_S):
                give_back()
            request = json.loads(connection.recv_bytes())
        except (EOFError, OSError):
            return
        if request.get("cancel"):  # arrived after the answer was sent
            continue
        with contextlib.suppress(BrokenPipeError):
            _send(connection, _answer(entry, request, Progress(_ChildReport(connection))))


def _answer(entry: Entry, request: Request, progress: Progress) -> dict[str, Any]:
    try:
        return {"event": "result", "answer": entry(request, progress)}
    except CorestowError as error:
        return {"event": "error", "kind": type(error).__name__, "code": error.code, "facts": error.facts}
    except MemoryError:
        return {"event": "error", "kind": "ChildError", "code": "work.out_of_memory", "facts": {}}
    except Exception as error:
        import traceback

        facts = {"reason": f"{type(error).__name__}: {error}", "trace": traceback.format_exc()}
        return {"event": "error", "kind": "ChildError", "code": "work.failed", "facts": facts}


class Child:
    """A standing child process around one entry function; started on first use, replaced when it dies."""

    def __init__(self, entry: Entry, *, memory_mb: int | None = None, name: str = "corestow-child") -> None:
        self.entry = entry
        self.memory_mb = memory_mb
        self.name = name
        self._process: multiprocessing.process.BaseProcess | None = None
        self._connection: Connection | None = None

    @property
    def alive(self) -> bool:
        """True while the process runs."""
        return self._process is not None and self._process.is_alive()

    @property
    def pid(self) -> int | None:
        """The process id, or None before the first request."""
        return None if self._process is None else self._process.pid

    def start(self) -> None:
        """Start the process if it does not run (a request does so by itself)."""
        if self.alive:
            return
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(
            target=_serve, args=(theirs, self.entry, self.memory_mb), name=self.name, daemon=False
        )
        process.start()
        theirs.close()
        self._process, self._connection = process, ours

    def ask(
        self,
        request: Request,
        *,
        on_event: OnEvent | None = None,
        cancelled: threading.Event | None = None,
        limit_s: float | None = None,
    ) -> Answer:
        """Send a request and wait for its answer; events on the way go to `on_event`.

        Raises the child's own CorestowError, Cancelled after `cancelled` is set (the child is ended if it
        does not stop within 0.3 s), or ChildError if it dies or passes `limit_s`.
        """
        self.start()
        assert self._connection is not None
        try:
            _send(self._connection, request)
            return self._wait(on_event, cancelled, limit_s)
        except (EOFError, BrokenPipeError, ConnectionResetError) as error:
            code = self._exit_code()
            self.end()
            raise ChildError("work.child_died", exit_code=code) from error

    def _wait(
        self, on_event: OnEvent | None, cancelled: threading.Event | None, limit_s: float | None
    ) -> Answer:
        assert self._connection is not None
        started_s = time.monotonic()
        flagged_s: float | None = None
        while True:
            if self._connection.poll(POLL_S):
                event = json.loads(self._connection.recv_bytes())
                if event["event"] in ("result", "error"):
                    return _unpacked(event)
                if on_event is not None:
                    on_event(event)
            now_s = time.monotonic()
            if limit_s is not None and now_s - started_s > limit_s:
                self.end()
                raise ChildError("work.too_slow", limit_s=limit_s)
            if flagged_s is None and cancelled is not None and cancelled.is_set():
                flagged_s = now_s
                _send(self._connection, {"cancel": True})
            if flagged_s is not None and now_s - flagged_s > GRACE_S:
                self.end()
                raise Cancelled()

    def _exit_code(self) -> int | None:
        if self._process is None:
            return None
        self._process.join(0.2)
        return self._process.exitcode

    def end(self) -> None:
        """End the process and its whole group at once."""
        process, self._process = self._process, None
        connection, self._connection = self._connection, None
        if connection is not None:
            connection.close()
        if process is None:
            return
        _end_group(process)
        process.join(2.0)

    def __enter__(self) -> Child:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()


def _unpacked(event: dict[str, Any]) -> Answer:
    if event["event"] == "result":
        answer: Answer = event["answer"]
        return answer
    kind = _ERROR_KINDS.get(event["kind"], ChildError)
    if kind is Cancelled:
        raise Cancelled()
    raise kind(event["code"], **event["facts"])


def _end_group(process: multiprocessing.process.BaseProcess) -> None:
    if not process.is_alive() or process.pid is None:
        return
    if hasattr(os, "killpg"):
        with contextlib.suppress(ProcessLookupError, PermissionError):
            if os.getpgid(process.pid) == process.pid:
                os.killpg(process.pid, signal.SIGKILL)
                return
    process.kill()


def _leave_interrupts() -> None:
    """Let a worker ignore Ctrl-C: the process that asked for the work decides what it means."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def make_executor(workers: int, scheduler: str | None = None) -> Executor:
    """Return an executor: spawned processes on this machine, or a dask cluster's at `scheduler`.

    Raises InputError if dask is asked for and not installed, or if no scheduler answers.
    """
    if scheduler is None:
        context = multiprocessing.get_context("spawn")
        return ProcessPoolExecutor(workers, mp_context=context, initializer=_leave_interrupts)
    try:
        from distributed import Client
    except ImportError as error:
        raise InputError("work.no_dask") from error
    try:
        executor: Executor = Client(scheduler, timeout=SCHEDULER_ANSWERS_S).get_executor()
    except (OSError, ValueError) as error:  # a time-out is an OSError too
        raise InputError("work.no_scheduler", address=scheduler) from error
    return executor


def end_workers(executor: Executor) -> None:
    """End an executor at once with the work that its processes do; a cluster only forgets what waits."""
    client = getattr(executor, "_client", None)
    if client is not None:  # dask's executor knows no cancel_futures, and leaves its connection open
        executor.shutdown(wait=False)
        client.close()
        return
    processes = getattr(executor, "_processes", None)
    kept = list(processes.values()) if isinstance(processes, dict) else []
    executor.shutdown(wait=False, cancel_futures=True)
    for process in kept:
        process.kill()
