"""The key figures of the plan in one row, always in sight."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QWidget

from app.qt.figures import NONE, count, how_sure, money, quantity
from app.qt.shown_plan import ShownPlan
from corelib.units import show_duration

BIGGER = 1.25


class KeyFigures(QFrame):
    """Captions with their figures; copies of the text can be taken with mouse or keyboard."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        grid = QGridLayout(self)
        grid.setContentsMargins(4, 2, 4, 2)
        grid.setHorizontalSpacing(18)
        grid.setVerticalSpacing(0)
        captions = (
            self.tr("Boxes"),
            self.tr("Cores"),
            self.tr("Layers"),
            self.tr("Build time"),
            self.tr("Binder"),
            self.tr("Bed sand"),
            self.tr("Cost"),
        )
        self._values = []
        for column, caption in enumerate(captions):
            value = QLabel(NONE)
            font = value.font()
            font.setPointSizeF(font.pointSizeF() * BIGGER)
            font.setBold(True)
            value.setFont(font)
            value.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            value.setAccessibleName(caption)
            grid.addWidget(QLabel(caption), 0, column)
            grid.addWidget(value, 1, column)
            self._values.append(value)
        grid.setColumnStretch(len(captions), 1)
        self._age = QLabel(self.tr("The job has changed since this plan: plan again (F5)."))
        self._age.setWordWrap(True)
        self._age.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(self._age, 0, len(captions), 2, 1)
        self._age.hide()

    @property
    def says_out_of_date(self) -> bool:
        """True while the figures are marked as older than the job."""
        return not self._age.isHidden()

    def set_current(self, is_current: bool) -> None:
        """Mark figures that are older than the job: in words, and in fainter ink."""
        self._age.setVisible(not is_current)
        for value in self._values:
            value.setEnabled(is_current)

    def set_plan(self, plan: ShownPlan | None) -> None:
        """Show a plan's figures, or dashes."""
        shown = [NONE] * len(self._values) if plan is None else _figures(plan)
        for label, text in zip(self._values, shown, strict=True):
            label.setText(text)
            label.setAccessibleDescription(text)


def _figures(plan: ShownPlan) -> list[str]:
    totals = plan.totals
    return [
        count(len(plan.boxes)),
        count(sum(len(box.placements) for box in plan.boxes)),
        count(totals["layer_count"]),
        show_duration(totals["build_time_s"]),
        quantity(totals["binder_kg"], "kg"),
        quantity(totals["bed_sand_kg"], "kg"),
        money(totals["cost"], plan.currency) + how_sure(plan.document.get("spread"), "cost"),
    ]
