"""The box view: the box with its cores in 3D, painted as an image by a plain widget."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QColor,
    QFocusEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from app.qt.palette import accent, faint_ink, ground, ink
from app.qt.shown_plan import CoreLook, ShownPlacement
from app.qt.views.box_scene import BoxScene, can_render

DEG_PER_PIXEL = 0.4
REST_AFTER_MS = 180
KEY_STEP_DEG = 10.0
WHEEL_FACTOR = 1.15
CLICK_PIXELS = 4


class BoxView(QWidget):
    """Left drag turns, right or middle drag moves, wheel zooms; arrow keys, +, - and Home do the same.

    A click chooses the core copy under it, which `copy_picked` tells (-1 for none).
    """

    copy_picked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(240, 200)
        self.setAccessibleName(self.tr("Box with its cores in 3D"))
        self.setToolTip(
            self.tr(
                "Click: choose a core. Left drag: turn. Right or middle drag: move. Wheel: zoom. "
                "Double click or Home: whole box."
            )
        )
        self._scene: BoxScene | None = BoxScene() if can_render() else None
        self._image: QImage | None = None
        self._held: tuple[Qt.MouseButton, QPointF] | None = None
        self._pressed = QPointF()
        self._is_empty = True
        self._legend: tuple[tuple[QColor, str], ...] = ()
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_AFTER_MS)
        self._rest.timeout.connect(self._come_to_rest)
        self._take_palette()

    @property
    def scene(self) -> BoxScene | None:
        """The scene, None where there is no OpenGL or the view is closed."""
        return self._scene

    def show_box(
        self,
        inner_mm: tuple[float, float, float] | None,
        placements: Sequence[ShownPlacement] = (),
        looks: Mapping[str, CoreLook] | None = None,
        colours: Mapping[str, QColor] | None = None,
        legend: Sequence[tuple[QColor, str]] = (),
    ) -> None:
        """Show a box, its cores and their legend, or nothing."""
        self._legend = tuple(legend)
        self._is_empty = inner_mm is None
        if self._scene is None:
            return
        self._scene.set_box(inner_mm)
        self._scene.set_cores(placements, looks or {}, colours or {})
        if inner_mm is not None:
            self._scene.look_at_all()
        self._redraw()

    def show_level(self, z_mm: float) -> None:
        """Show the height of the layer looked at."""
        if self._scene is not None and not self._is_empty:
            self._scene.set_level(z_mm)
            self._move_on()

    def show_chosen(self, number: int) -> None:
        """Frame a core copy, or none (-1)."""
        if self._scene is not None:
            self._scene.choose(number)
            self._redraw()

    def set_cut(self, is_cut: bool) -> None:
        """Take away what lies above the layer, or show it again."""
        if self._scene is not None:
            self._scene.set_cut(is_cut)
            self._redraw()

    def look_from(self, turn_deg: float, tilt_deg: float) -> None:
        """Look at the whole box from a side and height."""
        if self._scene is not None:
            self._scene.look_from(turn_deg, tilt_deg)
            self._redraw()

    def look_at_all(self) -> None:
        """Look at the whole box from its front left corner."""
        if self._scene is not None:
            self._scene.look_at_all()
            self._redraw()

    def close_scene(self) -> None:
        """Let go of the graphics context."""
        scene, self._scene = self._scene, None
        self._rest.stop()
        if scene is not None:
            scene.close()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Let go of the graphics context with the widget."""
        self.close_scene()
        super().closeEvent(event)

    def _redraw(self) -> None:
        self._image = None
        self.update()

    def _move_on(self) -> None:
        """Redraw coarse now, and finer once nothing has moved for a while."""
        assert self._scene is not None
        self._scene.set_moving(True)
        self._rest.start()
        self._redraw()

    def _come_to_rest(self) -> None:
        if self._scene is not None:
            self._scene.set_moving(False)
            self._redraw()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the picture, rendered again only where something changed."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), ground(self.palette()))
        if self._scene is None:
            self._say(painter, self.tr("3D needs OpenGL, which this computer does not offer."))
        elif self._is_empty:
            self._say(painter, self.tr("Open a job, or drop a job file or the mesh files of cores here."))
        else:
            painter.drawImage(QRectF(self.rect()), self._picture())
            self._draw_axes(painter)
            self._draw_legend(painter)
        if self.hasFocus():
            painter.setPen(QPen(accent(self.palette()), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()

    def _picture(self) -> QImage:
        if self._image is None:
            assert self._scene is not None
            ratio = self.devicePixelRatioF()
            pixels = self._scene.image(
                max(1, round(self.width() * ratio)), max(1, round(self.height() * ratio))
            )
            height, width, _ = pixels.shape
            image = QImage(pixels.tobytes(), width, height, 4 * width, QImage.Format.Format_RGBX8888).copy()
            image.setDevicePixelRatio(ratio)
            self._image = image
        return self._image

    def _say(self, painter: QPainter, sentence: str) -> None:
        painter.setPen(ink(self.palette()))
        area = self.rect().adjusted(24, 24, -24, -24)
        painter.drawText(area, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, sentence)

    def _draw_axes(self, painter: QPainter) -> None:
        assert self._scene is not None
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        foot = QPointF(40.0, self.height() - 40.0)
        for name, right, up in self._scene.axes_on_picture():
            end = foot + QPointF(26.0 * right, -26.0 * up)
            painter.setPen(QPen(faint_ink(self.palette()), 1.5))
            painter.drawLine(foot, end)
            painter.setPen(ink(self.palette()))
            label = foot + QPointF(34.0 * right, -34.0 * up)
            painter.drawText(QRectF(label.x() - 8, label.y() - 8, 16, 16), Qt.AlignmentFlag.AlignCenter, name)

    def _draw_legend(self, painter: QPainter) -> None:
        line = painter.fontMetrics().height() + 4
        room = max(1, (self.height() - 100) // line)
        for row, (colour, label) in enumerate(self._legend[:room]):
            top = 10 + row * line
            painter.setPen(QPen(faint_ink(self.palette()), 1))
            painter.setBrush(colour)
            painter.drawRect(QRectF(10.5, top + 2.5, line - 9, line - 9))
            painter.setPen(ink(self.palette()))
            area = QRectF(line + 8, top, self.width() - line - 16, line - 4)
            painter.drawText(area, Qt.AlignmentFlag.AlignVCenter, label)
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the box."""
        self._held = (event.button(), event.position())
        self._pressed = event.position()
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Turn or move."""
        if self._held is None or self._scene is None or self._is_empty:
            return
        button, last = self._held
        step = event.position() - last
        self._held = (button, event.position())
        shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if button == Qt.MouseButton.LeftButton and not shifted:
            self._scene.orbit(-DEG_PER_PIXEL * step.x(), DEG_PER_PIXEL * step.y())
        else:
            self._scene.pan(step.x() / self.height(), -step.y() / self.height())
        self._move_on()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go; a press that did not move chooses the core under it."""
        was_held, self._held = self._held is not None, None
        moved = (event.position() - self._pressed).manhattanLength()
        if was_held and event.button() == Qt.MouseButton.LeftButton and moved < CLICK_PIXELS:
            self._pick(event.position())
        event.accept()

    def _pick(self, place: QPointF) -> None:
        if self._scene is None or self._is_empty:
            return
        ratio = self.devicePixelRatioF()
        number = self._scene.pick(round(place.x() * ratio), round((self.height() - 1 - place.y()) * ratio))
        self.copy_picked.emit(number)

    def mouseDoubleClickEvent(self, _event: QMouseEvent) -> None:
        """Show the whole box again."""
        self.look_at_all()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom."""
        if self._scene is not None and not self._is_empty:
            self._scene.zoom(WHEEL_FACTOR ** (event.angleDelta().y() / 120.0))
            self._move_on()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Turn, zoom and come back by keys; other keys go on."""
        turns = {
            Qt.Key.Key_Left: (-KEY_STEP_DEG, 0.0),
            Qt.Key.Key_Right: (KEY_STEP_DEG, 0.0),
            Qt.Key.Key_Up: (0.0, KEY_STEP_DEG),
            Qt.Key.Key_Down: (0.0, -KEY_STEP_DEG),
        }
        zooms = {Qt.Key.Key_Plus: 1.2, Qt.Key.Key_Equal: 1.2, Qt.Key.Key_Minus: 1 / 1.2}
        key = Qt.Key(event.key())
        if self._scene is None or key not in {*turns, *zooms, Qt.Key.Key_Home}:
            event.ignore()
            return
        if key == Qt.Key.Key_Home:
            self.look_at_all()
            return
        if key in turns:
            self._scene.orbit(*turns[key])
        else:
            self._scene.zoom(zooms[key])
        self._move_on()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Draw the focus frame."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Drop the focus frame."""
        super().focusOutEvent(event)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Render at the new size."""
        super().resizeEvent(event)
        self._image = None

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_rest"):
            self._take_palette()

    def _take_palette(self) -> None:
        palette = self.palette()
        if self._scene is not None:
            self._scene.set_colours(ground(palette), ink(palette), faint_ink(palette), accent(palette))
        self._redraw()
