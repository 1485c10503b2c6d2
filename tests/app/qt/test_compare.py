"""Plans side by side through real events: kept, added, dropped, turned in step, picked with a reason."""

from __future__ import annotations

import json
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from app.qt.compared_plan import file_sha256
from app.qt.main_window import MainWindow
from app.qt.pages.compare_page import PLAN_MARK, ComparePage, plans_among
from corelib.job import edits
from corelib.plan.document import PLAN_KIND
from tests.app.qt.conftest import READY_MS

LEFT = Qt.MouseButton.LeftButton
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(planned: MainWindow) -> ComparePage:
    """Return the page that compares, in front."""
    planned.pages.setCurrentWidget(planned.compare_page)
    return planned.compare_page


@pytest.fixture
def cheap(planned: MainWindow, tmp_path: Path) -> Path:
    """Return the file of a cheaper plan of the same job."""
    assert planned.document.plan is not None
    other = json.loads(json.dumps(planned.document.plan.document))
    other["totals"]["cost"] = "100.00"
    folder = tmp_path / "cheap.plan"
    folder.mkdir()
    path = folder / "plan.json"
    path.write_text(json.dumps(other), encoding="utf-8")
    return path


def click(qtbot: QtBot, page: ComparePage, name: str) -> None:
    """Press one of the page's buttons."""
    qtbot.mouseClick(getattr(page, name), LEFT)


