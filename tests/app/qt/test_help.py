"""Help inside the window: every page in both languages, links that lead somewhere, the page of the step."""

from __future__ import annotations

import re
import subprocess
import tomllib
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.help import FOLDER, PAGES, STEPS, HelpWindow, page_path, page_title
from app.qt.main_window import MainWindow
from corelib.wording import LANGUAGES
from tests.app.qt.conftest import READY_MS
from tests.app.qt.screenshots import dark_palette
from tests.app.qt.test_palette import TEXT, contrast

LINK = re.compile(r"\[[^\]]+\]\(([^)]+)\)")
ROOT = Path(__file__).parents[3]
HEADING = re.compile(r"^(#+) ", re.MULTILINE)


@pytest.mark.parametrize("spoken", LANGUAGES)
def test_every_page_is_there_and_nothing_else(spoken: str) -> None:
    assert {path.stem for path in (FOLDER / spoken).iterdir()} == set(PAGES)
    assert set(STEPS) < set(PAGES)


@pytest.mark.parametrize("page", PAGES)
def test_the_languages_have_the_same_headings_formulas_and_links(page: str) -> None:
    one, other = (page_path(page, spoken).read_text(encoding="utf-8") for spoken in LANGUAGES)
    assert HEADING.findall(one) == HEADING.findall(other)
    assert HEADING.findall(one)[0] == "#"
    assert LINK.findall(one) == LINK.findall(other)
    formulas = [sum(line.startswith("    ") for line in text.splitlines()) for text in (one, other)]
    assert formulas[0] == formulas[1]
    lists = [len(re.findall(r"^(?:-|\d\.) ", text, re.MULTILINE)) for text in (one, other)]
    assert lists[0] == lists[1]


@pytest.mark.parametrize("spoken", LANGUAGES)
@pytest.mark.parametrize("page", PAGES)
def test_links_lead_to_pages_and_never_out(page: str, spoken: str) -> None:
    path = page_path(page, spoken)
    for link in LINK.findall(path.read_text(encoding="utf-8")):
        assert (path.parent / link).is_file(), link


@pytest.mark.parametrize("spoken", LANGUAGES)
def test_pages_about_work_that_can_hurt_lead_to_the_cautions(spoken: str) -> None:
    for page in ("first-job", "cores", "box", "process"):
        assert "(cautions.md)" in page_path(page, spoken).read_text(encoding="utf-8")
    text = page_path("cautions", spoken).read_text(encoding="utf-8")
    assert len(HEADING.findall(text)) == 9


def test_f1_opens_the_page_of_the_step_at_hand(window: MainWindow, qtbot: QtBot) -> None:
    for place, page in enumerate(STEPS):
        window.pages.setCurrentIndex(place)
        qtbot.keyClick(window, Qt.Key.Key_F1)
        shown = window.help.window
        assert shown is not None
        assert shown.isVisible()
        assert shown.page == page
        assert shown.list.currentItem().text() == page_title(page, "en")
        assert shown.browser.toPlainText().startswith(page_title(page, "en"))
        qtbot.keyClick(shown.browser, Qt.Key.Key_Escape)
        assert not shown.isVisible()


def test_the_menu_lists_all_pages_in_the_users_language(qtbot: QtBot) -> None:
    QLocale.setDefault(QLocale("de_DE"))
    shown = HelpWindow()
    qtbot.addWidget(shown)
    assert [shown.list.item(n).text() for n in range(shown.list.count())] == [
        page_title(page, "de") for page in PAGES
    ]
    shown.show_page("cautions")
    assert shown.browser.toPlainText().startswith("Warnungen")


@pytest.fixture
def help_window(qtbot: QtBot) -> HelpWindow:
    """Return the help's window with its first page."""
    shown = HelpWindow()
    qtbot.addWidget(shown)
    shown.show()
    shown.show_page("first-job")
    return shown


def test_words_are_found_on_the_page_and_what_is_missing_is_said(
    help_window: HelpWindow, qtbot: QtBot
) -> None:
    with qtbot.waitActive(help_window, timeout=READY_MS):
        help_window.activateWindow()
    qtbot.keyClick(help_window.browser, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert QApplication.focusWidget() is help_window.find_edit
    qtbot.keyClicks(help_window.find_edit, "Findings")
    places = []
    for _ in range(3):
        qtbot.keyClick(help_window.find_edit, Qt.Key.Key_Return)
        places.append(help_window.browser.textCursor().position())
        assert help_window.browser.textCursor().selectedText().lower() == "findings"
    assert places[0] < places[1]
    assert help_window.state.text() == ""
    help_window.find_edit.selectAll()
    qtbot.keyClicks(help_window.find_edit, "zeppelin")
    qtbot.keyClick(help_window.find_edit, Qt.Key.Key_Return)
    assert help_window.state.text() == "not on this page"


def test_a_link_is_followed_by_a_click_and_back_returns(help_window: HelpWindow, qtbot: QtBot) -> None:
    browser = help_window.browser
    places = [
        QPoint(x, y)
        for y in range(0, browser.viewport().height(), 6)
        for x in range(0, browser.viewport().width(), 12)
    ]
    link = next(place for place in places if browser.anchorAt(place) == "cores.md")
    qtbot.mouseClick(browser.viewport(), Qt.MouseButton.LeftButton, pos=link)
    assert help_window.page == "cores"
    assert help_window.list.currentRow() == PAGES.index("cores")
    qtbot.mouseClick(help_window.back_button, Qt.MouseButton.LeftButton)
    assert help_window.page == "first-job"


def link_colours(shown: HelpWindow) -> list[QColor]:
    """Return the colours of all links on the page."""
    colours, block = [], shown.browser.document().begin()
    while block.isValid():
        formats = [part.fragment().charFormat() for part in block]
        colours += [kind.foreground().color() for kind in formats if kind.isAnchor()]
        block = block.next()
    return colours


@pytest.mark.parametrize("look", ["light", "dark"])
def test_links_can_be_read_in_light_and_dark(look: str, qtbot: QtBot) -> None:
    shown = HelpWindow()
    qtbot.addWidget(shown)
    palette = dark_palette() if look == "dark" else shown.palette()
    shown.setPalette(palette)
    shown.show_page("first-job")
    colours = link_colours(shown)
    assert len(colours) == 5
    assert all(contrast(colour, palette.base().color()) >= TEXT for colour in colours)


def test_the_pages_go_into_the_wheel() -> None:
    """They lie in the package `app`, which the wheel takes whole but for what git ignores."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = settings["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert "app" in wheel["packages"]
    assert set(wheel) == {"packages", "force-include"}  # nothing is left out by a pattern
    pages = [str(page_path(page, spoken)) for page in PAGES for spoken in LANGUAGES]
    assert all(Path(page).is_relative_to(ROOT / "app") for page in pages)
    ignored = subprocess.run(["git", "check-ignore", *pages], cwd=ROOT, capture_output=True, check=False)
    assert ignored.stdout == b""
