"""At twice the size a window has room for half as much: no word on it may be cut, in either language."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QLocale, QPoint
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QTabBar, QTabWidget, QWidget
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.qt.translations import speak
from app.runner import Runner
from tests.app.qt.conftest import READY_MS, MakeJob

WIDE, HIGH = 960, 540
"""A screen of 1920 × 1080 at 200 %."""


@pytest.fixture(params=["en_GB", "de_DE"])
def small(
    request: pytest.FixtureRequest,
    standing_runner: Runner,
    make_job: MakeJob,
    qapp: QApplication,
    qtbot: QtBot,
) -> Iterator[MainWindow]:
    """Return a planned window of that size in a language."""
    QLocale.setDefault(QLocale(request.param))
    translators = speak(qapp, request.param[:2])
    window = MainWindow(standing_runner)
    qtbot.addWidget(window, before_close_func=lambda shown: shown.document.history.setClean())
    window.resize(WIDE, HIGH)
    window.show()
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(make_job(boxes=2))
    window.compare_page.keep()
    window.compare_page.keep()
    yield window
    window.document.history.setClean()
    window.close()
    for translator in translators:
        qapp.removeTranslator(translator)


def cut_words(place: QWidget) -> list[str]:
    """Return the words of buttons, labels and tabs for which their widget is too narrow or too low."""
    found = []
    for widget in place.findChildren(QWidget):
        if not widget.isVisible():
            continue
        if isinstance(widget, QTabBar):
            last = widget.tabRect(widget.count() - 1)
            if last.right() > widget.width():
                found.append(f"tabs to {widget.tabText(widget.count() - 1)}")
        elif isinstance(widget, QAbstractButton) or (isinstance(widget, QLabel) and not widget.wordWrap()):
            text = widget.text().replace("&", "")
            lines = text.split("\n")
            wide = max(widget.fontMetrics().horizontalAdvance(line) for line in lines)
            high = len(lines) * widget.fontMetrics().height()
            if text and "<" not in text and (wide > widget.width() or high > widget.height() + 1):
                found.append(text)
    return found


def test_no_word_is_cut_on_any_page(small: MainWindow) -> None:
    for place in range(small.pages.count()):
        small.pages.setCurrentIndex(place)
        page = small.pages.currentWidget()
        assert page is not None
        inner = page.findChild(QTabWidget)
        for part in range(inner.count() if inner is not None else 1):
            if inner is not None:
                inner.setCurrentIndex(part)
            QApplication.processEvents()
            assert cut_words(small) == [], (place, part)


def test_the_window_keeps_its_size_on_every_page(small: MainWindow) -> None:
    for place in range(small.pages.count()):
        small.pages.setCurrentIndex(place)
        QApplication.processEvents()
        assert small.width() == WIDE, place
        assert small.height() == HIGH, place
        desk = small.desk.mapTo(small, QPoint(0, 0)).x() + small.desk.width()
        assert desk < WIDE
