"""The window's size and the places of its dividers, kept from one time to the next."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QSettings, QSize
from PySide6.QtWidgets import QMainWindow, QSplitter, QWidget

from app.settings import config_folder

STATE_VERSION = 2
AIR = 40
LEAST = QSize(560, 400)


def keep_shape(window: QMainWindow, dividers: dict[str, QSplitter]) -> None:
    """Remember the window's shape."""
    state = _state()
    state.setValue("version", STATE_VERSION)
    state.setValue("geometry", window.saveGeometry())
    for name, divider in dividers.items():
        state.setValue(name, divider.saveState())


def restore_shape(window: QMainWindow, dividers: dict[str, QSplitter]) -> None:
    """Give the window the shape that was kept; what an older version kept does not count."""
    state = _state()
    if state.value("version", 0, int) != STATE_VERSION:
        return
    parts = {"geometry": window.restoreGeometry}
    for name, take in {**parts, **{name: one.restoreState for name, one in dividers.items()}}.items():
        stored = state.value(name)
        if isinstance(stored, QByteArray):
            take(stored)


def size_on_screen(window: QWidget, width: int, height: int) -> QSize:
    """Return a size, or as much of it as the screen has room for: at 200 % a small screen has little."""
    room = window.screen().availableGeometry()
    size = QSize(min(width, room.width() - AIR), min(height, room.height() - AIR))
    return size.expandedTo(QSize(min(width, LEAST.width()), min(height, LEAST.height())))


def show_on_screen(window: QWidget) -> None:
    """Show a window in its size, or over the whole screen where it is too large for it."""
    room = window.screen().availableGeometry()
    if room.width() < window.width() or room.height() < window.height():
        window.showMaximized()
    else:
        window.show()


def _state() -> QSettings:
    return QSettings(str(config_folder() / "window.ini"), QSettings.Format.IniFormat)
