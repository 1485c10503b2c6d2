"""German: every label is translated, the committed files are current, and the window speaks it."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.qt.translations import speak
from app.runner import Runner
from tests.app.qt.conftest import READY_MS, MakeJob

ROOT = Path(__file__).parents[3]
GERMAN = ROOT / "shared" / "translations" / "corestow_de.ts"
Messages = dict[tuple[str, str], str]


def messages(path: Path) -> Messages:
    """Return the translations by context and source."""
    found = {}
    for context in ET.parse(path).getroot().iter("context"):
        for message in context.iter("message"):
            translation = message.find("translation")
            assert translation is not None
            done = translation.get("type") is None
            found[context.findtext("name", ""), message.findtext("source", "")] = (
                (translation.text or "") if done else ""
            )
    return found


def tool(name: str) -> str:
    """Return the path of one of PySide's tools."""
    path = shutil.which(name, path=str(Path(sys.executable).parent))
    assert path is not None
    return path


def test_the_sources_hold_no_label_that_is_not_translated(tmp_path: Path) -> None:
    fresh = tmp_path / "fresh.ts"
    sources = sorted(str(path) for path in (ROOT / "app" / "qt").rglob("*.py"))
    subprocess.run([tool("pyside6-lupdate"), *sources, "-ts", str(fresh)], check=True, capture_output=True)
    known = messages(GERMAN)
    assert sorted(set(messages(fresh)) ^ set(known)) == []
    assert [key for key, text in known.items() if not text] == []


def test_the_compiled_file_is_current(tmp_path: Path) -> None:
    made = tmp_path / "made.qm"
    subprocess.run([tool("pyside6-lrelease"), str(GERMAN), "-qm", str(made)], check=True, capture_output=True)
    assert made.read_bytes() == GERMAN.with_suffix(".qm").read_bytes()


@pytest.mark.parametrize("mark", [r"\{\d\}", r"\(\*?[\w.]+\)", "…$", "^[^&]*&[^&]"])
def test_translations_keep_places_file_patterns_and_keys(mark: str) -> None:
    for (_, source), text in messages(GERMAN).items():
        if mark.startswith("^"):
            assert bool(re.search(mark, source)) == bool(re.search(mark, text)), source
        else:
            assert sorted(re.findall(mark, source)) == sorted(re.findall(mark, text)), source


@pytest.fixture
def german(qapp: QApplication) -> Iterator[None]:
    """Run in German."""
    before = QLocale()
    QLocale.setDefault(QLocale("de_DE"))
    installed = speak(qapp, "de")
    assert len(installed) == 2
    yield
    for translator in installed:
        qapp.removeTranslator(translator)
    QLocale.setDefault(before)


def test_the_window_speaks_german(
    german: None, standing_runner: Runner, make_job: MakeJob, qtbot: QtBot
) -> None:
    window = MainWindow(standing_runner)
    qtbot.addWidget(window)
    window.show()
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(make_job())
    titles = [window.pages.tabText(i) for i in range(window.pages.count())]
    assert titles == ["Kerne", "Kasten", "Schichten", "Prozess", "Zeit und Kosten", "Vergleich"]
    assert "Schicht 10 von 43" in window.desk.layer_heading.text()
    assert "18,00 mm" in window.desk.layer_heading.text()
    assert window.desk.findings_heading.text().startswith("Befunde: 1 × Stopp")
    window.open_job(Path("fehlt.json"))
    assert "fehlt.json" in window.notice.text
    assert "There is" not in window.notice.text
