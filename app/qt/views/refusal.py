"""The sentence that says, while a value is typed, why it is refused: below the field, with a sign."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from app.qt.views.severity import draw_sign

WIDEST = 460
SIGN = 18


class _Sign(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.setFixedSize(QSize(SIGN, SIGN))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        draw_sign(painter, QRectF(self.rect()), "stop")
        painter.end()


class Refusal(QFrame):
    """Hidden while there is nothing to say."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._ground = parent
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        self.setBackgroundRole(QPalette.ColorRole.ToolTipBase)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._words = QLabel()
        self._words.setTextFormat(Qt.TextFormat.PlainText)
        self._words.setForegroundRole(QPalette.ColorRole.ToolTipText)
        self._words.setWordWrap(True)
        self._row = row = QHBoxLayout(self)
        row.setContentsMargins(6, 3, 6, 3)
        row.addWidget(_Sign(), 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._words, 1)
        self.hide()

    @property
    def sentence(self) -> str:
        """The sentence shown; empty while nothing is refused."""
        return "" if self.isHidden() else self._words.text()

    def say(self, sentence: str, field: QWidget, area: QRect) -> None:
        """Show a sentence about a field that covers `area` of the parent, below it where there is room.

        An empty sentence hides it. A screen reader reads the sentence as the field's description.
        """
        if field.accessibleDescription() != sentence:
            field.setAccessibleDescription(sentence)
            QAccessible.updateAccessibility(QAccessibleEvent(field, QAccessible.Event.DescriptionChanged))
        if not sentence:
            self.hide()
            return
        self._words.setText(sentence)
        room = self._ground.rect()
        wide = min(WIDEST, room.width() - 8)
        high = self._row.totalHeightForWidth(wide)
        left = max(4, min(area.left(), room.right() - wide - 4))
        below = area.bottom() + 3
        top = below if below + high <= room.bottom() else max(0, area.top() - high - 3)
        self.setGeometry(left, top, wide, high)
        self.raise_()
        self.show()
