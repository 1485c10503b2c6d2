"""A tree of named values, some of which can be edited in place; edits are told, not made."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import shiboken6
from PySide6.QtCore import (
    QAbstractItemModel,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QPainter, QPen
from PySide6.QtWidgets import (
    QComboBox,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from app.qt.models.findings_model import Index
from app.qt.number_edit import NumberEdit
from app.qt.palette import faint_ink
from app.qt.views.refusal import Refusal

FIELD_ROLE = int(Qt.ItemDataRole.UserRole)
ROW_AIR = 6
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


@dataclass(frozen=True)
class Field:
    """A value that can be edited: what it is called, how it is entered, and what it is now."""

    key: str
    name: str
    value: Any
    kind: Literal["number", "count", "choice", "text", "table"] = "number"
    unit: str = ""
    low: float = 0.0
    high: float = 1e9
    decimals: int = 3
    choices: tuple[tuple[str, Any], ...] = ()
    can_reset: bool = False


class EditTree(QTreeWidget):
    """Enter or F2 edits the value in hand, Delete takes it back to its profile's where it has one.

    Where `check` is set, it says while a value is typed why it is refused (key and value in, sentence out).
    """

    edited = Signal(str, object)
    reset_asked = Signal(str)
    table_asked = Signal(str)
    """A table is to be edited, in a dialog of its own."""

    def __init__(
        self,
        name: str,
        headers: Sequence[str],
        *,
        figures: Collection[int] = (),
        wide: int = 0,
        has_groups: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """`figures` are the columns of numbers (to the right), `wide` the column that takes the room left."""
        super().__init__(parent)
        self._figures = frozenset(figures)
        self.check: Callable[[str, Any], str] | None = None
        self.refusal = Refusal(self)
        self.open_editor: QWidget | None = None
        self.setRootIsDecorated(has_groups)
        self.setAccessibleName(name)
        self.setColumnCount(len(headers))
        self.setHeaderLabels(list(headers))
        self.setAlternatingRowColors(True)
        self.setUniformRowHeights(True)
        self.setItemDelegate(_FieldDelegate(self))
        self.setEditTriggers(
            QTreeWidget.EditTrigger.DoubleClicked
            | QTreeWidget.EditTrigger.EditKeyPressed
            | QTreeWidget.EditTrigger.AnyKeyPressed
            | QTreeWidget.EditTrigger.SelectedClicked
        )
        self.setSelectionBehavior(QTreeWidget.SelectionBehavior.SelectItems)
        self.reset_action = QAction(self.tr("Take the &profile's value"), self)
        self.reset_action.setShortcut(QKeySequence(Qt.Key.Key_Delete))
        self.reset_action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        self.reset_action.triggered.connect(self._reset)
        self.addAction(self.reset_action)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        self.selectionModel().currentChanged.connect(self._allow_reset)
        self._allow_reset()
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.header().setSectionResizeMode(wide, QHeaderView.ResizeMode.Stretch)
        for column in self._figures:
            self.headerItem().setTextAlignment(column, RIGHT)

    def heading(self, text: str) -> QTreeWidgetItem:
        """Add a heading and return it."""
        item = QTreeWidgetItem(self, [text])
        item.setFirstColumnSpanned(True)
        item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        font = item.font(0)
        font.setBold(True)
        item.setFont(0, font)
        self._give_air(item)
        item.setExpanded(True)
        return item

    def row(
        self, parent: QTreeWidgetItem | None, texts: Sequence[str], fields: dict[int, Field] | None = None
    ) -> QTreeWidgetItem:
        """Add a row; `fields` says which columns can be edited."""
        item = QTreeWidgetItem(self if parent is None else parent, list(texts))
        item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
        for column in self._figures:
            item.setTextAlignment(column, RIGHT)
        for column, field in (fields or {}).items():
            item.setData(column, FIELD_ROLE, field)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsEditable)
        if self.topLevelItemCount() == 1 and parent is None:
            self._give_air(item)
        return item

    def _give_air(self, item: QTreeWidgetItem) -> None:
        metrics = self.fontMetrics()
        width = metrics.horizontalAdvance(item.text(0)) + self.indentation()
        item.setSizeHint(0, QSize(width, metrics.height() + ROW_AIR))

    def place(self) -> tuple[str, int]:
        """Return the key in hand and the scroll position, to come back to after the rows were made anew."""
        field = self.currentIndex().data(FIELD_ROLE)
        return (field.key if isinstance(field, Field) else ""), self.verticalScrollBar().value()

    def come_back(self, place: tuple[str, int]) -> None:
        """Take up the place that `place` returned."""
        key, scroll = place
        self.verticalScrollBar().setValue(scroll)
        index = self.index_of(key)
        if key and index.isValid():
            self.setCurrentIndex(index)

    def tops(self) -> list[QTreeWidgetItem]:
        """Return the rows and headings of the first level."""
        places = range(self.topLevelItemCount())
        return [item for place in places if (item := self.topLevelItem(place)) is not None]

    def items(self) -> list[QTreeWidgetItem]:
        """Return all rows and headings, from top to bottom."""
        found: list[QTreeWidgetItem] = []
        waiting = self.tops()
        while waiting:
            item = waiting.pop(0)
            found.append(item)
            waiting[:0] = [child for n in range(item.childCount()) if (child := item.child(n)) is not None]
        return found

    def index_of(self, key: str) -> QModelIndex:
        """Return where the field `key` is, an invalid index if it is nowhere."""
        for item in self.items():
            for column in range(self.columnCount()):
                field = item.data(column, FIELD_ROLE)
                if isinstance(field, Field) and field.key == key:
                    return self.indexFromItem(item, column)
        return QModelIndex()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter edits, Delete resets."""
        index = self.currentIndex()
        field = index.data(FIELD_ROLE)
        if isinstance(field, Field) and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.state() != EditTree.State.EditingState:  # else it is the editor's own Enter
                self.edit(index)
        elif isinstance(field, Field) and event.key() == Qt.Key.Key_Delete:
            self._reset()
        else:
            super().keyPressEvent(event)

    def _field_in_hand(self) -> Field | None:
        field = self.currentIndex().data(FIELD_ROLE)
        return field if isinstance(field, Field) else None

    def _reset(self) -> None:
        field = self._field_in_hand()
        if field is not None and field.can_reset:
            self.reset_asked.emit(field.key)

    def _allow_reset(self) -> None:
        field = self._field_in_hand()
        self.reset_action.setEnabled(field is not None and field.can_reset)

    def finish(self) -> None:
        """Take what is being typed, and close its editor: before rows are added or go."""
        editor = self.open_editor
        if editor is not None and shiboken6.isValid(editor):
            self.commitData(editor)
            self.closeEditor(editor, QStyledItemDelegate.EndEditHint.NoHint)

    def commitData(self, editor: QWidget) -> None:
        """Take what an editor holds; Enter asks for it a turn later, when the row may have been made anew."""
        if not editor.isHidden():
            super().commitData(editor)

    def closeEditor(self, editor: QWidget, hint: QStyledItemDelegate.EndEditHint) -> None:
        """Close an editor, unless it went with its row."""
        if not editor.isHidden():
            super().closeEditor(editor, hint)

    def judge(self, editor: QWidget, index: Index) -> None:
        """Say below the editor why what is typed is refused, or nothing."""
        field = index.data(FIELD_ROLE)
        value = _typed(editor, field)
        sentence = "" if value is None or self.check is None else self.check(field.key, value)
        area = self.visualRect(index)
        area.moveTo(self.viewport().mapTo(self, area.topLeft()))
        self.refusal.say(sentence, editor, area)


