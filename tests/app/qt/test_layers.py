"""The layers page through real events: readouts, zoom to pixels, charts, the nozzle map, files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QLocale, QPoint, QPointF, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.qt import shown_layer
from app.qt.main_window import MainWindow
from app.qt.pages.layers_page import LayersPage, nozzles_in
from app.qt.views.layer_view import LINES, LayerView
from corelib.layers import nozzle_states
from corelib.usecases import looking
from tests.app import invented_look
from tests.app.qt.conftest import READY_MS, settle

LEFT = Qt.MouseButton.LeftButton
SHIFT_CTRL = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def page(planned: MainWindow, qtbot: QtBot) -> LayersPage:
    """Return the layers page with the layer's outlines to print on show."""
    planned.pages.setCurrentWidget(planned.layers_page)
    qtbot.waitUntil(lambda: planned.layers_page.view.has_printed, timeout=READY_MS)
    return planned.layers_page


def point_at(view: LayerView, x_mm: float, y_mm: float, qtbot: QtBot) -> None:
    """Move the mouse to a place of the box."""
    scene = view.getPlotItem().getViewBox().mapViewToScene(QPointF(x_mm, y_mm))
    qtbot.mouseMove(view.viewport(), view.mapFromScene(scene))


def test_the_place_under_the_pointer_is_read(page: LayersPage, planned: MainWindow, qtbot: QtBot) -> None:
    planned.document.show_layer(8)
    qtbot.waitUntil(lambda: page.view.has_printed, timeout=READY_MS)
    point_at(page.view, 200.0, 50.0, qtbot)
    assert "inside Invented bar" in page.layer_reading.text()
    point_at(page.view, 280.0, 180.0, qtbot)
    assert page.layer_reading.text().endswith("outside")
    assert page.layer_reading.text().startswith("x 2") and " mm · y 1" in page.layer_reading.text()


def test_pixels_are_drawn_on_demand_down_to_single_ones(page: LayersPage, qtbot: QtBot) -> None:
    assert page.view.pixels is None
    qtbot.mouseClick(page.bar.widgetForAction(page.parts["pixels"]), LEFT)
    qtbot.mouseClick(page.bar.widgetForAction(page.parts["nominal"]), LEFT)
    qtbot.mouseClick(page.bar.widgetForAction(page.parts["printed"]), LEFT)
    qtbot.waitUntil(lambda: page.view.pixels is not None, timeout=READY_MS)
    view = page.view
    pitch = invented_look.PITCH_MM
    box = view.getPlotItem().getViewBox()
    box.setRange(xRange=(150.0, 153.0), yRange=(80.0, 83.0), padding=0.0)
    settle(qtbot)
    image = view.grab().toImage()
    # columns are on and off in turn: one pixel of 0.5 mm is wide enough to be seen alone
    shades = []
    for column in range(300, 306):
        scene = box.mapViewToScene(QPointF((column + 0.5) * pitch, 81.25))
        at = view.mapFromScene(scene)
        shades.append(image.pixelColor(at.x(), at.y()).lightness())
    on, off = shades[0::2], shades[1::2]
    assert max(on) < min(off) - 40
    point_at(view, 150.25, 81.25, qtbot)
    assert "pixel 300, 162: on · nozzle 40" in page.layer_reading.text()
    point_at(view, 150.75, 81.25, qtbot)
    assert "pixel 301, 162: off" in page.layer_reading.text()


def test_keys_read_the_middle(page: LayersPage, qtbot: QtBot) -> None:
    page.view.setFocus()
    qtbot.keyClick(page.view, Qt.Key.Key_Home)
    assert page.layer_reading.text().startswith("x 150.00 mm · y 100.00 mm")
    for _ in range(60):
        qtbot.keyClick(page.view, Qt.Key.Key_Plus)
    (low, high), _ = page.view.getPlotItem().getViewBox().viewRange()
    assert 0.5 < high - low < 2.5  # some single pixels, and no nearer


