"""A ring around what has the focus, wherever the keyboard leads: styles show it on few kinds of widget."""

from __future__ import annotations

import shiboken6
from PySide6.QtCore import QEvent, QObject, QRect, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QRegion
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QLineEdit, QMenu, QTabBar, QWidget

from app.qt.palette import accent

WIDTH = 2


class FocusRing(QObject):
    """Draws the ring; a focus that came by a click, into a text field or a menu needs none."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._ring: Ring | None = None
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._follow)

    def _follow(self, _before: QWidget | None, now: QWidget | None) -> None:
        if self._ring is not None and shiboken6.isValid(self._ring):
            self._ring.hide()
            self._ring.deleteLater()
        self._ring = None
        shows_itself = isinstance(now, (QLineEdit, QAbstractSpinBox, QMenu))
        by_click = QApplication.mouseButtons() != Qt.MouseButton.NoButton
        if now is not None and not shows_itself and not by_click and not now.isWindow():
            self._ring = Ring(now)


class Ring(QWidget):
    """A frame over the edge of a widget; it lets everything else through."""

    def __init__(self, target: QWidget) -> None:
        super().__init__(target)
        self._target = target
        self.setObjectName("focus ring")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        target.installEventFilter(self)
        if isinstance(target, QTabBar):
            target.currentChanged.connect(self._lie_around)
        self._lie_around()
        self.raise_()
        self.show()

    def _lie_around(self) -> None:
        target = self._target
        around = target.tabRect(target.currentIndex()) if isinstance(target, QTabBar) else target.rect()
        self.setGeometry(around)
        inside = QRect(0, 0, around.width(), around.height()).adjusted(WIDTH, WIDTH, -WIDTH, -WIDTH)
        self.setMask(QRegion(self.rect()) - QRegion(inside))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Grow and shrink with the widget."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.LayoutRequest):
            self._lie_around()
        return super().eventFilter(watched, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the frame."""
        painter = QPainter(self)
        pen = QPen(accent(self.palette()), WIDTH)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        half = WIDTH // 2
        painter.drawRect(self.rect().adjusted(half, half, -half, -half))
        painter.end()
