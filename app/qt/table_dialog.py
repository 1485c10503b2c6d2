"""A table of a profile, edited as a whole: rows are added, changed and removed; what is refused is said."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QLocale, Qt, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.qt.figures import NONE, profile_word, stated
from app.qt.lengths import LENGTHS, STORED
from app.qt.number_edit import read_number
from app.qt.views.edit_tree import EditTree, Field
from corelib.export.figures import unit_of
from corelib.job.form import EntryForm, rows_of, value_of

DECIMALS = 6
FARTHEST = 1e9
LONGEST = 60
Check = Callable[[Any], str]
"""Takes a table's value and returns the sentence that refuses it, empty where it is taken."""


class TableDialog(QDialog):
    """Takes a table when it is accepted: `value` has it then."""

    _changed = Signal()

    def __init__(
        self, name: str, unit: str, form: EntryForm, value: Any, check: Check, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(name)
        self.resize(520, 380)
        self._form, self._unit, self._check = form, unit, check
        self._rows = rows_of(form, value)
        self._is_behind = False
        headers = [_header(column, unit) for column, _ in form.columns]
        figures = [n for n, (_, column) in enumerate(form.columns) if column.kind in ("number", "count")]
        self.table = EditTree(name, headers, figures=figures, wide=len(headers) - 1)
        self.table.check = self._refuse_cell
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setTextFormat(Qt.TextFormat.PlainText)
        self.add_button = QPushButton(self.tr("&Add a row"))
        self.remove_button = QPushButton(self.tr("&Remove the row"))
        self.paste_button = QPushButton(self.tr("&Paste rows of a spreadsheet"))
        self.paste_button.setAutoDefault(False)
        for button in (self.add_button, self.remove_button):
            button.setAutoDefault(False)
            button.setVisible(not form.is_one_row)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.ok_button = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        self.ok_button.setAutoDefault(False)
        self._arrange()
        self.table.edited.connect(self._change)
        self._changed.connect(self._show_changed, Qt.ConnectionType.QueuedConnection)
        self.add_button.clicked.connect(self.add_row)
        self.remove_button.clicked.connect(self.remove_row)
        self.paste_button.clicked.connect(self.paste)
        self.paste_action = QAction(self.paste_button.text(), self)
        self.paste_action.setShortcut(QKeySequence(QKeySequence.StandardKey.Paste))
        self.paste_action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        self.paste_action.triggered.connect(lambda: self.paste())
        self.table.addAction(self.paste_action)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self._show()

    def accept(self) -> None:
        """Take the table, with what is being typed, unless that makes it one to be refused."""
        self.table.finish()
        if not self._refused():
            super().accept()

    def _arrange(self) -> None:
        row = QHBoxLayout()
        row.addWidget(self.add_button)
        row.addWidget(self.remove_button)
        row.addWidget(self.paste_button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.addWidget(self.table, 1)
        column.addWidget(self.said)
        column.addLayout(row)
        column.addWidget(self.buttons)

    @property
    def value(self) -> Any:
        """The table as it is now; None without rows."""
        return value_of(self._form, self._rows)

    def add_row(self) -> None:
        """Add a row below the others and begin to fill it in."""
        self.table.finish()
        self._rows.append([None] * len(self._form.columns))
        self._show()
        index = self.table.index_of(_key(len(self._rows) - 1, 0))
        self.table.setCurrentIndex(index)
        self.table.setFocus()
        self.table.edit(index)

    def paste(self) -> None:
        """Add the rows that lie in the clipboard as a spreadsheet copies them; all of them or none."""
        lines = [line for line in QApplication.clipboard().text().splitlines() if line.strip()]
        rows = [self._read_row(line) for line in lines]
        for line, row in zip(lines, rows, strict=True):
            if row is None:
                said = self.tr("This row can't be read: {0}. {1} values are wanted, with tabs between.")
                self.said.setText(said.format(line[:LONGEST], len(self._form.columns)))
                return
        taken = [row for row in rows if row is not None]
        if taken:
            self.table.finish()
            self._rows = taken[:1] if self._form.is_one_row else [*self._rows, *taken]
            self._show()

    def _read_row(self, line: str) -> list[Any] | None:
        texts = [text.strip() for text in line.split("\t")]
        if len(texts) != len(self._form.columns):
            return None
        row = [self._read_cell(column, text) for column, text in enumerate(texts)]
        return None if any(cell is None for cell in row) else row

    def _read_cell(self, column: int, text: str) -> Any:
        name, form = self._form.columns[column]
        if form.kind not in ("number", "count"):
            return self._taken(column, text)
        value = read_number(text, QLocale())
        if value is None:
            return None
        if self._cell_unit(name) == STORED:
            return LENGTHS.stored(value)
        return round(value) if form.kind == "count" else value

    def remove_row(self) -> None:
        """Take out the row in hand."""
        self.table.finish()
        index = self.table.currentIndex()
        if index.isValid():
            del self._rows[index.row()]
            self._show()

    def _change(self, key: str, value: Any) -> None:
        """Take a cell's value at once; it is shown once the cell's editor is gone.

        The editor may close because the table is accepted, which counts on the value.
        """
        row, column = _place(key)
        self._rows[row][column] = self._taken(column, value)
        self._is_behind = True
        self._changed.emit()

    def _show_changed(self) -> None:
        if self._is_behind:
            self._show()

    def _taken(self, column: int, value: Any) -> Any:
        """Return what was entered as the job states it: words with commas between are a list."""
        if self._form.columns[column][1].kind == "words":
            return [word.strip() for word in str(value).split(",") if word.strip()]
        return value

    def _refuse_cell(self, key: str, value: Any) -> str:
        """Say what is wrong with the table if a cell gets a value; cells still to be filled in are not."""
        row, column = _place(key)
        rows = [list(cells) for cells in self._rows]
        rows[row][column] = self._taken(column, value)
        if any(cell is None for cells in rows for cell in cells):
            return ""
        return self._check(value_of(self._form, rows))

    def _show(self) -> None:
        self._is_behind = False
        place = self.table.place()
        self.table.clear()
        for row, cells in enumerate(self._rows):
            fields = {n: self._field(row, n, cell) for n, cell in enumerate(cells)}
            self.table.row(None, [self._shown(n, cell) for n, cell in enumerate(cells)], fields)
        self.table.come_back(place)
        self.said.setText(self._refused())
        self.ok_button.setEnabled(not self.said.text())

    def _refused(self) -> str:
        if any(cell is None for cells in self._rows for cell in cells):
            return self.tr("Fill in every value of the table, or remove its row.")
        return self._check(self.value)

    def _field(self, row: int, column: int, cell: Any) -> Field:
        name, form = self._form.columns[column]
        word = profile_word(name)
        key, label = _key(row, column), self.tr("{0}, row {1}").format(word, row + 1)
        if form.kind in ("number", "count"):
            number = None if cell is None else float(cell)
            low, high = max(form.low, -FARTHEST), min(form.high, FARTHEST)
            return Field(key, label, number, form.kind, self._cell_unit(name), low, high, DECIMALS)
        return Field(key, label, _words(cell), "text")

    def _cell_unit(self, name: str) -> str:
        return unit_of(name) or self._unit

    def _shown(self, column: int, cell: Any) -> str:
        if cell is None:
            return NONE
        if not isinstance(cell, (int, float)):
            return _words(cell)
        is_length = self._cell_unit(self._form.columns[column][0]) == STORED
        return stated(LENGTHS.shown(cell) if is_length else cell, "")


def _words(cell: Any) -> str:
    return ", ".join(cell) if isinstance(cell, (list, tuple)) else str(cell or "")


def _header(name: str, table_unit: str) -> str:
    unit = unit_of(name) or (table_unit if name in ("value", "x", "y", "z") else "")
    sign = LENGTHS.sign if unit == STORED else unit
    return f"{profile_word(name)}, {sign}" if sign else profile_word(name)


def _key(row: int, column: int) -> str:
    return f"{row}:{column}"


def _place(key: str) -> tuple[int, int]:
    row, _, column = key.partition(":")
    return int(row), int(column)
