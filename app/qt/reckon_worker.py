"""The thread that waits for the child that reckons money; of two wishes of one name only the later counts."""

from __future__ import annotations

import contextlib
import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.runner import Runner
from corelib.child import Answer, Request
from corelib.errors import Cancelled, CorestowError

log = logging.getLogger("corestow.window")


@dataclass(frozen=True)
class Wish:
    """What is to be reckoned: `name` says for whom, `request` is the child's (see `usecases.reckoning`)."""

    name: str
    request: Request
    after: Callable[[Answer], object] | None = None
    """Makes of the answer what `done` tells, still in the thread; raises a CorestowError."""


class ReckonWorker(QObject):
    """Tells what comes of a wish, by its name: `found` on the way, then `done`, `failed` or `cancelled`."""

    begun = Signal(str)
    progressed = Signal(str, float)
    found = Signal(str, object)
    done = Signal(str, object)
    failed = Signal(str, object)
    cancelled = Signal(str)

    def __init__(self, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._runner = runner
        self._waiting: dict[str, Wish] = {}
        self._running = ""
        self._cancelled = threading.Event()
        self._ended = False
        self._turn = threading.Condition()
        self._thread: threading.Thread | None = None

    def ask(self, wish: Wish) -> None:
        """Ask for something; an earlier wish of the same name, if it still runs, is cancelled."""
        with self._turn:
            self._waiting[wish.name] = wish
            if self._running == wish.name:
                self._cancelled.set()
            if self._thread is None:
                self._thread = threading.Thread(target=self._serve, daemon=True)
                self._thread.start()
            self._turn.notify()

    def cancel(self, name: str) -> None:
        """Stop a wish, running or waiting."""
        with self._turn:
            was_waiting = self._waiting.pop(name, None)
            if self._running == name:
                self._cancelled.set()
            elif was_waiting is not None:
                self.cancelled.emit(name)

    def end(self) -> None:
        """Stop what runs and end the thread."""
        with self._turn:
            self._ended = True
            self._cancelled.set()
            self._turn.notify()

    def _serve(self) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: self._ended or self._waiting)
                if self._ended:
                    return
                wish = self._waiting.pop(next(iter(self._waiting)))
                self._running, self._cancelled = wish.name, threading.Event()
            with contextlib.suppress(RuntimeError):  # the window may be gone
                self._reckon(wish)
            with self._turn:
                self._running = ""

    def _reckon(self, wish: Wish) -> None:
        def on_event(event: dict[str, Any]) -> None:
            with contextlib.suppress(RuntimeError):
                if event["event"] == "found":
                    self.found.emit(wish.name, event["facts"]["found"])
                self.progressed.emit(wish.name, float(event["share"]))

        self.begun.emit(wish.name)
        try:
            answer = self._runner.reckon(wish.request, on_event, self._cancelled)
            made = answer if wish.after is None else wish.after(answer)
        except Cancelled:
            self.cancelled.emit(wish.name)
        except CorestowError as error:
            log.warning("%s is not reckoned: %s", wish.name, error)
            self.failed.emit(wish.name, error)
        else:
            self.done.emit(wish.name, made)
