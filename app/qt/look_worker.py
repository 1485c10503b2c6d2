"""The thread that waits for the child that draws layers closely; only the latest layer asked for counts.

All nozzles of a box take longer than a layer, so they are followed while nobody asks for a layer, and begun
again if somebody does.
"""

from __future__ import annotations

import contextlib
import logging
import threading
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.qt.outlines import Outlines
from app.qt.shown_layer import read_nozzles, read_pixels
from app.runner import PlanFiles, Runner
from corelib.errors import Cancelled, CorestowError, FileError

QUIET_S = 0.4
log = logging.getLogger("corestow.window")


@dataclass(frozen=True)
class LayerWish:
    """A layer to look at closely, with its pixels or only its outlines."""

    files: PlanFiles
    box: int
    layer: int
    with_pixels: bool


@dataclass(frozen=True)
class NozzleWish:
    """A box whose nozzles are followed."""

    files: PlanFiles
    box: int


class LookWorker(QObject):
    """Fetches outlines to print, pixels and nozzles; its signals take box, layer and content."""

    outlined = Signal(int, int, object)
    pixelled = Signal(int, int, object)
    nozzled = Signal(int, object)
    progressed = Signal(float)
    failed = Signal(object)

    def __init__(self, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._runner = runner
        self._layer: LayerWish | None = None
        self._nozzles: NozzleWish | None = None
        self._cancelled = threading.Event()
        self._ended = False
        self._turn = threading.Condition()
        self._thread: threading.Thread | None = None

    def ask_layer(self, wish: LayerWish) -> None:
        """Ask for a layer; what is told follows unless a later wish did."""
        with self._turn:
            self._layer = wish
            self._cancelled.set()  # nozzles wait
            self._begin()

    def ask_nozzles(self, wish: NozzleWish) -> None:
        """Ask for all nozzles of a box."""
        with self._turn:
            self._nozzles = wish
            self._begin()

    def end(self) -> None:
        """Stop what runs and end the thread."""
        with self._turn:
            self._ended = True
            self._cancelled.set()
            self._turn.notify()

    def _begin(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._serve, daemon=True)
            self._thread.start()
        self._turn.notify()

    def _serve(self) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: self._ended or self._layer or self._nozzles)
                if self._layer is None and not self._ended:
                    self._turn.wait_for(lambda: self._ended or self._layer is not None, QUIET_S)
                if self._ended:
                    return
                layer, self._layer = self._layer, None
                nozzles = None if layer else self._nozzles
                if nozzles is not None:
                    self._nozzles, self._cancelled = None, threading.Event()
            with contextlib.suppress(RuntimeError):  # the window may be gone
                if layer is not None:
                    self._draw(layer)
                elif nozzles is not None:
                    self._follow(nozzles)

    def _draw(self, wish: LayerWish) -> None:
        place = {"box": wish.box, "layer": wish.layer}
        try:
            answer = self._runner.look(wish.files, {"work": "outlines", **place}, _silent, threading.Event())
            with np.load(answer["outlines"], allow_pickle=False) as arrays:
                outlines = Outlines(arrays["points"], arrays["starts"], tuple(answer["cores"]))
            self.outlined.emit(wish.box, wish.layer, outlines)
            if not wish.with_pixels or self._layer is not None:
                return
            answer = self._runner.look(wish.files, {"work": "pixels", **place}, _silent, threading.Event())
            self.pixelled.emit(wish.box, wish.layer, read_pixels(answer))
        except Cancelled:
            return
        except (CorestowError, OSError, ValueError) as error:
            self._tell(wish.files, error)

    def _follow(self, wish: NozzleWish) -> None:
        asked = {"work": "nozzles", "box": wish.box}
        try:
            answer = self._runner.look(wish.files, asked, self._report, self._cancelled)
            self.nozzled.emit(wish.box, read_nozzles(answer))
        except Cancelled:
            with self._turn:
                self._nozzles = self._nozzles or wish
        except (CorestowError, OSError, ValueError) as error:
            self._tell(wish.files, error)

    def _report(self, share: float, _step: str) -> None:
        with contextlib.suppress(RuntimeError):
            self.progressed.emit(share)

    def _tell(self, files: PlanFiles, error: Exception) -> None:
        """Tell an error, unless a newer plan has taken the place of the one that was looked at."""
        if files.plan.exists() and not self._ended:
            log.warning("no close look: %s", error)
            own = isinstance(error, CorestowError)
            folder = str(files.folder)
            self.failed.emit(error if own else FileError("file.not_readable", path=folder, reason=str(error)))


def _silent(_share: float, _step: str) -> None:
    """Report nothing: a layer takes no time to speak of."""
