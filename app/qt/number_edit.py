"""A number field that no locale can turn into ten times its value, with its unit in sight.

A stock spin box reads "12.5" as 125 where the comma is the decimal sign (and "12,5" as 125 where the point
is), because the other sign counts as a group separator. Here both are the decimal sign, and a number with
two separators is refused. A length is shown in the unit that the window shows lengths in.
"""

from __future__ import annotations

from PySide6.QtCore import QLocale, Signal
from PySide6.QtGui import QValidator
from PySide6.QtWidgets import QDoubleSpinBox, QWidget

from app.qt.lengths import LENGTHS, STORED, STORED_DECIMALS

SEPARATORS = ".,٫"
FARTHEST = 1e12


def read_number(text: str, locale: QLocale) -> float | None:
    """Return the number in a text with either decimal sign; None if it is none, or has two separators."""
    if sum(text.count(separator) for separator in SEPARATORS) > 1:
        return None
    for separator in SEPARATORS:
        text = text.replace(separator, locale.decimalPoint())
    value, is_number = locale.toDouble(text.strip())
    return value if is_number else None


class NumberEdit(QDoubleSpinBox):
    """Shows a stored number in the unit shown; `edited` tells what the user entered, in the stored unit."""

    edited = Signal(float)

    def __init__(
        self,
        name: str,
        unit: str,
        low: float,
        high: float,
        decimals: int = 2,
        parent: QWidget | None = None,
        *,
        is_free: bool = False,
    ) -> None:
        """`is_free`: any number can be typed (somebody else says what is refused); steps keep the range."""
        super().__init__(parent)
        self._name, self._stated_decimals = name, decimals
        self._stored = low
        self._per_shown = 1.0
        self._typed = False
        self._limits, self._is_free = (low, high), is_free
        locale = QLocale(self.locale())
        locale.setNumberOptions(
            QLocale.NumberOption.OmitGroupSeparator | QLocale.NumberOption.RejectGroupSeparator
        )
        self.setLocale(locale)
        self.setKeyboardTracking(False)
        self.setDecimals(decimals)
        if unit == STORED:
            self._follow_lengths()
            LENGTHS.changed.connect(self._follow_lengths)
        else:
            self.show_unit(unit, 1.0)
        self.editingFinished.connect(self._tell)
        self.lineEdit().textEdited.connect(self._note_typing)

    @property
    def stored(self) -> float:
        """The number in the stored unit."""
        return self._stored

    @property
    def entered(self) -> float:
        """The number in the field as it is now, in the stored unit."""
        return self._in_stored(self.value())

    @property
    def was_typed(self) -> bool:
        """True if the user has typed since `show_stored`."""
        return self._typed

    def typed(self) -> float | None:
        """Return the number in the field as it is typed so far, in the stored unit; None while it is none."""
        value = read_number(self.lineEdit().text().removesuffix(self.suffix()), self.locale())
        return None if value is None else self._in_stored(value)

    def differs_from(self, stored: float) -> bool:
        """Return True if the field holds another number than `stored`; rounding for display is none."""
        return round(self.value(), self.decimals()) != round(stored / self._per_shown, self.decimals())

    def _note_typing(self) -> None:
        self._typed = True

    def _in_stored(self, value: float) -> float:
        return value if self._per_shown == 1.0 else round(value * self._per_shown, STORED_DECIMALS)

    def show_stored(self, value: float) -> None:
        """Show a stored number; nothing counts as edited."""
        self._typed = False
        self._stored = value
        before = self.blockSignals(True)
        self.setValue(value / self._per_shown)
        self.blockSignals(before)

    def show_unit(self, unit: str, per_shown: float) -> None:
        """Show the number in another unit, of which one is `per_shown` stored units; the number stays."""
        self._per_shown = per_shown
        low, high = (-FARTHEST, FARTHEST) if self._is_free else self._limits
        before = self.blockSignals(True)
        self.setAccessibleName(f"{self._name}, {unit}" if unit else self._name)
        self.setSuffix(f" {unit}" if unit else "")
        self.setRange(low / per_shown, high / per_shown)
        self.setValue(self._stored / per_shown)
        self.blockSignals(before)

    def _follow_lengths(self) -> None:
        self.setDecimals(self._stated_decimals + LENGTHS.more_decimals)
        self.show_unit(LENGTHS.sign, LENGTHS.per_shown)

    def stepBy(self, steps: int) -> None:
        """Step within the range, whatever may be typed."""
        super().stepBy(steps)
        if self._is_free:
            low, high = (limit / self._per_shown for limit in self._limits)
            self.setValue(min(max(self.value(), low), high))

    def _tell(self) -> None:
        """Tell an entry that differs from what is shown; rounding for display is no edit."""
        if self.differs_from(self._stored):
            self._stored = self.entered
            self.edited.emit(self._stored)

    def _with_one_sign(self, text: str) -> str | None:
        """Return the text with the locale's decimal sign, None if it has more than one separator."""
        sign = self.locale().decimalPoint()
        number = text.removesuffix(self.suffix())
        if sum(number.count(separator) for separator in SEPARATORS) > 1:
            return None
        for separator in SEPARATORS:
            number = number.replace(separator, sign)
        return number + text[len(text.removesuffix(self.suffix())) :]

    def validate(self, text: str, position: int) -> tuple[QValidator.State, str, int]:
        """Judge a text as typed, with either decimal sign."""
        read = self._with_one_sign(text)
        if read is None:
            return QValidator.State.Invalid, text, position
        return super().validate(read, position)

    def valueFromText(self, text: str) -> float:
        """Return the number in a text with either decimal sign."""
        read = self._with_one_sign(text)
        return self.value() if read is None else super().valueFromText(read)

    def textFromValue(self, value: float) -> str:
        """Return the number without closing zeros."""
        text = self.locale().toString(value, "f", self.decimals())
        sign = self.locale().decimalPoint()
        return text.rstrip("0").rstrip(sign) if sign in text else text
