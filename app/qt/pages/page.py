"""What the pages share: the document, and one way to change its job."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.qt.document import Document
from app.qt.figures import language
from app.qt.lengths import LENGTHS
from corelib.errors import CorestowError
from corelib.job.models import Job
from corelib.wording import error_sentence


class Page(QWidget):
    """A step of the work; `refused` tells the error of an edit that the job does not take."""

    refused = Signal(object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 4, 0, 0)
        self.column.setSpacing(4)
        LENGTHS.changed.connect(self.show_anew)

    def add(self, heading: str, content: QWidget, stretch: int = 1) -> QLabel:
        """Add a view under a heading and return the heading."""
        label = QLabel(heading)
        label.setBuddy(content)
        self.column.addWidget(label)
        self.column.addWidget(content, stretch)
        return label

    def change(self, text: str, make: Callable[[Job], Job]) -> None:
        """Change the job in one undoable step named `text`; an edit that is refused changes nothing."""
        job = self.document.job
        if job is None:
            return
        try:
            self.document.edit(text, make(job))
        except CorestowError as error:
            self.refused.emit(error)
            self.show_job()

    def refusal(self, make: Callable[[Job], Job]) -> str:
        """Return the sentence with which the job refuses an edit, empty where it takes it."""
        job = self.document.job
        if job is not None:
            try:
                make(job)
            except CorestowError as error:
                return error_sentence(error, language())
        return ""

    def show_anew(self) -> None:
        """Show the job in the units chosen now."""
        self.show_job()

    def show_job(self) -> None:
        """Show the job as it is now."""
