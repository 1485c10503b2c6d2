"""Figures in the user's own way of writing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QLocale

from app.qt import figures
from app.qt.lengths import LENGTHS


@pytest.fixture
def german() -> Iterator[None]:
    """Run in German."""
    before = QLocale()
    QLocale.setDefault(QLocale("de_DE"))
    yield
    QLocale.setDefault(before)


def test_digits_follow_the_size_and_whole_ones_stay() -> None:
    assert figures.quantity(0.01234, "kg") == "0.0123 kg"
    assert figures.quantity(1234.6, "kg") == "1,235 kg"
    assert figures.quantity(0.0, "kg") == "0 kg"
    assert figures.quantity(None, "kg") == "–"
    assert figures.quantity(4000.0, "s") == "1 h 07 min"
    assert figures.quantity(38.1e6, "mm³") == "38.1 L"


def test_stated_numbers_show_what_was_stated() -> None:
    assert figures.stated(0.3, "mm") == "0.3 mm"
    assert figures.stated(800.0, "mm") == "800 mm"
    assert figures.stated(0.0125, "") == "0.0125"


def test_money_keeps_its_two_decimals() -> None:
    assert figures.money("1684.7", "EUR") == "1,684.70 EUR"
    assert figures.money(None, "EUR") == "–"


def test_german_has_its_comma_and_its_words(german: None) -> None:
    assert figures.quantity(0.01234, "kg") == "0,0123 kg"
    assert figures.money("1684.7", "EUR") == "1.684,70 EUR"
    assert figures.language() == "de"
    assert figures.words("build_time_s") != "Build time"


def test_a_measured_length_is_shown_in_the_unit_chosen() -> None:
    assert figures.length(12.3456, 2) == "12.35 mm"
    LENGTHS.show_in("inch")
    try:
        assert figures.length(25.4, 2) == "1.0000 in"
    finally:
        LENGTHS.show_in("mm")
