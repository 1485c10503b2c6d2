"""The thread that waits for the child that measures gaps; of the wishes that wait only the latest counts."""

from __future__ import annotations

import contextlib
import logging
import threading
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.runner import PlanFiles, Runner
from corelib.errors import Cancelled, CorestowError

log = logging.getLogger("corestow.window")


class PlaceWorker(QObject):
    """Asks for the place, turn or gap of one core; `placed(wish, answer)` follows unless a later wish did."""

    placed = Signal(object, object)
    failed = Signal(object)

    def __init__(self, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._runner = runner
        self._wanted: tuple[PlanFiles, dict[str, Any]] | None = None
        self._ended = False
        self._turn = threading.Condition()
        self._thread: threading.Thread | None = None

    def ask(self, files: PlanFiles, wish: dict[str, Any]) -> None:
        """Ask for what `wish` says (see `corelib.usecases.placing`); the wish comes back with its answer."""
        with self._turn:
            self._wanted = (files, wish)
            if self._thread is None:
                self._thread = threading.Thread(target=self._serve, daemon=True)
                self._thread.start()
            self._turn.notify()

    def end(self) -> None:
        """End the thread once its present wish is answered."""
        with self._turn:
            self._ended = True
            self._turn.notify()

    def _serve(self) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: self._ended or self._wanted is not None)
                if self._ended or self._wanted is None:
                    return
                (files, wish), self._wanted = self._wanted, None
            with contextlib.suppress(RuntimeError):
                self._answer(files, wish)

    def _answer(self, files: PlanFiles, wish: dict[str, Any]) -> None:
        try:
            answer = self._runner.place(files, wish)
        except Cancelled:
            return
        except CorestowError as error:
            if files.plan.exists() and not self._ended:  # else a newer plan has taken its place
                log.warning("no place for %s %s: %s", wish.get("core"), wish.get("copy"), error)
                self.failed.emit(error)
            else:
                self.failed.emit(None)
        else:
            self.placed.emit(wish, answer)
