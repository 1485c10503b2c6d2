"""The strip of the packing search: how long, which seed, and how low and full the boxes are so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.qt.figures import length, number
from app.qt.lengths import LENGTHS
from app.qt.number_edit import NumberEdit

DEFAULT_S = 30.0
MILLION = 1e6


class NestStrip(QWidget):
    """Starts and stops the search; seed and effort are the job's, the time is that of this run."""

    nest_asked = Signal()
    stop_asked = Signal()
    search_edited = Signal(str, int)
    """Takes `seed` or `effort` and its new value."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.nest_button = QPushButton(self.tr("Nest"))
        self.nest_button.setToolTip(self.tr("Search a lower packing; locked cores stay where they are (F6)"))
        self.stop_button = QPushButton(self.tr("Stop and keep the best"))
        self.nest_button.clicked.connect(self.nest_asked)
        self.stop_button.clicked.connect(self.stop_asked)
        self.seconds_edit = NumberEdit(self.tr("Time for the search"), "s", 0.0, 36_000.0, 0)
        self.seconds_edit.show_stored(DEFAULT_S)
        self.seconds_edit.setToolTip(self.tr("0: the effort counts, and the result repeats on any computer"))
        self.seed_edit = NumberEdit(self.tr("Seed"), "", 0.0, 1e9, 0)
        self.effort_edit = NumberEdit(self.tr("Effort"), "", 0.0, 1e12, 1)
        self.effort_edit.show_unit(self.tr("million places tried"), MILLION)
        self.seed_edit.edited.connect(lambda value: self.search_edited.emit("seed", round(value)))
        self.effort_edit.edited.connect(lambda value: self.search_edited.emit("effort", round(value)))
        self.state = QLabel()
        self.figures = QLabel()
        self.figures.setWordWrap(True)
        self.figures.setAccessibleName(self.tr("Boxes so far"))
        self._boxes: tuple[Mapping[str, Any], ...] = ()
        self._arrange()
        self.show_state(False, False)
        LENGTHS.changed.connect(self._show_boxes_anew)

    def _arrange(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(3)
        row = QHBoxLayout()
        row.addWidget(self.nest_button)
        row.addWidget(self.stop_button)
        row.addWidget(self.state, 1)
        column.addLayout(row)
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        fields = (
            (self.tr("At most"), self.seconds_edit, 0, 0),
            (self.tr("Seed"), self.seed_edit, 0, 2),
            (self.tr("Effort"), self.effort_edit, 1, 0),
        )
        for text, edit, down, across in fields:
            label = QLabel(text)
            label.setBuddy(edit)
            grid.addWidget(label, down, across)
            grid.addWidget(edit, down, across + 1, 1, 1 if down == 0 else 3)
        grid.setColumnStretch(4, 1)
        column.addLayout(grid)
        column.addWidget(self.figures)

    @property
    def seconds(self) -> float | None:
        """How long the search may go on; None: the job's effort counts."""
        self.seconds_edit.interpretText()
        return self.seconds_edit.value() or None

    def show_search(self, search: Mapping[str, int]) -> None:
        """Show the job's seed and effort."""
        self.seed_edit.show_stored(search["seed"])
        self.effort_edit.show_stored(search["effort"])

    def show_state(self, can_nest: bool, is_nesting: bool) -> None:
        """Show whether a search can begin, and whether one is going on."""
        self.nest_button.setEnabled(can_nest and not is_nesting)
        self.stop_button.setEnabled(is_nesting)
        self.state.setText(self.tr("Searching…") if is_nesting else "")

    def show_boxes(self, boxes: Sequence[Mapping[str, Any]]) -> None:
        """Show how high and full each box is."""
        self._boxes = tuple(boxes)
        self.figures.setText("\n".join(self._line(n, box) for n, box in enumerate(boxes)))
        self.figures.setVisible(bool(boxes))

    def _show_boxes_anew(self) -> None:
        self.show_boxes(self._boxes)

    def _line(self, n: int, box: Mapping[str, Any]) -> str:
        return self.tr("Box {0}: {1} cores, {2} high, {3} % full; none can be lower than {4}").format(
            n + 1,
            box["cores"],
            length(box["height_mm"], 1),
            number(box["fill_pct"], 1),
            length(box["least_height_mm"], 1),
        )
