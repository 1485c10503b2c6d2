"""Windows for tests: settings and caches in the test's own folder, a watchdog on the event loop."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QLocale, QObject, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.lengths import LENGTHS
from app.qt.main_window import MainWindow
from app.runner import Runner
from corelib.usecases.outlines import run_outline
from tests.app import invented_look, invented_plan, invented_reckoning
from tests.pace import held

TICK_MS = 5
FRAME_S = 0.017
SCHEDULED = Path("/proc/thread-self/schedstat")
READY_MS = 60_000
"""How long something may take that takes a second: a wait ends as soon as it is there."""
TURNS = 20
MakeJob = Callable[..., Path]


class Watchdog(QObject):
    """Measures how long the event loop stands still: `longest_s` by the clock, `stalls_s` by its own doing.

    Own doing on a machine that is busy with other work: what this process reckoned meanwhile (all its
    threads, as pictures are rendered on several), and no more than the time less what its thread waited for
    a core. Waiting without work is in `longest_s` alone.
    """

    def __init__(self) -> None:
        super().__init__()
        self.longest_s = 0.0
        self.stalls_s: list[float] = []
        self._take_times()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._tick)
        self._timer.start(TICK_MS)

    def _take_times(self) -> None:
        self._last_s, self._reckoned_s, self._waited_s = time.perf_counter(), time.process_time(), _waited_s()

    def forget(self) -> None:
        """Start anew: start-up and first frame don't count."""
        self.longest_s, self.stalls_s = 0.0, []
        self._take_times()

    def stall_s(self, percentile: float) -> float:
        """Return a percentile of all own stalls of a frame or longer, 0 if there were none."""
        return float(np.percentile(self.stalls_s, percentile)) if self.stalls_s else 0.0

    def holds(self) -> bool:
        """Tell whether the window answered: own stalls, and those by the clock as far as others allow."""
        return (
            self.stall_s(95) < held(asked=0.1, busy=0.3)
            and self.stall_s(100) < held(asked=0.25, busy=0.75)
            and self.longest_s < held(asked=0.25, busy=3.0)
        )

    def told(self) -> str:
        """Return what was measured, for an assertion."""
        own = f"{self.stall_s(95):.3f} s at the 95th percentile, {self.stall_s(100):.3f} s at most"
        return f"own stalls: {own}; longest by the clock: {self.longest_s:.3f} s"

    def _tick(self) -> None:
        last_s, reckoned_s, waited_s = self._last_s, self._reckoned_s, self._waited_s
        self._take_times()
        whole_s = self._last_s - last_s
        self.longest_s = max(self.longest_s, whole_s)
        own_s = min(whole_s - (self._waited_s - waited_s), self._reckoned_s - reckoned_s)
        if own_s > FRAME_S:
            self.stalls_s.append(own_s)


def _waited_s() -> float:
    """Return how long this thread was ready to run and had no core, where the system tells it (Linux)."""
    try:
        return int(SCHEDULED.read_text(encoding="utf-8").split()[1]) / 1e9
    except (OSError, IndexError):
        return 0.0


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    """Run in one locale and one unit of length, whatever the machine's and the last test's."""
    before = QLocale()
    QLocale.setDefault(QLocale("en_GB"))
    yield
    QLocale.setDefault(before)
    LENGTHS.show_in("mm")


@pytest.fixture(autouse=True)
def collected_here() -> Iterator[None]:
    """Keep the garbage collector off the workers' threads, as in the window itself."""
    gc.disable()
    yield
    gc.collect(1)
    gc.enable()


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep preferences, caches and logs of the test's user out of the way."""
    monkeypatch.setenv("CORESTOW_CONFIG_DIR", str(tmp_path / "config"))
    monkeypatch.setenv("CORESTOW_CACHE_DIR", str(tmp_path / "cache"))


@pytest.fixture
def make_job(tmp_path: Path) -> MakeJob:
    """Return a function that writes an invented job."""

    def make(name: str = "Invented", **facts: Any) -> Path:
        return invented_plan.write_job(tmp_path, name, **facts)

    return make


class StandingRunner(Runner):
    """A runner for all tests: a window's end does not end it, so that not each test starts processes."""

    def end(self) -> None:
        """Keep the children."""

    def end_for_good(self) -> None:
        """End the children."""
        super().end()


@pytest.fixture(scope="session")
def standing_runner(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Runner]:
    """Return one runner over the invented plan for all tests."""
    runs = tmp_path_factory.mktemp("runs")
    runner = StandingRunner(
        invented_plan.run_plan,
        run_outline,
        runs,
        look_entry=invented_look.run_look,
        reckon_entry=invented_reckoning.run_reckoning,
    )
    yield runner
    runner.end_for_good()


@pytest.fixture
def window(qtbot: QtBot, standing_runner: Runner) -> Iterator[MainWindow]:
    """Return a shown window over the invented plan."""
    window = MainWindow(standing_runner)
    qtbot.addWidget(window, before_close_func=_without_changes)
    window.show()
    qtbot.waitExposed(window, timeout=READY_MS)
    yield window
    _without_changes(window)
    window.close()


def _without_changes(window: MainWindow) -> None:
    """Keep a test's window from asking what becomes of its changes."""
    window.document.history.setClean()


@pytest.fixture
def planned(window: MainWindow, make_job: MakeJob, qtbot: QtBot) -> MainWindow:
    """Return a window with a plan of two boxes on show."""
    with qtbot.waitSignals([window.plan_worker.idle, window.outline_worker.drawn], timeout=READY_MS):
        window.open_job(make_job(boxes=2))
    QApplication.processEvents()
    return window


def settle(qtbot: QtBot) -> None:
    """Give what is told and made in later turns of the event loop its turns, however slow they are."""
    qtbot.wait(30)
    for _ in range(TURNS):
        QApplication.processEvents()


@pytest.fixture
def watchdog(qapp: QApplication) -> Watchdog:
    """Return a watchdog on the event loop."""
    return Watchdog()
