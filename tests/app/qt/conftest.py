"""Windows for tests: settings and caches in the test's own folder, a watchdog on the event loop."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QLocale, QObject, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.lengths import LENGTHS
from app.qt.main_window import MainWindow
from app.runner import Runner
from corelib.usecases.outlines import run_outline
from tests.app import invented_look, invented_plan, invented_reckoning

TICK_MS = 5
READY_MS = 15_000
MakeJob = Callable[..., Path]


class Watchdog(QObject):
    """Measures how long the event loop stands still."""

    def __init__(self) -> None:
        super().__init__()
        self.longest_s = 0.0
        self._last_s = time.perf_counter()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._tick)
        self._timer.start(TICK_MS)

    def forget(self) -> None:
        """Start anew: start-up and first frame don't count."""
        self.longest_s, self._last_s = 0.0, time.perf_counter()

    def _tick(self) -> None:
        now_s = time.perf_counter()
        self.longest_s = max(self.longest_s, now_s - self._last_s)
        self._last_s = now_s


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    """Run in one locale and one unit of length, whatever the machine's and the last test's."""
    before = QLocale()
    QLocale.setDefault(QLocale("en_GB"))
    yield
    QLocale.setDefault(before)
    LENGTHS.show_in("mm")


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
    qtbot.waitExposed(window)
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


@pytest.fixture
def watchdog(qapp: QApplication) -> Watchdog:
    """Return a watchdog on the event loop."""
    return Watchdog()
