"""About the program: version, licences, and what its figures are for."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPlainTextEdit, QVBoxLayout, QWidget

from app.qt.window_shape import size_on_screen
from corelib import __version__
from corelib.usecases.licences import licence_texts


class AboutDialog(QDialog):
    """Version and licences; Escape closes it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("About Corestow"))
        self.resize(size_on_screen(self, 700, 560))
        what = self.tr("Corestow {0} plans builds of binder-jet printed sand cores.").format(__version__)
        care = self.tr(
            "Its figures are estimates. Silica dust, alkaline binder, microwaves, heavy loads, and "
            "moisture under molten metal are hazards: local codes and licensed practice come first."
        )
        head = QLabel(f"{what}\n{care}")
        head.setWordWrap(True)
        texts = QPlainTextEdit(licence_texts())
        texts.setReadOnly(True)
        texts.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        texts.setAccessibleName(self.tr("Licences"))
        texts.setTabChangesFocus(True)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(head)
        column.addWidget(texts, 1)
        column.addWidget(buttons)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
