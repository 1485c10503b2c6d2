"""The actions on what is looked at: from which side, whether cores are cut at the layer, which page."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QTabWidget

from app.qt.views.box_view import BoxView

VIEWS = {"corner": (-35.0, 24.0), "front": (0.0, 4.0), "left": (-90.0, 4.0), "above": (0.0, 89.0)}


class ViewActions(QObject):
    """Standard views of the box (Ctrl and a number), the cut, and the pages (Alt and a number)."""

    def __init__(self, box_view: BoxView, pages: QTabWidget, parent: QObject) -> None:
        super().__init__(parent)
        labels = {
            "corner": self.tr("Box from its &corner"),
            "front": self.tr("Box from the &front"),
            "left": self.tr("Box from the &left"),
            "above": self.tr("Box from &above"),
        }
        self.looks = [
            self._action(label, f"Ctrl+{place}", partial(box_view.look_from, *VIEWS[side]))
            for place, (side, label) in enumerate(labels.items(), start=1)
        ]
        self.cut_action = self._action(self.tr("C&ut cores at the layer"), "Ctrl+K", lambda: None)
        self.cut_action.setCheckable(True)
        self.cut_action.toggled.connect(box_view.set_cut)
        self.pages = [
            self._action(pages.tabText(place), f"Alt+{place + 1}", partial(pages.setCurrentIndex, place))
            for place in range(pages.count())
        ]

    def _action(self, text: str, key: str, do: Callable[[], object]) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda: do())
        return action
