"""The player of the unpacking: transport, stage in words, and the cautions before the work."""

from __future__ import annotations

import math

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QSlider,
    QStyle,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.qt.figures import length, number
from app.qt.lengths import LENGTHS
from app.qt.unpacking import Moment, Unpacking

TICK_MS = 50
MOMENT_S = 1.2
NOTHING = Unpacking((), 0, ())


class UnpackingPlayer(QWidget):
    """Plays moments one after the other; `moved(place)` tells where: moment and share done, as one number.

    Space plays and pauses, Left and Right step, Home and End go to start and end.
    """

    moved = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._unpacking = NOTHING
        self._names: tuple[str, ...] = ()
        self._place = 0.0
        self._timer = QTimer(self)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self._tick)
        icons = QStyle.StandardPixmap
        self.back_button = self._button(
            icons.SP_MediaSkipBackward, self.tr("Step back"), lambda: self.step(-1)
        )
        self.play_button = self._button(icons.SP_MediaPlay, self.tr("Play"), self.play_or_pause)
        self.on_button = self._button(icons.SP_MediaSkipForward, self.tr("Step on"), lambda: self.step(1))
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setAccessibleName(self.tr("Moment of the unpacking"))
        self.slider.valueChanged.connect(self._go_to)
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.cautions = _Cautions()
        self.cautions.setAccessibleName(self.tr("Cautions before unpacking"))
        self._arrange()
        self.show_unpacking(NOTHING, (), "")
        LENGTHS.changed.connect(self._show_words)

    def _button(self, icon: QStyle.StandardPixmap, name: str, do: object) -> QToolButton:
        button = QToolButton()
        button.setIcon(self.style().standardIcon(icon))
        button.setToolTip(name)
        button.setAccessibleName(name)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.clicked.connect(do)
        return button

    def _arrange(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 2)
        column.setSpacing(2)
        row = QHBoxLayout()
        for widget in (self.back_button, self.play_button, self.on_button):
            row.addWidget(widget)
        row.addWidget(self.slider, 1)
        column.addLayout(row)
        column.addWidget(self.text)
        column.addWidget(self.cautions)

    # --- what is played -----------------------------------------------------------------------------

    @property
    def is_playing(self) -> bool:
        """True while it plays by itself."""
        return self._timer.isActive()

    @property
    def place(self) -> float:
        """Moments done, the present one by its share."""
        return self._place

    def moment(self) -> tuple[Moment, float] | None:
        """Return the present moment and the share of it that is done; None before the first."""
        moments = self._unpacking.moments
        if not moments or self._place <= 0.0:
            return None
        number = min(int(self._place), len(moments) - 1)
        if self._place == int(self._place):
            number = int(self._place) - 1
        return moments[number], self._place - number

    def show_unpacking(self, unpacking: Unpacking, names: tuple[str, ...], cautions: str) -> None:
        """Take the unpacking of a box; `names` are its placements' names, `cautions` what to know before."""
        self._timer.stop()
        self._unpacking, self._names = unpacking, names
        self.cautions.setPlainText(cautions)
        self.cautions.setVisible(bool(cautions))
        self._place = 0.0
        self.slider.blockSignals(True)
        self.slider.setRange(0, len(unpacking.moments))
        self.slider.setValue(0)
        self.slider.blockSignals(False)
        for widget in (self.back_button, self.play_button, self.on_button, self.slider):
            widget.setEnabled(bool(unpacking.moments))
        self._tell()

    def play_or_pause(self) -> None:
        """Play on, or stand still; at the end it begins again."""
        if self._timer.isActive():
            self._timer.stop()
        elif self._unpacking.moments:
            if self._place >= len(self._unpacking.moments):
                self._place = 0.0
            self._timer.start()
        self._tell()

    def pause(self) -> None:
        """Stand still."""
        self._timer.stop()
        self._tell()

    def step(self, by: int) -> None:
        """Go to the end of the next moment, or back to that of the last."""
        self._timer.stop()
        whole = int(self._place)
        is_between = self._place != whole
        self._move(float(whole + by if by > 0 or not is_between else whole))

    def _go_to(self, moment: int) -> None:
        self._timer.stop()
        self._move(float(moment))

    def _tick(self) -> None:
        last = self._place
        self._move(last + TICK_MS / (1000.0 * MOMENT_S))
        if int(self._place) > int(last):
            self._move(float(int(self._place)))
        if self._place >= len(self._unpacking.moments):
            self._timer.stop()
            self._tell()

    def _move(self, place: float) -> None:
        self._place = min(max(place, 0.0), float(len(self._unpacking.moments)))
        self.slider.blockSignals(True)
        self.slider.setValue(int(self._place))
        self.slider.blockSignals(False)
        self._tell()

    def _tell(self) -> None:
        playing = self._timer.isActive()
        icon = QStyle.StandardPixmap.SP_MediaPause if playing else QStyle.StandardPixmap.SP_MediaPlay
        self.play_button.setIcon(self.style().standardIcon(icon))
        self.play_button.setToolTip(self.tr("Pause") if playing else self.tr("Play"))
        self.play_button.setAccessibleName(self.play_button.toolTip())
        self._show_words()
        self.moved.emit(self._place)

    def _show_words(self) -> None:
        text = self.words()
        self.text.setText(text)
        self.slider.setAccessibleDescription(text)

    def words(self) -> str:
        """Return what happens now in words."""
        if not self._unpacking.moments:
            return self.tr("There is no unpacking to play: plan the job first.")
        parts = [self._now()]
        if self._unpacking.left and self._place >= len(self._unpacking.moments):
            names = ", ".join(self._names[number] for number in self._unpacking.left)
            parts.append(self.tr("These can't be drawn: {0}.").format(names))
        return " ".join(parts)

    def _now(self) -> str:
        now = self.moment()
        if now is None:
            level = length(self._unpacking.moments[0].from_mm, 1)
            return self.tr("Before unpacking: sand up to {0}, {1} stages.").format(
                level, self._unpacking.stages
            )
        moment, _ = now
        stage = self.tr("Stage {0} of {1}:").format(moment.stage + 1, self._unpacking.stages)
        if moment.core < 0:
            return stage + " " + self.tr("take the sand down to {0}.").format(length(moment.to_mm, 1))
        name, level = self._names[moment.core], length(moment.to_mm, 1)
        if moment.way == "sideways":
            text = self.tr("sand at {0}; draw {1} level out of the box.").format(level, name)
        elif moment.way == "slid":
            far = length(math.hypot(*moment.aside_mm), 0)
            text = self.tr("sand at {0}; slide {1} {2} aside, then draw it up.").format(level, name, far)
        elif moment.tilt_deg < 0.5:
            text = self.tr("sand at {0}; draw {1} straight up.").format(level, name)
        else:
            text = self.tr("sand at {0}; draw {1} at a tilt of {2}°.").format(
                level, name, number(moment.tilt_deg, 0)
            )
        held = " " + self.tr("It is held by hand until then.") if moment.held_by_hand else ""
        return f"{stage} {text}{held}"

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Play, pause, step."""
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
        ends = {Qt.Key.Key_Home: 0.0, Qt.Key.Key_End: float(len(self._unpacking.moments))}
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Space:
            self.play_or_pause()
        elif key in steps:
            self.step(steps[key])
        elif key in ends:
            self._timer.stop()
            self._move(ends[key])
        else:
            super().keyPressEvent(event)


class _Cautions(QPlainTextEdit):
    """A few lines to read, that scroll."""

    def __init__(self) -> None:
        super().__init__()
        self.setReadOnly(True)
        self.setTabChangesFocus(True)
        self.setMaximumHeight(3 * self.fontMetrics().height() + 12)

    def sizeHint(self) -> QSize:
        return QSize(200, self.maximumHeight())
