"""Text and signs keep their contrast in light and dark, by the formula of WCAG 2.1 (relative luminance)."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QPalette

from app.qt import palette as colours
from app.qt.views.severity import EDGE, SIGN_COLOURS
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
    """Return a light and a dark palette, as the program makes them readable."""
    system = dark_palette() if request.param == "dark" else QPalette(QColor("#efefef"))
    if request.param == "light":
        system.setColor(QPalette.ColorRole.Base, QColor("white"))
        system.setColor(QPalette.ColorRole.Highlight, QColor("#308cc6"))  # Qt's own: white on it has 3.7
        system.setColor(QPalette.ColorRole.HighlightedText, QColor("white"))
        system.setColor(QPalette.ColorRole.PlaceholderText, QColor(0, 0, 0, 128))
    return colours.clear_palette(system).resolve(system)


def test_the_formula_gives_the_known_ends() -> None:
    assert contrast(QColor("black"), QColor("white")) == pytest.approx(21.0)
    assert contrast(QColor("#777777"), QColor("white")) == pytest.approx(
        4.48, abs=0.01
    )  # the known borderline


ROLE = QPalette.ColorRole
TEXTS = (
    (ROLE.Text, ROLE.Base),
    (ROLE.Text, ROLE.AlternateBase),
    (ROLE.WindowText, ROLE.Window),
    (ROLE.ButtonText, ROLE.Button),
    (ROLE.HighlightedText, ROLE.Highlight),
    (ROLE.PlaceholderText, ROLE.Base),
    (ROLE.Link, ROLE.Window),
    (ROLE.ToolTipText, ROLE.ToolTipBase),
)


def test_text_is_readable(palette: QPalette) -> None:
    for text, ground in TEXTS:
        below = palette.color(ground)
        assert contrast(colours.seen_over(palette.color(text), below), below) >= TEXT, text
    quiet = colours.mixed(colours.ink(palette), colours.ground(palette), 0.25)  # the remedy of a finding
    assert contrast(quiet, colours.ground(palette)) >= TEXT
    assert contrast(colours.accent(palette), colours.ground(palette)) >= TEXT  # links in the help


def test_a_palette_that_can_be_read_stays_the_systems() -> None:
    system = QPalette(QColor("#efefef"))
    for role, name in ((ROLE.Base, "white"), (ROLE.Highlight, "#00457a"), (ROLE.HighlightedText, "white")):
        system.setColor(role, QColor(name))
    system.setColor(ROLE.PlaceholderText, QColor("#555555"))
    system.setColor(ROLE.Link, QColor("#0000cc"))
    clear = colours.clear_palette(system)
    for role in (ROLE.Highlight, ROLE.PlaceholderText, ROLE.Link, ROLE.Base):
        assert not clear.isBrushSet(QPalette.ColorGroup.Active, role)


def test_the_programs_contrast_is_that_of_the_formula() -> None:
    for one in colours.CORE_COLOURS:
        for other in (QColor("white"), QColor("#1e1e1e"), colours.BLUE):
            assert colours.contrast(one, other) == pytest.approx(contrast(one, other))


def test_what_is_held_and_drawn_stands_out(palette: QPalette) -> None:
    ground = colours.ground(palette)
    assert contrast(colours.accent(palette), ground) >= GRAPHICS
    assert contrast(colours.faint_ink(palette), ground) >= GRAPHICS  # frames, axes, what can be edited
    for colour in colours.CORE_COLOURS:
        assert contrast(colours.readable(colour, palette), ground) >= GRAPHICS, colour.name()


def test_signs_of_severity_show_on_light_and_dark() -> None:
    """By their edge or their fill on the ground, and by the mark within them."""
    marks = {"stop": QColor("white"), "check": QColor("black"), "note": QColor("white")}
    for severity, fill in SIGN_COLOURS.items():
        assert contrast(fill, marks[severity]) >= GRAPHICS, severity
        edge = colours.mixed(fill, QColor("black"), EDGE)
        for ground in (QColor("white"), dark_palette().color(ROLE.Base)):
            assert max(contrast(edge, ground), contrast(fill, ground)) >= GRAPHICS, severity


def test_the_same_cores_get_the_same_colours_in_any_order() -> None:
    assert colours.core_colours(["b", "a", "c"]) == colours.core_colours(["c", "b", "a", "a"])
    assert len({c.name() for c in colours.CORE_COLOURS}) == len(colours.CORE_COLOURS)
