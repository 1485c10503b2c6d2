"""The row under the box view: what clicks and drags do there, and what is read at the chosen core."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QLabel,
    QMenu,
    QSizePolicy,
    QToolBar,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.qt.figures import length
from app.qt.hand_placing import STEP_MM, GapReading
from app.qt.number_edit import NumberEdit

LEAST_STEP_MM, MOST_STEP_MM = 0.1, 500.0
PLAYER = "unpack"


class BoxTools(QWidget):
    """Buttons for the tools, the step, turn and lock of a core that is moved, and a line of text."""

    tool_asked = Signal(str)
    step_changed = Signal(float)
    turn_asked = Signal(int)
    lay_asked = Signal(int)
    lock_asked = Signal()
    box_asked = Signal(int)
    """Takes the box (from 0) into which the chosen core is to go."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tool = "look"
        self.group = QButtonGroup(self)
        self.buttons = {
            "look": self._button(self.tr("Look"), self.tr("Turn the box and choose cores (Escape)")),
            "move": self._button(self.tr("Move cores"), self.tr("Move and turn cores by hand (M)")),
            "measure": self._button(self.tr("Measure"), self.tr("Measure between two places (D)")),
            PLAYER: self._button(self.tr("Unpack"), self.tr("Play how the box is unpacked (U)")),
        }
        for tool, button in self.buttons.items():
            self.group.addButton(button)
            button.clicked.connect(lambda _=False, tool=tool: self.tool_asked.emit(tool))
        self.step_edit = NumberEdit(self.tr("Step"), "mm", LEAST_STEP_MM, MOST_STEP_MM, 1)
        self.step_edit.show_stored(STEP_MM)
        self.step_edit.setToolTip(self.tr("How far an arrow key moves the core; with Shift a tenth of it"))
        self.step_edit.edited.connect(self.step_changed)
        self.turn_button = QToolButton()
        self.turn_button.setText(self.tr("Turn"))
        self.turn_button.setPopupMode(QToolButton.ToolButtonPopupMode.MenuButtonPopup)
        self.turn_button.setToolTip(self.tr("Next allowed orientation that is clear here (R)"))
        self.turn_button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.turn_button.clicked.connect(lambda: self.turn_asked.emit(1))
        self.turn_menu = QMenu(self.turn_button)
        self.turn_button.setMenu(self.turn_menu)
        self.lock_button = QToolButton()
        self.lock_button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.lock_button.setToolTip(self.tr("A locked core stays where it is when the rest is nested (L)"))
        self.lock_button.clicked.connect(self.lock_asked)
        self.box_button = QToolButton()
        self.box_button.setText(self.tr("To box"))
        self.box_button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.box_button.setToolTip(
            self.tr("Let the core down into another box, where it comes to lie lowest")
        )
        self.box_button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.box_menu = QMenu(self.box_button)
        self.box_button.setMenu(self.box_menu)
        self._boxes, self._box = 0, 0
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.text.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._arrange()
        self.show_tool("look")
        self.show_reading(None)

    def _button(self, text: str, tip: str) -> QToolButton:
        button = QToolButton()
        button.setText(text)
        button.setToolTip(tip)
        button.setAccessibleName(text)
        button.setCheckable(True)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        return button

    def _arrange(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 2)
        column.setSpacing(2)
        bar = QToolBar()  # what finds no room in a narrow window goes behind its arrow
        bar.setAccessibleName(self.tr("Tools of the box view"))
        for button in self.buttons.values():
            bar.addWidget(button)
        bar.addSeparator()
        moving = (self.step_edit, self.turn_button, self.lock_button, self.box_button)
        self._moving = [bar.addWidget(widget) for widget in moving]
        column.addWidget(bar)
        column.addWidget(self.text)

    def show_tool(self, tool: str) -> None:
        """Show which tool is taken up."""
        self._tool = tool
        self.buttons[tool].setChecked(True)
        for action in self._moving:
            action.setVisible(tool == "move")
        self._moving[-1].setVisible(tool == "move" and self._boxes > 1)
        hints = {
            "move": self.tr("Choose a core: its gap is shown, and it can be moved."),
            "measure": self.tr("Click a place on a core, then a second one."),
        }
        self.say(hints.get(tool, ""))

    def show_boxes(self, count: int, shown: int) -> None:
        """Offer the other boxes of the plan; one box alone is no choice."""
        self._boxes, self._box = count, shown
        self.box_menu.clear()
        for box in range(count):
            action = self.box_menu.addAction(self.tr("Box {0}").format(box + 1))
            action.setEnabled(box != shown)
            action.triggered.connect(lambda _=False, box=box: self.box_asked.emit(box))
        self._moving[-1].setVisible(self._tool == "move" and count > 1)

    def say(self, text: str) -> None:
        """Show a line of text; none takes no room."""
        self.text.setText(text)
        self.text.setVisible(bool(text))

    def show_reading(self, reading: GapReading | None, names: dict[str, str] | None = None) -> None:
        """Show what was measured at the chosen core."""
        for button in (self.turn_button, self.lock_button, self.box_button):
            button.setEnabled(reading is not None)
        locked = reading is not None and reading.is_locked
        self.lock_button.setText(self.tr("Set free") if locked else self.tr("Lock"))
        if reading is None:
            if self._tool == "move":
                self.say(self.tr("Choose a core: its gap is shown, and it can be moved."))
            return
        self._show_turns(reading)
        if self._tool == "move":
            self.say(self.reading_text(reading, names or {}))

    def reading_text(self, reading: GapReading, names: dict[str, str]) -> str:
        """Return a reading as a sentence: the nearest core, the nearest wall, and what stood in the way."""
        parts = [self.tr("Locked.")] if reading.is_locked else []
        if reading.gap is None:
            parts.append(self.tr("No other core near."))
        elif reading.gap.get("region") is not None:
            parts.append(
                self.tr("Gap {0} to the region to keep out of, {1} ({2} asked for).").format(
                    length(reading.gap["distance_mm"], 2),
                    reading.gap["region"],
                    length(reading.gap["need_mm"], 2),
                )
            )
        elif reading.gap["distance_mm"] <= 0.0:
            core, copy = reading.gap["other"]
            parts.append(self.tr("Overlaps {0} {1}.").format(names.get(core, core), copy + 1))
        else:
            core, copy = reading.gap["other"]
            parts.append(
                self.tr("Gap {0} to {1} {2} ({3} asked for).").format(
                    length(reading.gap["distance_mm"], 2),
                    names.get(core, core),
                    copy + 1,
                    length(reading.gap["need_mm"], 2),
                )
            )
        parts.append(
            self.tr("{0}: {1} ({2} asked for).").format(
                self._side(reading.side["side"]),
                length(reading.side["distance_mm"], 2),
                length(reading.side["need_mm"], 2),
            )
        )
        if reading.refused:
            parts.append(reading.refused)
        return " ".join(parts)

    def _side(self, side: str) -> str:
        sides = {
            "left wall": self.tr("Left wall"),
            "right wall": self.tr("Right wall"),
            "front wall": self.tr("Front wall"),
            "back wall": self.tr("Back wall"),
            "floor": self.tr("Floor"),
            "top": self.tr("Top of the box"),
        }
        return sides.get(side, side)

    def _show_turns(self, reading: GapReading) -> None:
        self.turn_menu.clear()
        for place, label in enumerate(reading.orientations):
            action = self.turn_menu.addAction(label)
            action.setCheckable(True)
            action.setChecked(place == reading.orientation)
            action.triggered.connect(lambda _=False, place=place: self.lay_asked.emit(place))
