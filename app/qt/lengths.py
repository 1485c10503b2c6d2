"""The unit in which the window shows and takes lengths: mm or inch. What is stored stays in mm.

Like the locale it holds for the whole window; `LENGTHS.changed` says when all has to be shown anew.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from corelib.units import mm_per

STORED = "mm"
SIGNS = {"mm": "mm", "inch": "in"}
"""The units that can be chosen, and how each is written behind a number."""
INCH_DECIMALS = 2
"""More decimals for an inch than for a mm: a hundredth of a mm is four ten-thousandths of an inch."""
SHOWN_DECIMALS = 5
STORED_DECIMALS = 9
"""A length that was entered is rounded to this in mm: 1.5 in is 38.1 mm, without the noise of a product."""


class Lengths(QObject):
    """The unit of length shown."""

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._unit = STORED

    @property
    def unit(self) -> str:
        """Return `mm` or `inch`."""
        return self._unit

    @property
    def sign(self) -> str:
        """Return how the unit is written: `mm` or `in`."""
        return SIGNS[self._unit]

    @property
    def per_shown(self) -> float:
        """Return the mm in one unit shown."""
        return mm_per(self._unit)

    @property
    def more_decimals(self) -> int:
        """Return how many decimals more than in mm a length is shown with."""
        return 0 if self._unit == STORED else INCH_DECIMALS

    def shown(self, length_mm: float) -> float:
        """Return a length in the unit shown; of an inch as far as a ten-thousandth of a mm can be told."""
        return length_mm if self._unit == STORED else round(length_mm / self.per_shown, SHOWN_DECIMALS)

    def stored(self, shown: float) -> float:
        """Return a length given in the unit shown in mm."""
        return shown if self._unit == STORED else round(shown * self.per_shown, STORED_DECIMALS)

    def show_in(self, unit: str) -> None:
        """Show lengths in another unit from now on; raises KeyError for one that can't be chosen."""
        if unit not in SIGNS:
            raise KeyError(unit)
        if unit != self._unit:
            self._unit = unit
            self.changed.emit()


LENGTHS = Lengths()
