"""The notice strip: one sentence about what went wrong and what to do; it never stops the work."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from app.qt.views.severity import draw_sign


class _Sign(QWidget):
    def __init__(self, severity: str) -> None:
        super().__init__()
        self.severity = severity
        self.setFixedSize(QSize(20, 20))

    def show_severity(self, severity: str) -> None:
        """Show the sign of another severity."""
        self.severity = severity
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        draw_sign(painter, QRectF(self.rect()), self.severity)
        painter.end()


class NoticeStrip(QFrame):
    """Hidden until `say` or `tell` is called; Close hides it again."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self._label = QLabel()
        self._label.setTextFormat(Qt.TextFormat.PlainText)
        self._label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._label.setWordWrap(True)
        self._label.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        close = QPushButton(self.tr("Close"))
        close.setAccessibleName(self.tr("Close this notice"))
        close.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 4)
        self._sign = _Sign("stop")
        row.addWidget(self._sign)
        row.addWidget(self._label)
        row.addWidget(close)
        self.hide()

    @property
    def text(self) -> str:
        """The sentence shown last."""
        return self._label.text()

    @property
    def severity(self) -> str:
        """The severity whose sign stands before the sentence."""
        return self._sign.severity

    def say(self, sentence: str) -> None:
        """Show a sentence about what went wrong."""
        self._show(sentence, "stop")

    def tell(self, sentence: str) -> None:
        """Show a sentence that is good to know: nothing went wrong."""
        self._show(sentence, "note")

    def _show(self, sentence: str, severity: str) -> None:
        self._sign.show_severity(severity)
        self._label.setText(sentence)
        self.setAccessibleName(sentence)
        self.show()
