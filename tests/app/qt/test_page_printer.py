"""Pages printed band by band look like the pages, with no line left between the bands."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
from PySide6.QtCore import QMarginsF
from PySide6.QtGui import QColor, QImage, QPageLayout, QPageSize
from PySide6.QtPrintSupport import QPrinter
from pytestqt.qtbot import QtBot

from app.qt.page_printer import PagePrinter
from tests.app.qt.conftest import READY_MS

WIDE, HIGH = 1240, 1754  # A4 at 150 dots an inch


def a_page(path: Path, colour: QColor) -> str:
    """Write a page of one dark colour: a seam of another one would show."""
    page = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    page.fill(colour)
    page.save(str(path))
    return str(path)


def a_printer(target: Path) -> QPrinter:
    """Return a printer that writes a PDF, its page without margins."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(target))
    printer.setPageLayout(
        QPageLayout(
            QPageSize(QPageSize.PageSizeId.A4), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0)
        )
    )
    printer.setFullPage(True)
    return printer


def test_two_pages_come_out_whole(qtbot: QtBot, tmp_path: Path) -> None:
    colours = (QColor("#204060"), QColor("#803010"))
    paths = [a_page(tmp_path / f"{n}.png", colour) for n, colour in enumerate(colours)]
    pages, printer = PagePrinter(), a_printer(tmp_path / "printed.pdf")
    with qtbot.waitSignal(pages.printed, timeout=READY_MS) as sent:
        assert pages.start(printer, paths)
        assert not pages.start(printer, paths)  # one after the other
    assert sent.args == [2]
    document = pypdfium2.PdfDocument(tmp_path / "printed.pdf")
    assert len(document) == 2
    for page, colour in zip(document, colours, strict=True):
        seen = np.asarray(page.render(scale=2).to_numpy())[4:-4, 4:-4, :3].astype(int)
        wanted = np.array([colour.blue(), colour.green(), colour.red()])
        assert np.abs(seen - wanted).max() <= 6
        page.close()
    document.close()


def test_what_is_given_up_sends_nothing_more(qtbot: QtBot, tmp_path: Path) -> None:
    path = a_page(tmp_path / "page.png", QColor("black"))
    pages = PagePrinter()
    sent: list[int] = []
    pages.printed.connect(sent.append)
    assert pages.start(a_printer(tmp_path / "printed.pdf"), [path] * 20)
    qtbot.wait(20)
    pages.cancel()
    qtbot.wait(100)
    assert sent == []
    assert pages.start(a_printer(tmp_path / "again.pdf"), [])  # it is free again
