"""The pages: edits by key and mouse, each undoable, refused ones without effect."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QComboBox, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.qt.document import Document
from app.qt.main_window import MainWindow
from app.qt.number_edit import NumberEdit
from app.qt.views.edit_tree import EditTree
from corelib.errors import InputError
from corelib.files import canonical_json
from corelib.job import edits
from corelib.job.files import job_document, read_job
from corelib.job.models import Job
from tests.app import invented_plan
from tests.app.qt.conftest import READY_MS, MakeJob, settle

CONTROL = Qt.KeyboardModifier.ControlModifier


def bytes_of(document: Document) -> bytes:
    """Return the job's bytes."""
    assert document.job is not None
    return canonical_json(job_document(document.job))


def enter(qtbot: QtBot, page: QWidget, tree: EditTree, key: str, text: str) -> None:
    """Edit a field by keys: Enter, type, Enter."""
    index = tree.index_of(key)
    assert index.isValid(), key
    tree.setFocus()
    tree.setCurrentIndex(index)
    qtbot.keyClick(tree, Qt.Key.Key_Return)
    editors = [child for child in tree.viewport().children() if isinstance(child, NumberEdit)]
    editor = editors[-1]
    editor.selectAll()
    qtbot.keyClicks(editor, text)
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    # the edit is committed, told and made in turns of the event loop
    qtbot.waitUntil(lambda: tree.state() != EditTree.State.EditingState, timeout=READY_MS)
    settle(qtbot)


