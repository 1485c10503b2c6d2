"""What is opened and closed over a day leaves nothing behind: objects of Qt, VTK and our own are counted."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QAction, QContextMenuEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.qt.about import AboutDialog
from app.qt.main_window import MainWindow
from app.qt.pages.compare_page import BOXES
from app.qt.shown_plan import read_plan, shown_finding
from corelib.job import edits
from tests.app.qt.conftest import READY_MS

FEW, MANY = 3, 12
OURS = ("app.", "corelib.", "PySide6.", "pyqtgraph.", "vtkmodules.")
Use = Callable[[MainWindow], None]


def _turn() -> None:
    QApplication.processEvents()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    QApplication.processEvents()


def _counted() -> Counter[str]:
    """Return how many objects of Qt there are, by class, and how many of Python's that matter here."""
    _turn()
    gc.collect()
    count: Counter[str] = Counter()
    for top in QApplication.topLevelWidgets():
        count.update(f"Qt {one.metaObject().className()}" for one in (top, *top.findChildren(QObject)))
    names = (f"{type(one).__module__}.{type(one).__qualname__}" for one in gc.get_objects())
    count.update(name for name in names if name.startswith(OURS))
    return count


def _escape() -> None:
    """Close the dialog or menu that is open."""
    _turn()
    open_now: QWidget | None = QApplication.activePopupWidget() or QApplication.activeModalWidget()
    if open_now is None:
        dialogs = (one for one in QApplication.topLevelWidgets() if one.isVisible() and one.parent())
        open_now = next(dialogs)
    QTest.keyClick(open_now, Qt.Key.Key_Escape)
    assert not open_now.isVisible()


def _steps(window: MainWindow) -> None:
    window.steps_action.trigger()
    _escape()


def _about(window: MainWindow) -> None:
    AboutDialog(window).open()
    _escape()


def _help(window: MainWindow) -> None:
    window.help.open_here()
    _escape()


def _lifted(window: MainWindow) -> None:
    window.desk.add_findings(
        "", [shown_finding({"severity": "stop", "code": "casting.magnesium", "message": "Magnesium."})]
    )
    view = window.desk.findings_view
    row = next(n for n, one in enumerate(view.findings.shown) if one.code == "casting.magnesium")
    view.setCurrentIndex(view.findings.index(row, 0))
    window.stops.lift_action.trigger()
    _escape()


def _table(window: MainWindow) -> None:
    assert window.process_page.edit_table("binder.viscosity_mpa_s") is not None
    _escape()


def _context_menus(window: MainWindow) -> None:
    for view in (window.layers_page.view, window.layers_page.charts, window.layers_page.nozzle_map):
        place = QPoint(20, 20)
        event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, place, view.mapToGlobal(place))
        QApplication.sendEvent(view.viewport(), event)
        _escape()


def _pages(window: MainWindow) -> None:
    for number in range(window.pages.count()):
        window.pages.setCurrentIndex(number)
        QApplication.processEvents()
    window.pages.setCurrentIndex(0)


def _recent(window: MainWindow) -> None:
    window.jobs.recent_menu.aboutToShow.emit()


def _plans(window: MainWindow) -> None:
    plan = window.document.plan
    assert plan is not None
    window.document.set_plan(read_plan(plan.files), window.document.job)
    window.document.show_layer(window.document.layer + 1)
    window.document.show_layer(window.document.layer - 1)


def _comparison(window: MainWindow) -> None:
    page = window.compare_page
    window.pages.setCurrentWidget(page)
    page.keep()
    page.keep()
    page.tabs.setCurrentIndex(BOXES)
    _turn()
    assert len(page.boxes.views) == 2
    page.forget()
    assert not page.boxes.views
    window.pages.setCurrentIndex(0)


def _edits_and_undo(window: MainWindow) -> None:
    for count in (3, 4, 5):
        job = window.document.job
        assert job is not None
        window.document.edit("count", edits.with_set_count(job, "pair", count))
    window.document.history.setIndex(0)


USES = {
    use.__name__[1:]: use
    for use in (
        *(_steps, _about, _help, _lifted, _table, _context_menus, _pages, _recent, _plans, _comparison),
        _edits_and_undo,
    )
}


@pytest.mark.qt_log_ignore("This plugin does not support", extend=True)  # popups, off screen
@pytest.mark.parametrize("use", USES.values(), ids=USES)
def test_it_leaves_nothing_behind(planned: MainWindow, qtbot: QtBot, use: Use) -> None:
    qtbot.waitUntil(lambda: not planned.plan_worker.is_busy, timeout=READY_MS)
    for _ in range(FEW):
        use(planned)
    before = _counted()
    for _ in range(MANY):
        use(planned)
    grown = {name: more for name, more in (_counted() - before).items() if more >= MANY // 2}
    assert not grown


def test_what_piles_up_is_seen(planned: MainWindow) -> None:
    before = _counted()
    for _ in range(MANY):
        QAction(planned)
    assert (_counted() - before)["Qt QAction"] == MANY
