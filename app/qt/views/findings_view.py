"""The list of findings: severity as shape and word, where, what, and the remedy."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics, QPainter, QPalette, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from app.qt.models.findings_model import FINDING_ROLE, SEVERITY_ROLE, WHERE_ROLE, FindingsModel, Index
from app.qt.palette import mixed
from app.qt.views.severity import draw_sign

SIGN = 18
PAD = 6
WRAP = int(Qt.TextFlag.TextWordWrap) | int(Qt.AlignmentFlag.AlignLeft) | int(Qt.AlignmentFlag.AlignTop)


class _FindingDelegate(QStyledItemDelegate):
    """Draws a finding: sign, bold head line, message, and the remedy in a quieter ink."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        view = option.widget
        width = view.viewport().width() if isinstance(view, QListView) else option.rect.width()
        _, heights = self._blocks(option.font, index, width)
        return QSize(min(width, 200), sum(heights) + 2 * PAD)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        style = option.widget.style() if option.widget is not None else QApplication.style()
        style.drawPrimitive(QStyle.PrimitiveElement.PE_PanelItemViewItem, option, painter, option.widget)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        role = QPalette.ColorRole.HighlightedText if chosen else QPalette.ColorRole.Text
        text = option.palette.color(role)
        quiet = text if chosen else mixed(text, option.palette.color(QPalette.ColorRole.Base), 0.25)
        area = option.rect.adjusted(PAD, PAD, -PAD, -PAD)
        severity = index.data(FINDING_ROLE).severity
        draw_sign(painter, QRectF(area.left(), area.top(), SIGN, SIGN), severity)
        blocks, heights = self._blocks(option.font, index, option.rect.width())
        top = area.top()
        for (content, font, is_quiet), height in zip(blocks, heights, strict=True):
            painter.setFont(font)
            painter.setPen(quiet if is_quiet else text)
            room = QRect(area.left() + SIGN + PAD, top, area.width() - SIGN - PAD, height)
            painter.drawText(room, WRAP, content)
            top += height

    def _blocks(
        self, font: QFont, index: Index, width: int
    ) -> tuple[list[tuple[str, QFont, bool]], list[int]]:
        finding = index.data(FINDING_ROLE)
        bold = QFont(font)
        bold.setBold(True)
        head = " · ".join(part for part in (index.data(SEVERITY_ROLE), index.data(WHERE_ROLE)) if part)
        blocks = [(head, bold, False), (finding.message, QFont(font), False)]
        if finding.remedy:
            blocks.append((finding.remedy, QFont(font), True))
        room = QRect(0, 0, max(40, width - 3 * PAD - SIGN), 10_000)
        heights = [QFontMetrics(f).boundingRect(room, WRAP, content).height() for content, f, _ in blocks]
        return blocks, heights


class FindingsView(QListView):
    """Findings of the plan; the one that is chosen or clicked is told by `finding_chosen`."""

    finding_chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Findings"))
        self.setItemDelegate(_FindingDelegate(self))
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self._model = FindingsModel(self)
        self.setModel(self._model)
        self.selectionModel().currentChanged.connect(self._tell)

    @property
    def findings(self) -> FindingsModel:
        """The list's model."""
        return self._model

    def _tell(self, current: Index) -> None:
        if current.isValid():
            self.finding_chosen.emit(current.data(FINDING_ROLE))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap the text anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()
