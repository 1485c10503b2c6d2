"""Drawings and charts as files: a picture as PNG or SVG, and the data as CSV, from a menu or by key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pyqtgraph as pg
from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QObject, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QAction, QKeySequence, QPainter
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtWidgets import QFileDialog, QMenu, QMessageBox, QWidget

from app.qt.figures import language
from corelib.errors import CorestowError
from corelib.files import write_atomic
from corelib.wording import error_sentence

Row = Sequence[object]
Table = tuple[Sequence[str], Sequence[Row]]
"""Heads with their units, and rows."""


class PictureActions(QObject):
    """A view's actions to save itself: its context menu, and keys while it has focus."""

    def __init__(self, view: pg.GraphicsView, subject: str, table: Callable[[], Table] | None = None) -> None:
        super().__init__(view)
        self._view, self._subject, self._table = view, subject, table
        self._context: QMenu | None = None
        self.actions = [
            self._action(self.tr("Save &picture…"), "Ctrl+Shift+G", self.save_picture),
        ]
        if table is not None:
            self.actions.append(self._action(self.tr("Save &data…"), "Ctrl+Shift+T", self.save_data))
        view.addActions(self.actions)

    def _action(self, text: str, key: str, do: Callable[[], object]) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(key))
        action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        action.triggered.connect(lambda: do())
        return action

    def menu(self, parent: QWidget) -> QMenu:
        """Return a menu of the actions."""
        menu = QMenu(parent)
        menu.addActions(self.actions)
        return menu

    def pop_up(self, place: QPoint) -> None:
        """Show the menu at a place of the screen."""
        if self._context is None:
            self._context = self.menu(self._view)
        self._context.popup(place)

    def save_picture(self) -> None:
        """Ask for a file and write the view as it is seen."""
        name, _ = QFileDialog.getSaveFileName(
            self._view,
            self.tr("Save picture"),
            f"{self._subject}.png",
            self.tr("Pictures (*.png);;Drawings (*.svg)"),
        )
        if name:
            is_svg = Path(name).suffix.lower() == ".svg"
            self._write(Path(name), svg_of(self._view, self._subject) if is_svg else png_of(self._view))

    def save_data(self) -> None:
        """Ask for a file and write the chart's numbers."""
        assert self._table is not None
        name, _ = QFileDialog.getSaveFileName(
            self._view, self.tr("Save data"), f"{self._subject}.csv", self.tr("Tables (*.csv)")
        )
        if name:
            self._write(Path(name), csv_of(self._table()))

    def _write(self, path: Path, content: bytes) -> None:
        try:
            write_atomic(path, content)
        except CorestowError as error:
            QMessageBox.warning(self._view, self.tr("Not saved"), error_sentence(error, language()))


def png_of(view: QWidget) -> bytes:
    """Return a view as it is seen, as PNG."""
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    view.grab().save(buffer, "PNG")
    return bytes(held.data())


def svg_of(view: pg.GraphicsView, title: str) -> bytes:
    """Return a view as it is seen, as SVG."""
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    area = view.viewport().rect()
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(QSize(area.width(), area.height()))
    generator.setViewBox(QRect(0, 0, area.width(), area.height()))
    generator.setTitle(title)
    painter = QPainter(generator)
    painter.fillRect(area, view.backgroundBrush())
    view.render(painter)
    painter.end()
    return bytes(held.data())


def csv_of(table: Table) -> bytes:
    """Return a table as CSV: commas, points as decimal sign whatever the locale, 12 significant digits."""
    heads, rows = table
    lines = [",".join(map(_quoted, heads))]
    lines += [",".join(_cell(value) for value in row) for row in rows]
    return ("\n".join(lines) + "\n").encode("utf-8")


def _cell(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.12g}" if isinstance(value, float) else _quoted(str(value))


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if any(sign in text for sign in ',"\n') else text
