"""Everything by keyboard, with visible focus and a name for screen readers, on every page of the window."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QAction, QImage
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QMenu,
    QScrollBar,
    QTabBar,
    QTabWidget,
    QToolBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.qt.about import AboutDialog
from app.qt.help import HelpWindow
from app.qt.main_window import MainWindow
from app.qt.translations import speak
from app.runner import Runner
from corelib.wording import LANGUAGES
from tests.app.qt.conftest import READY_MS

INTERACTIVE = (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QTabBar,
)
MOST_STOPS = 80
ROW_PX = 14
"""Widgets whose tops differ by less stand in one row."""


def each_page(window: MainWindow) -> Iterator[str]:
    """Show each page of the window in turn, with plans to compare; yields its name."""
    window.activateWindow()
    window.compare_page.keep()
    window.compare_page.keep()
    for place in range(window.pages.count()):
        window.pages.setCurrentIndex(place)
        QApplication.processEvents()
        yield window.pages.tabText(place)


def is_part(widget: QWidget) -> bool:
    """Return whether a widget is only a part of another one, which has the name and the focus."""
    parent = widget.parentWidget()
    inner = isinstance(parent, (QComboBox, QAbstractSpinBox, QTabBar, QAbstractItemView, QLineEdit))
    is_viewport = isinstance(parent, QAbstractScrollArea) and widget is parent.viewport()
    return inner or is_viewport or isinstance(widget, QScrollBar) or widget.focusProxy() is not None


def interactive(place: QWidget) -> list[QWidget]:
    """Return what can be worked with in a place."""
    return [
        widget
        for widget in place.findChildren(QWidget)
        if widget.isVisible()
        and not is_part(widget)
        and (isinstance(widget, INTERACTIVE) or widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
        and not isinstance(widget, QTabWidget)
        and not widget.objectName().startswith("qt_")
    ]


def name_of(widget: QWidget) -> str:
    """Return what a screen reader says a widget is called."""
    face = QAccessible.queryAccessibleInterface(widget)
    spoken = face.text(QAccessible.Text.Name) if face is not None else ""
    return widget.accessibleName() or spoken


def tab_stops(window: QWidget, start: QWidget) -> list[QWidget]:
    """Return where Tab leads from a widget until it comes back."""
    start.setFocus(Qt.FocusReason.TabFocusReason)
    stops: list[QWidget] = []
    for _ in range(MOST_STOPS):
        here = QApplication.focusWidget()
        assert here is not None
        if here in stops:
            break
        stops.append(here)
        window.focusNextChild()
    return stops


def test_every_widget_to_work_with_has_a_name(planned: MainWindow) -> None:
    for page in each_page(planned):
        widgets = interactive(planned)
        assert len(widgets) > 12, page
        assert [widget for widget in widgets if not name_of(widget).strip()] == [], page


@pytest.mark.parametrize("dialog", [AboutDialog, HelpWindow])
def test_dialogs_have_names_too(dialog: type[QDialog], qtbot: QtBot) -> None:
    shown = dialog()
    qtbot.addWidget(shown)
    shown.show()
    widgets = interactive(shown)
    assert len(widgets) > 1
    assert [widget for widget in widgets if not name_of(widget).strip()] == []


def test_tab_reaches_everything_and_comes_back(planned: MainWindow) -> None:
    """But for buttons of bars whose actions stand in the menus, and tools that arrow keys change."""
    for page in each_page(planned):
        stops = tab_stops(planned, planned.pages.tabBar())
        assert len(stops) < MOST_STOPS, page
        missed = []
        for widget in interactive(planned):
            of_bar = isinstance(widget.parentWidget(), QToolBar)
            in_menus = of_bar and widget.focusPolicy() == Qt.FocusPolicy.NoFocus
            in_group = isinstance(widget, QAbstractButton) and widget.group() is not None
            if widget.isEnabled() and widget not in stops and not in_menus and not in_group:
                missed.append(widget)
        assert missed == [], page


def test_tab_goes_through_a_page_as_it_is_read(planned: MainWindow) -> None:
    """From the top down, in a row from the left."""
    for name in each_page(planned):
        page = planned.pages.currentWidget()
        assert page is not None
        stops = [
            stop
            for stop in tab_stops(planned, planned.pages.tabBar())
            if page.isAncestorOf(stop) or stop is page
        ]
        assert stops, name
        for one, other in pairwise(stops):
            here, there = (widget.mapTo(planned, QPoint(0, 0)) for widget in (one, other))
            in_row = abs(here.y() - there.y()) <= ROW_PX or _side_by_side(one, other, planned)
            assert there.x() > here.x() if in_row else there.y() > here.y(), (name, one, other)


def _side_by_side(one: QWidget, other: QWidget, window: QWidget) -> bool:
    tops = [widget.mapTo(window, QPoint(0, 0)).y() for widget in (one, other)]
    bottoms = [top + widget.height() for top, widget in zip(tops, (one, other), strict=True)]
    return max(tops) < min(bottoms)


def look(widget: QWidget) -> QImage:
    """Return what a widget shows."""
    QApplication.processEvents()
    return widget.grab().toImage()


def test_focus_can_be_seen_wherever_tab_leads(planned: MainWindow) -> None:
    for page in each_page(planned):
        unseen = []
        for stop in tab_stops(planned, planned.pages.tabBar()):
            stop.clearFocus()
            before = look(stop)
            stop.setFocus(Qt.FocusReason.TabFocusReason)
            if look(stop) == before:
                unseen.append(stop)
        assert unseen == [], page


def test_the_ring_follows_its_widget_and_keeps_out_of_the_mouses_way(
    planned: MainWindow, qtbot: QtBot
) -> None:
    planned.activateWindow()
    view = planned.desk.findings_view
    view.setFocus(Qt.FocusReason.TabFocusReason)
    ring = view.findChild(QWidget, "focus ring")
    assert ring is not None
    assert ring.size() == view.size()
    planned.resize(planned.width() + 60, planned.height())
    qtbot.waitUntil(lambda: ring.size() == view.size(), timeout=READY_MS)
    assert planned.childAt(view.mapTo(planned, QPoint(1, 1))) is not ring


def test_arrow_keys_choose_a_tool_of_the_box(planned: MainWindow, qtbot: QtBot) -> None:
    planned.activateWindow()
    buttons = planned.desk.box_tools.buttons
    buttons["look"].setFocus()
    qtbot.keyClick(buttons["look"], Qt.Key.Key_Right)
    assert buttons["move"].hasFocus()
    qtbot.keyClick(buttons["move"], Qt.Key.Key_Space)
    assert buttons["move"].isChecked()


def leaves(menu: QMenu) -> list[QAction]:
    """Return the entries of a menu and of the menus in it."""
    found: list[QAction] = []
    for action in menu.actions():
        inner = action.menu()
        found += leaves(inner) if isinstance(inner, QMenu) else [action]
    return found


def test_what_bars_offer_is_in_the_menus(planned: MainWindow) -> None:
    titles = planned.menuBar().actions()
    menus = [menu for title in titles if isinstance(menu := title.menu(), QMenu)]
    in_menus = [action for menu in menus for action in leaves(menu)]
    for bar in planned.findChildren(QToolBar):
        if bar.parentWidget() is planned:
            offered = [action for action in bar.actions() if action.text()]
            assert [action.text() for action in offered if action not in in_menus] == []


def test_no_two_shortcuts_are_alike(planned: MainWindow) -> None:
    keys = Counter(
        key.toString()
        for action in planned.findChildren(QAction)
        if action.shortcutContext() != Qt.ShortcutContext.WidgetShortcut
        for key in action.shortcuts()
        if not key.isEmpty()
    )
    assert [key for key, times in keys.items() if times > 1] == []
    assert len(keys) > 15


def letters(actions: list[QAction]) -> Counter[str]:
    """Return how often each letter opens an entry of one menu."""
    marked = (re.search(r"&([^&])", action.text()) for action in actions)
    return Counter(found.group(1).lower() for found in marked if found is not None)


@pytest.mark.parametrize("spoken", LANGUAGES)
def test_each_letter_opens_one_entry_of_a_menu(
    spoken: str, standing_runner: Runner, qapp: QApplication, qtbot: QtBot
) -> None:
    translators = speak(qapp, spoken)
    try:
        window = MainWindow(standing_runner)
        qtbot.addWidget(window)
        titles = window.menuBar().actions()
        assert len(letters(titles)) == len(titles)
        for title in titles:
            menu = title.menu()
            assert isinstance(menu, QMenu)
            twice = [letter for letter, times in letters(menu.actions()).items() if times > 1]
            assert twice == [], title.text()
    finally:
        for translator in translators:
            qapp.removeTranslator(translator)
