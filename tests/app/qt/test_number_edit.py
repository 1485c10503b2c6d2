"""No number field may make 125 of 12.5, in any locale, whichever sign is typed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.lengths import LENGTHS
from app.qt.number_edit import NumberEdit

LOCALES = ("en_GB", "de_DE", "fr_FR", "de_CH", "ar_EG")


@pytest.fixture(params=LOCALES)
def locale(request: pytest.FixtureRequest) -> Iterator[QLocale]:
    """Run in a locale."""
    before = QLocale()
    QLocale.setDefault(QLocale(request.param))
    yield QLocale()
    QLocale.setDefault(before)


def field(qtbot: QtBot, low: float = 0.0, high: float = 20_000.0) -> NumberEdit:
    """Return a shown field in mm."""
    edit = NumberEdit("Gap", "mm", low, high)
    qtbot.addWidget(edit)
    edit.show()
    edit.show_stored(5.0)
    return edit


def type_in(qtbot: QtBot, edit: NumberEdit, text: str) -> None:
    """Type over what the field holds and confirm."""
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClicks(edit, text)
    qtbot.keyClick(edit, Qt.Key.Key_Return)


@pytest.mark.parametrize("typed", ["12.5", "12,5"])
def test_either_sign_is_the_decimal_sign(qtbot: QtBot, locale: QLocale, typed: str) -> None:
    edit = field(qtbot)
    told: list[float] = []
    edit.edited.connect(told.append)
    type_in(qtbot, edit, typed)
    assert edit.value() == 12.5
    assert told == [12.5]


@pytest.mark.parametrize("typed", ["1.234,5", "1,234.5", "1.2.3", "1,,5"])
def test_a_second_separator_is_refused(qtbot: QtBot, locale: QLocale, typed: str) -> None:
    """As typed, the second sign does not enter; pasted, the whole text does not."""
    edit = field(qtbot)
    QApplication.clipboard().setText(typed)
    edit.setFocus()
    edit.selectAll()
    edit.lineEdit().paste()
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert edit.value() == 5.0


def test_the_unit_is_in_sight_and_in_the_name(qtbot: QtBot, locale: QLocale) -> None:
    edit = field(qtbot)
    assert edit.text().endswith(" mm")
    assert edit.accessibleName() == "Gap, mm"


def test_what_is_out_of_range_is_no_entry(qtbot: QtBot) -> None:
    edit = field(qtbot, high=50.0)
    told: list[float] = []
    edit.edited.connect(told.append)
    type_in(qtbot, edit, "999")
    assert edit.value() <= 50.0
    assert all(value <= 50.0 for value in told)


def test_looking_at_a_number_in_inches_does_not_change_it(qtbot: QtBot) -> None:
    edit = field(qtbot)
    told: list[float] = []
    edit.edited.connect(told.append)
    edit.show_stored(5.0)
    LENGTHS.show_in("inch")
    assert edit.text().endswith(" in")
    assert edit.accessibleName() == "Gap, in"
    edit.setFocus()
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert edit.stored == 5.0
    assert told == []
    type_in(qtbot, edit, "1.5")
    assert told == [38.1]  # an inch is 25.4 mm exactly (1959)
    LENGTHS.show_in("mm")
    assert edit.value() == 38.1
    assert edit.text().endswith(" mm")


@pytest.mark.parametrize("name", LOCALES)
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(value=st.integers(0, 2_000_000).map(lambda n: n / 100))
def test_what_is_shown_is_read_back_the_same(qtbot: QtBot, name: str, value: float) -> None:
    before = QLocale()
    QLocale.setDefault(QLocale(name))
    try:
        edit = NumberEdit("Length", "mm", 0.0, 20_000.0)
        edit.show_stored(value)
        assert edit.valueFromText(edit.text()) == pytest.approx(value, abs=1e-9)
        assert edit.valueFromText(f"{value:.2f} mm") == pytest.approx(value, abs=1e-9)
        edit.deleteLater()
    finally:
        QLocale.setDefault(before)
