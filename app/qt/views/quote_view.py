"""Price against quantity: what one casting set costs in each quantity, and the crossing with a core box."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QSplitter,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.qt.figures import count, language, money, number, quantity
from app.qt.palette import BLUE, ORANGE, ink, mixed
from app.qt.views.chart_export import Table
from app.qt.views.charts import Chart
from corelib.units import S_PER_H
from corelib.wording import label as wording_label

QUANTITIES = "1, 5, 10, 50, 100"
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
Document = Mapping[str, Any]
CURVES = ("printed", "conventional")
TICKS = [
    (float(np.log10(factor * 10.0**decade)), f"{factor * 10**decade:g}")
    for decade in range(7)
    for factor in (1, 2, 5)
]
"""Places of round numbers on axes in powers of ten."""


class PriceChart(Chart):
    """The price of one set over the number of sets, as bands from P10 to P90, on a logarithmic axis."""

    told = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Price against quantity"), self.tr("price"), self.table, parent)
        self._sheet: Document | None = None
        self.plot = self.add_plot(self.tr("price of a set"), self.tr("casting sets"))
        self.plot.addLegend(offset=(-8, 8))  # prices fall: there is room at the top right
        self._take_palette()
        for side in ("left", "bottom"):
            self.plot.getAxis(side).setTicks([TICKS])
        self.read.connect(self._tell)

    def show_sheet(self, sheet: Document | None) -> None:
        """Show a cost sheet's prices, or nothing."""
        self._sheet = sheet
        self.forget()
        if sheet is None:
            return
        self.plot.setLabel("left", self.tr("price of a set, {0}").format(sheet["currency"]))
        sets = np.array([float(entry["sets"]) for entry in sheet["quantities"]])
        firm = np.array([float(entry["unit_price"]) for entry in sheet["quantities"]])
        names = {"printed": self.tr("printed"), "conventional": self._other_way(sheet)}
        colours = {"printed": BLUE, "conventional": ORANGE}
        for place, way in enumerate(CURVES if sheet["break_even"] else ()):
            curve = [np.log10(values) for values in self._curve(sheet, way)]
            lines = [self.plot.plot(curve[0], curve[column], pen=pg.mkPen(None)) for column in (2, 3)]
            band = pg.FillBetweenItem(*lines, brush=_faint(colours[way], self.palette().base().color()))
            self.plot.addItem(band)
            self.add_curve(self.plot, curve[0], curve[1], colours[way], place, name=names[way])
        self.add_curve(
            self.plot,
            np.log10(sets),
            np.log10(firm),
            BLUE,
            2,
            symbol="o",
            symbolSize=7,
            symbolBrush=ink(self.palette()),
            symbolPen=pg.mkPen(ink(self.palette())),
            name=self.tr("offered"),
        )
        self._mark_crossing(sheet["break_even"])
        self.show_all()

    def _mark_crossing(self, found: Document | None) -> None:
        """Draw the range in which the two ways cross, and its likely place."""
        if not found or found["verdict"] != "range":
            return
        ends = [float(np.log10(found[end])) for end in ("low", "high")]
        region = pg.LinearRegionItem(ends, movable=False, brush=_faint(ink(self.palette()), None))
        self.plot.addItem(region)
        if found["likely"] is None:
            return
        line = pg.InfiniteLine(
            float(np.log10(found["likely"])),
            pen=pg.mkPen(ink(self.palette()), style=Qt.PenStyle.DashLine),
            label=self.tr("{0} sets").format(count(found["likely"])),
            labelOpts={"color": ink(self.palette()), "position": 0.5, "anchors": [(1, 0.5), (1, 0.5)]},
        )
        self.plot.addItem(line)

    def _other_way(self, sheet: Document) -> str:
        terms = sheet.get("terms") or {}
        return str((terms.get("conventional") or {}).get("name") or self.tr("core box"))

    def _curve(self, sheet: Document, way: str) -> tuple[np.ndarray, ...]:
        """Return quantities, and the likely price of one set with its P10 and P90."""
        points = sheet["break_even"]["curves"]
        sets = np.array([float(point["sets"]) for point in points])
        likely = np.array([point[f"{way}_likely"] for point in points])
        low, _, high = np.array([point[way] for point in points]).T
        return sets, likely / sets, low / sets, high / sets

    def _tell(self, x: float) -> None:
        sheet = self._sheet
        if sheet is None:
            return
        sets = max(1, round(10.0**x))
        parts = [self.tr("{0} sets").format(count(sets))]
        names = {"printed": self.tr("printed"), "conventional": self._other_way(sheet)}
        for way in CURVES if sheet["break_even"] else ():
            at, likely, low, high = self._curve(sheet, way)
            if at[0] <= sets <= at[-1]:
                middle, below, above = (float(np.interp(sets, at, values)) for values in (likely, low, high))
                text = f"{money(middle, sheet['currency'])} ({number(below, 2)} – {number(above, 2)})"
                parts.append(f"{names[way]} {text}")
        nearest = min(sheet["quantities"], key=lambda entry: abs(np.log(entry["sets"] / sets)))
        offered = money(nearest["unit_price"], sheet["currency"])
        parts.append(self.tr("offered for {0}: {1}").format(count(nearest["sets"]), offered))
        self.told.emit(" · ".join(parts))

    def table(self) -> Table:
        """Return the curves as data: both ways' total prices where there are two, else the offered prices."""
        sheet = self._sheet
        if sheet is None:
            return ["sets"], []
        if not sheet["break_even"]:
            rows = [
                (entry["sets"], entry["unit_price"], entry["total_price"]) for entry in sheet["quantities"]
            ]
            return ["sets", f"unit_price_{sheet['currency']}", f"total_price_{sheet['currency']}"], rows
        heads = ["sets"] + [f"{way}_{part}" for way in CURVES for part in ("likely", "p10", "p50", "p90")]
        points = sheet["break_even"]["curves"]
        return heads, [
            (point["sets"], *(v for way in CURVES for v in (point[f"{way}_likely"], *point[way])))
            for point in points
        ]

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_sheet"):
            self.show_sheet(self._sheet)


