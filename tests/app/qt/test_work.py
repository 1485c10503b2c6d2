"""New jobs from meshes, sheets, and plans side by side, through the window."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDesktopServices, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QInputDialog
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.qt.pages import compare_page
from app.qt.pages.compare_page import ComparePage
from corelib.job import edits
from corelib.job.files import read_job
from corelib.plan import document as plan_document
from tests.app.invented_plan import bar
from tests.app.qt.conftest import READY_MS, MakeJob

LEFT = Qt.MouseButton.LeftButton


def write_stl(path: Path) -> Path:
    """Write the invented bar as binary STL."""
    vertices, faces = bar()
    rows = np.zeros(len(faces), dtype=np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")]))
    rows["v"] = vertices[faces]
    path.write_bytes(bytes(80) + len(faces).to_bytes(4, "little") + rows.tobytes())
    return path


def drop(window: MainWindow, paths: list[Path]) -> bool:
    """Drop files on the window; returns whether they were taken."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    action, keys = Qt.DropAction.CopyAction, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(50, 200), action, mime, LEFT, keys)
    QApplication.sendEvent(window, enter)
    if enter.isAccepted():
        QApplication.sendEvent(window, QDropEvent(QPointF(50, 200), action, mime, LEFT, keys))
    return enter.isAccepted()


def test_dropped_meshes_become_a_job(
    window: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    meshes = [write_stl(tmp_path / "bar.stl"), write_stl(tmp_path / "rod.stl")]
    target = tmp_path / "two.json"
    monkeypatch.setattr(QInputDialog, "getItem", lambda *_: ("inch", True))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(target), ""))
    assert drop(window, meshes)
    qtbot.waitUntil(lambda: window.document.job is not None, timeout=5000)
    job = read_job(target)
    assert [core.name for core in job.cores] == ["bar", "rod"]
    assert job.cores[0].mesh is not None and job.cores[0].mesh.unit == "inch"
    assert not drop(window, [meshes[0], tmp_path / "notes.txt"])
    qtbot.waitUntil(lambda: not window.plan_worker.is_busy, timeout=READY_MS)


def test_an_existing_job_is_not_overwritten(
    window: MainWindow, make_job: MakeJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = make_job()
    before = there.read_bytes()
    monkeypatch.setattr(QInputDialog, "getItem", lambda *_: ("mm", True))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(there), ""))
    window.jobs.new_job([write_stl(tmp_path / "bar.stl")])
    assert "exists already" in window.notice.text
    assert there.read_bytes() == before


def test_sheets_are_written_from_the_plan(
    planned: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "sheets"
    opened: list[str] = []
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda url: opened.append(url.toLocalFile()))
    with qtbot.waitSignal(planned.plan_worker.idle, timeout=READY_MS):
        keys = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
        qtbot.keyClick(planned, Qt.Key.Key_P, keys)
    assert planned.document.plan is not None
    assert (target / "sheet.txt").read_text(encoding="utf-8") == str(planned.document.plan.files.plan)
    assert opened == [str(target)]


def click(qtbot: QtBot, page: ComparePage, name: str) -> None:
    """Press one of the page's buttons."""
    qtbot.mouseClick(getattr(page, name), LEFT)


def test_plans_are_laid_side_by_side(
    planned: MainWindow, make_job: MakeJob, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = planned.compare_page
    planned.pages.setCurrentWidget(page)
    click(qtbot, page, "keep_button")
    assert planned.document.plan is not None
    other = json.loads(json.dumps(planned.document.plan.document))
    other["totals"]["cost"] = "100.00"
    folder = tmp_path / "cheap.plan"
    folder.mkdir()
    (folder / "plan.json").write_text(json.dumps(other), encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(folder / "plan.json"), ""))
    click(qtbot, page, "add_button")
    rows = {
        item.text(0): item
        for n in range(page.table.topLevelItemCount())
        if (item := page.table.topLevelItem(n))
    }
    assert page.table.headerItem().text(2) == "cheap"
    assert rows["Cost"].text(2) == "best: 100.00 EUR (−45.7 %)"
    assert rows["Cost"].text(1) == "184.20 EUR"
    assert "cheap" in page.statements.text()
    click(qtbot, page, "clear_button")
    assert page.table.topLevelItemCount() == 0


def test_the_same_plan_twice_has_two_names(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.compare_page
    planned.pages.setCurrentWidget(page)
    for _ in range(7):
        click(qtbot, page, "keep_button")
    assert page.table.headerItem().text(2) == "Invented (2)"
    assert page.table.columnCount() == 7  # six plans; the seventh is refused with a sentence
    assert "6" in planned.notice.text


def test_a_plan_of_an_edited_job_is_compared_with_the_old_one(planned: MainWindow, qtbot: QtBot) -> None:
    page, document = planned.compare_page, planned.document
    page.keep()
    assert document.job is not None
    document.edit("more", edits.with_set_count(document.job, "pair", 3))
    with qtbot.waitSignal(planned.plan_worker.idle, timeout=READY_MS):
        planned.plan()
    page.keep()
    assert page.table.topLevelItemCount() > 8


def test_plans_are_read_as_they_are_written() -> None:
    assert compare_page.PLAN_KIND == plan_document.PLAN_KIND
    assert compare_page.PLAN_SCHEMA_VERSION == plan_document.PLAN_SCHEMA_VERSION
