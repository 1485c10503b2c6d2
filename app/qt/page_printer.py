"""Sends pictures of pages to a printer, a band of a page in each turn of the event loop."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QObject, QRectF, QTimer, Signal
from PySide6.QtGui import QImage, QPainter
from PySide6.QtPrintSupport import QPrinter

BAND_PX = 500
SEAM_PX = 1
"""Rows that a band shares with the next one, so that no hair line is left between them."""


class PagePrinter(QObject):
    """Prints one document after the other; `printed` tells how many pages were sent."""

    printed = Signal(int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._painter: QPainter | None = None
        self._printer: QPrinter | None = None
        self._paths: list[str] = []
        self._sent, self._row = 0, 0
        self._page: QImage | None = None
        self._turn = QTimer(self)
        self._turn.setSingleShot(True)
        self._turn.timeout.connect(self._go_on)

    def start(self, printer: QPrinter, paths: Sequence[str]) -> bool:
        """Begin to print pages; returns whether the printer takes any."""
        painter = QPainter()
        if self._painter is not None or not painter.begin(printer):
            return False
        self._printer, self._painter = printer, painter
        self._paths, self._sent, self._page = list(paths), 0, None
        self._turn.start()
        return True

    def cancel(self) -> None:
        """Give up what is not sent yet."""
        self._turn.stop()
        if self._printer is not None:
            self._printer.abort()
        self._end()

    def _go_on(self) -> None:
        if self._painter is None or self._printer is None:
            return
        if self._page is None:
            if self._sent == len(self._paths):
                self._end()
                self.printed.emit(self._sent)
                return
            if self._sent:
                self._printer.newPage()
            self._page, self._row = QImage(self._paths[self._sent]), 0
        else:
            self._draw_band(self._painter, self._page)
        self._turn.start()

    def _draw_band(self, painter: QPainter, page: QImage) -> None:
        area = QRectF(painter.viewport())
        rows = min(BAND_PX, page.height() - self._row)
        shown = min(rows + SEAM_PX, page.height() - self._row)
        share = area.height() / max(1, page.height())
        band = QRectF(area.left(), area.top() + self._row * share, area.width(), shown * share)
        painter.drawImage(band, page, QRectF(0.0, self._row, page.width(), shown))
        self._row += rows
        if self._row >= page.height():
            self._sent, self._page = self._sent + 1, None

    def _end(self) -> None:
        if self._painter is not None:
            self._painter.end()
        self._painter, self._printer, self._page = None, None, None
