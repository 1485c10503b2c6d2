"""Time and cost: the plan's totals and the lines behind them, each opening to its parts and inputs."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHeaderView, QTreeWidget, QTreeWidgetItem, QWidget

from app.qt.figures import count, money, quantity
from app.qt.shown_plan import ShownPlan
from corelib.units import L_PER_MM3, show_duration


class SummaryView(QTreeWidget):
    """A tree of figures by subject."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setColumnCount(2)
        self.setHeaderLabels([self.tr("Figure"), self.tr("Value")])
        self.setAccessibleName(self.tr("Time and cost"))
        self.setAlternatingRowColors(True)
        self.setUniformRowHeights(True)
        self.setRootIsDecorated(True)
        self.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.headerItem().setTextAlignment(1, Qt.AlignmentFlag.AlignRight)

    def set_plan(self, plan: ShownPlan | None) -> None:
        """Show a plan's figures, or none."""
        self.clear()
        if plan is None:
            return
        for heading, rows in self._groups(plan):
            group = _row(self, heading, "")
            font = group.font(0)
            font.setBold(True)
            group.setFont(0, font)
            group.setFirstColumnSpanned(True)
            for label, value in rows:
                _row(group, label, value)
            group.setExpanded(True)

    def _groups(self, plan: ShownPlan) -> list[tuple[str, list[tuple[str, str]]]]:
        totals = plan.totals
        return [
            (self.tr("Build"), self._build(plan, totals)),
            (self.tr("Materials"), self._materials(totals)),
            (
                self.tr("Time and energy"),
                [
                    (self.tr("build time, all boxes"), show_duration(totals["build_time_s"])),
                    (self.tr("energy"), quantity(totals["energy_kwh"], "kWh")),
                ],
            ),
            (self.tr("Cost"), [(self.tr("cost of the job"), money(totals["cost"], plan.currency))]),
        ]

    def _build(self, plan: ShownPlan, totals: dict[str, Any]) -> list[tuple[str, str]]:
        rows = [
            (self.tr("boxes"), count(len(plan.boxes))),
            (self.tr("layers, all boxes"), count(totals["layer_count"])),
            (self.tr("printed volume"), quantity(totals["printed_volume_mm3"] * L_PER_MM3, "L")),
        ]
        rows += [
            (self.tr("height of box {0}").format(i + 1), quantity(box.height_mm, "mm"))
            for i, box in enumerate(plan.boxes)
        ]
        return rows

    def _materials(self, totals: dict[str, Any]) -> list[tuple[str, str]]:
        labels = (
            ("bed_sand_kg", self.tr("sand in the bed"), "kg"),
            ("printed_sand_kg", self.tr("sand in the cores"), "kg"),
            ("additive_kg", self.tr("additive"), "kg"),
            ("binder_kg", self.tr("binder by mass"), "kg"),
            ("binder_l", self.tr("binder by volume"), "L"),
            ("gross_box_kg", self.tr("heaviest filled box"), "kg"),
        )
        return [(label, quantity(totals[key], unit)) for key, label, unit in labels if key in totals]


def _row(parent: QTreeWidget | QTreeWidgetItem, label: str, value: str) -> QTreeWidgetItem:
    item = QTreeWidgetItem(parent, [label, value])
    item.setTextAlignment(1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return item
