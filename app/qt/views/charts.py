"""What all charts share: colours of the palette, a reading line, keys, and saving as picture or data."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QWidget

from app.qt.palette import accent, faint_ink, ground, ink, readable
from app.qt.views.chart_export import PictureActions, Table
from app.qt.views.local_axis import local_axes

Series = NDArray[np.float64]
STROKES = (
    Qt.PenStyle.SolidLine,
    Qt.PenStyle.DashLine,
    Qt.PenStyle.DotLine,
    Qt.PenStyle.DashDotLine,
    Qt.PenStyle.DashDotDotLine,
    Qt.PenStyle.SolidLine,
)
"""Strokes of curves in one chart: they are told apart without their colours."""


class Chart(pg.GraphicsLayoutWidget):
    """Plots under one another with one x axis; `read` tells the x that pointer or arrow keys read at.

    Wheel zooms along x, drag moves, double click or Home shows everything.
    """

    read = Signal(float)

    def __init__(
        self, name: str, subject: str, table: Callable[[], Table], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setToolTip(
            self.tr(
                "Wheel: zoom. Drag: move. Arrow keys: read. Double click or Home: all. Menu key: save as "
                "picture or data."
            )
        )
        self.plots: list[pg.PlotItem] = []
        self._lines: list[pg.InfiniteLine] = []
        self._dressed: list[tuple[pg.PlotDataItem, QColor, Qt.PenStyle]] = []
        self.pictures = PictureActions(self, subject, table)

    def add_plot(self, label: str, x_label: str = "") -> pg.PlotItem:
        """Add a plot under the last one."""
        plot = self.addPlot(row=len(self.plots), col=0, axisItems=local_axes())
        plot.setMenuEnabled(False)
        plot.hideButtons()
        plot.setMouseEnabled(x=True, y=False)
        for side in ("left", "bottom"):
            plot.getAxis(side).enableAutoSIPrefix(False)
        plot.getAxis("left").setWidth(64)
        plot.setLabel("left", label)
        if x_label:
            plot.setLabel("bottom", x_label)
        if self.plots:
            plot.setXLink(self.plots[0])
        line = pg.InfiniteLine(angle=90, movable=False)
        line.setVisible(False)
        plot.addItem(line, ignoreBounds=True)
        self.plots.append(plot)
        self._lines.append(line)
        self._take_palette()
        return plot

    def add_curve(
        self, plot: pg.PlotItem, x: Series, y: Series, colour: QColor, place: int = 0, **more: object
    ) -> pg.PlotDataItem:
        """Add a curve; `place` chooses its stroke."""
        curve = plot.plot(x, y, **more)
        self._dressed.append((curve, colour, STROKES[place % len(STROKES)]))
        self._dress(*self._dressed[-1])
        return curve

    def forget(self) -> None:
        """Take all curves away."""
        self._dressed.clear()
        for plot, line in zip(self.plots, self._lines, strict=True):
            plot.clear()
            if plot.legend is not None:
                plot.legend.clear()
            plot.addItem(line, ignoreBounds=True)
            line.setVisible(False)

    def show_all(self) -> None:
        """Show all of the curves."""
        for plot in self.plots:
            plot.enableAutoRange()

    def stand_at(self, x: float) -> None:
        """Draw the reading line at x."""
        for line in self._lines:
            line.setPos(x)
            line.setVisible(True)

    @property
    def stands_at(self) -> float | None:
        """Where the reading line is, None while there is none."""
        lines = [line for line in self._lines if line.isVisible()]
        return float(lines[0].value()) if lines else None

    def step(self, x: float, steps: int) -> float:
        """Return the x that lies some steps beside another: here a fiftieth of what is in view."""
        low, high = self.plots[0].getViewBox().viewRange()[0]
        return min(max(x + 0.02 * steps * (high - low), low), high)

    # --- mouse and keys -----------------------------------------------------------------------------

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Read at the pointer."""
        super().mouseMoveEvent(event)
        if self.plots and not event.buttons():
            scene = self.mapToScene(event.position().toPoint())
            self._read(self.plots[0].getViewBox().mapSceneToView(QPointF(scene)).x())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show everything."""
        self.show_all()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Read and zoom by keys; other keys go on."""
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_PageUp: 10, Qt.Key.Key_PageDown: -10}
        zooms = {Qt.Key.Key_Plus: 0.8, Qt.Key.Key_Equal: 0.8, Qt.Key.Key_Minus: 1.25}
        key = Qt.Key(event.key())
        if not self.plots:
            event.ignore()
        elif key in steps:
            low, high = self.plots[0].getViewBox().viewRange()[0]
            at = self.stands_at
            self._read(self.step(0.5 * (low + high) if at is None else at, steps[key]))
        elif key in zooms:
            self.plots[0].getViewBox().scaleBy(x=zooms[key], center=self._centre())
        elif key == Qt.Key.Key_Home:
            self.show_all()
        else:
            event.ignore()

    def _centre(self) -> tuple[float, float] | None:
        return None if self.stands_at is None else (self.stands_at, 0.0)

    def _read(self, x: float) -> None:
        self.stand_at(x)
        self.read.emit(x)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Offer the chart as a file."""
        self.pictures.pop_up(event.globalPos())

    # --- colours ------------------------------------------------------------------------------------

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Draw the focus frame."""
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Drop the focus frame."""
        super().focusOutEvent(event)
        self.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the chart and the focus frame."""
        super().paintEvent(event)
        if self.hasFocus():
            painter = QPainter(self.viewport())
            painter.setPen(QPen(accent(self.palette()), 2))
            painter.drawRect(self.viewport().rect().adjusted(1, 1, -1, -1))
            painter.end()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_dressed"):
            self._take_palette()

    def _dress(self, curve: pg.PlotDataItem, colour: QColor, stroke: Qt.PenStyle) -> None:
        curve.setPen(pg.mkPen(readable(colour, self.palette()), width=1, style=stroke))

    def _take_palette(self) -> None:
        palette = self.palette()
        self.setBackground(ground(palette))
        for plot in self.plots:
            for side in ("left", "bottom"):
                plot.getAxis(side).setPen(pg.mkPen(faint_ink(palette)))
                plot.getAxis(side).setTextPen(pg.mkPen(ink(palette)))
            if plot.legend is not None:
                plot.legend.setLabelTextColor(ink(palette))
        for line in self._lines:
            line.setPen(pg.mkPen(accent(palette), width=2))
        for dressed in self._dressed:
            self._dress(*dressed)


def steps_of(edges: Series, values: Series) -> tuple[Series, Series]:
    """Return a curve that holds each value from one edge to the next; there is one edge more than values."""
    return np.repeat(edges, 2)[1:-1], np.repeat(values, 2)


def table_of(heads: Sequence[str], columns: Sequence[Sequence[object]]) -> Table:
    """Return columns as a table."""
    return heads, list(zip(*columns, strict=True))
