"""The runner: plans in a child process, cancels in time, survives a dead child, leaves nothing behind."""

from __future__ import annotations

import json
import os
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import psutil
import pytest

from app.runner import Runner
from corelib.errors import Cancelled, ChildError, FileError, MeshError
from corelib.usecases.outlines import run_outline
from tests.app import invented_plan
from tests.app.invented_plan import write_job
from tests.pace import answered_s

LONG_S = 60.0


@pytest.fixture
def runner(tmp_path: Path) -> Iterator[Runner]:
    """Return a runner over the invented plan, its run folders in the test's folder."""
    runner = Runner(invented_plan.run_plan, run_outline, tmp_path / "runs")
    yield runner
    runner.end()


def silent(_share: float, _step: str) -> None:
    """Take a report and do nothing."""


def test_a_plan_comes_back_with_progress(runner: Runner, tmp_path: Path) -> None:
    reports: list[tuple[float, str]] = []
    files = runner.plan(
        write_job(tmp_path, delay_s=0.4), lambda s, step: reports.append((s, step)), threading.Event()
    )
    document = json.loads(files.plan.read_bytes())
    assert document["totals"]["layer_count"] == len(document["boxes"][0]["layers"])
    assert (files.meshes / "ring.faces.npy").is_file()
    shares = [share for share, _ in reports]
    assert len(shares) >= 3
    assert shares == sorted(shares)
    assert {step for _, step in reports} >= {"nest"}


def test_a_new_plan_takes_the_place_of_the_last(runner: Runner, tmp_path: Path) -> None:
    job = write_job(tmp_path)
    first = runner.plan(job, silent, threading.Event())
    second = runner.plan(job, silent, threading.Event())
    assert not first.folder.exists()
    assert second.plan.is_file()
    runner.end()
    assert list((tmp_path / "runs").iterdir()) == []


@pytest.mark.parametrize("facts", [{"delay_s": LONG_S}, {"hang_s": LONG_S}], ids=["listens", "deaf"])
def test_cancel_is_over_soon(runner: Runner, tmp_path: Path, facts: dict[str, float]) -> None:
    runner.plan(write_job(tmp_path), silent, threading.Event())  # the child is up
    cancelled = threading.Event()
    asked_s: list[float] = []

    def cancel() -> None:
        asked_s.append(time.monotonic())
        cancelled.set()

    timer = threading.Timer(0.3, cancel)
    timer.start()
    with pytest.raises(Cancelled):
        runner.plan(write_job(tmp_path, **facts), silent, cancelled)
    assert time.monotonic() - asked_s[0] < answered_s(LONG_S)
    assert len(list((tmp_path / "runs").iterdir())) == 1  # the finished plan is still there


def test_a_fault_keeps_the_last_plan_and_the_next_request_works(runner: Runner, tmp_path: Path) -> None:
    files = runner.plan(write_job(tmp_path), silent, threading.Event())
    with pytest.raises(MeshError):
        runner.plan(write_job(tmp_path, fault="mesh"), silent, threading.Event())
    with pytest.raises(ChildError) as fault:
        runner.plan(write_job(tmp_path, fault="bug"), silent, threading.Event())
    assert fault.value.code == "work.failed"
    with pytest.raises(ChildError) as death:
        runner.plan(write_job(tmp_path, fault="death"), silent, threading.Event())
    assert death.value.code == "work.child_died"
    assert files.plan.is_file()
    assert runner.plan(write_job(tmp_path), silent, threading.Event()).plan.is_file()


def test_outlines_come_while_a_plan_is_being_made(runner: Runner, tmp_path: Path) -> None:
    files = runner.plan(write_job(tmp_path), silent, threading.Event())
    runner.warm()
    cancelled = threading.Event()
    job = write_job(tmp_path, delay_s=LONG_S)
    outcome: list[BaseException] = []

    def plan() -> None:
        try:
            runner.plan(job, silent, cancelled)
        except Cancelled as error:
            outcome.append(error)

    thread = threading.Thread(target=plan)
    thread.start()
    started_s = time.monotonic()
    answer = runner.outline(files, 0, 9)
    assert time.monotonic() - started_s < 0.5 * LONG_S  # the plan takes all of it
    points = np.load(answer["points"])
    assert len(answer["cores"]) == len(np.load(answer["starts"])) == 4  # two bars, a ring's two circles
    assert points[:, 0].max() == pytest.approx(270.0)
    cancelled.set()
    thread.join(30.0)
    assert outcome


def test_the_end_leaves_no_process(runner: Runner, tmp_path: Path) -> None:
    before = {child.pid for child in psutil.Process(os.getpid()).children(recursive=True)}
    files = runner.plan(write_job(tmp_path), silent, threading.Event())
    runner.outline(files, 0, 0)
    runner.end()
    after = {child.pid for child in psutil.Process(os.getpid()).children(recursive=True)}
    assert after <= before | _trackers()
    with pytest.raises(Cancelled):
        runner.plan(write_job(tmp_path), silent, threading.Event())


def _trackers() -> set[int]:
    """Return multiprocessing's resource trackers: they live as long as this process."""
    children = psutil.Process(os.getpid()).children(recursive=True)
    return {child.pid for child in children if "resource_tracker" in " ".join(child.cmdline())}


def test_a_run_folder_that_cannot_be_made_is_a_clear_error(tmp_path: Path) -> None:
    (tmp_path / "runs").write_text("a file in the way", encoding="utf-8")
    runner = Runner(invented_plan.run_plan, run_outline, tmp_path / "runs")
    with pytest.raises(FileError) as error:
        runner.plan(write_job(tmp_path), silent, threading.Event())
    assert error.value.code == "file.not_writable"
