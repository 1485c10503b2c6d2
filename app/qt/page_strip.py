"""A strip of pages one below another, as wide as its window or as wide as is wished."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPalette, QPixmap, QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

AIR = 14
STEP = 1.2
SMALLEST, LARGEST = 0.25, 4.0
LINE = 40


class PageStrip(QAbstractScrollArea):
    """Shows pictures of pages; `page_changed` tells the page in view (from 0)."""

    page_changed = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pages: list[QPixmap] = []
        self._scale = 1.0
        self._page = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Pages"))
        self.verticalScrollBar().valueChanged.connect(self._tell_page)

    @property
    def page_count(self) -> int:
        """Number of pages."""
        return len(self._pages)

    @property
    def page(self) -> int:
        """The page in view, from 0."""
        return self._page

    @property
    def scale(self) -> float:
        """Width of a page as a share of the strip's."""
        return self._scale

    def show_pages(self, pages: Sequence[QPixmap]) -> None:
        """Show other pages from the first on."""
        self._pages = list(pages)
        self._arrange()
        self.verticalScrollBar().setValue(0)
        self._tell_page()
        self.viewport().update()

    def show_page(self, page: int) -> None:
        """Bring a page to the top."""
        if self._pages:
            page = min(max(page, 0), len(self._pages) - 1)
            self.verticalScrollBar().setValue(round(self._tops()[page]))

    def set_scale(self, scale: float) -> None:
        """Show pages larger or smaller; the page in view stays."""
        page = self._page
        self._scale = min(max(scale, SMALLEST), LARGEST)
        self._arrange()
        self.show_page(page)
        self.viewport().update()

    def _width(self) -> float:
        return max(60.0, (self.viewport().width() - 2 * AIR) * self._scale)

    def _heights(self) -> list[float]:
        wide = self._width()
        return [wide * page.height() / max(1, page.width()) for page in self._pages]

    def _tops(self) -> list[float]:
        tops, top = [], 0.0
        for height in self._heights():
            tops.append(top)
            top += height + AIR
        return tops

    def _arrange(self) -> None:
        view = self.viewport()
        whole = sum(self._heights()) + AIR * (len(self._pages) + 1)
        down, across = self.verticalScrollBar(), self.horizontalScrollBar()
        down.setRange(0, max(0, round(whole) - view.height()))
        down.setPageStep(max(1, view.height() - LINE))
        down.setSingleStep(LINE)
        across.setRange(0, max(0, round(self._width()) + 2 * AIR - view.width()))
        across.setPageStep(view.width())
        across.setSingleStep(LINE)

    def _tell_page(self) -> None:
        middle = self.verticalScrollBar().value() + self.viewport().height() / 3
        page = max((n for n, top in enumerate(self._tops()) if top <= middle), default=0)
        if page != self._page:
            self._page = page
            self.page_changed.emit(page)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Arrange the pages anew."""
        super().resizeEvent(event)
        self._arrange()

    def sizeHint(self) -> QSize:
        """Return a size in which a page can be read."""
        return QSize(760, 620)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the pages in view on the ground of the window."""
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.viewport().rect(), self.palette().color(QPalette.ColorRole.Mid))
        wide = self._width()
        left = max(float(AIR), (self.viewport().width() - wide) / 2) - self.horizontalScrollBar().value()
        offset = AIR - self.verticalScrollBar().value()
        for page, top, height in zip(self._pages, self._tops(), self._heights(), strict=True):
            area = QRectF(left, top + offset, wide, height)
            if area.bottom() >= 0 and area.top() <= self.viewport().height():
                painter.drawPixmap(area, page, QRectF(page.rect()))
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows and Page keys move, Home and End go to the ends, plus and minus change the size."""
        bar, key = self.verticalScrollBar(), event.key()
        steps = {
            Qt.Key.Key_Down: LINE,
            Qt.Key.Key_Up: -LINE,
            Qt.Key.Key_PageDown: bar.pageStep(),
            Qt.Key.Key_PageUp: -bar.pageStep(),
            Qt.Key.Key_Home: -bar.maximum(),
            Qt.Key.Key_End: bar.maximum(),
        }
        if key in steps:
            bar.setValue(bar.value() + steps[Qt.Key(key)])
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.set_scale(self._scale * STEP)
        elif key == Qt.Key.Key_Minus:
            self.set_scale(self._scale / STEP)
        else:
            super().keyPressEvent(event)