def _faint(colour: Any, ground: Any) -> Any:
    faint = pg.mkColor(colour if ground is None else mixed(colour, ground, 0.2))
    faint.setAlpha(40)
    return faint


class QuoteView(QWidget):
    """Quantities to enter, a table and a chart; `asked` takes the quantities as text, `stop_asked` stops."""

    asked = Signal(str)
    stop_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.quantities = QLineEdit(QUANTITIES)
        self.quantities.setAccessibleName(self.tr("Quantities of casting sets"))
        self.quantities.setToolTip(self.tr("Numbers of casting sets with commas between; Enter reckons."))
        self.quote_button = QPushButton(self.tr("Reckon prices"))
        self.stop_button = QPushButton(self.tr("Stop"))
        self.stop_button.setAccessibleName(self.tr("Stop reckoning prices"))
        self.progress = QProgressBar()
        self.progress.setRange(0, 1000)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName(self.tr("Progress of the prices"))
        self.table = self._make_table()
        self.chart = PriceChart()
        self.verdict, self.reading = QLabel(), QLabel()
        for text in (self.verdict, self.reading):
            text.setWordWrap(True)
            text.setTextFormat(Qt.TextFormat.PlainText)
        self.reading.setMinimumHeight(2 * self.reading.fontMetrics().lineSpacing() + 2)
        self._currency = ""
        self._arrange()
        self.quote_button.clicked.connect(self._ask)
        self.quantities.returnPressed.connect(self._ask)
        self.stop_button.clicked.connect(self.stop_asked)
        self.chart.told.connect(self.reading.setText)
        self.set_busy(False)
        self.show_sheet(None)

    def _make_table(self) -> QTreeWidget:
        table = QTreeWidget()
        table.setAccessibleName(self.tr("Prices by quantity"))
        table.setRootIsDecorated(False)
        table.setAlternatingRowColors(True)
        table.setHeaderLabels(
            [
                self.tr("Sets"),
                self.tr("Boxes"),
                self.tr("Price of a set"),
                self.tr("Total price"),
                self.tr("Range of the total"),
                self.tr("Lead time"),
            ]
        )
        table.header().setStretchLastSection(False)
        table.header().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        for column in range(6):
            table.headerItem().setTextAlignment(column, RIGHT)
        return table

    def _arrange(self) -> None:
        row = QHBoxLayout()
        label = QLabel(self.tr("Casting sets"))
        label.setBuddy(self.quantities)
        for widget in (label, self.quantities, self.quote_button, self.stop_button):
            row.addWidget(widget)
        row.setStretchFactor(self.quantities, 1)
        halves = QSplitter(Qt.Orientation.Vertical)
        halves.addWidget(self.table)
        halves.addWidget(self.chart)
        halves.setSizes([160, 320])
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 0)
        column.setSpacing(2)
        column.addLayout(row)
        column.addWidget(self.progress)
        column.addWidget(self.verdict)
        column.addWidget(halves, 1)
        column.addWidget(self.reading)

    def _ask(self) -> None:
        self.asked.emit(self.quantities.text())

    # --- what is shown ------------------------------------------------------------------------------

    def set_busy(self, is_busy: bool) -> None:
        """Show whether prices are being reckoned."""
        self.progress.setVisible(is_busy)
        self.stop_button.setEnabled(is_busy)
        self.quote_button.setEnabled(not is_busy)

    def begin(self, currency: str) -> None:
        """Empty the table for new prices."""
        self._currency = currency
        self.show_sheet(None)
        self.progress.setValue(0)
        self.set_busy(True)

    def show_progress(self, share: float) -> None:
        """Show how far it is."""
        self.progress.setValue(round(1000 * share))

    def show_price(self, found: Document) -> None:
        """Show one quantity's price as soon as it is known; a first one is of a quick packing."""
        row = self._row(str(found["sets"]))
        price = money(found["price"], self._currency)
        about = self.tr("about {0}").format(price) if found["stage"] == "first" else price
        low_high = f"{number(found['low'], 2)} – {number(found['high'], 2)}"
        self._fill(row, [count(found["sets"]), count(found["boxes"]), "", about, low_high, ""])

    def show_sheet(self, sheet: Document | None) -> None:
        """Show a finished cost sheet, or none."""
        self.chart.show_sheet(sheet)
        self.chart.setVisible(sheet is not None)
        self.reading.setText("")
        if sheet is None:
            self.table.clear()
            self.verdict.setText(self.tr("Each quantity is packed and reckoned by itself."))
            return
        currency = sheet["currency"]
        for entry in sheet["quantities"]:
            low, _, high = entry["spread"]["price"]
            late = float(entry["lead_time_days_late"])
            texts = [
                count(entry["sets"]),
                count(entry["boxes"]),
                money(entry["unit_price"], currency),
                money(entry["total_price"], currency),
                f"{number(low, 2)} – {number(high, 2)}",
                self.tr("{0} days").format(number(late, 1)),
            ]
            row = self._row(str(entry["sets"]))
            self._fill(row, texts)
            built = quantity(float(entry["build_time_s"]) / S_PER_H, "h")
            row.setToolTip(5, self.tr("build time {0}").format(built))
        self.verdict.setText(self._crossing(sheet["break_even"]))

    def _crossing(self, found: Document | None) -> str:
        if found is None:
            return self.tr("The job states no core box to compare with.")
        names = {
            "range": "crossing",
            "printing throughout": "crossing_printing",
            "core box throughout": "crossing_tools",
        }
        facts = {name: found[name] for name in ("likely", "low", "high")}
        return wording_label("quotation", names.get(found["verdict"], "crossing_open"), language(), **facts)

    def _row(self, sets: str) -> QTreeWidgetItem:
        for n in range(self.table.topLevelItemCount()):
            item = self.table.topLevelItem(n)
            if item is not None and item.data(0, int(Qt.ItemDataRole.UserRole)) == sets:
                return item
        item = QTreeWidgetItem(self.table)
        item.setData(0, int(Qt.ItemDataRole.UserRole), sets)
        return item

    def _fill(self, row: QTreeWidgetItem, texts: list[str]) -> None:
        for column, text in enumerate(texts):
            row.setText(column, text)
            row.setTextAlignment(column, RIGHT)