def test_a_set_count_is_entered_undone_and_saved(planned: MainWindow, qtbot: QtBot) -> None:
    document, page = planned.document, planned.cores_page
    before = bytes_of(document)
    planned.pages.setCurrentWidget(page)
    enter(qtbot, page, page.sets, "set:pair", "5")
    assert document.job is not None and document.job.copies()["ring"] == 5
    assert document.is_dirty and planned.isWindowModified()
    assert planned.key_figures.says_out_of_date
    assert "Castings of Pair" in planned.undo_action.text()
    qtbot.keyClick(planned, Qt.Key.Key_Z, CONTROL)
    assert bytes_of(document) == before
    assert not document.is_dirty
    assert not planned.key_figures.says_out_of_date
    qtbot.keyClick(planned, Qt.Key.Key_Z, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    assert document.job.copies()["ring"] == 5
    qtbot.keyClick(planned, Qt.Key.Key_S, CONTROL)
    assert not document.is_dirty
    assert document.job_path is not None and read_job(document.job_path) == document.job


def test_the_changed_job_is_what_is_planned(planned: MainWindow, qtbot: QtBot) -> None:
    planned.pages.setCurrentWidget(planned.box_page)
    enter(qtbot, planned.box_page, planned.box_page.rules, "gap", "8,5")
    assert planned.document.job is not None and planned.document.job.gap_mm == 8.5
    with qtbot.waitSignal(planned.plan_worker.idle, timeout=READY_MS):
        qtbot.keyClick(planned, Qt.Key.Key_F5)
    assert planned.document.plan_is_current
    assert planned.document.is_dirty  # planning saves nothing


def test_a_gap_goes_back_to_the_profile(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.box_page
    planned.pages.setCurrentWidget(page)
    enter(qtbot, page, page.rules, "gap", "9")
    page.rules.setCurrentIndex(page.rules.index_of("gap"))
    qtbot.keyClick(page.rules, Qt.Key.Key_Delete)
    settle(qtbot)
    assert planned.document.job is not None and planned.document.job.gap_mm is None
    assert page.rules.topLevelItem(0).text(2) == "the profile"  # type: ignore[union-attr]


def test_a_profile_value_is_changed_marked_and_reset(planned: MainWindow, qtbot: QtBot) -> None:
    page, document = planned.process_page, planned.document
    planned.pages.setCurrentWidget(page)
    enter(qtbot, page, page.values, "process.layer_thickness_mm", "0.25")
    assert document.point().process.layer_thickness_mm == 0.25
    row = page.values.itemFromIndex(page.values.index_of("process.layer_thickness_mm"))
    assert row is not None and row.text(1) == "0.25 mm" and row.text(2) == "changed" and row.font(0).bold()
    page.values.setCurrentIndex(page.values.index_of("process.layer_thickness_mm"))
    qtbot.keyClick(page.values, Qt.Key.Key_Delete)
    settle(qtbot)
    assert document.job is not None and document.job.overrides == {}


def test_what_the_model_refuses_changes_nothing_and_says_why(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.process_page
    before = bytes_of(planned.document)
    page.values.edited.emit("process.layer_thickness_mm", 99.0)
    qtbot.waitUntil(lambda: not planned.notice.isHidden(), timeout=READY_MS)
    assert "layer_thickness_mm" in planned.notice.text
    assert "≤ 5" in planned.notice.text
    assert bytes_of(planned.document) == before
    assert planned.document.history.count() == 0


def test_looking_at_an_unknown_value_does_not_make_it_zero(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.cores_page
    planned.pages.setCurrentWidget(page)
    enter(qtbot, page, page.cores, "gap:ring", "")
    assert planned.document.history.count() == 0
    enter(qtbot, page, page.cores, "gap:ring", "0")
    assert planned.document.job is not None
    assert planned.document.job.core("ring").gap_mm == 0.0


def test_an_orientation_rule_is_chosen(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.cores_page
    planned.pages.setCurrentWidget(page)
    page.cores.setCurrentIndex(page.cores.index_of("rule:ring"))
    page.cores.setFocus()
    qtbot.keyClick(page.cores, Qt.Key.Key_Return)
    box = next(child for child in page.cores.viewport().children() if isinstance(child, QComboBox))
    box.setCurrentIndex(box.findData("fixed"))
    qtbot.keyClick(box, Qt.Key.Key_Return)
    settle(qtbot)
    assert planned.document.job is not None
    assert planned.document.job.core("ring").orientations.rule == "fixed"


def test_values_are_found_by_their_name(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.process_page
    planned.pages.setCurrentWidget(page)
    qtbot.keyClicks(page.search, "thickness")
    shown = [item.text(0) for item in page.values.items() if item.parent() and not item.isHidden()]
    assert "Layer thickness" in shown
    assert len(shown) < 10


def test_a_click_in_the_box_and_a_row_choose_the_same_copy(planned: MainWindow, qtbot: QtBot) -> None:
    view, page = planned.desk.box_view, planned.box_page
    planned.pages.setCurrentWidget(page)
    assert view.scene is not None
    hits = [
        (x, y, number)
        for x in range(20, view.width(), 40)
        for y in range(20, view.height(), 40)
        if (number := view.scene.pick(x, view.height() - 1 - y).number) >= 0
    ]
    assert len({number for _, _, number in hits}) >= 3
    x, y, number = hits[0]
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(x, y))
    assert planned.document.copy == number
    assert page.placements.currentIndex().row() == number
    other = (number + 1) % len(invented_plan.PLACES)
    page.placements.setCurrentItem(page.placements.topLevelItem(other))
    assert planned.document.copy == other


@pytest.mark.parametrize(
    ("answer", "closes", "saved"),
    [
        (QMessageBox.StandardButton.Save, True, 5),
        (QMessageBox.StandardButton.Discard, True, 2),
        (QMessageBox.StandardButton.Cancel, False, 2),
    ],
)
def test_unsaved_changes_are_asked_about(
    planned: MainWindow,
    monkeypatch: pytest.MonkeyPatch,
    answer: QMessageBox.StandardButton,
    closes: bool,
    saved: int,
) -> None:
    document = planned.document
    assert document.job is not None and document.job_path is not None
    document.edit("more", edits.with_set_count(document.job, "pair", 5))
    monkeypatch.setattr(QMessageBox, "question", lambda *_: answer)
    assert planned.close() is closes
    assert read_job(document.job_path).casting_sets[0].count == saved
    document.history.setClean()  # the fixture closes the window for good


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ('{"kind": "corestow.job", "schema_version": 99}', "newer"),
        ('{"kind": "corestow.plan", "schema_version": 1}', "not a corestow.job"),
        ("{", "not a readable JSON"),
    ],
)
def test_files_that_cannot_be_opened_leave_the_open_job(
    planned: MainWindow, tmp_path: Path, content: str, sentence: str
) -> None:
    before = planned.document.job
    bad = tmp_path / "bad.json"
    bad.write_text(content, encoding="utf-8")
    planned.open_job(bad)
    assert sentence in planned.notice.text
    assert planned.document.job is before
    assert bad.read_text(encoding="utf-8") == content


Step = Callable[[Job], Job]
COUNTS = st.integers(0, 40)
STEPS: st.SearchStrategy[Step] = st.one_of(
    COUNTS.map(lambda n: lambda job: edits.with_set_count(job, "pair", n)),
    COUNTS.map(lambda n: lambda job: edits.with_loose_count(job, "bar", n)),
    COUNTS.map(lambda n: lambda job: edits.with_core_value(job, "ring", "spares", n)),
    st.floats(-5, 1200).map(lambda mm: lambda job: edits.with_gap(job, mm)),
    st.floats(-1, 50).map(lambda mm: lambda job: edits.with_core_value(job, "bar", "gap_mm", mm)),
    st.sampled_from([0.2, 0.3, None]).map(
        lambda mm: lambda job: edits.with_override(job, "process.layer_thickness_mm", mm)
    ),
)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(STEPS, max_size=12), undone=st.integers(0, 12))
def test_any_edits_can_be_undone_to_the_same_bytes(
    qtbot: QtBot, make_job: MakeJob, steps: list[Step], undone: int
) -> None:
    document = Document()
    path = make_job()
    document.open_job(path)
    states = [bytes_of(document)]
    for make in steps:
        assert document.job is not None
        try:
            document.edit("step", make(document.job))
        except InputError:
            assert bytes_of(document) == states[-1]
            continue
        if bytes_of(document) != states[-1]:
            states.append(bytes_of(document))
    assert document.history.count() == len(states) - 1
    for _ in range(min(undone, document.history.count())):
        document.history.undo()
        document.history.redo()
        document.history.undo()
        states.pop()
        assert bytes_of(document) == states[-1]
    while document.history.canUndo():
        document.history.undo()
    assert bytes_of(document) == states[0]
    assert not document.is_dirty
    assert json.loads(path.read_bytes())["name"] == "Invented"
    document.history.clear()  # Qt deletes its commands before Python collects their document
