"""The preview of printed sheets: by keyboard, to a printer's file and to a PDF, in both papers."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.qt.preview import Preview, usual_paper
from app.runner import JobAtHand, Runner
from tests.app.qt.conftest import MakeJob

READY_MS = 60_000


@pytest.fixture
def preview(standing_runner: Runner, make_job: MakeJob, qtbot: QtBot) -> Iterator[Preview]:
    """Return a preview of the invented plan, with its first sheet shown."""
    path = make_job()
    files = standing_runner.plan(path, lambda *_: None, threading.Event())
    dialog = Preview(standing_runner, files, JobAtHand(path, json.loads(path.read_text(encoding="utf-8"))))
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(dialog.save_button.isEnabled, timeout=READY_MS)
    yield dialog
    dialog.close()


def test_a_sheet_is_shown_page_by_page_and_moved_by_keys(preview: Preview, qtbot: QtBot) -> None:
    assert preview.pages.page_count == 2 and preview.page.value() == 1
    qtbot.keyClick(preview.pages, Qt.Key.Key_End)
    assert preview.pages.page == 1 and preview.page.value() == 2
    qtbot.keyClick(preview.pages, Qt.Key.Key_Home)
    assert preview.pages.page == 0 and preview.page.value() == 1
    before = preview.pages.verticalScrollBar().maximum()
    qtbot.keyClick(preview.pages, Qt.Key.Key_Plus)
    assert preview.pages.verticalScrollBar().maximum() > before
    qtbot.keyClick(preview.pages, Qt.Key.Key_Minus)
    assert preview.pages.verticalScrollBar().maximum() == before
    preview.page.setValue(2)
    assert preview.pages.page == 1


def test_another_sheet_and_another_paper_are_made_anew(
    preview: Preview, qtbot: QtBot, tmp_path: Path
) -> None:
    with qtbot.waitSignal(preview.worker.made, timeout=READY_MS) as made:
        preview.paper.setCurrentText("Letter")
    assert Path(made.args[0]["pdf"]).read_text(encoding="utf-8") == "plan-sheet Letter en"
    with qtbot.waitSignal(preview.worker.made, timeout=READY_MS) as made:
        preview.sheet.setCurrentIndex(preview.sheet.findData("labels"))
    assert Path(made.args[0]["pdf"]).read_text(encoding="utf-8") == "labels Letter en"


def test_what_is_shown_is_saved(
    preview: Preview, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "sheet.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    qtbot.keyClick(preview, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert target.read_text(encoding="utf-8") == "plan-sheet A4 en" and str(target) in preview.state.text()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "x.pdf"), ""))
    preview.save()
    assert "no" in preview.state.text() and not (tmp_path / "no").exists()


def test_pages_go_to_the_printer(preview: Preview, qtbot: QtBot, tmp_path: Path) -> None:
    printer = QPrinter(QPrinter.PrinterMode.ScreenResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    preview.send_to(printer)
    qtbot.waitUntil(lambda: "2" in preview.state.text(), timeout=READY_MS)
    assert (tmp_path / "printed.pdf").read_bytes().startswith(b"%PDF")


def test_escape_closes(preview: Preview, qtbot: QtBot) -> None:
    qtbot.keyClick(preview, Qt.Key.Key_Escape)
    assert not preview.isVisible()


@pytest.mark.parametrize(("locale", "paper"), [("en_US", "Letter"), ("en_GB", "A4"), ("de_DE", "A4")])
def test_the_paper_is_the_locales(locale: str, paper: str) -> None:
    QLocale.setDefault(QLocale(locale))
    assert usual_paper() == paper
