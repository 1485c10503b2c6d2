"""A header whose titles go on in the next line where a column is too narrow for them."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, QTimer
from PySide6.QtWidgets import QHeaderView, QStyle, QWidget

WRAPPED = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap
MOST_LINES = 5


class WrappedHeader(QHeaderView):
    """A horizontal header as high as its longest title needs, at the columns' present widths."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setDefaultAlignment(WRAPPED)
        self._later = QTimer(self)  # in a turn of its own: the widths are being shared out just now
        self._later.setSingleShot(True)
        self._later.timeout.connect(self._grow)
        self.sectionResized.connect(lambda *_: self._later.start(0))

    def sectionSizeFromContents(self, logicalIndex: int) -> QSize:
        """Return the width of the longest word, and the height of all lines at the present width."""
        model, metrics = self.model(), self.fontMetrics()
        text = str(model.headerData(logicalIndex, self.orientation()) or "")
        margin = self.style().pixelMetric(QStyle.PixelMetric.PM_HeaderMargin, None, self)
        longest = max((metrics.horizontalAdvance(word) for word in text.split()), default=0)
        width = longest + 4 * margin
        room = max(width, self.sectionSize(logicalIndex)) - 2 * margin
        most = MOST_LINES * metrics.lineSpacing()
        lines = metrics.boundingRect(QRect(0, 0, room, most), int(WRAPPED), text)
        return QSize(width, min(most, lines.height()) + 2 * margin)

    def _grow(self) -> None:
        if self.height() != self.sizeHint().height():
            self.geometriesChanged.emit()
