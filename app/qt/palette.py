"""Colours of the window: a published colour-blind-safe set, and what the system palette says.

The set is Okabe and Ito, "Color Universal Design (CUD)", 2008, jfly.uni-koeln.de/color; no meaning is
told by colour alone.
"""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtGui import QColor, QPalette

ORANGE = QColor("#E69F00")
SKY_BLUE = QColor("#56B4E9")
BLUISH_GREEN = QColor("#009E73")
YELLOW = QColor("#F0E442")
BLUE = QColor("#0072B2")
VERMILLION = QColor("#D55E00")
REDDISH_PURPLE = QColor("#CC79A7")

CORE_COLOURS = (SKY_BLUE, ORANGE, BLUISH_GREEN, REDDISH_PURPLE, BLUE, YELLOW, VERMILLION)
"""Colours of cores in the order of their ids; they repeat after seven."""


def core_colours(core_ids: Iterable[str]) -> dict[str, QColor]:
    """Return a colour for each core, the same for the same set of ids."""
    ordered = sorted(set(core_ids))
    return {core_id: CORE_COLOURS[i % len(CORE_COLOURS)] for i, core_id in enumerate(ordered)}


def is_dark(palette: QPalette) -> bool:
    """Return True if the palette writes light on dark."""
    return palette.color(QPalette.ColorRole.Window).lightnessF() < 0.5


def ground(palette: QPalette) -> QColor:
    """Return the background of drawings."""
    return palette.color(QPalette.ColorRole.Base)


def ink(palette: QPalette) -> QColor:
    """Return the colour of lines and text on drawings."""
    return palette.color(QPalette.ColorRole.Text)


def faint_ink(palette: QPalette) -> QColor:
    """Return ink for grids and frames that must not compete with the drawing."""
    return mixed(ink(palette), ground(palette), 0.62)


def accent(palette: QPalette) -> QColor:
    """Return the colour of what the user holds: the layer shown."""
    return SKY_BLUE if is_dark(palette) else BLUE


def readable(colour: QColor, palette: QPalette) -> QColor:
    """Return the colour drawn toward the ink, so that a thin line of it shows on the background."""
    if is_dark(palette):
        return mixed(colour, QColor("white"), 0.10)
    return mixed(colour, QColor("black"), 0.48 if colour is YELLOW else 0.34)


def mixed(one: QColor, other: QColor, share: float) -> QColor:
    """Return `one` with `share` (0 to 1) of `other` mixed in."""
    keep = 1.0 - share
    return QColor.fromRgbF(
        one.redF() * keep + other.redF() * share,
        one.greenF() * keep + other.greenF() * share,
        one.blueF() * keep + other.blueF() * share,
    )
