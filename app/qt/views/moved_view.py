"""What moved: the figures that a change has moved, before and after, with their differences."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QHeaderView, QTreeWidget, QTreeWidgetItem, QWidget

from app.qt.figures import NONE, money, number, quantity
from corelib.comparison import Moved

RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
MOST_ROWS = 12
"""Rows of a group that are opened at first; the rest is there to be opened."""


class MovedView(QTreeWidget):
    """Groups of figures that moved; what rose has ▲, what fell ▼, each with its sign in figures."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("What moved"))
        self.setHeaderLabels([self.tr("Figure"), self.tr("Before"), self.tr("After"), self.tr("Difference")])
        self.setAlternatingRowColors(True)
        self.setUniformRowHeights(True)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column in range(1, 4):
            self.headerItem().setTextAlignment(column, RIGHT)

    def show_moved(self, rows: Sequence[Moved], name_of: Callable[[Moved], str]) -> None:
        """Show figures that moved; `name_of` gives their labels."""
        self.clear()
        heads = {
            "inputs": self.tr("What was changed"),
            "totals": self.tr("The job"),
            "cost": self.tr("Cost by kind"),
            "time": self.tr("Time, all boxes"),
            "cores": self.tr("Cost of one core"),
            "casting_sets": self.tr("Cost of one casting set"),
        }
        for group, head in heads.items():
            own = [row for row in rows if row.group == group]
            if not own:
                continue
            top = QTreeWidgetItem(self, [head])
            top.setFirstColumnSpanned(True)
            font = top.font(0)
            font.setBold(True)
            top.setFont(0, font)
            for row in own:
                texts = [name_of(row), shown(row.before, row.unit), shown(row.after, row.unit), moved_by(row)]
                item = QTreeWidgetItem(top, texts)
                for column in range(1, 4):
                    item.setTextAlignment(column, RIGHT)
            top.setExpanded(len(own) <= MOST_ROWS)

    def rows(self) -> list[tuple[str, ...]]:
        """Return what is shown, row by row."""
        tops = [top for n in range(self.topLevelItemCount()) if (top := self.topLevelItem(n)) is not None]
        items = [
            child for top in tops for n in range(top.childCount()) if (child := top.child(n)) is not None
        ]
        return [tuple(item.text(column) for column in range(4)) for item in items]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy the chosen row."""
        item = self.currentItem()
        if event.matches(QKeySequence.StandardKey.Copy) and item is not None:
            QApplication.clipboard().setText("\t".join(item.text(column) for column in range(4)))
            return
        super().keyPressEvent(event)


def shown(value: float | str | None, unit: str) -> str:
    """Return one side of a figure as people read it."""
    if value is None:
        return NONE
    if isinstance(value, str):
        return value
    if len(unit) == 3 and unit.isupper():
        return money(value, unit)
    return quantity(value, "" if unit == "-" else unit, 4)


def moved_by(row: Moved) -> str:
    """Return by how much a figure moved, with sign and percent."""
    difference = row.difference
    if difference is None:
        return ""
    sign, mark = ("+", "▲") if difference > 0 else ("−", "▼")
    percent = row.difference_pct
    share = "" if percent is None else f" ({sign}{number(abs(percent), 1)} %)"
    return f"{mark} {sign}{shown(abs(difference), row.unit)}{share}"
