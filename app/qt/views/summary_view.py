"""Time and cost: the plan's figures by subject, each opening to its parts, its formula and its inputs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QHeaderView, QTreeWidget, QTreeWidgetItem, QWidget

from app.qt.figures import anything, between, count, how_sure, language, money, number, quantity, words
from app.qt.shown_plan import ShownPlan
from corelib.export.figures import cost_by_kind, unit_of
from corelib.wording import label as wording_label

TOTALS = (
    "build_time_s",
    "printed_volume_mm3",
    "printed_sand_kg",
    "binder_kg",
    "binder_l",
    "bed_sand_kg",
    "additive_kg",
    "energy_kwh",
    "gross_box_kg",
)
"""The totals shown first, in their order; the number of layers and the cost are added."""

ROW_AIR = 6
MOST_CAUSES = 8
Parent = QTreeWidget | QTreeWidgetItem


class SummaryView(QTreeWidget):
    """A tree of figures; Ctrl+C copies the row that is chosen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setColumnCount(2)
        self.setHeaderLabels([self.tr("Figure"), self.tr("Value")])
        self.setAccessibleName(self.tr("Time and cost"))
        self.setUniformRowHeights(True)
        self.setAlternatingRowColors(True)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.headerItem().setTextAlignment(1, Qt.AlignmentFlag.AlignRight)

    def set_plan(self, plan: ShownPlan | None) -> None:
        """Show a plan's figures, or none."""
        self.clear()
        if plan is None:
            return
        self._add_totals(_heading(self, self.tr("The job")), plan)
        lines = plan.document.get("lines", {})
        for group, heading in (
            ("cost", self.tr("Cost by kind")),
            ("time", self.tr("Time, all boxes")),
            ("quantities", self.tr("Sand, binder and additive")),
            ("energy", self.tr("Energy")),
        ):
            if lines.get(group):
                top = _heading(self, heading)
                if group == "cost":
                    ranges = (plan.document.get("spread") or {}).get("cost_by_kind", {})
                    self._add_kinds(top, lines[group], plan.currency, ranges)
                    continue
                for line in lines[group]:
                    self._add_line(top, line, words(line["code"]), plan.currency)
        self._add_shares(plan)
        self._add_causes(plan)
        for place in range(2):
            self.expand(self.model().index(place, 0))

    def _add_totals(self, top: QTreeWidgetItem, plan: ShownPlan) -> None:
        totals = plan.totals
        _row(top, words("boxes"), count(len(plan.boxes)))
        _row(top, words("layer_count"), count(totals["layer_count"]))
        for name in TOTALS:
            if totals.get(name) is not None:
                _row(top, words(name), quantity(totals[name], unit_of(name)))
        spread = plan.document.get("spread")
        cost = money(totals["cost"], plan.currency) + how_sure(spread, "cost")
        _row(top, self.tr("Cost without margin"), cost)
        if totals.get("price") is not None:
            price = money(totals["price"], plan.currency) + how_sure(spread, "price")
            _row(top, self.tr("Price"), price)

    def _add_line(self, top: Parent, line: Mapping[str, Any], label: str, currency: str) -> QTreeWidgetItem:
        """Add a line that opens to its parts, its formula and its inputs."""
        is_money = line["unit"] == currency
        shown = money(line["value"], currency) if is_money else quantity(line["value"], line["unit"])
        item = _row(top, label, shown)
        parts = line.get("parts", [])
        for box, part in enumerate(parts, start=1):
            name = self.tr("Box {0}").format(box) if len(parts) > 1 else words(part["code"])
            self._add_line(item, part, name, currency)
        if parts:
            return item
        formula = QTreeWidgetItem(item, [f"= {line['formula']}"])
        formula.setFirstColumnSpanned(True)
        formula.setToolTip(0, line["formula"])
        for name, value in line.get("inputs", {}).items():
            row = _row(item, name, anything(value, unit_of(name)))
            row.setToolTip(0, words(name))
        return item

    def _add_kinds(
        self,
        top: QTreeWidgetItem,
        lines: Sequence[Mapping[str, Any]],
        currency: str,
        ranges: Mapping[str, Sequence[float]],
    ) -> None:
        """Add the cost by kind with its range; a kind of several lines opens to them."""
        for kind, amount, own in cost_by_kind(lines):
            if len(own) == 1:
                item = self._add_line(top, own[0], words(own[0]["code"]), currency)
                item.setText(1, item.text(1) + between(ranges.get(kind)))
                continue
            item = _row(top, words(kind), money(amount, currency) + between(ranges.get(kind)))
            for line in own:
                self._add_line(item, line, words(line["code"]), currency)

    def _add_causes(self, plan: ShownPlan) -> None:
        """Add which inputs the range of the cost comes from, the largest first."""
        causes = [cause for cause in (plan.document.get("spread") or {}).get("causes", ()) if cause["swing"]]
        if not causes:
            return
        top = _heading(self, self.tr("What the range of the cost comes from"))
        for cause in causes[:MOST_CAUSES]:
            swing = money(abs(cause["swing"]) / 2, plan.currency)
            share = number(100.0 * cause["share"], 0)
            row = _row(top, _cause_word(cause["name"]), self.tr("±{0} · {1} %").format(swing, share))
            row.setToolTip(0, cause["name"])

    def _add_shares(self, plan: ShownPlan) -> None:
        sharing = plan.document.get("sharing")
        if not sharing:
            return
        top = _heading(self, self.tr("Cost of one core"))
        for share in sharing["cores"]:
            name = plan.core_names.get(share["id"], share["id"])
            _row(top, f"{share['count']} × {name}", money(share["cost_each"], plan.currency))
        if sharing["casting_sets"]:
            top = _heading(self, self.tr("Cost of one casting set"))
            names = {entry["id"]: entry["name"] for entry in plan.document["job"].get("casting_sets", [])}
            for share in sharing["casting_sets"]:
                name = names.get(share["id"], share["id"])
                _row(top, f"{share['count']} × {name}", money(share["cost_each"], plan.currency))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy the chosen row."""
        item = self.currentItem()
        if event.matches(QKeySequence.StandardKey.Copy) and item is not None:
            QApplication.clipboard().setText(f"{item.text(0)}\t{item.text(1)}")
            return
        super().keyPressEvent(event)


def _cause_word(name: str) -> str:
    """Return the label of an input of the cost."""
    for sheet, code in (("quotation", name), ("profiles", name.rpartition(".")[2])):
        try:
            return wording_label(sheet, code, language())
        except KeyError:
            continue
    return words(name)


def _heading(tree: QTreeWidget, text: str) -> QTreeWidgetItem:
    item = QTreeWidgetItem(tree, [text])
    item.setFirstColumnSpanned(True)
    item.setSizeHint(0, QSize(0, tree.fontMetrics().height() + ROW_AIR))
    font = item.font(0)
    font.setBold(True)
    item.setFont(0, font)
    return item


def _row(parent: Parent, label: str, value: str) -> QTreeWidgetItem:
    item = QTreeWidgetItem(parent, [label, value])
    item.setTextAlignment(1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return item
