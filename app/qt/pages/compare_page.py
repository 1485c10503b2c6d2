"""Compare: two to six plans side by side, their figures, what each is better at, and their curves."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from app.qt.document import Document
from app.qt.figures import NONE, language, money, number, quantity, words
from app.qt.pages.page import Page
from app.qt.palette import CORE_COLOURS, faint_ink, ground, ink, readable
from corelib.comparison import FEWEST, MOST, Comparison, FigureRow, compare_plans
from corelib.errors import CorestowError, InputError
from corelib.files import read_document
from corelib.units import MM2_PER_CM2
from corelib.wording import wording

STROKES = (
    Qt.PenStyle.SolidLine,
    Qt.PenStyle.DashLine,
    Qt.PenStyle.DotLine,
    Qt.PenStyle.DashDotLine,
    Qt.PenStyle.DashDotDotLine,
    Qt.PenStyle.SolidLine,
)
SAME_PCT = 0.05
PLAN_KIND, PLAN_SCHEMA_VERSION = "corestow.plan", 1
"""As the plan's own module has them, which loads too much for a window that only reads plans."""


class ComparePage(Page):
    """Plans that were kept or read from files; differences are to the first."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self._plans: list[tuple[str, dict[str, Any]]] = []
        self.keep_button = QPushButton(self.tr("Keep this plan"))
        self.keep_button.setToolTip(self.tr("Lay the plan shown beside the others."))
        self.keep_button.clicked.connect(self.keep)
        self.add_button = QPushButton(self.tr("Add a plan file…"))
        self.add_button.clicked.connect(self.choose)
        self.clear_button = QPushButton(self.tr("Clear"))
        self.clear_button.setAccessibleName(self.tr("Clear the comparison"))
        self.clear_button.clicked.connect(self.forget)
        row = QHBoxLayout()
        for button in (self.keep_button, self.add_button, self.clear_button):
            row.addWidget(button)
        row.addStretch(1)
        self.column.addLayout(row)
        self.table = QTreeWidget()
        self.table.setAccessibleName(self.tr("Plans side by side"))
        self.table.setRootIsDecorated(False)
        self.table.setAlternatingRowColors(True)
        self.column.addWidget(self.table, 4)
        self.statements = QLabel()
        self.statements.setWordWrap(True)
        self.statements.setTextFormat(Qt.TextFormat.PlainText)
        self.statements.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.column.addWidget(self.statements)
        self.curves = pg.PlotWidget()
        self._make_curves()
        self.column.addWidget(self.curves, 3)
        document.plan_changed.connect(self._show_buttons)
        self.show_plans()

    def _make_curves(self) -> None:
        item = self.curves.getPlotItem()
        item.setMenuEnabled(False)
        item.hideButtons()
        self.curves.setAccessibleName(self.tr("Printed area over height of all plans"))
        for side, text in (("left", self.tr("printed area, cm²")), ("bottom", self.tr("height, mm"))):
            item.getAxis(side).enableAutoSIPrefix(False)
            item.getAxis(side).setLabel(text)
        self._legend = item.addLegend(offset=(-8, 8))

    def keep(self) -> None:
        """Lay the plan shown beside the others."""
        plan = self.document.plan
        if plan is not None:
            self._add(plan.job_name, plan.document)

    def choose(self) -> None:
        """Ask for a plan file and lay it beside the others."""
        name, _ = QFileDialog.getOpenFileName(
            self, self.tr("Add a plan"), "", self.tr("Plans (plan.json);;All files (*)")
        )
        if not name:
            return
        path = Path(name)
        try:
            document = read_document(path, PLAN_KIND, PLAN_SCHEMA_VERSION)
        except CorestowError as error:
            self.refused.emit(error)
            return
        self._add(path.resolve().parent.name.removesuffix(".plan") or path.stem, document)

    def _add(self, name: str, document: dict[str, Any]) -> None:
        if len(self._plans) >= MOST:
            facts = {"count": len(self._plans) + 1, "fewest": FEWEST, "most": MOST}
            self.refused.emit(InputError("comparison.wrong_count", **facts))
            return
        names = [known for known, _ in self._plans]
        title, again = name, 2
        while title in names:
            title, again = f"{name} ({again})", again + 1
        self._plans.append((title, document))
        self.show_plans()

    def forget(self) -> None:
        """Take all plans away."""
        self._plans.clear()
        self.show_plans()

    def show_plans(self) -> None:
        """Show what the plans have in common and what sets them apart."""
        self.table.clear()
        self.curves.clear()
        self._legend.clear()
        self._show_buttons()
        self.curves.setVisible(len(self._plans) >= FEWEST)
        if len(self._plans) < FEWEST:
            self.table.setHeaderLabels([self.tr("Figure"), *(name for name, _ in self._plans)])
            self.statements.setText(
                self.tr("Keep a plan, change the job, plan again and keep that too; or add plan files.")
            )
            return
        names, documents = zip(*self._plans, strict=True)
        try:
            comparison = compare_plans(names, documents)
        except CorestowError as error:
            self.refused.emit(error)
            return
        self._show_figures(comparison)
        self._show_statements(comparison)
        self._show_curves(comparison)

    def _show_buttons(self) -> None:
        self.keep_button.setEnabled(self.document.plan is not None)
        self.clear_button.setEnabled(bool(self._plans))

    def _show_figures(self, comparison: Comparison) -> None:
        self.table.setHeaderLabels([self.tr("Figure"), *comparison.names])
        for row in comparison.rows:
            texts = [_value(value, row.unit) for value in row.values]
            item = QTreeWidgetItem(self.table, [self._label(row.code), *texts])
            for place in range(len(texts)):
                self._dress(item, row, place)
        header = self.table.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        for column, name in enumerate(comparison.names, start=1):
            self.table.headerItem().setToolTip(column, name)

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

    def _show_statements(self, comparison: Comparison) -> None:
        sentences = []
        for statement in comparison.statements:
            said = wording(statement.code, statement.facts, language())
            sentences.append(" ".join(part for part in (said.message, said.next) if part))
        self.statements.setText("\n".join(sentences))

    def _show_curves(self, comparison: Comparison) -> None:
        palette = self.palette()
        self.curves.setBackground(ground(palette))
        for side in ("left", "bottom"):
            axis = self.curves.getPlotItem().getAxis(side)
            axis.setPen(pg.mkPen(faint_ink(palette)))
            axis.setTextPen(pg.mkPen(ink(palette)))
        self._legend.setLabelTextColor(ink(palette))
        for place, (name, curve) in enumerate(zip(comparison.names, comparison.curves, strict=True)):
            colour = readable(CORE_COLOURS[place], palette)
            pen = pg.mkPen(colour, width=1, style=STROKES[place])
            self.curves.plot(curve.height_mm, curve.printed_area_mm2 / MM2_PER_CM2, pen=pen, name=name)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_legend"):
            self.curves.setBackground(ground(self.palette()))
            self.show_plans()


def _value(value: float | None, unit: str) -> str:
    if value is None:
        return NONE
    if len(unit) == 3 and unit.isupper():
        return money(value, unit)
    return quantity(value, "" if unit == "-" else unit)
