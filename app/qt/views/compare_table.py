"""Key figures of several plans side by side, with differences to the first and the best marked."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QApplication, QHeaderView, QTreeWidget, QTreeWidgetItem, QWidget

from app.qt.figures import NONE, money, number, quantity, words
from app.qt.views.wrapped_header import WrappedHeader
from corelib.comparison import Comparison, FigureRow

SAME_PCT = 0.05


class CompareTable(QTreeWidget):
    """A row a figure, a column a plan; Ctrl+C copies the row."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Plans side by side"))
        self.setHeader(WrappedHeader(self))
        self.setRootIsDecorated(False)
        self.setAlternatingRowColors(True)

    def show_comparison(self, comparison: Comparison | None) -> None:
        """Show a comparison, or nothing."""
        self.clear()
        if comparison is None:
            self.setHeaderLabels([self.tr("Figure")])
            return
        self.setHeaderLabels([self.tr("Figure"), *comparison.names])
        for row in comparison.rows:
            texts = [_value(value, row.unit) for value in row.values]
            item = QTreeWidgetItem(self, [self._label(row.code), *texts])
            for place in range(len(texts)):
                self._dress(item, row, place)
        self.header().setStretchLastSection(False)
        self._share_width()
        for column, name in enumerate(comparison.names, start=1):
            self.headerItem().setToolTip(column, name)

    def _share_width(self) -> None:
        """Share the width among the plans; where their figures need more, the table scrolls sideways."""
        own, modes = self.header(), QHeaderView.ResizeMode
        needed = sum(self.sizeHintForColumn(column) for column in range(self.columnCount()))
        mode = modes.Stretch if needed <= self.viewport().width() else modes.ResizeToContents
        own.setSectionResizeMode(mode)
        own.setSectionResizeMode(0, modes.ResizeToContents)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the new width."""
        super().resizeEvent(event)
        if self.topLevelItemCount():
            self._share_width()

    def _label(self, code: str) -> str:
        own = {
            "height_mm": self.tr("Height of the beds"),
            "fill_pct": self.tr("Core in the bed"),
            "cost_a_set": self.tr("Cost of a casting set"),
            "handling_h": self.tr("Unpacking and finishing"),
            "heavy_pieces": self.tr("Pieces over the hand limit"),
            "stops": self.tr("Findings: stop"),
            "checks": self.tr("Findings: check"),
        }
        return own.get(code) or words(code)

    def _dress(self, item: QTreeWidgetItem, row: FigureRow, place: int) -> None:
        column = place + 1
        item.setTextAlignment(column, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        percent = row.differences_pct[place]
        text = item.text(column)
        if place > 0 and percent is not None and abs(percent) >= SAME_PCT:
            text += f" ({'+' if percent > 0 else '−'}{number(abs(percent), 1)} %)"
        if place in row.best:
            font = item.font(column)
            font.setBold(True)
            item.setFont(column, font)
            text = self.tr("best: {0}").format(text)
        item.setText(column, text)
        item.setToolTip(column, text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy the chosen row."""
        item = self.currentItem()
        if event.matches(QKeySequence.StandardKey.Copy) and item is not None:
            texts = [item.text(column) for column in range(self.columnCount())]
            QApplication.clipboard().setText("\t".join(texts))
            return
        super().keyPressEvent(event)


def _value(value: float | None, unit: str) -> str:
    if value is None:
        return NONE
    if len(unit) == 3 and unit.isupper():
        return money(value, unit)
    return quantity(value, "" if unit == "-" else unit)