class _FieldDelegate(QStyledItemDelegate):
    """Makes the editor that a field asks for, and tells what was entered."""

    def __init__(self, tree: EditTree) -> None:
        super().__init__(tree)
        self._tree = tree
        self.closeEditor.connect(lambda *_: tree.refusal.hide())

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw a thin frame around what can be edited."""
        super().paint(painter, option, index)
        if isinstance(index.data(FIELD_ROLE), Field):
            painter.save()
            painter.setPen(QPen(faint_ink(option.palette), 1))
            painter.drawRect(option.rect.adjusted(1, 1, -2, -2))
            painter.restore()

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        field = index.data(FIELD_ROLE)
        if not isinstance(field, Field):
            return None  # type: ignore[return-value]  # Qt's way to say: no editor here
        if field.kind == "table":
            self._tree.table_asked.emit(field.key)
            return None  # type: ignore[return-value]
        editor = self._tree.open_editor = _editor(field, parent, self._tree.check is not None)
        place = QPersistentModelIndex(index)
        if isinstance(editor, QComboBox):
            editor.currentIndexChanged.connect(lambda _: self._tree.judge(editor, place))
        else:
            line = editor.lineEdit() if isinstance(editor, NumberEdit) else editor
            line.textEdited.connect(lambda _: self._tree.judge(editor, place))
        editor.destroyed.connect(self._tree.refusal.hide)
        return editor

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        """Keep Enter from closing an editor whose value is refused; Escape gives it up."""
        is_enter = isinstance(event, QKeyEvent) and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and event.type() == QEvent.Type.KeyPress and self._tree.refusal.sentence:
            return True
        return super().eventFilter(editor, event)

    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, index: Index) -> None:
        """Give the editor the room that it needs, to the left of its cell where that is narrow."""
        super().updateEditorGeometry(editor, option, index)
        cell, wide = editor.geometry(), editor.sizeHint().width()
        if isinstance(editor, NumberEdit) and wide > cell.width():
            cell.setLeft(max(0, cell.right() - wide + 1))
            editor.setGeometry(cell)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        field = index.data(FIELD_ROLE)
        if isinstance(editor, NumberEdit):
            editor.show_stored(float(field.value or 0.0))
            editor.selectAll()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        field = index.data(FIELD_ROLE)
        value = _entered(editor, field)
        if value != field.value:
            self._tree.edited.emit(field.key, value)


def _editor(field: Field, parent: QWidget, is_checked: bool) -> QComboBox | QLineEdit | NumberEdit:
    if field.kind == "choice":
        return _choice(field, parent)
    if field.kind == "text":
        line = QLineEdit(str(field.value or ""), parent)
        line.setAccessibleName(field.name)
        return line
    decimals = 0 if field.kind == "count" else field.decimals
    number = NumberEdit(field.name, field.unit, field.low, field.high, decimals, parent, is_free=is_checked)
    number.setFrame(False)
    number.setButtonSymbols(NumberEdit.ButtonSymbols.NoButtons)  # no room in a cell; arrow keys step
    return number


def _choice(field: Field, parent: QWidget) -> QComboBox:
    box = QComboBox(parent)
    box.setAccessibleName(field.name)
    for label, value in field.choices:
        box.addItem(label, value)
    box.setCurrentIndex(box.findData(field.value))
    return box


def _typed(editor: QWidget, field: Field) -> Any:
    """Return what an editor holds as typed so far; None while it is no value, or still the old one."""
    if isinstance(editor, NumberEdit):
        value = editor.typed()
        if value is None:
            return None
        return round(value) if field.kind == "count" else value
    value = _entered(editor, field)
    return None if value == field.value else value


def _entered(editor: QWidget, field: Field) -> Any:
    if isinstance(editor, NumberEdit):
        return _number_entered(editor, field)
    if isinstance(editor, QComboBox):
        return editor.currentData()
    assert isinstance(editor, QLineEdit)
    return editor.text().strip()


def _number_entered(editor: NumberEdit, field: Field) -> float | int | None:
    """Return what was entered; looking at a value, or at one that is not known, enters nothing."""
    editor.interpretText()
    is_same = not editor.differs_from(float(field.value or 0.0))
    if is_same and (field.value is not None or not editor.was_typed):
        value: float | int | None = field.value
        return value
    return round(editor.entered) if field.kind == "count" else editor.entered