def drop(page: ComparePage, path: Path) -> bool:
    """Drop a file on the page; returns whether it was taken."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path))])
    action, keys = Qt.DropAction.CopyAction, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(50, 200), action, mime, LEFT, keys)
    QApplication.sendEvent(page, enter)
    if enter.isAccepted():
        QApplication.sendEvent(page, QDropEvent(QPointF(50, 200), action, mime, LEFT, keys))
    return enter.isAccepted()


@pytest.fixture
def two(page: ComparePage, cheap: Path, qtbot: QtBot) -> ComparePage:
    """Return the page with the plan on show and a cheaper one from a file."""
    click(qtbot, page, "keep_button")
    assert drop(page, cheap)
    qtbot.waitUntil(lambda: len(page.plans) == 2, timeout=READY_MS)
    return page


def test_an_empty_page_says_what_to_do(page: ComparePage, qtbot: QtBot) -> None:
    assert page.hint.isVisible() and "drop them here" in page.hint.text()
    assert not page.curves.isVisible() and not page.choice.isVisible()
    click(qtbot, page, "keep_button")
    assert page.hint.isVisible() and "Invented is kept" in page.hint.text()


def test_plans_are_laid_side_by_side(
    page: ComparePage, cheap: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    click(qtbot, page, "keep_button")
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(cheap)], ""))
    click(qtbot, page, "add_button")
    qtbot.waitUntil(lambda: len(page.plans) == 2, timeout=READY_MS)
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
    assert page.table.topLevelItemCount() == 0 and page.hint.isVisible()


def test_what_is_no_plan_is_left_to_the_window(planned: MainWindow, cheap: Path, tmp_path: Path) -> None:
    assert planned.document.job_path is not None
    assert plans_among([planned.document.job_path, cheap]) == []
    assert plans_among([tmp_path / "none.json"]) == []
    assert plans_among([cheap.parent, cheap]) == [cheap.parent, cheap]


def test_a_damaged_plan_is_said(page: ComparePage, planned: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    bad = tmp_path / "plan.json"
    bad.write_text('{"kind": "corestow.plan"', encoding="utf-8")
    assert drop(page, bad)
    qtbot.waitUntil(lambda: not planned.notice.isHidden(), timeout=READY_MS)
    assert "plan.json" in planned.notice.text
    assert page.plans == ()


def test_boxes_turn_in_step(two: ComparePage, qtbot: QtBot) -> None:
    two.tabs.setCurrentIndex(1)
    first, second = two.boxes.views
    assert first.scene is not None and second.scene is not None
    assert "Invented: box 1 of 2" in two.boxes.names[0].text()
    before = second.grab().toImage()
    qtbot.mousePress(first, LEFT, pos=QPoint(100, 80))
    qtbot.mouseMove(first, QPoint(150, 95))
    qtbot.mouseRelease(first, LEFT, pos=QPoint(150, 95))
    assert second.scene.camera.turn_deg == first.scene.camera.turn_deg
    second.setFocus()
    qtbot.keyClick(second, Qt.Key.Key_Plus)
    assert first.scene.camera.distance == pytest.approx(second.scene.camera.distance)
    qtbot.waitUntil(lambda: second.grab().toImage() != before, timeout=READY_MS)


def test_boxes_out_of_sight_are_let_go_of_and_seen_again_as_before(
    two: ComparePage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    two.tabs.setCurrentIndex(1)
    scene = two.boxes.views[0].scene
    assert scene is not None
    qtbot.keyClick(two.boxes.views[0], Qt.Key.Key_Plus)
    turned = scene.camera.turn_deg, scene.camera.distance
    two.boxes._release.setInterval(0)
    two.tabs.setCurrentIndex(0)
    qtbot.waitUntil(lambda: not two.boxes.views, timeout=READY_MS)
    two.boxes.chooser.setCurrentIndex(1)  # nothing to show it in, nothing to fail
    two.tabs.setCurrentIndex(1)
    cameras = [view.scene.camera for view in two.boxes.views if view.scene is not None]
    assert len(cameras) == 2
    for camera in cameras:
        assert (camera.turn_deg, camera.distance) == pytest.approx(turned)
    assert "box 2 of 2" in two.boxes.names[0].text()
    two.boxes._release.setInterval(60_000)
    two.tabs.setCurrentIndex(0)
    two.tabs.setCurrentIndex(1)  # soon enough: they are the same
    assert cameras[0] is two.boxes.views[0].scene.camera


def test_curves_are_read_and_saved(
    two: ComparePage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    two.window().activateWindow()
    two.tabs.setCurrentIndex(2)
    two.curves.setFocus()
    qtbot.waitUntil(two.curves.hasFocus, timeout=READY_MS)
    qtbot.keyClick(two.curves, Qt.Key.Key_Right)
    assert "cheap: " in two.reading.text() and "cm²" in two.reading.text()
    path = tmp_path / "curves.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(path), ""))
    qtbot.keyClick(two.curves, Qt.Key.Key_T, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    rows = path.read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + 2 * 2 * 43  # two plans of two boxes of 43 layers
    assert rows[-1].startswith("cheap,2,")


def test_a_plan_is_picked_with_its_reason_as_one_step(
    two: ComparePage, planned: MainWindow, cheap: Path, qtbot: QtBot
) -> None:
    choice, document = two.choice, planned.document
    assert not choice.pick_button.isEnabled()
    choice.plan.setCurrentIndex(1)
    qtbot.keyClicks(choice.by, "A. Supervisor")
    qtbot.keyClicks(choice.reason, "lower cost at the same height")
    qtbot.mouseClick(choice.pick_button, LEFT)
    assert document.job is not None and document.job.choice is not None
    kept = document.job.choice
    assert (kept.plan, kept.among, kept.by) == ("cheap", ("Invented", "cheap"), "A. Supervisor")
    assert kept.plan_sha256 == file_sha256(cheap)
    assert document.plan_is_current and document.is_dirty  # a note makes no plan out of date
    assert not planned.key_figures.says_out_of_date
    assert "lower cost at the same height" in choice.state.text()
    qtbot.keyClick(planned, Qt.Key.Key_Z, CONTROL)
    assert document.job.choice is None and "No plan is picked" in choice.state.text()
    qtbot.keyClick(planned, Qt.Key.Key_Z, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    assert document.job.choice == kept
    qtbot.mouseClick(choice.withdraw_button, LEFT)
    assert document.job.choice is None


def test_the_same_plan_twice_has_two_names(page: ComparePage, planned: MainWindow, qtbot: QtBot) -> None:
    for _ in range(7):
        click(qtbot, page, "keep_button")
    assert page.table.headerItem().text(2) == "Invented (2)"
    assert page.table.columnCount() == 7  # six plans; the seventh is refused with a sentence
    assert "6" in planned.notice.text


def test_a_plan_of_an_edited_job_is_compared_with_the_old_one(
    page: ComparePage, planned: MainWindow, qtbot: QtBot
) -> None:
    document = planned.document
    page.keep()
    assert document.job is not None
    document.edit("more", edits.with_set_count(document.job, "pair", 3))
    with qtbot.waitSignal(planned.plan_worker.idle, timeout=READY_MS):
        planned.plan()
    page.keep()
    assert page.table.topLevelItemCount() > 8


def test_plans_are_known_by_their_kind() -> None:
    assert f'"{PLAN_KIND}"'.encode() == PLAN_MARK


def test_the_comparison_is_written_with_the_choice(
    two: ComparePage, planned: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "comparison.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(path), ""))
    choice = two.choice
    qtbot.keyClicks(choice.by, "A. Supervisor")
    qtbot.keyClicks(choice.reason, "nothing to lift")
    qtbot.keyClick(choice.reason, Qt.Key.Key_Return)
    planned.activateWindow()
    two.table.setFocus()
    qtbot.waitUntil(two.table.hasFocus, timeout=READY_MS)
    qtbot.keyClick(two.table, Qt.Key.Key_J, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(path.exists, timeout=READY_MS)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
    assert "Reason: nothing to lift" in text and "cheap" in text
    qtbot.waitUntil(lambda: "comparison.pdf" in planned.statusBar().currentMessage(), timeout=READY_MS)
