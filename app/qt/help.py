"""Help inside: pages for the first job, each step of the work, cautions and news, read without a network."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QUrl
from PySide6.QtGui import (
    QAction,
    QFontDatabase,
    QKeySequence,
    QTextBlock,
    QTextBlockFormat,
    QTextCharFormat,
    QTextCursor,
)
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSplitter,
    QTabWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from app.qt.figures import language
from app.qt.palette import accent
from app.qt.window_shape import size_on_screen

FOLDER = Path(__file__).parents[1] / "help"
PAGES = (
    "first-job",
    "cores",
    "box",
    "layers",
    "process",
    "time-and-cost",
    "compare",
    "cautions",
    "whats-new",
)
STEPS = ("cores", "box", "layers", "process", "time-and-cost", "compare")
"""Page for each page of the window, in their order."""
LINE_HEIGHT_PCT = 125.0
LIST_PX = 230


def page_path(page: str, spoken: str) -> Path:
    """Return the file of a help page in a language."""
    return FOLDER / spoken / f"{page}.md"


def page_title(page: str, spoken: str) -> str:
    """Return a page's first heading."""
    first = page_path(page, spoken).read_text(encoding="utf-8").split("\n", 1)[0]
    return first.lstrip("# ").strip()


class HelpBrowser(QTextBrowser):
    """Shows a page; links in a colour that can be read, formulas in a fixed font, lines apart."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sourceChanged.connect(self._polish)

    def _polish(self) -> None:
        document = self.document()
        link, code, lines = QTextCharFormat(), QTextCharFormat(), QTextBlockFormat()
        link.setForeground(accent(self.palette()))
        code.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        lines.setLineHeight(LINE_HEIGHT_PCT, QTextBlockFormat.LineHeightTypes.ProportionalHeight.value)
        block = document.begin()
        while block.isValid():
            QTextCursor(block).mergeBlockFormat(lines)
            for place, length, kind in _spans(block):
                wanted = link if kind.isAnchor() else code if kind.fontFixedPitch() else None
                if wanted is not None:
                    cursor = QTextCursor(document)
                    cursor.setPosition(place)
                    cursor.setPosition(place + length, QTextCursor.MoveMode.KeepAnchor)
                    cursor.mergeCharFormat(wanted)
            block = block.next()


def _spans(block: QTextBlock) -> list[tuple[int, int, QTextCharFormat]]:
    """Return place, length and format of each span of a block."""
    spans, here = [], block.begin()
    while not here.atEnd():
        part = here.fragment()
        spans.append((part.position(), part.length(), part.charFormat()))
        here += 1
    return spans


class HelpWindow(QDialog):
    """The pages' list, the page, and a search within it; Escape closes the window."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Help"))
        self.setWindowFlag(Qt.WindowType.WindowMinMaxButtonsHint)
        self.resize(size_on_screen(self, 940, 680))
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Help pages"))
        self.list.setMaximumWidth(LIST_PX)
        for page in PAGES:
            item = QListWidgetItem(page_title(page, language()))
            item.setData(Qt.ItemDataRole.UserRole, page)
            self.list.addItem(item)
        self.browser = HelpBrowser()
        self.browser.setAccessibleName(self.tr("Help page"))
        self.browser.document().setDocumentMargin(14)
        self.find_edit = QLineEdit()
        self.find_edit.setPlaceholderText(self.tr("Find on this page"))
        self.find_edit.setAccessibleName(self.tr("Find on this page"))
        self.find_edit.setClearButtonEnabled(True)
        self.next_button = QPushButton(self.tr("&Next place"))
        self.back_button = QPushButton(self.tr("&Back"))
        self.close_button = QPushButton(self.tr("Close"))
        self.state = QLabel()
        self._arrange()
        self._connect()

    def _arrange(self) -> None:
        parts = QSplitter()
        parts.addWidget(self.list)
        parts.addWidget(self.browser)
        parts.setStretchFactor(1, 1)
        parts.setSizes([220, 680])
        row = QHBoxLayout()
        row.addWidget(self.back_button)
        row.addWidget(self.find_edit, 1)
        row.addWidget(self.next_button)
        row.addWidget(self.state)
        row.addWidget(self.close_button)
        column = QVBoxLayout(self)
        column.addWidget(parts, 1)
        column.addLayout(row)
        for button in (self.next_button, self.back_button, self.close_button):
            button.setAutoDefault(False)  # Return in the search field searches

    def _connect(self) -> None:
        self.list.currentItemChanged.connect(self._open_chosen)
        self.browser.sourceChanged.connect(self._show_place)
        self.browser.backwardAvailable.connect(self.back_button.setEnabled)
        self.back_button.setEnabled(False)
        self.back_button.clicked.connect(self.browser.backward)
        self.find_edit.returnPressed.connect(self.find_next)
        self.next_button.clicked.connect(self.find_next)
        self.close_button.clicked.connect(self.reject)
        find = QAction(self)
        find.setShortcuts(QKeySequence.StandardKey.Find)
        find.triggered.connect(self._go_to_find)
        self.addAction(find)

    @property
    def page(self) -> str:
        """The page shown."""
        return Path(self.browser.source().toLocalFile()).stem

    def show_page(self, page: str) -> None:
        """Show a page."""
        url = QUrl.fromLocalFile(str(page_path(page, language())))
        if url != self.browser.source():
            self.browser.setSource(url)

    def find_next(self) -> bool:
        """Go to the next place of the words looked for, from the top again after the last; False if none."""
        sought = self.find_edit.text()
        found = bool(sought) and self.browser.find(sought)
        if sought and not found:
            here = self.browser.textCursor()
            self.browser.moveCursor(QTextCursor.MoveOperation.Start)
            found = self.browser.find(sought)
            if not found:
                self.browser.setTextCursor(here)
        self.state.setText(self.tr("not on this page") if sought and not found else "")
        return found

    def _go_to_find(self) -> None:
        self.find_edit.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.find_edit.selectAll()

    def _open_chosen(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.show_page(item.data(Qt.ItemDataRole.UserRole))

    def _show_place(self, url: QUrl) -> None:
        self.state.setText("")
        page = Path(url.path()).stem
        if page in PAGES:
            self.list.setCurrentRow(PAGES.index(page))


class HelpBench(QObject):
    """The actions of the help menu; F1 leads to the page of the step at hand."""

    def __init__(self, pages: QTabWidget, window: QWidget) -> None:
        super().__init__(window)
        self._pages, self._window = pages, window
        self._help: HelpWindow | None = None
        self.here_action = self._action(self.tr("&Help on this page"), self.open_here)
        self.here_action.setShortcut(QKeySequence(Qt.Key.Key_F1))
        self.page_actions = [
            self._action(page_title(page, language()), partial(self.open, page)) for page in PAGES
        ]

    def _action(self, text: str, do: Callable[[], object]) -> QAction:
        action = QAction(text, self)
        action.triggered.connect(lambda: do())
        return action

    @property
    def window(self) -> HelpWindow | None:
        """The help's window, once it was opened."""
        return self._help

    def open_here(self) -> None:
        """Open the page about the step that the window shows."""
        self.open(STEPS[min(self._pages.currentIndex(), len(STEPS) - 1)])

    def open(self, page: str) -> None:
        """Open a page beside the work."""
        if self._help is None:
            self._help = HelpWindow(self._window)
        self._help.show_page(page)
        self._help.show()
        self._help.activateWindow()
        self._help.browser.setFocus(Qt.FocusReason.OtherFocusReason)
