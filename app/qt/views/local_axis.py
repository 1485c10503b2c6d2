"""Axes whose numbers are written as the user's locale writes them."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QLocale


class LocalAxis(pg.AxisItem):
    """An axis with the locale's decimal sign."""

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        """Return the numbers as text."""
        sign = QLocale().decimalPoint()
        return [text.replace(".", sign) for text in super().tickStrings(values, scale, spacing)]


def local_axes() -> dict[str, LocalAxis]:
    """Return the left and lower axis of a plot."""
    return {side: LocalAxis(side) for side in ("left", "bottom")}
