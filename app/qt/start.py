"""Starts the window: screen, language, log, and the first job."""

from __future__ import annotations

import signal
import sys
from functools import partial
from pathlib import Path

import pyqtgraph as pg
from PySide6.QtCore import QLocale, QTimer
from PySide6.QtWidgets import QApplication

from app.qt.collector import Collector
from app.qt.faults import report_faults
from app.qt.figures import language
from app.qt.main_window import MainWindow
from app.qt.palette import read_clearly
from app.qt.screen import require_screen
from app.qt.translations import speak
from app.qt.window_shape import show_on_screen
from app.runner import Runner
from app.settings import load_preferences, start_log
from corelib.child import freeze_support


def run(job_path: Path | None = None, runner: Runner | None = None) -> int:
    """Open the window, with a job if one is given, and return the exit status once it is closed."""
    freeze_support()
    require_screen()
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName("Corestow")
    application.setDesktopFileName("corestow")
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # Ctrl-C in the terminal ends the window
    pg.setConfigOptions(antialias=True)
    read_clearly(application)
    application.styleHints().colorSchemeChanged.connect(
        lambda: QTimer.singleShot(0, lambda: read_clearly(application))
    )
    preferences = load_preferences()
    if preferences.language is not None:
        QLocale.setDefault(QLocale(preferences.language))
    speak(application, language())
    Collector(application)
    window = MainWindow(runner or Runner(), preferences)
    report_faults(window.say_fault, start_log())
    show_on_screen(window)
    first = window.jobs.offer_recovered if job_path is None else partial(window.open_job, job_path)
    QTimer.singleShot(0, first)
    return application.exec()
