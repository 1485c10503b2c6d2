"""Magnesium in the window: a stop that only a name and a reason lift, and that undo brings back."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.qt.shown_plan import shown_finding
from app.qt.stops_bench import LiftDialog

STOP = {"severity": "stop", "code": "casting.magnesium", "message": "Magnesium.", "facts": {}}


def show(window: MainWindow, **more: object) -> None:
    """Put one finding more under the plan's findings and choose it."""
    window.desk.add_findings("", [shown_finding({**STOP, **more})])
    view = window.desk.findings_view
    row = next(n for n, one in enumerate(view.findings.shown) if one.code == "casting.magnesium")
    view.setCurrentIndex(view.findings.index(row, 0))


def dialog() -> LiftDialog:
    """Return the dialog that is open."""
    return next(
        one for one in QApplication.topLevelWidgets() if isinstance(one, LiftDialog) and one.isVisible()
    )


def test_the_alloy_is_stated_on_the_cores_page_and_undone(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.cores_page
    planned.pages.setCurrentWidget(page)
    assert page.alloy.currentData() is None
    qtbot.keyClick(page.alloy, Qt.Key.Key_Down)
    qtbot.keyClick(page.alloy, Qt.Key.Key_Down)
    assert planned.document.job is not None and planned.document.job.casting.alloy == "magnesium"
    planned.undo_action.trigger()
    planned.undo_action.trigger()
    assert planned.document.job.casting.alloy is None and page.alloy.currentData() is None


def test_a_stop_is_lifted_by_name_and_reason_and_put_in_force_again(
    planned: MainWindow, qtbot: QtBot
) -> None:
    stops, document = planned.stops, planned.document
    assert not stops.lift_action.isEnabled()
    show(planned)
    assert stops.lift_action.isEnabled() and not stops.restore_action.isEnabled()
    stops.lift_action.trigger()
    asked = dialog()
    assert not asked.lift_button.isEnabled()
    qtbot.keyClicks(asked.name, "A. Weber")
    assert not asked.lift_button.isEnabled()
    qtbot.keyClicks(asked.reason, "Inhibitor, trial 12")
    qtbot.mouseClick(asked.lift_button, Qt.MouseButton.LeftButton)
    assert document.job is not None
    (lifted,) = document.job.lifted_stops
    assert (lifted.code, lifted.by, lifted.reason) == ("casting.magnesium", "A. Weber", "Inhibitor, trial 12")
    show(planned, severity="check", lifted={"by": "A. Weber", "reason": "Inhibitor, trial 12", "date": None})
    assert stops.restore_action.isEnabled() and not stops.lift_action.isEnabled()
    stops.restore_action.trigger()
    assert document.job.lifted_stops == ()
    planned.undo_action.trigger()
    assert document.job.lifted_stops == (lifted,)


def test_a_mesh_without_an_honest_figure_is_refused_in_a_sentence(planned: MainWindow, qtbot: QtBot) -> None:
    show(planned)
    finding = shown_finding({**STOP, "code": "mesh.no_volume", "core": "ring"})
    planned.stops._lift(finding, "A. Weber", "we know it")
    assert "can't be lifted" in planned.notice.text
    assert planned.document.job is not None and planned.document.job.lifted_stops == ()
