"""Text and signs keep their contrast in light and dark, by the formula of WCAG 2.1 (relative luminance)."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QPalette

from app.qt import palette as colours
from tests.app.qt.screenshots import dark_palette

TEXT, GRAPHICS = 4.5, 3.0
"""Least contrast of text (success criterion 1.4.3) and of graphics (1.4.11)."""


def luminance(colour: QColor) -> float:
    """Return the relative luminance of WCAG 2.1."""
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: QColor, other: QColor) -> float:
    """Return the contrast of two colours, 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.fixture(params=["light", "dark"])
def palette(request: pytest.FixtureRequest) -> QPalette:
    """Return a light and a dark palette."""
    if request.param == "dark":
        return dark_palette()
    light = QPalette(QColor("#efefef"))
    light.setColor(QPalette.ColorRole.Base, QColor("white"))
    return light


def test_the_formula_gives_the_known_ends() -> None:
    assert contrast(QColor("black"), QColor("white")) == pytest.approx(21.0)
    assert contrast(QColor("#777777"), QColor("white")) == pytest.approx(
        4.48, abs=0.01
    )  # the known borderline


def test_text_is_readable(palette: QPalette) -> None:
    ground = colours.ground(palette)
    assert contrast(colours.ink(palette), ground) >= TEXT
    quiet = colours.mixed(colours.ink(palette), ground, 0.25)  # the remedy of a finding
    assert contrast(quiet, ground) >= TEXT


def test_what_is_held_and_drawn_stands_out(palette: QPalette) -> None:
    ground = colours.ground(palette)
    assert contrast(colours.accent(palette), ground) >= GRAPHICS
    for colour in colours.CORE_COLOURS:
        assert contrast(colours.readable(colour, palette), ground) >= GRAPHICS, colour.name()


def test_the_same_cores_get_the_same_colours_in_any_order() -> None:
    assert colours.core_colours(["b", "a", "c"]) == colours.core_colours(["c", "b", "a", "a"])
    assert len({c.name() for c in colours.CORE_COLOURS}) == len(colours.CORE_COLOURS)
