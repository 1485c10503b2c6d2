"""New jobs from meshes, sheets, and plans side by side, through the window."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDesktopServices, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QInputDialog
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from corelib.job.files import read_job
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
    qtbot.waitUntil(lambda: window.document.job is not None, timeout=READY_MS)
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
