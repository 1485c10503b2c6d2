"""The bench: what is done with the box - nesting, moving by hand, measuring, unpacking, checking a core.

It binds the views to the workers and the document; the window only places its actions.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QAction, QKeySequence

from app.qt.box_nesting import BoxNesting
from app.qt.box_places import finding_marks
from app.qt.box_unpacking import BoxUnpacking
from app.qt.desk import Desk
from app.qt.document import Document
from app.qt.figures import length
from app.qt.hand_placing import GapReading, HandPlacing
from app.qt.measured import MeasuredPlaces
from app.qt.pages.box_page import BoxPage
from app.qt.place_worker import PlaceWorker
from app.qt.views.box_marks import BoxMarks, Span
from app.qt.views.box_tools import PLAYER
from app.qt.worker import PlanWorker
from app.runner import Runner

PLAN_AFTER_MS = 1500


class BoxBench(QObject):
    """Everything that is done with the box; `plan_asked` when a changed packing wants its figures."""

    plan_asked = Signal()
    told = Signal(str)
    refused = Signal(object)

    def __init__(
        self,
        document: Document,
        desk: Desk,
        page: BoxPage,
        plan_worker: PlanWorker,
        runner: Runner,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._desk, self._page = document, desk, page
        self._plan_worker, self._runner = plan_worker, runner
        self.place_worker = PlaceWorker(runner, self)
        self.hand = HandPlacing(document, self.place_worker, self)
        self.nesting = BoxNesting(document, desk, page.nest_strip, plan_worker, self)
        self.unpacking = BoxUnpacking(document, desk, self)
        self.measured = MeasuredPlaces(document, runner, self)
        self._reading: GapReading | None = None
        self._finding = -1
        self._tool = "look"
        self._plan_soon = QTimer(self)
        self._plan_soon.setSingleShot(True)
        self._plan_soon.setInterval(PLAN_AFTER_MS)
        self._plan_soon.timeout.connect(self._ask_for_plan)
        self._make_actions()
        self._connect()

    def _make_actions(self) -> None:
        self.nest_action = self._action(self.tr("&Nest"), "F6", self.nesting.start)
        tools = {
            "move": self._action(self.tr("&Move cores by hand"), "Ctrl+M", lambda: self._toggle("move")),
            "measure": self._action(self.tr("M&easure"), "Ctrl+D", lambda: self._toggle("measure")),
            PLAYER: self._action(self.tr("Play the &unpacking"), "Ctrl+U", lambda: self._toggle(PLAYER)),
        }
        self.turn_action = self._action(self.tr("&Turn the core"), "Ctrl+R", lambda: self.hand.turn(1))
        self.lock_action = self._action(self.tr("&Lock or free the core"), "Ctrl+L", self.hand.lock)
        self.box_action = self._action(self.tr("Move the core to the next &box"), "Ctrl+B", self._to_next_box)
        self.tool_actions = tools

    @property
    def actions(self) -> list[QAction]:
        """Return what a menu offers."""
        return [
            self.nest_action,
            *self.tool_actions.values(),
            self.turn_action,
            self.box_action,
            self.lock_action,
        ]

    def _action(self, text: str, key: str, do: Callable[[], object]) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda: do())
        return action

    def _connect(self) -> None:
        view, tools, hand = self._desk.box_view, self._desk.box_tools, self.hand
        view.tool_changed.connect(self.take_tool)
        view.drag_began.connect(hand.begin_drag)
        view.core_dragged.connect(hand.drag)
        view.step_asked.connect(hand.step)
        view.turn_asked.connect(hand.turn)
        view.lock_asked.connect(hand.lock)
        view.surface_picked.connect(self.measured.pick)
        tools.tool_asked.connect(self.take_tool)
        tools.turn_asked.connect(hand.turn)
        tools.lay_asked.connect(hand.lay)
        tools.lock_asked.connect(hand.lock)
        tools.box_asked.connect(hand.to_box)
        hand.box_gone.connect(self._plan_soon.start)
        tools.step_changed.connect(self._set_step)
        hand.read.connect(self._show_reading)
        hand.shown_at.connect(view.show_core_at)
        hand.told.connect(self.told)
        hand.refused.connect(self.refused)
        self.measured.changed.connect(self._show_measured)
        self.unpacking.way_changed.connect(self._show_marks)
        self.nesting.refused.connect(self.refused)
        self.nesting.told.connect(self.told)
        self.nesting.accepted.connect(self.plan_asked)
        document = self._document
        document.job_changed.connect(self._want_plan)
        document.plan_changed.connect(self._show_all)
        document.box_changed.connect(self._show_all)
        document.job_changed.connect(self._show_marks)
        document.copy_chosen.connect(lambda _: self._show_marks())
        self._desk.finding_shown.connect(self._show_finding)
        self._plan_worker.core_checked.connect(lambda _: self._show_marks())

    # --- tools --------------------------------------------------------------------------------------

    def take_tool(self, tool: str) -> None:
        """Take up a tool: look, move, measure, or the player of the unpacking."""
        if tool == self._tool:
            return
        self._tool = tool
        view = self._desk.box_view
        before = view.blockSignals(True)  # the view tells only what its own keys ask for
        view.set_tool(tool if tool in ("move", "measure") else "look")  # type: ignore[arg-type]
        view.blockSignals(before)
        self._desk.box_tools.show_tool(tool)
        self.measured.forget()
        self._reading = None
        if tool == "move":
            self._runner.warm_placing()
        self.hand.open(tool == "move")
        self.unpacking.open(tool == PLAYER)
        if tool in ("move", "measure"):
            view.setFocus()
        self._show_marks()

    def _toggle(self, tool: str) -> None:
        self.take_tool("look" if self._tool == tool else tool)

    def _set_step(self, step_mm: float) -> None:
        self.hand.step_mm = step_mm

    # --- showing ------------------------------------------------------------------------------------

    def _show_boxes(self) -> None:
        plan = self._document.plan
        self._desk.box_tools.show_boxes(0 if plan is None else len(plan.boxes), self._document.box_index)

    def _to_next_box(self) -> None:
        plan = self._document.plan
        if plan is not None and len(plan.boxes) > 1:
            self.hand.to_box((self._document.box_index + 1) % len(plan.boxes))

    def _show_all(self) -> None:
        self._show_boxes()
        self.measured.forget()
        self._finding = -1
        self._show_marks()

    def _show_reading(self, reading: GapReading | None) -> None:
        self._reading = reading
        plan = self._document.plan
        self._desk.box_tools.show_reading(reading, plan.core_names if plan is not None else {})
        self._show_marks()

    def _show_measured(self) -> None:
        self._desk.box_tools.say(self.measured.words())
        self._show_marks()

    def _show_finding(self, number_: int) -> None:
        self._finding = number_
        self._show_marks()

    def _show_marks(self) -> None:
        placements, document = self._document.placements, self._document
        findings = self._desk.findings_view.findings.shown
        self._desk.box_view.show_marks(
            BoxMarks(
                findings=finding_marks(
                    findings, document.box_index, placements, document.copy, self._finding
                ),
                spans=(*self._gap_spans(), *self.measured.spans()),
                points_mm=self.measured.lone_points(),
                locks_mm=self._desk.lock_places() if self._tool != PLAYER else (),
                way=self.unpacking.way() if self._tool == PLAYER else None,
            )
        )

    def _gap_spans(self) -> list[Span]:
        if self._tool != "move" or self._reading is None:
            return []
        gap = self._reading.gap
        near = [one for one in (gap, self._reading.side) if one is not None and one["ends_mm"] is not None]
        if gap is not None and gap["ends_mm"] is not None:
            near = [gap]
        return [_span(one) for one in near]

    # --- planning on --------------------------------------------------------------------------------

    def _want_plan(self) -> None:
        """Plan a packing that was changed by hand as soon as nothing moves any more."""
        document = self._document
        is_changed = document.plan is not None and not document.plan_is_current
        if is_changed and document.packing is not None:
            self._plan_soon.start()
        else:
            self._plan_soon.stop()

    def _ask_for_plan(self) -> None:
        if self._plan_worker.is_busy:
            self._plan_soon.start()
        else:
            self.plan_asked.emit()

    def end(self) -> None:
        """End the threads."""
        self._plan_soon.stop()
        self.place_worker.end()
        self.measured.end()


def _span(gap: dict[str, Any]) -> Span:
    start, end = (np.array(place, dtype=np.float64) for place in gap["ends_mm"])
    return Span(start, end, length(gap["distance_mm"], 2))
