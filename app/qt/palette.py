"""Colours of the window: a published colour-blind-safe set, and what the system palette says.

The set is Okabe and Ito, "Color Universal Design (CUD)", 2008, jfly.uni-koeln.de/color; no meaning is
told by colour alone.
"""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

ORANGE = QColor("#E69F00")
SKY_BLUE = QColor("#56B4E9")
BLUISH_GREEN = QColor("#009E73")
YELLOW = QColor("#F0E442")
BLUE = QColor("#0072B2")
VERMILLION = QColor("#D55E00")
REDDISH_PURPLE = QColor("#CC79A7")

CORE_COLOURS = (SKY_BLUE, ORANGE, BLUISH_GREEN, REDDISH_PURPLE, BLUE, YELLOW, VERMILLION)
"""Colours of cores in the order of their ids; they repeat after seven."""


TEXT_CONTRAST = 4.5
"""Least contrast of text and its ground: success criterion 1.4.3 of WCAG 2.1, level AA."""


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
    return mixed(ink(palette), ground(palette), 0.55)


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


def luminance(colour: QColor) -> float:
    """Return the relative luminance of WCAG 2.1, 0 to 1."""
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: QColor, other: QColor) -> float:
    """Return the contrast of two colours by WCAG 2.1, 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def clear_palette(system: QPalette) -> QPalette:
    """Return a palette with only those roles of the system's set that can't be read, made readable."""
    role, clear = QPalette.ColorRole, QPalette()
    chosen, text = system.color(role.Highlight), system.color(role.HighlightedText)
    away = QColor("black") if luminance(text) > luminance(chosen) else QColor("white")
    share = 0.0
    while contrast(text, mixed(chosen, away, share)) < TEXT_CONTRAST and share < 1.0:
        share += 0.05
    if share:
        clear.setColor(role.Highlight, mixed(chosen, away, share))
    if (
        contrast(seen_over(system.color(role.PlaceholderText), ground(system)), ground(system))
        < TEXT_CONTRAST
    ):
        clear.setColor(role.PlaceholderText, mixed(ink(system), ground(system), 0.35))
    if contrast(system.color(role.Link), system.color(role.Window)) < TEXT_CONTRAST:
        clear.setColor(role.Link, accent(system))
    return clear


def read_clearly(application: QApplication) -> None:
    """Have the application's colours follow the system, but for those that can't be read."""
    application.setPalette(QPalette())
    application.setPalette(clear_palette(application.palette()))


def seen_over(colour: QColor, below: QColor) -> QColor:
    """Return what is seen of a colour that lets its ground through."""
    return mixed(QColor(colour.rgb()), below, 1.0 - colour.alphaF())
