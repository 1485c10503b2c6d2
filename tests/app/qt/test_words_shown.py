"""Words of the window: lengths in the unit chosen, numbers of the locale, hints where nothing is yet."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale
from pytestqt.qtbot import QtBot

from app.qt.compared_plan import ComparedPlan
from app.qt.lengths import LENGTHS
from app.qt.main_window import MainWindow
from app.qt.shown_plan import ShownPlan, read_plan
from app.qt.unpacking import Moment, Unpacking
from app.qt.views.compare_boxes import CompareBoxes
from app.qt.views.compare_table import CompareTable
from app.qt.views.height_rule import HeightRule
from app.qt.views.local_axis import LocalAxis
from app.qt.views.nest_strip import NestStrip
from app.qt.views.summary_view import SummaryView
from app.qt.views.unpacking_player import UnpackingPlayer
from corelib.comparison import compare_plans
from tests.app.qt.conftest import READY_MS


@pytest.fixture
def in_inches() -> Iterator[None]:
    """Show lengths in inches, afterwards in mm again."""
    LENGTHS.show_in("inch")
    yield
    LENGTHS.show_in("mm")


@pytest.fixture
def german() -> Iterator[None]:
    """Write as German does, afterwards as before."""
    before = QLocale()
    QLocale.setDefault(QLocale("de_DE"))
    yield
    QLocale.setDefault(before)


def shown(planned: MainWindow) -> ShownPlan:
    """Return the plan on show."""
    assert planned.document.plan is not None
    return planned.document.plan


def test_the_strips_follow_the_unit_of_length(planned: MainWindow, qtbot: QtBot) -> None:
    strip, player = NestStrip(), UnpackingPlayer()
    qtbot.addWidget(strip)
    qtbot.addWidget(player)
    strip.show_boxes([{"cores": 3, "height_mm": 254.0, "fill_pct": 20.0, "least_height_mm": 127.0}])
    falls, drawn = Moment(0, 150.0, 90.0), Moment(0, 90.0, 90.0, core=0)
    player.show_unpacking(Unpacking((falls, drawn), 1, ()), ("Ring 1",), "")
    assert "254.0 mm high" in strip.figures.text() and " mm, " in player.text.text()
    LENGTHS.show_in("inch")
    try:
        assert "10.000 in high" in strip.figures.text() and "lower than 5.000 in" in strip.figures.text()
        assert " mm" not in player.text.text() and " in, " in player.text.text()
        player.step(1)
        assert " mm" not in player.text.text() and " in" in player.text.text()
        assert planned.desk.layer_heading.text().endswith(" in above the floor")
    finally:
        LENGTHS.show_in("mm")


def test_the_height_rule_writes_numbers_as_the_locale(german: None, qtbot: QtBot) -> None:
    rule = HeightRule()
    qtbot.addWidget(rule)
    for side in ("left", "bottom"):
        axis = rule.getPlotItem().getAxis(side)
        assert isinstance(axis, LocalAxis) and axis.tickStrings([0.5], 1.0, 0.5) == ["0,5"]


def test_idle_times_to_come_are_announced_and_the_hint_goes(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.layers_page
    planned.pages.setCurrentWidget(page)
    hints = page.charts.hint, page.nozzle_map.hint
    assert all("are being followed" in hint.text() for hint in hints)
    page.tabs.setCurrentIndex(1)
    qtbot.waitUntil(lambda: not any(hint.text() for hint in hints), timeout=READY_MS)
    assert page.charts.hint.isHidden() and page.nozzle_map.hint.isHidden()
    planned.document.plan_changed.emit()
    page.say_failed()
    assert all("could not be followed" in hint.text() for hint in hints)
    place = page.charts.hint.geometry()
    assert place.width() > 100 and page.charts.viewport().rect().contains(place)


def test_an_empty_window_says_what_the_charts_wait_for(window: MainWindow) -> None:
    assert window.layers_page.nozzle_map.hint.text().startswith("No plan yet")


def test_what_rides_along_is_called_as_the_language_does(planned: MainWindow, german: None) -> None:
    plan = shown(planned)
    document = plan.document["cores"][0]
    own = {**document, "id": "witness-bar", "name": "Witness bar", "rides_along": True}
    plan.document["cores"].append(own)
    try:
        plan.files.plan.write_text(json.dumps(plan.document), encoding="utf-8")
        names = read_plan(plan.files).core_names
    finally:
        plan.document["cores"].pop()
    assert names["witness-bar"] == "Prüfstab" and names[document["id"]] == document["name"]


def test_titles_of_compared_plans_are_read_in_full(planned: MainWindow, qtbot: QtBot) -> None:
    table = CompareTable()
    qtbot.addWidget(table)
    table.resize(420, 300)
    table.show()
    name = "Pump housing LW-210, prototype cores, laid out anew"
    document = shown(planned).document
    table.show_comparison(compare_plans([name, name + " (2)"], [document, document]))
    header = table.header()
    qtbot.waitUntil(lambda: header.height() > 2 * header.fontMetrics().height())
    for column in (1, 2):
        room = header.sectionSize(column)
        assert room >= header.sectionSizeFromContents(column).width()
        assert header.height() >= header.sectionSizeFromContents(column).height()


def test_cores_without_a_mesh_are_told_of(planned: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    boxes = CompareBoxes()
    qtbot.addWidget(boxes)
    plan = shown(planned)
    bare = replace(plan, looks={})
    boxes.show_plans([ComparedPlan("whole", "", plan), ComparedPlan("bare", "", bare)])
    assert not boxes.notice.isHidden() and "holds no meshes" in boxes.notice.text()
    boxes.show_plans([ComparedPlan("whole", "", plan), ComparedPlan("again", "", plan)])
    assert boxes.notice.isHidden()
    boxes.close_scenes()


def test_a_kind_of_cost_shows_its_range(planned: MainWindow, qtbot: QtBot) -> None:
    plan = shown(planned)
    line = {"unit": plan.currency, "formula": "a", "inputs": {"a": 1.0}}
    costs = [
        {**line, "code": code, "kind": kind, "value": value}
        for code, kind, value in (
            ("machine", "machine", "12.00"),
            ("labour_unpack", "labour", "3.00"),
            ("labour_finish", "labour", "4.00"),
            ("oven", "oven", "5.00"),
        )
    ]
    ranges = {"machine": [10.5, 12.0, 14.5], "labour": [6.25, 7.0, 8.5]}
    document = {**plan.document, "lines": {"cost": costs}, "spread": None}
    view = SummaryView()
    qtbot.addWidget(view)
    for spread in (None, {"cost": [1.0, 2.0, 3.0], "price": [1.0, 2.0, 3.0], "evidence": "guess"}):
        document["spread"] = spread and {**spread, "cost_by_kind": ranges}
        view.set_plan(replace(plan, document=document))
        kinds = view.topLevelItem(1)
        shown_texts = [kinds.child(n).text(1) for n in range(kinds.childCount())]
        ends = ("  (10.5 – 14.5)", "  (6.25 – 8.50)", "") if spread else ("", "", "")
        values = ("12.00", "7.00", "5.00")
        expected = [f"{value} {plan.currency}{end}" for value, end in zip(values, ends, strict=True)]
        assert shown_texts == expected
