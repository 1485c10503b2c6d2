"""Compare: two to six plans side by side, their boxes, figures and curves, and which one is picked."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QKeySequence
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QStackedWidget,
    QTabWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.qt.compared_plan import ComparedPlan, compared
from app.qt.document import Document
from app.qt.figures import language
from app.qt.new_job import dropped_files
from app.qt.pages.page import Page
from app.qt.views.choice_strip import ChoiceStrip
from app.qt.views.compare_boxes import CompareBoxes
from app.qt.views.compare_curves import CompareCurves
from app.qt.views.compare_table import CompareTable
from corelib.comparison import FEWEST, MOST, Comparison, compare_plans
from corelib.errors import CorestowError, InputError
from corelib.job.edits import with_choice
from corelib.wording import wording

PLAN_MARK = b'"corestow.plan"'
BOXES = 1


class ComparePage(Page):
    """Plans that were kept or read from files (`files_asked`); differences are to the first."""

    files_asked = Signal(list)
    sheet_asked = Signal(object)
    """Takes the path of the PDF that is to be written."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self._plans: list[ComparedPlan] = []
        self._comparison: Comparison | None = None
        self._boxes_of: tuple[ComparedPlan, ...] = ()
        self.setAcceptDrops(True)
        self._make_buttons()
        self.table, self.boxes, self.curves = CompareTable(), CompareBoxes(), CompareCurves()
        self.statements, self.reading, self.hint = QLabel(), QLabel(), QLabel()
        self.choice = ChoiceStrip()
        self._make_tabs()
        self.choice.picked.connect(self._pick)
        self.choice.withdrawn.connect(self._withdraw)
        self.curves.told.connect(self.reading.setText)
        document.plan_changed.connect(self._show_buttons)
        document.job_changed.connect(self.show_job)
        self.show_plans()

    def _make_buttons(self) -> None:
        self.keep_button = QPushButton(self.tr("Keep this plan"))
        self.keep_button.setToolTip(self.tr("Lay the plan shown beside the others."))
        self.keep_button.clicked.connect(self.keep)
        self.add_button = QPushButton(self.tr("Add plan files…"))
        self.add_button.clicked.connect(self.choose)
        self.clear_button = QPushButton(self.tr("Clear"))
        self.clear_button.setAccessibleName(self.tr("Clear the comparison"))
        self.clear_button.clicked.connect(self.forget)
        self.sheet_action = QAction(self.tr("Save the &comparison as PDF…"), self)
        self.sheet_action.setShortcut(QKeySequence("Ctrl+Shift+J"))
        self.sheet_action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        self.sheet_action.triggered.connect(lambda: self._save_sheet())
        self.addAction(self.sheet_action)
        row = QHBoxLayout()
        for button in (self.keep_button, self.add_button, self.clear_button):
            row.addWidget(button)
        row.addStretch(1)
        self.column.addLayout(row)

    def _make_tabs(self) -> None:
        for text in (self.statements, self.hint, self.reading):
            text.setWordWrap(True)
            text.setTextFormat(Qt.TextFormat.PlainText)
        self.statements.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.statements.setAccessibleName(self.tr("What each plan is better at"))
        self.statements.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        scroll = QScrollArea()
        scroll.setWidget(self.statements)
        scroll.setWidgetResizable(True)
        scroll.setAccessibleName(self.tr("What each plan is better at"))
        figures = QSplitter(Qt.Orientation.Vertical)
        figures.addWidget(self.table)
        figures.addWidget(scroll)
        figures.setSizes([340, 140])
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.tabBar().setAccessibleName(self.tr("Views of the comparison"))
        self.tabs.addTab(figures, self.tr("Figures"))
        self.tabs.addTab(self.boxes, self.tr("Boxes"))
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 2, 0, 0)
        column.addWidget(self.curves, 1)
        self.reading.setMinimumHeight(2 * self.reading.fontMetrics().lineSpacing())
        column.addWidget(self.reading)
        self.tabs.addTab(holder, self.tr("Over height"))
        save = QToolButton()
        save.setText("…")
        save.setAccessibleName(self.tr("Save the curves or the comparison"))
        save.setToolTip(save.accessibleName())
        save.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        save.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        menu = self.curves.pictures.menu(save)
        menu.addAction(self.sheet_action)
        save.setMenu(menu)
        self.tabs.setCornerWidget(save)
        QWidget.setTabOrder(self.tabs.tabBar(), save)
        self.tabs.currentChanged.connect(self._show_boxes)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.hint)
        self.stack.addWidget(self.tabs)
        self.column.addWidget(self.stack, 1)
        self.column.addWidget(self.choice)

    # --- which plans --------------------------------------------------------------------------------

    @property
    def plans(self) -> tuple[ComparedPlan, ...]:
        """The plans that are compared."""
        return tuple(self._plans)

    def keep(self) -> None:
        """Lay the plan shown beside the others."""
        plan = self.document.plan
        if plan is None:
            return
        try:
            self.add_plan(compared(plan.job_name, plan))
        except CorestowError as error:
            self.refused.emit(error)

    def choose(self) -> None:
        """Ask for plan files to lay beside the others."""
        names, _ = QFileDialog.getOpenFileNames(
            self, self.tr("Add plans"), "", self.tr("Plans (plan.json);;All files (*)")
        )
        if names:
            self.files_asked.emit([Path(name) for name in names])

    def _save_sheet(self) -> None:
        """Ask for a file and have the comparison written to it."""
        if self._comparison is None:
            return
        name, _ = QFileDialog.getSaveFileName(
            self, self.tr("Save the comparison"), self.tr("comparison") + ".pdf", self.tr("Sheets (*.pdf)")
        )
        if name:
            self.sheet_asked.emit(Path(name))

    def add_plan(self, plan: ComparedPlan) -> None:
        """Lay a plan beside the others; a name that is there already gets a number."""
        if len(self._plans) >= MOST:
            facts = {"count": len(self._plans) + 1, "fewest": FEWEST, "most": MOST}
            self.refused.emit(InputError("comparison.wrong_count", **facts))
            return
        names = [known.name for known in self._plans]
        title, again = plan.name, 2
        while title in names:
            title, again = f"{plan.name} ({again})", again + 1
        self._plans.append(ComparedPlan(title, plan.sha256, plan.shown))
        self.show_plans()

    def forget(self) -> None:
        """Take all plans away."""
        self._plans.clear()
        self.show_plans()

    def close_scenes(self) -> None:
        """Let go of the graphics contexts."""
        self.boxes.close_scenes()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Accept plan files; anything else is the window's."""
        if plans_among(dropped_files(event)):
            event.acceptProposedAction()
        else:
            event.ignore()

    def dropEvent(self, event: QDropEvent) -> None:
        """Lay dropped plans beside the others."""
        paths = plans_among(dropped_files(event))
        if paths:
            event.acceptProposedAction()
            QTimer.singleShot(0, lambda: self.files_asked.emit(paths))

    # --- what is shown ------------------------------------------------------------------------------

    def show_plans(self) -> None:
        """Show what the plans have in common and what sets them apart."""
        self._show_buttons()
        names = [plan.name for plan in self._plans]
        self._comparison = None
        if len(names) >= FEWEST:
            try:
                self._comparison = compare_plans(names, [plan.document for plan in self._plans])
            except CorestowError as error:
                self.refused.emit(error)
        self.choice.show_plans(names if self._comparison is not None else ())
        self.table.show_comparison(self._comparison)
        self.curves.show_comparison(self._comparison)
        self._show_statements()
        self._show_hint(names)
        self.stack.setCurrentIndex(0 if self._comparison is None else 1)
        self._show_boxes()
        self.show_job()

    def _show_hint(self, names: list[str]) -> None:
        how = self.tr(
            "Keep a plan, change the job, plan again and keep that too; or add plan files, or drop them here."
        )
        if names:
            how = self.tr("{0} is kept; a second plan is needed.").format(names[0]) + "\n\n" + how
        self.hint.setText(how)

    def _show_boxes(self) -> None:
        """Show the boxes once they are looked at: a scene takes time to make."""
        plans = self.plans if self._comparison is not None else ()
        if plans != self._boxes_of and (self.tabs.currentIndex() == BOXES or not plans):
            self._boxes_of = plans
            self.boxes.show_plans(plans)

    def _show_buttons(self) -> None:
        self.keep_button.setEnabled(self.document.plan is not None)
        self.clear_button.setEnabled(bool(self._plans))
        self.sheet_action.setEnabled(len(self._plans) >= FEWEST)

    def _show_statements(self) -> None:
        sentences = []
        for statement in () if self._comparison is None else self._comparison.statements:
            said = wording(statement.code, statement.facts, language())
            sentences.append(" ".join(part for part in (said.message, said.next) if part))
        self.statements.setText("\n".join(sentences))

    def show_job(self) -> None:
        """Show the choice that the job holds."""
        job = self.document.job
        self.choice.show_choice(None if job is None else job.choice)
        self.choice.setVisible(job is not None and (self._comparison is not None or job.choice is not None))

    # --- the choice ---------------------------------------------------------------------------------

    def _pick(self, place: int, reason: str, by: str, day: str) -> None:
        plan = self._plans[place]
        choice = {
            "plan": plan.name,
            "plan_sha256": plan.sha256,
            "among": tuple(known.name for known in self._plans),
            "reason": reason,
            "by": by,
            "date": day,
        }
        self.change(self.tr("pick the plan {0}").format(plan.name), lambda job: with_choice(job, choice))

    def _withdraw(self) -> None:
        self.change(self.tr("withdraw the choice of a plan"), lambda job: with_choice(job, None))


def plans_among(paths: list[Path]) -> list[Path]:
    """Return the paths if all of them are plans: plan files, or folders that hold one; else none."""
    for path in paths:
        file = path / "plan.json" if path.is_dir() else path
        try:
            if file.suffix.lower() != ".json" or PLAN_MARK not in file.read_bytes():
                return []
        except OSError:
            return []
    return paths
