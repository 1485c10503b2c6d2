"""Boxes of several plans side by side in 3D: what is turned in one turns in all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.qt.compared_plan import ComparedPlan
from app.qt.palette import core_colours
from app.qt.views.box_camera import BoxCamera
from app.qt.views.box_view import BoxView

COLUMNS = {1: 1, 2: 1}
"""Boxes beside one another, by how many there are (else two): the page is taller than wide."""
NEARNESS = 1.3
"""The small views stand nearer than the large one: they have no legend to leave room for."""


RELEASE_AFTER_MS = 20_000
"""Time out of sight after which scenes are let go of: six of them hold as much memory as all else on show."""


class CompareBoxes(QWidget):
    """A view a plan; scenes are made when they are first seen, let go of out of sight, and made again."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._plans: tuple[ComparedPlan, ...] = ()
        self.views: list[BoxView] = []
        self._seen: set[BoxView] = set()
        self._camera: BoxCamera | None = None
        self._release = QTimer(self)
        self._release.setSingleShot(True)
        self._release.setInterval(RELEASE_AFTER_MS)
        self._release.timeout.connect(self._let_go)
        self.names: list[QLabel] = []
        self.chooser = QComboBox()
        self.chooser.setAccessibleName(self.tr("Box shown of all plans"))
        self.chooser.currentIndexChanged.connect(lambda _: self._show_boxes())
        label = QLabel(self.tr("Box"))
        label.setBuddy(self.chooser)
        self._row = QHBoxLayout()
        self._row.addWidget(label)
        self._row.addWidget(self.chooser)
        self._row.addStretch(1)
        self._grid = QGridLayout()
        self._grid.setContentsMargins(0, 0, 4, 0)
        self._grid.setSpacing(4)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 0)
        column.addLayout(self._row)
        column.addWidget(self._scrolled(), 1)
        self.notice = QLabel(
            self.tr(
                "Cores without a mesh at hand are not drawn: a plan file holds no meshes. They are read from "
                "the files that its job names, beside the plan's folder, as long as they are unchanged. "
                "Lay the plan beside them, or plan its job anew and keep that plan."
            )
        )
        self.notice.setWordWrap(True)
        self.notice.hide()
        column.addWidget(self.notice)

    def _scrolled(self) -> QScrollArea:
        """Return the views in an area that scrolls where the window is too low for all of them."""
        holder = QWidget()
        holder.setLayout(self._grid)
        area = QScrollArea()
        area.setWidget(holder)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setAccessibleName(self.tr("Boxes of all plans"))
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the views in it take the keys
        return area

    def show_plans(self, plans: Sequence[ComparedPlan]) -> None:
        """Show the boxes of other plans."""
        self._plans = tuple(plans)
        most = max((len(plan.shown.boxes) for plan in plans), default=0)
        before = max(0, self.chooser.currentIndex())
        self.chooser.blockSignals(True)
        self.chooser.clear()
        self.chooser.addItems([str(n + 1) for n in range(most)])
        self.chooser.setCurrentIndex(min(before, most - 1))
        self.chooser.blockSignals(False)
        self._make_views(len(self._plans))
        self._show_boxes()
        if not self.isVisible():
            self._release.start()

    def showEvent(self, event: QShowEvent) -> None:
        """Make the scenes again that were let go of, and look at them as before."""
        super().showEvent(event)
        self._release.stop()
        if len(self.views) < len(self._plans):
            self._make_views(len(self._plans))
            self._show_boxes()
            if self._camera is not None:
                self._follow(None, self._camera)

    def hideEvent(self, event: QHideEvent) -> None:
        """Let go of the scenes, unless they are soon looked at again."""
        super().hideEvent(event)
        self._release.start()

    def _let_go(self) -> None:
        scenes = [view.scene for view in self.views if view.scene is not None]
        if not self.isVisible():
            self._camera = scenes[0].camera if scenes else None
            self._make_views(0)

    def close_scenes(self) -> None:
        """Let go of the graphics contexts."""
        for view in self.views:
            view.close_scene()

    def _make_views(self, count: int) -> None:
        while len(self.views) < count:
            view, name = BoxView(), QLabel()
            view.setMinimumSize(140, 110)
            name.setBuddy(view)
            name.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            name.setWordWrap(True)
            view.looked.connect(lambda camera, view=view: self._follow(view, camera))
            self.views.append(view)
            self.names.append(name)
        while len(self.views) > count:
            view, name = self.views.pop(), self.names.pop()
            view.close_scene()
            self._seen.discard(view)
            for widget in (view, name):
                self._grid.removeWidget(widget)
                widget.deleteLater()
        columns = COLUMNS.get(count, 2)
        for n, (view, name) in enumerate(zip(self.views, self.names, strict=True)):
            row, column = divmod(n, columns)
            self._grid.addWidget(name, 2 * row, column)
            self._grid.addWidget(view, 2 * row + 1, column)
            self._grid.setRowStretch(2 * row + 1, 1)

    def _show_boxes(self) -> None:
        if len(self.views) < len(self._plans):
            return  # let go of; made when they are seen
        number = max(0, self.chooser.currentIndex())
        missing = 0
        for plan, view, name in zip(self._plans, self.views, self.names, strict=True):
            view.setAccessibleName(self.tr("Box of {0} in 3D").format(plan.name))
            shown = plan.shown
            if number >= len(shown.boxes):
                view.show_box(None)
                name.setText(self.tr("{0}: no further box").format(plan.name))
                continue
            box = shown.boxes[number]
            places = [place for place in box.placements if place.core in shown.looks]
            copies = Counter(place.core for place in places)
            colours = core_colours(shown.core_names)
            legend = [
                (colours[core], f"{copies[core]} × {shown.core_names[core]}") for core in sorted(copies)
            ]
            view.show_box(box.inner_mm, places, shown.looks, colours, legend if len(self.views) < 3 else ())
            if view.scene is not None and view not in self._seen:
                self._seen.add(view)
                view.scene.camera.zoom(NEARNESS)
            left = len(box.placements) - len(places)
            missing += left
            text = self.tr("{0}: box {1} of {2}").format(plan.name, number + 1, len(shown.boxes))
            if left:
                text += self.tr(", {0} cores without a mesh at hand").format(left)
            name.setText(text)
            name.setToolTip(text)
        self.notice.setVisible(missing > 0)

    def _follow(self, leader: BoxView | None, camera: BoxCamera) -> None:
        for view in self.views:
            if view is not leader:
                view.look_as(camera)
