"""The window in another language: Qt's translations of our own labels, and Qt's own labels."""

from __future__ import annotations

from PySide6.QtCore import QLibraryInfo, QTranslator
from PySide6.QtWidgets import QApplication

from corelib.reference import shared_folder


def speak(application: QApplication, language: str) -> list[QTranslator]:
    """Have the application's labels in a language and return what was installed; English needs nothing."""
    ours = str(shared_folder() / "translations")
    theirs = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    installed = []
    for name, folder in ((f"qtbase_{language}", theirs), (f"corestow_{language}", ours)):
        translator = QTranslator(application)
        if language != "en" and translator.load(name, folder):
            application.installTranslator(translator)
            installed.append(translator)
    return installed