def test_dead_nozzles_are_entered_and_read(page: LayersPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(2)
    page.dead_nozzles.setFocus()
    qtbot.keyClicks(page.dead_nozzles, "40, 60-61")
    qtbot.keyClick(page.dead_nozzles, Qt.Key.Key_Return)
    page.tabs.setCurrentIndex(0)
    qtbot.waitUntil(lambda: page.view.pixels is not None, timeout=READY_MS)
    point_at(page.view, 150.25, 81.25, qtbot)
    assert "nozzle 40, dead" in page.layer_reading.text()
    assert not page.view._dead_rows.path().isEmpty()
    page.tabs.setCurrentIndex(2)
    page.dead_nozzles.clear()
    qtbot.keyClicks(page.dead_nozzles, "forty")
    qtbot.keyClick(page.dead_nozzles, Qt.Key.Key_Return)
    assert "forty" in page.nozzle_reading.text()


@pytest.mark.parametrize(
    ("text", "found"),
    [("", set()), ("3", {3}), (" 1, 4-6;9 ", {1, 4, 5, 6, 9}), ("6-4", None), ("a", None), ("1--2", None)],
)
def test_nozzles_in_a_text(text: str, found: set[int] | None) -> None:
    assert nozzles_in(text) == found


def test_charts_are_read_and_lead_to_a_layer(page: LayersPage, planned: MainWindow, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(1)
    qtbot.waitUntil(lambda: not page.wants_nozzles, timeout=READY_MS)
    page.charts.setFocus()
    qtbot.keyClick(page.charts, Qt.Key.Key_Right)
    before = page.charts.stands_at
    qtbot.keyClick(page.charts, Qt.Key.Key_Right)
    assert page.charts.stands_at == pytest.approx((before or 0.0) + 2.0)  # one layer of 2 mm
    assert "longest idle before a drop 30" in page.chart_reading.text()
    for _ in range(50):
        qtbot.keyClick(page.charts, Qt.Key.Key_PageUp)
    assert "Layer 43 ·" in page.chart_reading.text()
    assert "1 nozzles past the open time" in page.chart_reading.text()
    qtbot.keyClick(page.charts, Qt.Key.Key_Return)
    assert planned.document.layer == 42


def test_the_nozzle_map_is_read_in_words(page: LayersPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(2)
    qtbot.waitUntil(lambda: not page.wants_nozzles, timeout=READY_MS)
    page.nozzle_map.setFocus()
    for _ in range(25):
        qtbot.keyClick(page.nozzle_map, Qt.Key.Key_Right)
    assert page.nozzle_reading.text().startswith("Nozzle 25 · layer 10 · ")
    assert page.nozzle_reading.text().endswith("prints · idle for 30.0 s")
    for _ in range(4):
        qtbot.keyClick(page.nozzle_map, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert "prints past its open time · idle for 1 min" in page.nozzle_reading.text()
    qtbot.keyClick(page.nozzle_map, Qt.Key.Key_Left)
    assert page.nozzle_reading.text().endswith("not used")


def test_pictures_and_data_are_saved_by_key(
    page: LayersPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def save(view: QWidget, key: Qt.Key, name: str) -> Path:
        path = tmp_path / name
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(path), ""))
        view.setFocus()
        qtbot.waitUntil(view.hasFocus, timeout=READY_MS)
        qtbot.keyClick(view, key, SHIFT_CTRL)
        return path

    page.window().activateWindow()
    assert not QImage(str(save(page.view, Qt.Key.Key_G, "layer.png"))).isNull()
    page.tabs.setCurrentIndex(1)
    qtbot.waitUntil(lambda: not page.wants_nozzles, timeout=READY_MS)
    svg = save(page.charts, Qt.Key.Key_G, "charts.svg").read_text(encoding="utf-8")
    assert svg.count("<path") + svg.count("<polyline") >= 3
    rows = save(page.charts, Qt.Key.Key_T, "charts.csv").read_text(encoding="utf-8").splitlines()
    assert rows[0].startswith("layer,z_mm,printed_area_mm2,layer_time_s,longest_idle_s")
    assert len(rows) == 44 and rows[-1].startswith("43,84,")
    page.tabs.setCurrentIndex(2)
    table = np.loadtxt(save(page.nozzle_map, Qt.Key.Key_T, "map.csv"), delimiter=",", skiprows=1)
    assert table.shape == (invented_look.NOZZLES, 4) and table[25].tolist() == [25, 43, 1, 70]


def test_the_menu_key_offers_files(page: LayersPage, qtbot: QtBot) -> None:
    assert len(page.charts.pictures.actions) == 2
    assert {action.text() for action in page.charts.actions()} >= {"Save &picture…", "Save &data…"}


def test_lines_are_told_apart_without_colours() -> None:
    assert len(set(LINES.values())) == len(LINES)


def test_names_are_those_of_the_child() -> None:
    assert shown_layer.COVERAGE_PIXELS == looking.COVERAGE_PIXELS
    for state in ("NEVER", "RESTS", "DRIES", "PRINTS", "LATE"):
        assert getattr(shown_layer, state) == getattr(nozzle_states, state)


def test_a_drag_is_followed_by_the_last_layer_only(
    page: LayersPage, planned: MainWindow, qtbot: QtBot
) -> None:
    rule = planned.desk.height_rule.viewport()
    qtbot.mouseClick(page.bar.widgetForAction(page.parts["pixels"]), LEFT)
    qtbot.mousePress(rule, LEFT, pos=QPoint(60, rule.height() - 60))
    for y in range(rule.height() - 60, 120, -6):
        qtbot.mouseMove(rule, QPoint(60, y))
    qtbot.mouseRelease(rule, LEFT, pos=QPoint(60, 120))
    qtbot.waitUntil(lambda: page.view.has_printed and page.view.pixels is not None, timeout=READY_MS)
    assert page.view._layer == planned.document.layer


def test_axes_have_the_decimal_sign_of_the_locale(page: LayersPage) -> None:
    axis = page.view.getPlotItem().getAxis("left")
    assert axis.tickStrings([0.5, 1.0], 1.0, 0.5) == ["0.5", "1.0"]
    QLocale.setDefault(QLocale("de_DE"))
    assert axis.tickStrings([0.5, 1.0], 1.0, 0.5) == ["0,5", "1,0"]
