"""Inputs: refused while typed with the model's own sentence, in mm or inch, tables, defaults and sources."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.qt.lengths import LENGTHS
from app.qt.main_window import MainWindow
from app.qt.number_edit import NumberEdit
from app.qt.table_dialog import TableDialog
from app.qt.views.edit_tree import EditTree
from app.settings import load_preferences
from corelib.errors import InputError
from corelib.job.operating_point import overridden
from corelib.wording import error_sentence
from tests.app.qt.conftest import READY_MS, settle

APP = Path(__file__).parents[3] / "app" / "qt"
THICKNESS = "process.layer_thickness_mm"


def opened(qtbot: QtBot, tree: EditTree, key: str) -> NumberEdit | QLineEdit:
    """Open the editor of a value by its keys."""
    index = tree.index_of(key)
    assert index.isValid(), key
    parent = tree.itemFromIndex(index).parent() if tree.itemFromIndex(index) is not None else None
    if parent is not None:
        parent.setExpanded(True)
    tree.setFocus()
    tree.setCurrentIndex(index)
    qtbot.keyClick(tree, Qt.Key.Key_Return)
    editors = [child for child in tree.viewport().children() if isinstance(child, NumberEdit | QLineEdit)]
    editors[-1].selectAll()
    return editors[-1]


def closed(qtbot: QtBot, tree: EditTree, editor: NumberEdit | QLineEdit) -> None:
    """Confirm what was typed, and wait until it was taken."""
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: tree.state() != EditTree.State.EditingState, timeout=READY_MS)
    settle(qtbot)


def test_what_is_typed_is_refused_with_the_sentence_of_the_model(planned: MainWindow, qtbot: QtBot) -> None:
    page, document = planned.process_page, planned.document
    planned.pages.setCurrentWidget(page)
    editor = opened(qtbot, page.values, THICKNESS)
    qtbot.keyClicks(editor, "0.3")
    assert page.values.refusal.sentence == ""
    editor.selectAll()
    qtbot.keyClicks(editor, "99")
    with pytest.raises(InputError) as refused:
        overridden(document.profiles(), {THICKNESS: 99.0})
    assert page.values.refusal.sentence == error_sentence(refused.value, "en")
    face = QAccessible.queryAccessibleInterface(editor)
    assert "≤ 5" in face.text(QAccessible.Text.Description)
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    assert editor.isVisible()  # Enter does not take it
    assert document.history.count() == 0
    qtbot.keyClick(editor, Qt.Key.Key_Backspace)
    qtbot.keyClick(editor, Qt.Key.Key_Backspace)
    qtbot.keyClicks(editor, "0.4")
    assert page.values.refusal.sentence == ""
    closed(qtbot, page.values, editor)
    assert document.point().process.layer_thickness_mm == 0.4
    assert planned.notice.isHidden()


def test_escape_gives_a_refused_value_up(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.box_page
    planned.pages.setCurrentWidget(page)
    editor = opened(qtbot, page.rules, "gap")
    qtbot.keyClicks(editor, "5000")
    assert "1000" in page.rules.refusal.sentence
    assert editor.width() >= editor.sizeHint().width()  # all of it can be read in a narrow column
    qtbot.keyClick(editor, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: page.rules.state() != EditTree.State.EditingState, timeout=READY_MS)
    assert page.rules.refusal.sentence == ""
    assert planned.document.history.count() == 0


def test_arrow_keys_stay_where_the_model_allows(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.process_page
    planned.pages.setCurrentWidget(page)
    editor = opened(qtbot, page.values, THICKNESS)
    assert isinstance(editor, NumberEdit)
    for _ in range(9):
        qtbot.keyClick(editor, Qt.Key.Key_Up)
    assert editor.value() == 5.0
    qtbot.keyClick(editor, Qt.Key.Key_Escape)


def test_lengths_are_shown_and_taken_in_inches(planned: MainWindow, qtbot: QtBot) -> None:
    page, document = planned.box_page, planned.document
    planned.pages.setCurrentWidget(page)
    planned.choices.unit_actions["inch"].trigger()
    assert load_preferences().length_unit == "inch"
    row = page.rules.itemFromIndex(page.rules.index_of("gap"))
    assert row is not None and row.text(1) == "0.19685 in"  # 5 mm
    editor = opened(qtbot, page.rules, "gap")
    qtbot.keyClicks(editor, "0.5")
    closed(qtbot, page.rules, editor)
    assert document.job is not None and document.job.gap_mm == 12.7
    editor = opened(qtbot, page.rules, "gap")  # looking at it changes nothing
    closed(qtbot, page.rules, editor)
    assert document.history.count() == 1
    planned.choices.unit_actions["mm"].trigger()
    row = page.rules.itemFromIndex(page.rules.index_of("gap"))
    assert row is not None and row.text(1) == "12.7 mm"
    assert document.history.count() == 1  # a choice of how it is shown is no edit


def test_a_table_is_filled_in_by_keys(planned: MainWindow, qtbot: QtBot) -> None:
    page, document = planned.process_page, planned.document
    planned.pages.setCurrentWidget(page)
    values = page.values
    index = values.index_of("binder.viscosity_mpa_s")
    top = values.itemFromIndex(index)
    assert top is not None and top.parent() is not None
    top.parent().setExpanded(True)
    values.setFocus()
    values.setCurrentIndex(index)
    qtbot.keyClick(values, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bool(page.findChildren(TableDialog)), timeout=READY_MS)
    (dialog,) = page.findChildren(TableDialog)
    old = dialog.table.topLevelItemCount()
    for row, (temperature, viscosity) in enumerate((("20", "12,5"), ("40", "6"))):
        qtbot.mouseClick(dialog.add_button, Qt.MouseButton.LeftButton)
        assert not dialog.ok_button.isEnabled()
        for column, text in enumerate((temperature, viscosity)):
            editor = opened(qtbot, dialog.table, f"{old + row}:{column}")
            qtbot.keyClicks(editor, text)
            closed(qtbot, dialog.table, editor)
    assert dialog.ok_button.isEnabled(), dialog.said.text()
    editor = opened(qtbot, dialog.table, f"{old + 1}:0")
    qtbot.keyClicks(editor, "20")  # twice the same temperature
    assert "20" in dialog.table.refusal.sentence
    qtbot.keyClick(editor, Qt.Key.Key_Escape)
    qtbot.mouseClick(dialog.ok_button, Qt.MouseButton.LeftButton)
    settle(qtbot)
    taken = document.point().binder.viscosity_mpa_s
    assert taken is not None
    assert [(row.temperature_c, row.value) for row in taken][old:] == [(20.0, 12.5), (40.0, 6.0)]
    assert document.history.count() == 1
    shown = values.itemFromIndex(values.index_of("binder.viscosity_mpa_s"))
    assert shown is not None and shown.text(1) == f"{old + 2} rows" and shown.text(2) == "changed"


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("20\t12.5\n40\t6\n", [(20.0, 12.5), (40.0, 6.0)]),
        ("20\t12,5\r\n\r\n40\t6,0", [(20.0, 12.5), (40.0, 6.0)]),
        ("20\t1.234,5", None),
        ("20", None),
        ("Temperature\tViscosity\n20\t12.5", None),
        ("", []),
    ],
)
def test_rows_of_a_spreadsheet_are_pasted_all_or_none(
    planned: MainWindow, qtbot: QtBot, text: str, rows: list[tuple[float, float]] | None
) -> None:
    dialog = planned.process_page.edit_table("binder.viscosity_mpa_s")
    assert dialog is not None
    old = dialog.value or []
    QApplication.clipboard().setText(text)
    qtbot.mouseClick(dialog.paste_button, Qt.MouseButton.LeftButton)
    new = [(row["temperature_c"], row["value"]) for row in (dialog.value or [])[len(old) :]]
    assert new == (rows or [])
    assert ("can't be read" in dialog.said.text()) is (rows is None)
    dialog.reject()


def test_a_value_still_being_typed_goes_with_its_row_or_is_taken(planned: MainWindow, qtbot: QtBot) -> None:
    dialog = planned.process_page.edit_table("binder.viscosity_mpa_s")
    assert dialog is not None
    QApplication.clipboard().setText("20\t12.5\n40\t6\n60\t4")
    dialog.paste()
    rows = dialog.value
    last = len(rows) - 1
    editor = opened(qtbot, dialog.table, f"{last}:1")
    qtbot.keyClicks(editor, "3")
    qtbot.mouseClick(dialog.remove_button, Qt.MouseButton.LeftButton)
    settle(qtbot)
    assert dialog.value == rows[:last]
    editor = opened(qtbot, dialog.table, f"{last - 1}:1")
    qtbot.keyClicks(editor, "5")
    qtbot.mouseClick(dialog.ok_button, Qt.MouseButton.LeftButton)  # takes what is typed, without Enter
    settle(qtbot)
    taken = planned.document.point().binder.viscosity_mpa_s
    assert taken is not None
    assert [row.value for row in taken] == [*(row["value"] for row in rows[: last - 1]), 5.0]


def test_a_size_is_a_table_of_one_row_in_the_unit_shown(planned: MainWindow, qtbot: QtBot) -> None:
    LENGTHS.show_in("inch")
    dialog = planned.process_page.edit_table("machine.box_inner_mm")
    assert dialog is not None
    assert dialog.table.headerItem().text(0) == "x, in"
    assert dialog.add_button.isHidden() and dialog.remove_button.isHidden()
    x, y, _ = dialog.value
    editor = opened(qtbot, dialog.table, "0:2")
    qtbot.keyClicks(editor, "10")
    closed(qtbot, dialog.table, editor)
    qtbot.mouseClick(dialog.ok_button, Qt.MouseButton.LeftButton)
    settle(qtbot)
    assert planned.document.point().machine.box_inner_mm == (x, y, 254.0)


def test_default_and_source_are_told_and_taken_back_by_the_mouse(planned: MainWindow, qtbot: QtBot) -> None:
    page, document = planned.process_page, planned.document
    planned.pages.setCurrentWidget(page)
    default = document.point().process.layer_thickness_mm
    source = document.point().process.sources["layer_thickness_mm"].source
    editor = opened(qtbot, page.values, THICKNESS)
    qtbot.keyClicks(editor, "0.25")
    closed(qtbot, page.values, editor)
    index = page.values.index_of(THICKNESS)
    row = page.values.itemFromIndex(index)
    assert row is not None
    assert f"{default:g} mm" in row.toolTip(1)
    assert source in row.toolTip(1)
    page.values.setCurrentIndex(index)
    assert page.about.text() == row.toolTip(0)  # the same for whoever has no pointer
    assert page.values.reset_action.isEnabled()
    page.values.reset_action.trigger()
    settle(qtbot)
    assert document.job is not None and document.job.overrides == {}
    assert not page.values.reset_action.isEnabled()


@pytest.mark.parametrize("key", ["gap", "wall_margin_mm", "inner:2"])
def test_rules_of_the_box_tell_default_and_source(planned: MainWindow, qtbot: QtBot, key: str) -> None:
    page, document = planned.box_page, planned.document
    planned.pages.setCurrentWidget(page)
    point = document.profiles()
    assert point.machine.box_inner_mm is not None
    field, default = {
        "gap": (point.process.sources["gap_mm"], point.process.gap_mm),
        "wall_margin_mm": (point.machine.sources["wall_margin_mm"], point.machine.wall_margin_mm),
        "inner:2": (point.machine.sources["box_inner_mm"], point.machine.box_inner_mm[2]),
    }[key]
    editor = opened(qtbot, page.rules, key)
    qtbot.keyClicks(editor, "333")
    closed(qtbot, page.rules, editor)
    row = page.rules.itemFromIndex(page.rules.index_of(key))
    assert row is not None and row.text(1) == "333 mm" and row.text(2) == "the job" and row.font(1).bold()
    assert f"The profile has {default:g} mm." in row.toolTip(1)
    assert field.source in row.toolTip(1)


@pytest.mark.parametrize("key", ["spares:ring", "set:pair"])
def test_the_cores_page_judges_what_is_typed(planned: MainWindow, qtbot: QtBot, key: str) -> None:
    page = planned.cores_page
    planned.pages.setCurrentWidget(page)
    tree = page.sets if key.startswith("set") else page.cores
    editor = opened(qtbot, tree, key)
    qtbot.keyClicks(editor, "6000")
    assert "5000" in tree.refusal.sentence
    qtbot.keyClick(editor, Qt.Key.Key_Escape)
    assert planned.document.history.count() == 0


def test_the_language_is_chosen_for_the_next_start(window: MainWindow) -> None:
    window.choices.language_actions["de"].trigger()
    assert load_preferences().language == "de"
    assert "next start" in window.statusBar().currentMessage()
    window.choices.language_actions[""].trigger()
    assert load_preferences().language is None


@pytest.mark.parametrize("unit", ["furlong", None, 5])
def test_a_unit_that_is_unknown_is_not_taken_from_the_file(window: MainWindow, unit: object) -> None:
    window.choices.unit_actions["inch"].trigger()
    path = next(Path(window.jobs.recovery._folder.parent).glob("preferences.json"))
    content = json.loads(path.read_bytes())
    path.write_text(json.dumps({**content, "length_unit": unit}), encoding="utf-8")
    assert load_preferences().length_unit == "mm"


def test_no_page_takes_numbers_by_a_stock_field() -> None:
    """A stock spin box makes 125 of 12.5 in the other locale."""
    stock = re.compile(r"\bQ(?:Double)?SpinBox\b|\bQInputDialog\.get(?:Int|Double)\b")
    found = [path.name for path in APP.rglob("*.py") if stock.search(path.read_text(encoding="utf-8"))]
    assert found == ["number_edit.py"]  # where it is made one that can't
