"""The preview of printed sheets: their pages as they come out of the printer, to print or to save."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QLocale, QMarginsF, Qt
from PySide6.QtGui import QKeySequence, QPageLayout, QPageSize, QPixmap, QShortcut
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.qt.figures import language
from app.qt.number_edit import NumberEdit
from app.qt.page_printer import PagePrinter
from app.qt.page_strip import PageStrip
from app.qt.preview_worker import PreviewWorker
from app.qt.step_words import step_word
from app.qt.window_shape import size_on_screen
from app.runner import JobAtHand, PlanFiles, Runner
from corelib.child import Answer
from corelib.errors import CorestowError
from corelib.files import write_atomic
from corelib.wording import error_sentence

PRINT_DOTS_PER_INCH = 300.0
PAPERS = ("A4", "Letter")
SHEETS = ("plan-sheet", "process-sheet", "labels", "box-cards")


def usual_paper() -> str:
    """Return the paper that is usual where the locale is at home."""
    is_us = QLocale().measurementSystem() == QLocale.MeasurementSystem.ImperialUSSystem
    return "Letter" if is_us else "A4"


class Preview(QDialog):
    """Shows one sheet of the plan at a time; what it prints and saves is what it shows."""

    def __init__(
        self, runner: Runner, files: PlanFiles, job: JobAtHand, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Sheets before printing"))
        self._files, self._job = files, job
        self._pdf: Path | None = None
        self._printer: QPrinter | None = None
        self.worker = PreviewWorker(runner, self)
        self.page_printer = PagePrinter(self)
        self._make_choices()
        self._make_buttons()
        self._arrange()
        self._connect()
        self.ask()

    def _make_choices(self) -> None:
        self.sheet = QComboBox()
        self.sheet.setAccessibleName(self.tr("Sheet"))
        for name in SHEETS:
            self.sheet.addItem(step_word(name), name)
        self.paper = QComboBox()
        self.paper.setAccessibleName(self.tr("Paper"))
        self.paper.addItems(PAPERS)
        self.paper.setCurrentText(usual_paper())
        self.page = NumberEdit(self.tr("Page"), "", 1, 1, 0)
        self.pages = PageStrip()
        self.state = QLabel()
        self.state.setWordWrap(True)
        self.progress = QProgressBar()
        self.progress.setRange(0, 1000)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName(self.tr("Progress of the preview"))

    def _make_buttons(self) -> None:
        self.smaller_button = QPushButton(self.tr("S&maller"))
        self.larger_button = QPushButton(self.tr("&Larger"))
        self.print_button = QPushButton(self.tr("&Print…"))
        self.save_button = QPushButton(self.tr("&Save as PDF…"))
        self.close_button = QPushButton(self.tr("&Close"))
        for button in (self.smaller_button, self.larger_button, self.save_button, self.close_button):
            button.setAutoDefault(False)
        self.print_button.setDefault(True)

    def _arrange(self) -> None:
        row = QHBoxLayout()
        for text, field in (
            (self.tr("S&heet"), self.sheet),
            (self.tr("Pape&r"), self.paper),
            (self.tr("Pa&ge"), self.page),
        ):
            label = QLabel(text)
            label.setBuddy(field)
            row.addWidget(label)
            row.addWidget(field)
        row.addWidget(self.smaller_button)
        row.addWidget(self.larger_button)
        row.addStretch(1)
        foot = QHBoxLayout()
        foot.addWidget(self.progress)
        foot.addWidget(self.state, 1)
        for button in (self.save_button, self.print_button, self.close_button):
            foot.addWidget(button)
        column = QVBoxLayout(self)
        column.addLayout(row)
        column.addWidget(self.pages, 1)
        column.addLayout(foot)
        self.resize(size_on_screen(self, 860, 820))

    def _connect(self) -> None:
        self.sheet.currentIndexChanged.connect(self.ask)
        self.paper.currentIndexChanged.connect(self.ask)
        self.page.valueChanged.connect(lambda page: self.pages.show_page(round(page) - 1))
        self.pages.page_changed.connect(self._show_page_number)
        self.smaller_button.clicked.connect(lambda: self.pages.set_scale(self.pages.scale / 1.2))
        self.larger_button.clicked.connect(lambda: self.pages.set_scale(self.pages.scale * 1.2))
        self.print_button.clicked.connect(self.print_sheet)
        self.save_button.clicked.connect(self.save)
        self.close_button.clicked.connect(self.reject)
        QShortcut(QKeySequence(QKeySequence.StandardKey.Print), self, self.print_sheet)
        QShortcut(QKeySequence(QKeySequence.StandardKey.Save), self, self.save)
        self.worker.made.connect(self._show_made)
        self.worker.pages_ready.connect(self._print_pages)
        self.page_printer.printed.connect(self._tell_printed)
        self.worker.progressed.connect(self._show_progress)
        self.worker.failed.connect(self._say_error)

    # --- what the user does -------------------------------------------------------------------------

    def ask(self) -> None:
        """Have the chosen sheet made for the chosen paper."""
        self._pdf = None
        self._be_busy(True)
        self.worker.make(
            self._files, self._job, self.sheet.currentData(), language(), self.paper.currentText()
        )

    def save(self) -> None:
        """Ask for a file and write the sheet into it."""
        if self._pdf is None:
            return
        beside = self._job.path.parent / f"{self._job.path.stem}-{self._pdf.name}"
        name, _ = QFileDialog.getSaveFileName(
            self, self.tr("Save the sheet"), str(beside), self.tr("PDF (*.pdf)")
        )
        if not name:
            return
        try:
            write_atomic(Path(name), self._pdf.read_bytes())
        except CorestowError as error:
            self._say_error(error)
        except OSError as error:
            self.state.setText(str(error))
        else:
            self.state.setText(self.tr("Saved: {0}").format(name))

    def print_sheet(self) -> None:
        """Ask for a printer, and print the pages that it is asked for."""
        if self._pdf is None:
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        size = QPageSize.PageSizeId.A4 if self.paper.currentText() == "A4" else QPageSize.PageSizeId.Letter
        printer.setPageLayout(
            QPageLayout(QPageSize(size), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
        )
        printer.setFullPage(True)
        printer.setDocName(f"{self._job.path.stem}, {self.sheet.currentText()}")
        dialog = QPrintDialog(printer, self)
        dialog.setMinMax(1, max(1, self.pages.page_count))
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self.send_to(printer)

    def send_to(self, printer: QPrinter) -> None:
        """Print on a printer once the pages are there as finely as print needs them."""
        if self._pdf is not None:
            self._printer = printer
            self._be_busy(True)
            self.worker.render(self._pdf, PRINT_DOTS_PER_INCH)

    def done(self, result: int) -> None:
        """Close; what is in work is given up."""
        self.worker.cancel()
        self.page_printer.cancel()
        super().done(result)

    # --- what follows -------------------------------------------------------------------------------

    def _show_made(self, answer: Answer) -> None:
        self._pdf = Path(answer["pdf"])
        self.pages.show_pages([QPixmap(path) for path in answer["pages"]])
        self.page.setRange(1, max(1, self.pages.page_count))
        self.page.setSuffix(self.tr(" of {0}").format(self.pages.page_count))
        self._be_busy(False)
        self.state.setText("")
        self.pages.setFocus(Qt.FocusReason.OtherFocusReason)

    def _print_pages(self, answer: Answer) -> None:
        printer, self._printer = self._printer, None
        if printer is None:
            self._be_busy(False)
            return
        first, last = printer.fromPage() or 1, printer.toPage() or len(answer["pages"])
        if not self.page_printer.start(printer, answer["pages"][first - 1 : last]):
            self._be_busy(False)
            self.state.setText(self.tr("The printer takes no pages: check it, or save the sheet as PDF."))

    def _tell_printed(self, pages: int) -> None:
        self._be_busy(False)
        self.state.setText(self.tr("{0} pages were sent to the printer.").format(pages))

    def _show_page_number(self, page: int) -> None:
        self.page.blockSignals(True)
        self.page.setValue(page + 1)
        self.page.blockSignals(False)

    def _show_progress(self, share: float, step: str) -> None:
        self.progress.setValue(round(1000 * share))
        self.state.setText(step_word(step))

    def _be_busy(self, busy: bool) -> None:
        self.progress.setVisible(busy)
        self.progress.setValue(0)
        self.print_button.setEnabled(not busy)
        self.save_button.setEnabled(not busy)

    def _say_error(self, error: CorestowError) -> None:
        self._be_busy(False)
        self.save_button.setEnabled(self._pdf is not None)
        self.print_button.setEnabled(self._pdf is not None)
        self.state.setText(error_sentence(error, language()))
