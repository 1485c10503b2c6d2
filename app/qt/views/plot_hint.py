"""A sentence in a plot that has nothing to show yet: what is going on, or what to do."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel

MARGIN = 12


class PlotHint(QLabel):
    """Lies over a plot, in its middle; the mouse goes through it."""

    def __init__(self, views: pg.GraphicsView, plot: pg.PlotItem) -> None:
        super().__init__(views.viewport())
        self._views, self._plot = views, plot
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()
        plot.getViewBox().sigResized.connect(lambda _: self.take_place())

    def say(self, sentence: str) -> None:
        """Show a sentence; none hides it."""
        self.setText(sentence)
        self.setVisible(bool(sentence))
        self.take_place()

    def take_place(self) -> None:
        """Lie where the plot is now."""
        scene = self._plot.getViewBox().sceneBoundingRect()
        place = self._views.mapFromScene(scene).boundingRect()
        self.setGeometry(place.adjusted(MARGIN, 0, -MARGIN, 0))
