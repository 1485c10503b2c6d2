"""The box view: the box with its cores in 3D, painted as an image by a plain widget."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray
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
from app.qt.views.box_camera import BoxCamera
from app.qt.views.box_drag import CoreDrag, step_axis
from app.qt.views.box_legend import draw_axes, draw_legend
from app.qt.views.box_marks import BoxMarks, CutFaces, MarkPainter
from app.qt.views.box_scene import BoxScene, can_render

DEG_PER_PIXEL = 0.4
REST_AFTER_MS = 180
KEY_STEP_DEG = 10.0
WHEEL_FACTOR = 1.15
CLICK_PIXELS = 4
NO_MARKS = BoxMarks()

Tool = Literal["look", "move", "measure"]
TOOLS: tuple[Tool, ...] = ("look", "move", "measure")
ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
LEVELS = {Qt.Key.Key_PageUp: 1.0, Qt.Key.Key_PageDown: -1.0}
ZOOMS = {Qt.Key.Key_Plus: 1.2, Qt.Key.Key_Equal: 1.2, Qt.Key.Key_Minus: 1 / 1.2}


class BoxView(QWidget):
    """Left drag turns, right or middle drag moves, wheel zooms; arrow keys, +, - and Home do the same.

    A click chooses the core copy under it, which `copy_picked` tells (-1 for none). With the tool `move` a
    left drag on a core moves that core and arrow keys, Page Up and Page Down move the chosen one; with
    `measure` a click picks a place on a surface.
    """

    copy_picked = Signal(int)
    looked = Signal(object)
    """Takes the camera when the user has looked from elsewhere."""
    finding_picked = Signal(int)
    tool_changed = Signal(str)
    drag_began = Signal(int)
    core_dragged = Signal(object, bool)
    """Takes the way in mm (x, y, z) since the drag began, and whether it is over."""
    step_asked = Signal(object, bool, bool)
    """Takes a direction of the box, whether a fine step is asked for, and whether the key is held down."""
    turn_asked = Signal(int)
    lock_asked = Signal()
    surface_picked = Signal(int, object, object)
    """Takes the core copy, the line of sight (start, direction) and the place on the drawn surface."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(240, 200)
        self.setAccessibleName(self.tr("Box with its cores in 3D"))
        self._scene: BoxScene | None = BoxScene() if can_render() else None
        self._tool: Tool = "look"
        self._image: QImage | None = None
        self._held: tuple[Qt.MouseButton, QPointF] | None = None
        self._drag: CoreDrag | None = None
        self._pressed = QPointF()
        self._inner_mm: tuple[float, float, float] | None = None
        self._colours: dict[str, QColor] = {}
        self._legend: tuple[tuple[QColor, str], ...] = ()
        self._regions: list[tuple[Sequence[float], Sequence[float]]] = []
        self._marks = NO_MARKS
        self._cut_faces: CutFaces | None = None
        self._is_cut = False
        self._signs: list[tuple[QRectF, int]] = []
        self._chosen = -1
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_AFTER_MS)
        self._rest.timeout.connect(self._come_to_rest)
        self._tell_tool()
        self._take_palette()

    # --- what is shown ------------------------------------------------------------------------------

    @property
    def scene(self) -> BoxScene | None:
        """The scene, None where there is no OpenGL or the view is closed."""
        return self._scene

    @property
    def tool(self) -> Tool:
        """What clicks, drags and keys do."""
        return self._tool

    @property
    def marks(self) -> BoxMarks:
        """What is drawn over the picture."""
        return self._marks

    @property
    def signs(self) -> list[tuple[QRectF, int]]:
        """Areas of the findings' signs as last drawn, with the findings' numbers."""
        return self._signs

    def show_box(
        self,
        inner_mm: tuple[float, float, float] | None,
        placements: Sequence[ShownPlacement] = (),
        looks: Mapping[str, CoreLook] | None = None,
        colours: Mapping[str, QColor] | None = None,
        legend: Sequence[tuple[QColor, str]] = (),
    ) -> None:
        """Show a box, its cores and their legend, or nothing; a box of the same size is seen as before."""
        self._legend, self._colours = tuple(legend), dict(colours or {})
        is_new = inner_mm != self._inner_mm
        self._inner_mm, self._cut_faces = inner_mm, None
        if self._scene is None:
            return
        self._scene.set_box(inner_mm)
        self._scene.set_cores(placements, looks or {}, self._colours)
        self._scene.choose(self._chosen)
        if inner_mm is not None and is_new:
            self._scene.camera.look_at_all()
        self._move_on()  # much else is shown anew with the box: the fine picture has a turn of its own

    def show_regions(self, regions: Sequence[tuple[Sequence[float], Sequence[float]]]) -> None:
        """Show regions to keep out of as crossed boxes, each from its lowest to its highest corner."""
        if self._scene is not None and list(regions) != self._regions:
            self._regions = list(regions)
            self._scene.set_regions(regions)
            self._redraw()

    def show_level(self, z_mm: float) -> None:
        """Show the height of the layer looked at."""
        self._cut_faces = None
        if self._scene is not None and self._inner_mm is not None:
            self._scene.set_level(z_mm)
            self._move_on()

    def show_chosen(self, number: int) -> None:
        """Frame a core copy, or none (-1)."""
        self._chosen = number
        if self._scene is not None:
            self._scene.choose(number)
            self._redraw()

    def show_marks(self, marks: BoxMarks) -> None:
        """Draw marks over the picture in the place of the last ones."""
        self._marks = marks
        self.update()

    def show_cut_faces(self, cut: CutFaces | None) -> None:
        """Fill what the layer cuts open with these outlines."""
        self._cut_faces = cut
        self.update()

    def show_core_at(self, number: int, matrix: NDArray[np.float64]) -> None:
        """Show one core copy at another place."""
        if self._scene is not None:
            self._scene.move_core(number, matrix)
            self._move_on()

    def show_sand(self, level_mm: float | None, shown: Collection[int] | None) -> None:
        """Show sand up to a level (None: no sand), and only some of the core copies (None: all)."""
        if self._scene is not None:
            self._scene.show_only(shown)
            self._scene.set_sand(level_mm, faint_ink(self.palette()))
            self._redraw()

    def set_cut(self, is_cut: bool) -> None:
        """Take away what lies above the layer, or show it again."""
        self._is_cut = is_cut
        if self._scene is not None:
            self._scene.set_cut(is_cut)
            self._redraw()

    def set_tool(self, tool: Tool) -> None:
        """Take up a tool."""
        if tool != self._tool:
            self._tool, self._drag = tool, None
            self._tell_tool()
            self.tool_changed.emit(tool)

    def _tell_tool(self) -> None:
        tips = {
            "look": self.tr(
                "Click: choose a core. Left drag: turn. Right or middle drag: move. Wheel: zoom. "
                "Double click or Home: whole box. M: move cores. D: measure."
            ),
            "move": self.tr(
                "Drag a core to move it, with Shift up and down. Arrow keys, Page Up and Page Down move the "
                "chosen core, with Shift in fine steps. R: turn. L: lock. Escape: look."
            ),
            "measure": self.tr("Click two places on the cores: their distance is shown. Escape: look."),
        }
        self.setToolTip(tips[self._tool])
        self.setAccessibleDescription(tips[self._tool])
        shapes = {"look": Qt.CursorShape.ArrowCursor, "move": Qt.CursorShape.SizeAllCursor}
        self.setCursor(shapes.get(self._tool, Qt.CursorShape.CrossCursor))

    # --- where it is seen from ----------------------------------------------------------------------

    def look_from(self, turn_deg: float, tilt_deg: float) -> None:
        """Look at the whole box from a side and height."""
        if self._scene is not None:
            self._scene.camera.look_from(turn_deg, tilt_deg)
            self._redraw()
            self.looked.emit(self._scene.camera)

    def look_at_all(self) -> None:
        """Look at the whole box from its front left corner."""
        if self._scene is not None:
            self._scene.camera.look_at_all()
            self._redraw()
            self.looked.emit(self._scene.camera)

    def look_as(self, other: BoxCamera) -> None:
        """Look at the own box as another camera looks at its box, in step with it."""
        if self._scene is not None and self._inner_mm is not None:
            self._scene.camera.look_as(other)
            self._move_on()

    def look_at_place(self, place_mm: NDArray[np.float64]) -> None:
        """Bring a place of the box into the middle."""
        if self._scene is not None:
            self._scene.camera.look_at_place(place_mm)
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

    # --- painting -----------------------------------------------------------------------------------

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the picture, rendered again only where something changed, and the marks over it."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), ground(self.palette()))
        if self._scene is None:
            self._say(painter, self.tr("3D needs OpenGL, which this computer does not offer."))
        elif self._inner_mm is None:
            self._say(painter, self.tr("Open a job, or drop a job file or the mesh files of cores here."))
        else:
            painter.drawImage(QRectF(self.rect()), self._picture(self._scene))
            over = MarkPainter(painter, self._scene.camera, self.palette(), self.width(), self.height())
            if self._is_cut and self._cut_faces is not None:
                over.draw_cut(self._cut_faces, self._colours)
            draw_axes(painter, self._scene.camera, self.palette(), self.height())
            draw_legend(painter, self._legend, self.palette(), self.width(), self.height())
            self._signs = over.draw(self._marks)
        if self.hasFocus():
            painter.setPen(QPen(accent(self.palette()), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()

    def _picture(self, scene: BoxScene) -> QImage:
        if self._image is None:
            ratio = self.devicePixelRatioF()
            pixels = scene.image(max(1, round(self.width() * ratio)), max(1, round(self.height() * ratio)))
            height, width, _ = pixels.shape
            image = QImage(pixels.tobytes(), width, height, 4 * width, QImage.Format.Format_RGBX8888).copy()
            image.setDevicePixelRatio(ratio)
            self._image = image
        return self._image

    def _say(self, painter: QPainter, sentence: str) -> None:
        painter.setPen(ink(self.palette()))
        area = self.rect().adjusted(24, 24, -24, -24)
        painter.drawText(area, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, sentence)

    # --- mouse and keys -----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the box, or of a core."""
        self._held = (event.button(), event.position())
        self._pressed = event.position()
        if self._tool == "move" and event.button() == Qt.MouseButton.LeftButton and self._scene is not None:
            picked = self._scene.pick(*self._pixel(event.position()))
            if picked.number >= 0:
                self.copy_picked.emit(picked.number)
                self._drag = CoreDrag(self._scene.camera, picked.place_mm)
                self.drag_began.emit(picked.number)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Turn or move the box, or move a core."""
        if self._held is None or self._scene is None or self._inner_mm is None:
            return
        button, last = self._held
        step = event.position() - last
        self._held = (button, event.position())
        shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if self._drag is not None:
            way = self._drag.way_mm(event.position(), self.width(), self.height(), shifted)
            self.core_dragged.emit(way, False)
            return
        if button == Qt.MouseButton.LeftButton and not shifted:
            self._scene.camera.orbit(-DEG_PER_PIXEL * step.x(), DEG_PER_PIXEL * step.y())
        else:
            self._scene.camera.pan(step.x() / self.height(), -step.y() / self.height())
        self._move_on()
        self.looked.emit(self._scene.camera)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go; a press that did not move chooses what lies under it."""
        was_held, self._held = self._held is not None, None
        moved = (event.position() - self._pressed).manhattanLength()
        drag, self._drag = self._drag, None
        if drag is not None:
            shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            way = drag.way_mm(event.position(), self.width(), self.height(), shifted)
            self.core_dragged.emit(way if moved >= CLICK_PIXELS else (0.0, 0.0, 0.0), True)
        elif was_held and event.button() == Qt.MouseButton.LeftButton and moved < CLICK_PIXELS:
            self._click(event.position())
        event.accept()

    def _pixel(self, place: QPointF) -> tuple[int, int]:
        """Return a place of the widget as a pixel from the lower left corner."""
        ratio = self.devicePixelRatioF()
        return round(place.x() * ratio), round((self.height() - 1 - place.y()) * ratio)

    def _click(self, place: QPointF) -> None:
        if self._scene is None or self._inner_mm is None:
            return
        sign = next((number for area, number in reversed(self._signs) if area.contains(place)), None)
        if sign is not None and self._tool != "measure":
            self.finding_picked.emit(sign)
            return
        picked = self._scene.pick(*self._pixel(place))
        if self._tool == "measure":
            ray = self._scene.camera.ray(place.x(), place.y(), self.width(), self.height())
            if picked.number >= 0:
                self.surface_picked.emit(picked.number, (ray.start_mm, ray.direction), picked.place_mm)
            return
        self.copy_picked.emit(picked.number)

    def mouseDoubleClickEvent(self, _event: QMouseEvent) -> None:
        """Show the whole box again."""
        if self._tool == "look":
            self.look_at_all()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom."""
        if self._scene is not None and self._inner_mm is not None:
            self._scene.camera.zoom(WHEEL_FACTOR ** (event.angleDelta().y() / 120.0))
            self._move_on()
            self.looked.emit(self._scene.camera)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Turn, zoom and come back by keys, take up a tool, move the chosen core; other keys go on."""
        key = Qt.Key(event.key())
        if self._scene is None or self._inner_mm is None:
            event.ignore()
        elif self._tool == "move" and self._chosen >= 0 and self._move_key(key, event):
            return
        elif key in ARROWS:
            right, up = ARROWS[key]
            self._scene.camera.orbit(KEY_STEP_DEG * right, KEY_STEP_DEG * up)
            self._move_on()
            self.looked.emit(self._scene.camera)
        elif key in ZOOMS:
            self._scene.camera.zoom(ZOOMS[key])
            self._move_on()
            self.looked.emit(self._scene.camera)
        elif key == Qt.Key.Key_Home:
            self.look_at_all()
        elif key in (Qt.Key.Key_M, Qt.Key.Key_D) and not event.modifiers():
            tool: Tool = "move" if key == Qt.Key.Key_M else "measure"
            self.set_tool("look" if self._tool == tool else tool)
        elif key == Qt.Key.Key_Escape and self._tool != "look":
            self.set_tool("look")
        elif key == Qt.Key.Key_L and not event.modifiers():
            self.lock_asked.emit()
        else:
            event.ignore()

    def _move_key(self, key: Qt.Key, event: QKeyEvent) -> bool:
        """Move or turn the chosen core; returns whether the key asks for that."""
        assert self._scene is not None
        shifted = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if key in ARROWS:
            axis = step_axis(self._scene.camera, *ARROWS[key])
            self.step_asked.emit(axis, shifted, event.isAutoRepeat())
        elif key in LEVELS:
            self.step_asked.emit((0.0, 0.0, LEVELS[key]), shifted, event.isAutoRepeat())
        elif key == Qt.Key.Key_R:
            self.turn_asked.emit(-1 if shifted else 1)
        else:
            return False
        return True

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Draw the focus frame."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Drop the focus frame."""
        super().focusOutEvent(event)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Render at the new size, coarse while it changes: a divider is drawn along, or a strip comes up."""
        super().resizeEvent(event)
        if self._scene is not None:
            self._move_on()

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
