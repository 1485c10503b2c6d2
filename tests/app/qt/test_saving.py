"""Saving: under another name, beside a file that can only be read, and after a crash at the next start."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QMessageBox, QUndoView
from pytestqt.qtbot import QtBot

from app.qt.document import Document
from app.qt.main_window import MainWindow
from app.qt.recovery import Recovery
from app.qt.steps_dialog import StepsDialog
from corelib.errors import FileError, InputError
from corelib.job import edits
from corelib.job.files import read_job
from corelib.usecases.jobs import NewJob, write_new_job
from tests.app.qt.conftest import READY_MS, MakeJob
from tests.app.qt.test_work import write_stl

CONTROL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
Choice = QMessageBox.StandardButton


def named(monkeypatch: pytest.MonkeyPatch, path: Path | str) -> list[str]:
    """Answer the next questions for a file with a path; returns the names that were proposed."""
    proposed: list[str] = []

    def answer(_parent: object, _title: str, proposal: str, *_rest: object) -> tuple[str, str]:
        proposed.append(proposal)
        return str(path), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    return proposed


def more(document: Document, count: int = 7) -> None:
    """Change the job."""
    assert document.job is not None
    document.edit("more", edits.with_set_count(document.job, "pair", count))


def test_a_job_goes_on_under_another_name(
    planned: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = planned.document
    old = document.job_path
    assert old is not None
    more(document)
    planned.jobs.recovery.keep()
    other = tmp_path / "elsewhere" / "other.json"
    other.parent.mkdir()
    proposed = named(monkeypatch, other.with_suffix(""))
    qtbot.keyClick(planned, Qt.Key.Key_S, CONTROL | SHIFT)
    assert proposed == [str(old.with_name("invented-2.json"))]
    assert document.job_path == other and not document.is_dirty
    assert read_job(other).copies()["ring"] == 7
    assert read_job(old).copies()["ring"] == 2
    assert list((tmp_path / "config" / "recovery").glob("*.json")) == []
    assert planned.choices.preferences.recent_jobs[0] == str(other)
    document.history.undo()
    assert document.is_dirty
    qtbot.keyClick(planned, Qt.Key.Key_S, CONTROL)
    assert read_job(other) == read_job(old)


def test_meshes_are_found_from_the_other_folder_also_after_undo(tmp_path: Path, qtbot: QtBot) -> None:
    here, there = tmp_path / "a", tmp_path / "b" / "deeper"
    here.mkdir()
    there.mkdir(parents=True)
    mesh = write_stl(here / "bar.stl")
    write_new_job(here / "job.json", NewJob(meshes=(str(mesh),), unit="mm"))
    document = Document()
    document.open_job(here / "job.json")
    first = document.job
    assert first is not None
    document.edit("gap", edits.with_gap(first, 9.0))
    document.save_as(there / "job.json")

    def found() -> Path:
        assert document.job is not None and document.job.cores[0].mesh is not None
        return (document.folder / document.job.cores[0].mesh.path).resolve()

    assert found() == mesh.resolve()
    assert read_job(there / "job.json") == document.job
    document.history.undo()
    assert found() == mesh.resolve()
    assert document.job is not None and document.job.gap_mm == first.gap_mm
    document.history.redo()
    assert found() == mesh.resolve() and document.job.gap_mm == 9.0
    assert not document.is_dirty
    document.save_as(here / "again.json")
    assert document.job.cores[0].mesh == first.cores[0].mesh


def test_a_profile_beside_the_job_is_not_left_behind(make_job: MakeJob, tmp_path: Path, qtbot: QtBot) -> None:
    path = make_job()
    document = Document()
    document.open_job(path)
    assert document.job is not None
    own = document.profiles().process.model_dump(mode="json")
    folder = path.parent / "profiles" / "process"
    folder.mkdir(parents=True)
    (folder / f"{own['id']}.json").write_text(json.dumps({**own, "gap_mm": 7.5}), encoding="utf-8")
    other = tmp_path / "elsewhere"
    other.mkdir()
    with pytest.raises(InputError) as refused:
        document.save_as(other / "job.json")
    assert refused.value.code == "profile.stays_behind"
    assert document.job_path == path and list(other.iterdir()) == []


def test_a_file_that_can_only_be_read_is_told_and_saved_elsewhere(
    window: MainWindow, make_job: MakeJob, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = make_job()
    path.chmod(0o444)
    before = path.read_bytes()
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(path)
    assert "can only be read" in window.notice.text and "invented.json" in window.notice.text
    assert window.notice.severity == "note"  # good to know, nothing went wrong
    assert "can only be read" in window.windowTitle()
    more(window.document)
    named(monkeypatch, "")  # the user gives it up
    qtbot.keyClick(window, Qt.Key.Key_S, CONTROL)
    assert window.document.is_dirty and window.document.job_path == path
    named(monkeypatch, path)  # the same name again
    qtbot.keyClick(window, Qt.Key.Key_S, CONTROL)
    assert "can only be read" in window.notice.text and window.document.is_dirty
    assert window.notice.severity == "stop"
    named(monkeypatch, tmp_path / "own.json")
    qtbot.keyClick(window, Qt.Key.Key_S, CONTROL)
    assert read_job(tmp_path / "own.json").copies()["ring"] == 7
    assert not window.document.is_dirty and "can only be read" not in window.windowTitle()
    assert path.read_bytes() == before


def test_a_folder_that_can_only_be_read_keeps_its_job(
    make_job: MakeJob, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = make_job()
    document = Document()
    document.open_job(path)
    more(document)
    before = path.read_bytes()
    allowed = os.access
    monkeypatch.setattr(os, "access", lambda what, mode: what != path.parent and allowed(what, mode))
    with pytest.raises(FileError) as refused:
        document.save()
    assert refused.value.code == "file.read_only"
    assert path.read_bytes() == before and document.is_dirty


def left_behind(path: Path, folder: Path, count: int) -> None:
    """Leave changes behind as a crash does: kept aside, and no window has the job any more."""
    document = Document()
    recovery = Recovery(document, folder)
    document.open_job(path)
    more(document, count)
    recovery.keep()
    recovery.leave()
    document.job_changed.disconnect()


def test_a_start_after_a_crash_offers_what_was_left(
    window: MainWindow, make_job: MakeJob, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "config" / "recovery"
    jobs = [make_job(name) for name in ("First", "Second", "Third", "Gone")]
    for number, job in enumerate(jobs):
        left_behind(job, folder, 3 + number)
        os.utime(window.jobs.recovery._file(job), (number, number))
    jobs[3].unlink()
    other = Recovery(Document(), folder)
    assert other.take(jobs[2])  # open in another window
    assert window.jobs.recovery.waiting() == [jobs[1], jobs[0]]  # the latest first
    asked: list[str] = []
    answers = [Choice.No, Choice.Yes]

    def question(_parent: object, _title: str, text: str, *_rest: object) -> Choice:
        asked.append(text)
        return answers[len(asked) - 1]

    monkeypatch.setattr(QMessageBox, "question", question)
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.jobs.offer_recovered()
    assert len(asked) == 2 and "second.json" in asked[0] and "first.json" in asked[1]
    assert window.document.job_path == jobs[0]
    assert window.document.job is not None and window.document.job.copies()["ring"] == 3
    assert window.document.is_dirty and window.document.history.undoText() == "recovered changes"
    assert window.jobs.recovery.left_behind(jobs[1]) is not None  # offered again another time
    other.leave()


def test_a_start_without_a_crash_asks_nothing(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QMessageBox, "question", lambda *_: pytest.fail("asked"))
    window.jobs.offer_recovered()
    assert window.document.job is None


def test_steps_are_listed_and_gone_back_to(planned: MainWindow, qtbot: QtBot) -> None:
    document = planned.document
    for count in (3, 4, 5):
        assert document.job is not None
        document.edit(f"to {count}", edits.with_set_count(document.job, "pair", count))
    qtbot.keyClick(planned, Qt.Key.Key_H, CONTROL | SHIFT)
    (dialog,) = planned.findChildren(StepsDialog)
    steps = dialog.findChild(QUndoView)
    assert steps is not None
    model = steps.model()
    assert [model.index(row, 0).data() for row in range(model.rowCount())] == [
        "as opened",
        "to 3",
        "to 4",
        "to 5",
    ]
    steps.setFocus()
    qtbot.keyClick(steps, Qt.Key.Key_Up)
    assert document.job is not None and document.job.copies()["ring"] == 4
    told: list[bool] = []
    document.job_changed.connect(lambda: told.append(document.is_dirty))
    qtbot.keyClick(steps, Qt.Key.Key_Home)
    assert not document.is_dirty
    assert told == [False]  # the way over many steps is one change, told once it is there
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
