"""Long work with the real use cases in real children: stopped soon, what was found is kept.

The sample of the pump housing is planned and nested; kernels come from the user's cache, as in use.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.runner import Runner
from tests.app.qt.conftest import READY_MS, Watchdog
from tests.pace import answered_s, held

SAMPLES = Path(__file__).parents[3] / "sample_jobs"
PLANNED_MS = 240_000
"""Kernels may have to be compiled first."""
SEARCH_S = 60.0
TRIES = 3


@pytest.fixture
def real(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, own_folders: None
) -> Iterator[MainWindow]:
    """Return a window over the real use cases, with the sample open and planned."""
    monkeypatch.delenv("CORESTOW_CACHE_DIR")
    shutil.copytree(SAMPLES, tmp_path / "samples")
    window = MainWindow(Runner(runs=tmp_path / "runs"))
    qtbot.addWidget(window, before_close_func=lambda shown: shown.document.history.setClean())
    window.show()
    qtbot.waitExposed(window, timeout=READY_MS)
    with qtbot.waitSignal(window.plan_worker.idle, timeout=PLANNED_MS):
        window.open_job(tmp_path / "samples" / "pump_housing.json")
    assert window.document.plan is not None, window.notice.text
    yield window
    window.document.history.setClean()
    window.close()


def stopped_s(window: MainWindow, qtbot: QtBot) -> float:
    """Stop the work by its key and return how long it took until the window was idle."""
    assert window.plan_worker.is_busy
    started_s = time.perf_counter()
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        qtbot.keyClick(window, Qt.Key.Key_Escape)
    return time.perf_counter() - started_s


def nest_and_keep(window: MainWindow, qtbot: QtBot) -> None:
    """Nest, stop once a packing was found, and see it kept as one step and planned."""
    document, before = window.document, window.document.job
    window.box_page.nest_strip.seconds_edit.show_stored(SEARCH_S)
    found: list[dict[str, Any]] = []
    window.plan_worker.found.connect(found.append)
    qtbot.keyClick(window, Qt.Key.Key_F6)
    qtbot.waitUntil(lambda: bool(found) and found[-1]["is_whole"], timeout=PLANNED_MS)
    left = window.work_strip.left
    qtbot.waitUntil(lambda: "of the search time left" in left.text(), timeout=READY_MS)
    assert stopped_s(window, qtbot) < answered_s(SEARCH_S)
    assert document.history.undoText() == "nesting"
    assert document.job is not None and document.job.packing is not None
    kept = [(place.core, place.copy_number) for place in document.job.packing.placements]
    whole = [one for one in found if one["is_whole"]][-1]["found"]["placements"]
    assert kept == [(place["core"], place["copy"]) for place in whole]
    qtbot.waitUntil(lambda: not window.plan_worker.is_busy and document.plan_is_current, timeout=PLANNED_MS)
    document.history.undo()
    assert document.job == before


def stop_plans(window: MainWindow, qtbot: QtBot) -> None:
    """Stop plans at different moments: the last plan stays."""
    plan = window.document.plan
    for after_ms in (60, 900):
        qtbot.keyClick(window, Qt.Key.Key_F5)
        qtbot.wait(after_ms)
        assert stopped_s(window, qtbot) < held(asked=0.5, busy=15.0)
        assert window.document.plan is plan  # one that was not stopped would have come
        assert window.plan_action.isEnabled()


def test_long_work_is_stopped_keeps_what_it_found_and_never_holds_up_the_window(
    real: MainWindow, qtbot: QtBot, watchdog: Watchdog
) -> None:
    qtbot.wait(800)  # the first frames
    watchdog.forget()
    nest_and_keep(real, qtbot)
    stop_plans(real, qtbot)
    told = [watchdog.told()]
    while not watchdog.holds():
        assert len(told) < TRIES, told
        watchdog.forget()
        with qtbot.waitSignal(real.plan_worker.idle, timeout=PLANNED_MS):
            real.plan()
        qtbot.wait(300)
        told.append(watchdog.told())
