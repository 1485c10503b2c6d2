"""The cores page: meshes dropped into an open job, casting sets made, locks, one core checked."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QInputDialog
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.qt.pages.cores_page import CoresPage
from tests.app.qt.conftest import READY_MS
from tests.app.qt.test_pages import bytes_of, enter
from tests.app.qt.test_work import drop, write_stl

LEFT = Qt.MouseButton.LeftButton
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(planned: MainWindow) -> CoresPage:
    planned.pages.setCurrentWidget(planned.cores_page)
    return planned.cores_page


def test_meshes_dropped_on_an_open_job_become_its_cores(
    planned: MainWindow, page: CoresPage, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = bytes_of(planned.document)
    monkeypatch.setattr(QInputDialog, "getItem", lambda *_: ("inch", True))
    with qtbot.waitSignal(planned.plan_worker.meshes_added, timeout=READY_MS):
        assert drop(planned, [write_stl(tmp_path / "rod.stl"), write_stl(tmp_path / "pin.stl")])
    job = planned.document.job
    assert job is not None and [core.id for core in job.cores] == ["ring", "bar", "rod", "pin"]
    assert job.cores[2].mesh is not None and job.cores[2].mesh.unit == "inch"
    assert planned.document.history.count() == 1
    assert [item.text(0) for item in page.cores.tops()][2:] == ["rod", "pin"]
    qtbot.keyClick(planned, Qt.Key.Key_Z, CONTROL)
    assert bytes_of(planned.document) == before


def test_a_casting_set_is_made_named_filled_and_removed(
    planned: MainWindow, page: CoresPage, qtbot: QtBot
) -> None:
    qtbot.mouseClick(page.new_set_button, LEFT)
    job = planned.document.job
    assert job is not None and len(job.casting_sets) == 2
    new = job.casting_sets[1].id
    page.sets.expandAll()
    enter(qtbot, page, page.sets, f"per-set:{new}:ring", "3")
    job = planned.document.job
    assert job is not None and job.copies()["ring"] == 2 + 3
    page.sets.setCurrentIndex(page.sets.index_of(f"per-set:{new}:ring"))
    qtbot.mouseClick(page.remove_set_button, LEFT)
    assert planned.document.job is not None and len(planned.document.job.casting_sets) == 1


def test_all_copies_are_locked_by_one_edit(planned: MainWindow, page: CoresPage, qtbot: QtBot) -> None:
    page.cores.expandAll()
    tree = page.cores
    tree.setCurrentIndex(tree.index_of("locked:ring"))
    tree.edited.emit("locked:ring", 4)
    qtbot.waitUntil(lambda: planned.document.history.count() == 1, timeout=READY_MS)
    assert [place.locked for place in planned.document.placements] == [True, True, False, False, False]
    assert len(planned.desk.box_view.marks.locks_mm) == 2
    row = tree.itemFromIndex(tree.index_of("locked:ring"))
    assert row is not None and row.text(1) == "all"


def test_sides_that_a_core_may_lie_on_are_stated(planned: MainWindow, page: CoresPage, qtbot: QtBot) -> None:
    page.cores.edited.emit("rule:ring", "faces down")
    qtbot.waitUntil(lambda: page.cores.index_of("side-x:ring").isValid(), timeout=READY_MS)
    page.cores.edited.emit("side-x:ring", True)
    qtbot.waitUntil(lambda: planned.document.history.count() == 2, timeout=READY_MS)
    assert planned.document.job is not None
    assert planned.document.job.core("ring").orientations.down == ("-x", "-z")


def test_a_core_is_checked_and_what_is_found_is_shown_at_its_place(
    planned: MainWindow, page: CoresPage, qtbot: QtBot
) -> None:
    page.cores.setCurrentItem(page.cores.topLevelItem(1))
    before = planned.desk.findings_view.findings.rowCount()
    with qtbot.waitSignal(planned.plan_worker.core_checked, timeout=READY_MS):
        qtbot.mouseClick(page.check_button, LEFT)
    view = planned.desk.box_view
    assert planned.desk.findings_view.findings.rowCount() == before + 1
    assert planned.desk.findings_view.currentIndex().row() == before
    placements, copy = planned.document.placements, planned.document.copy
    assert placements[copy].core == "bar"
    marks = [mark for mark in view.marks.findings if mark.number == before]
    assert len(marks) == 2 and all(mark.is_chosen for mark in marks)


def test_a_core_is_removed_and_comes_back(planned: MainWindow, page: CoresPage, qtbot: QtBot) -> None:
    page.cores.setCurrentItem(page.cores.topLevelItem(1))
    qtbot.mouseClick(page.remove_button, LEFT)
    assert planned.document.job is not None and [c.id for c in planned.document.job.cores] == ["ring"]
    qtbot.keyClick(planned, Qt.Key.Key_Z, CONTROL)
    assert [core.id for core in planned.document.job.cores] == ["ring", "bar"]
