"""After a crash the changes are offered again; after a proper end nothing is left."""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
from pathlib import Path

import pytest
from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from app.qt.document import Document
from app.qt.main_window import MainWindow
from app.qt.recovery import Recovery
from corelib.job import edits
from tests.app.left_behind import edit_and_hang
from tests.app.qt.conftest import READY_MS, MakeJob


@pytest.mark.parametrize("answer", [QMessageBox.StandardButton.Yes, QMessageBox.StandardButton.No])
def test_changes_of_a_killed_window_are_offered(
    window: MainWindow,
    make_job: MakeJob,
    tmp_path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    answer: QMessageBox.StandardButton,
) -> None:
    job, folder = make_job(), tmp_path / "config" / "recovery"
    other = multiprocessing.get_context("spawn").Process(target=edit_and_hang, args=(str(job), str(folder)))
    other.start()
    qtbot.waitUntil(lambda: bool(list(folder.glob("*.json"))), timeout=READY_MS)
    assert other.pid is not None
    os.kill(other.pid, signal.SIGKILL)
    other.join(30.0)
    asked: list[str] = []

    def question(_parent: object, title: str, *_rest: object) -> QMessageBox.StandardButton:
        asked.append(title)
        return answer

    monkeypatch.setattr(QMessageBox, "question", question)
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(job)
    assert asked == ["Changes were recovered"]
    assert window.document.job is not None
    taken = answer == QMessageBox.StandardButton.Yes
    assert window.document.job.copies()["ring"] == (7 if taken else 2)
    assert window.document.is_dirty is taken
    assert bool(list(folder.glob("*.json"))) is taken
    assert window.document.history.count() == int(taken)  # one step, which can be undone


def test_saving_and_undoing_leave_nothing_behind(planned: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    document, folder = planned.document, tmp_path / "config" / "recovery"
    assert document.job is not None
    document.edit("more", edits.with_set_count(document.job, "pair", 4))
    planned.jobs.recovery.keep()
    (file,) = folder.glob("*.json")
    assert json.loads(file.read_bytes())["job"]["casting_sets"][0]["count"] == 4
    document.history.undo()
    assert list(folder.glob("*.json")) == []
    document.history.redo()
    planned.jobs.recovery.keep()
    assert planned.jobs.save()
    assert list(folder.glob("*.json")) == []


@pytest.mark.parametrize("content", ["", "{", "[]", '{"kind": "corestow.recovery", "path": "x", "job": 5}'])
def test_what_is_broken_is_not_offered(make_job: MakeJob, tmp_path: Path, content: str, qtbot: QtBot) -> None:
    document = Document()
    recovery = Recovery(document, tmp_path)
    job = make_job()
    recovery._file(job).write_text(content, encoding="utf-8")
    assert recovery.left_behind(job) is None


def test_a_second_window_on_the_same_job_is_told(
    planned: MainWindow, make_job: MakeJob, tmp_path: Path
) -> None:
    document = Document()
    second = Recovery(document, tmp_path / "config" / "recovery")
    assert planned.document.job_path is not None
    document.open_job(planned.document.job_path)
    assert not second.take(planned.document.job_path)
    assert document.job is not None and planned.document.job is not None
    planned.document.edit("more", edits.with_set_count(planned.document.job, "pair", 5))
    planned.jobs.recovery.keep()
    document.edit("less", edits.with_set_count(document.job, "pair", 1))
    second.keep()
    document.history.undo()  # clean again: nothing of its own is kept, the first window's stays
    left = second.left_behind(planned.document.job_path)
    assert left is not None and left.copies()["ring"] == 5
    second.leave()
    planned.jobs.recovery.leave()
    assert second.take(planned.document.job_path)
    second.leave()
