"""The page of time and cost through real events: what a change moves, prices of quantities."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.qt.pages.cost_page import CostPage
from tests.app.qt.conftest import READY_MS, MakeJob
from tests.app.qt.test_pages import enter
from tests.pace import answered_s

LEFT = Qt.MouseButton.LeftButton
LONG_S = 60.0
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(planned: MainWindow) -> CostPage:
    """Return the page of time and cost, the change and its effect on show."""
    planned.pages.setCurrentWidget(planned.cost_page)
    planned.cost_page.tabs.setCurrentIndex(1)
    return planned.cost_page


def test_a_rate_shows_at_once_what_it_moves(page: CostPage, planned: MainWindow, qtbot: QtBot) -> None:
    assert "Nothing has changed" in page.state.text()
    enter(qtbot, page, page.inputs, "rates.sand_per_kg", "2")
    qtbot.waitUntil(lambda: page.moved.topLevelItemCount() > 0, timeout=READY_MS)
    rows = {row[0]: row[1:] for row in page.moved.rows()}
    assert rows["Cost"] == ("184.20 EUR", "199.20 EUR", "▲ +15.00 EUR (+8.1 %)")
    assert page.moved.rows()[0][1:3] == ("–", "2")  # what was changed comes first
    assert "in the same packing" in page.state.text()
    assert planned.document.is_dirty
    qtbot.keyClick(planned, Qt.Key.Key_Z, CONTROL)
    qtbot.waitUntil(lambda: page.moved.topLevelItemCount() == 0, timeout=READY_MS)
    assert "Nothing has changed" in page.state.text()


def test_a_new_plan_is_held_against_the_last_one(page: CostPage, planned: MainWindow, qtbot: QtBot) -> None:
    with qtbot.waitSignal(planned.plan_worker.idle, timeout=READY_MS):
        qtbot.keyClick(planned, Qt.Key.Key_F5)
    assert "Nothing has moved" in page.state.text()


def test_castings_are_changed_as_one_named_step(page: CostPage, planned: MainWindow, qtbot: QtBot) -> None:
    enter(qtbot, page, page.inputs, "set:pair", "6")
    assert planned.document.job is not None and planned.document.job.casting_sets[0].count == 6
    assert "Castings of Pair" in planned.undo_action.text()
    qtbot.waitUntil(lambda: page.moved.topLevelItemCount() > 0, timeout=READY_MS)
    assert ("Castings of Pair", "–", "6", "") in page.moved.rows()


def test_prices_come_one_by_one_and_cross_the_core_box(page: CostPage, qtbot: QtBot) -> None:
    quote = page.quote
    page.tabs.setCurrentWidget(quote)
    quote.quantities.setFocus()
    quote.quantities.selectAll()
    qtbot.keyClicks(quote.quantities, "1,10,50")
    qtbot.keyClick(quote.quantities, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: quote.chart.isVisible(), timeout=READY_MS)
    rows = [
        [item.text(column) for column in range(5)]
        for n in range(quote.table.topLevelItemCount())
        if (item := quote.table.topLevelItem(n))
    ]
    assert rows[1] == ["10", "1", "60.00 EUR", "600.00 EUR", "540.00 – 660.00"]
    assert "From 30 sets" in quote.verdict.text()
    quote.chart.setFocus()
    qtbot.keyClick(quote.chart, Qt.Key.Key_Right)
    assert "printed" in quote.reading.text() and "core box" in quote.reading.text()
    assert quote.progress.isHidden()


def test_prices_can_be_stopped(window: MainWindow, make_job: MakeJob, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(make_job(quote_s=LONG_S))
    window.pages.setCurrentWidget(window.cost_page)
    quote = window.cost_page.quote
    window.cost_page.tabs.setCurrentWidget(quote)
    qtbot.mouseClick(quote.quote_button, LEFT)
    qtbot.waitUntil(lambda: quote.progress.value() > 0, timeout=READY_MS)
    started_s = time.perf_counter()
    qtbot.mouseClick(quote.stop_button, LEFT)
    qtbot.waitUntil(lambda: quote.quote_button.isEnabled(), timeout=READY_MS)
    assert time.perf_counter() - started_s < answered_s(LONG_S)


def test_what_is_no_quantity_is_said(page: CostPage, planned: MainWindow, qtbot: QtBot) -> None:
    page.tabs.setCurrentWidget(page.quote)
    page.quote.quantities.setText("many")
    qtbot.keyClick(page.quote.quantities, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not planned.notice.isHidden(), timeout=READY_MS)
    assert "many" in planned.notice.text
    assert page.quote.quote_button.isEnabled()


def test_the_prices_are_saved_as_data(
    page: CostPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.window().activateWindow()
    page.tabs.setCurrentWidget(page.quote)
    qtbot.mouseClick(page.quote.quote_button, LEFT)
    qtbot.waitUntil(lambda: page.quote.chart.isVisible(), timeout=READY_MS)
    path = tmp_path / "prices.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(path), ""))
    page.quote.chart.setFocus()
    qtbot.waitUntil(page.quote.chart.hasFocus, timeout=READY_MS)
    qtbot.keyClick(page.quote.chart, Qt.Key.Key_T, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    rows = path.read_text(encoding="utf-8").splitlines()
    assert rows[0].startswith("sets,printed_likely") and rows[30].split(",")[1] == "1600"


def test_the_cost_is_summed_by_kind_and_its_range_has_causes(page: CostPage, planned: MainWindow) -> None:
    plan = planned.document.plan
    assert plan is not None

    def line(code: str, kind: str, value: str) -> dict[str, object]:
        return {"code": code, "kind": kind, "value": value, "unit": "EUR", "formula": "1", "inputs": {}}

    document = json.loads(json.dumps(plan.document))
    document["lines"]["cost"] = [
        line("labour_unpack", "labour", "10.10"),
        line("sand", "sand", "5.00"),
        line("labour_finish", "labour", "20.20"),
    ]
    causes = [{"name": "rates.machine_per_h", "share": 0.52, "swing": 29.0}]
    spread = {"cost": [1.0, 2.0, 3.0], "price": [1.0, 2.0, 3.0], "evidence": "invented", "causes": causes}
    page.figures.set_plan(replace(plan, document={**document, "spread": spread}))
    tops = {top.text(0): top for n in range(20) if (top := page.figures.topLevelItem(n))}
    kinds = tops["Cost by kind"]
    rows = [(kinds.child(n).text(1), kinds.child(n).childCount()) for n in range(kinds.childCount())]
    assert rows == [("30.30 EUR", 2), ("5.00 EUR", 1)]  # a sum opens to its lines, a line to its formula
    cause = tops["What the range of the cost comes from"].child(0)
    assert cause is not None and cause.text(1) == "±14.50 EUR · 52 %"
