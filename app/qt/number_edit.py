"""A number field that no locale can turn into ten times its value, with its unit in sight.

A stock spin box reads "12.5" as 125 where the comma is the decimal sign (and "12,5" as 125 where the point
is), because the other sign counts as a group separator. Here both are the decimal sign, and a number with
two separators is refused.
"""

from __future__ import annotations

from PySide6.QtCore import QLocale, Signal
from PySide6.QtGui import QValidator
from PySide6.QtWidgets import QDoubleSpinBox, QWidget

SEPARATORS = ".,٫"


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
    ) -> None:
        super().__init__(parent)
        self._stored = low
        self._per_shown = 1.0
        self._typed = False
        self._limits = (low, high)
        locale = QLocale(self.locale())
        locale.setNumberOptions(
            QLocale.NumberOption.OmitGroupSeparator | QLocale.NumberOption.RejectGroupSeparator
        )
        self.setLocale(locale)
        self.setAccessibleName(f"{name}, {unit}" if unit else name)
        self.setKeyboardTracking(False)
        self.setDecimals(decimals)
        self.show_unit(unit, 1.0)
        self.editingFinished.connect(self._tell)
        self.lineEdit().textEdited.connect(self._note_typing)

    @property
    def stored(self) -> float:
        """The number in the stored unit."""
        return self._stored

    @property
    def was_typed(self) -> bool:
        """True if the user has typed since `show_stored`."""
        return self._typed

    def _note_typing(self) -> None:
        self._typed = True

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
        low, high = self._limits
        before = self.blockSignals(True)
        self.setSuffix(f" {unit}" if unit else "")
        self.setRange(low / per_shown, high / per_shown)
        self.setValue(self._stored / per_shown)
        self.blockSignals(before)

    def _tell(self) -> None:
        """Tell an entry that differs from what is shown; rounding for display is no edit."""
        shown = round(self._stored / self._per_shown, self.decimals())
        if round(self.value(), self.decimals()) == shown:
            return
        self._stored = self.value() * self._per_shown
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
