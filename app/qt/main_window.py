"""The window: a desk with the box and its findings, and the pages of the work beside it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import (
    QAction,
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeySequence,
)
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QMainWindow,
    QMenu,
    QSplitter,
    QTabWidget,
    QToolBar,
    QVBoxLayout,
    QWidget,
)

from app.qt.about import AboutDialog
from app.qt.box_bench import BoxBench
from app.qt.choices_bench import ChoicesBench
from app.qt.compare_bench import CompareBench
from app.qt.cores_bench import CoresBench
from app.qt.cost_bench import CostBench
from app.qt.desk import Desk
from app.qt.document import Document
from app.qt.figures import language
from app.qt.focus_ring import FocusRing
from app.qt.help import HelpBench
from app.qt.jobs_bench import JobsBench
from app.qt.layers_bench import LayersBench
from app.qt.lengths import LENGTHS
from app.qt.new_job import dropped_files, is_welcome
from app.qt.pages.box_page import BoxPage
from app.qt.pages.compare_page import ComparePage
from app.qt.pages.cores_page import CoresPage
from app.qt.pages.cost_page import CostPage
from app.qt.pages.layers_page import LayersPage
from app.qt.pages.process_page import ProcessPage
from app.qt.reckon_worker import ReckonWorker
from app.qt.sheets_bench import SheetsBench
from app.qt.shown_plan import ShownPlan
from app.qt.steps_dialog import StepsDialog
from app.qt.stops_bench import StopsBench
from app.qt.view_actions import ViewActions
from app.qt.views.key_figures import KeyFigures
from app.qt.views.notice_strip import NoticeStrip
from app.qt.window_shape import keep_shape, restore_shape
from app.qt.work_strip import WorkStrip
from app.qt.worker import OutlineWorker, PlanWorker
from app.runner import Runner
from app.settings import Preferences, log_path
from corelib.errors import CorestowError
from corelib.job.files import job_document
from corelib.job.models import Job
from corelib.wording import error_sentence

WARM_AFTER_MS = 50

log = logging.getLogger("corestow.window")


class MainWindow(QMainWindow):
    """Binds the document, the workers, the desk and the pages."""

    def __init__(self, runner: Runner, preferences: Preferences | None = None) -> None:
        super().__init__()
        self.document = Document(self)
        self._runner = runner
        self._in_work: Job | None = None
        self.plan_worker = PlanWorker(runner, self)
        self.outline_worker = OutlineWorker(runner, self)
        self.setAcceptDrops(True)
        self._make_views()
        self.choices = ChoicesBench(preferences or Preferences(), self)
        self.jobs = JobsBench(self.document, self.plan_worker, self.choices, self)
        self.bench = BoxBench(self.document, self.desk, self.box_page, self.plan_worker, runner, self)
        self.core_bench = CoresBench(self.document, self.desk, self.cores_page, self.plan_worker, self)
        self.reckon_worker = ReckonWorker(runner, self)
        self.costs = CostBench(self.document, self.cost_page, self.reckon_worker, self)
        self.comparison = CompareBench(self.compare_page, self.reckon_worker, self)
        self.layers = LayersBench(
            self.document, self.desk, self.layers_page, self.outline_worker, runner, self
        )
        self.stops = StopsBench(self.document, self.desk.findings_view, self)
        self._make_actions()
        self._make_bars()
        self._arrange()
        FocusRing(self)
        self._make_menus()
        self._connect()
        self.resize(1280, 800)
        restore_shape(self, self._dividers())
        self._show_title()
        self._show_plan()
        QTimer.singleShot(WARM_AFTER_MS, self.plan_worker.warm)

    # --- building -----------------------------------------------------------------------------------

    def _make_views(self) -> None:
        self.desk = Desk(self.document)
        self.cores_page = CoresPage(self.document)
        self.box_page = BoxPage(self.document)
        self.layers_page = LayersPage(self.document)
        self.process_page = ProcessPage(self.document)
        self.cost_page = CostPage(self.document)
        self.summary_view = self.cost_page.figures
        self.compare_page = ComparePage(self.document)
        self.key_figures = KeyFigures()
        self.notice = NoticeStrip()
        self.box_chooser = QComboBox()
        self.box_chooser.setAccessibleName(self.tr("Box shown"))
        self.work_strip = WorkStrip(self.plan_worker)

    def _make_actions(self) -> None:
        standard = QKeySequence.StandardKey
        self.plan_action = self._action(self.tr("&Plan"), Qt.Key.Key_F5, self.plan)
        self.stop_action = self._action(self.tr("&Stop"), Qt.Key.Key_Escape, self.plan_worker.cancel)
        self.sheets = SheetsBench(self.document, self.plan_worker, self._runner, self)
        self.quit_action = self._action(self.tr("&Quit"), standard.Quit, self.close)
        history = self.document.history
        self.undo_action = history.createUndoAction(self, self.tr("&Undo"))
        self.undo_action.setShortcuts(standard.Undo)
        self.redo_action = history.createRedoAction(self, self.tr("&Redo"))
        self.redo_action.setShortcuts(standard.Redo)
        self.steps_action = self._action(
            self.tr("S&teps…"), "Ctrl+Shift+H", lambda: StepsDialog(history, self).open()
        )

    def _action(
        self, text: str, key: Qt.Key | QKeySequence.StandardKey | str, do: Callable[[], object]
    ) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda: do())
        return action

    def _make_menus(self) -> None:
        jobs, sheets, stops = self.jobs, self.sheets, self.stops
        self.views = ViewActions(self.desk.box_view, self.pages, self)
        self.help = HelpBench(self.pages, self)
        about = self._action(self.tr("&About and licences"), "", lambda: AboutDialog(self).open())
        line = None
        menus: dict[str, list[QAction | QMenu | None]] = {
            self.tr("&Job"): [
                *(jobs.new_action, jobs.open_action, jobs.recent_menu),
                *(jobs.save_action, jobs.save_as_action, line),
                *(self.plan_action, self.stop_action, sheets.preview_action, sheets.write_action, line),
                self.quit_action,
            ],
            self.tr("&Edit"): [
                *(self.undo_action, self.redo_action, self.steps_action, line),
                *(stops.lift_action, stops.restore_action),
            ],
            self.tr("&Box"): [*self.bench.actions],
            self.tr("&View"): [
                *self.views.looks,
                self.views.cut_action,
                line,
                *self.views.pages,
                line,
                *self.choices.menus,
            ],
            self.tr("&Help"): [self.help.here_action, line, *self.help.page_actions, line, about],
        }
        for title, entries in menus.items():
            _fill(self.menuBar().addMenu(title), entries)

    def _make_bars(self) -> None:
        bar = QToolBar(self.tr("Work"))
        bar.setObjectName("work")
        bar.setMovable(False)
        bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        bar.addActions(
            [self.jobs.open_action, self.jobs.save_action, self.bench.nest_action, self.plan_action]
        )
        bar.addAction(self.stop_action)
        label = QLabel(self.tr("Box") + " ")
        label.setBuddy(self.box_chooser)
        self._box_actions = [bar.addSeparator(), bar.addWidget(label), bar.addWidget(self.box_chooser)]
        self.addToolBar(bar)
        self.statusBar().addPermanentWidget(self.work_strip)

    def _arrange(self) -> None:
        self.pages = QTabWidget()
        self.pages.setDocumentMode(True)
        self.pages.tabBar().setAccessibleName(self.tr("Pages"))
        self.pages.addTab(self.cores_page, self.tr("Cores"))
        self.pages.addTab(self.box_page, self.tr("Box"))
        self.pages.addTab(self.layers_page, self.tr("Layers"))
        self.pages.addTab(self.process_page, self.tr("Process"))
        self.pages.addTab(self.cost_page, self.tr("Time and cost"))
        self.pages.addTab(self.compare_page, self.tr("Compare"))
        self.pages.setCurrentWidget(self.layers_page)
        self.halves = QSplitter(Qt.Orientation.Horizontal)
        self.halves.addWidget(self.desk)
        self.halves.addWidget(self.pages)
        self.halves.setSizes([720, 560])
        self.halves.setStretchFactor(0, 1)
        centre = QWidget()
        column = QVBoxLayout(centre)
        column.setContentsMargins(6, 4, 6, 4)
        column.setSpacing(4)
        column.addWidget(self.notice)
        column.addWidget(self.key_figures)
        column.addWidget(self.halves, 1)
        self.setCentralWidget(centre)

    def _connect(self) -> None:
        document, plan_worker = self.document, self.plan_worker
        document.opened.connect(self._show_title)
        document.job_changed.connect(self._show_title)
        document.history.cleanChanged.connect(self._show_title)
        document.plan_changed.connect(self._show_plan)
        document.box_changed.connect(self._show_box)
        self.box_chooser.activated.connect(document.show_box)
        for page in (self.cores_page, self.box_page, self.layers_page, self.process_page, self.compare_page):
            page.refused.connect(self.say_error)
        self.bench.plan_asked.connect(self.plan)
        self.jobs.opened.connect(self.plan)
        LENGTHS.changed.connect(self._show_plan)
        self.choices.told.connect(self.statusBar().showMessage)
        self.jobs.meshes_dropped.connect(self.core_bench.add)
        for part in (
            *(self.bench, self.layers, self.costs, self.cost_page, self.comparison),
            *(self.stops, self.jobs),
        ):
            part.refused.connect(self.say_error)
        for told in (self.bench.told, self.jobs.told):
            told.connect(self.notice.tell)
        self.core_bench.refused.connect(self.notice.say)
        self.core_bench.told.connect(self.statusBar().showMessage)
        self.comparison.told.connect(self.statusBar().showMessage)
        plan_worker.started.connect(self._show_busy)
        plan_worker.planned.connect(self._take_plan)
        self.sheets.begun.connect(self.notice.hide)
        self.sheets.told.connect(self.statusBar().showMessage)
        plan_worker.failed.connect(self.say_error)
        plan_worker.cancelled.connect(lambda: self.statusBar().showMessage(self.tr("The work was stopped.")))
        plan_worker.idle.connect(self._show_title)

    # --- what the user does -------------------------------------------------------------------------

    def open_job(self, path: Path) -> None:
        """Open a job file and plan it; what is not saved is asked about first."""
        self.jobs.open_job(path)

    def plan(self) -> None:
        """Plan the job as it is now, saved or not."""
        job, path = self.document.job, self.document.job_path
        if job is not None and path is not None and not self.plan_worker.is_busy:
            self.notice.hide()
            self._in_work = job
            self.plan_worker.start(path, job_document(job), language())

    def say_error(self, error: CorestowError) -> None:
        """Show an error's sentence."""
        try:
            sentence = error_sentence(error, language())
        except (KeyError, OSError):
            log.error("no wording for %s", error)
            sentence = self.tr("Something went wrong ({0}); see the log {1}.").format(error.code, log_path())
        self.notice.say(sentence)

    def say_fault(self, path: Path | None) -> None:
        """Tell that an internal fault was logged."""
        self.notice.say(self.tr("An internal fault was written to the log {0}.").format(path or ""))

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Accept a job file or mesh files."""
        if is_welcome(dropped_files(event)):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the job file that was dropped, or make a job of the mesh files."""
        paths = dropped_files(event)
        if is_welcome(paths):
            event.acceptProposedAction()
            self.jobs.take_dropped(paths)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask for what is not saved, stop what runs, end the children, keep the window's shape."""
        if not self.jobs.may_leave():
            event.ignore()
            return
        self.document.history.clear()  # while its commands are still whole
        self.jobs.recovery.leave()
        self.plan_worker.cancel()
        self.layers.end()
        self.reckon_worker.end()
        self.comparison.end()
        self.compare_page.close_scenes()
        self.bench.end()
        self.plan_worker.wait(1.0)
        self._runner.end()
        self.desk.box_view.close_scene()
        keep_shape(self, self._dividers())
        super().closeEvent(event)

    # --- showing ------------------------------------------------------------------------------------

    def _show_title(self) -> None:
        has_job = self.document.job is not None
        self.setWindowTitle(self._title())
        self.setWindowModified(self.document.is_dirty)
        self.jobs.show_state()
        self.plan_action.setEnabled(has_job and not self.plan_worker.is_busy)
        self.bench.nest_action.setEnabled(has_job and not self.plan_worker.is_busy)
        self.stop_action.setEnabled(self.plan_worker.is_busy)
        self.sheets.set_enabled(self.document.plan is not None and not self.plan_worker.is_busy)
        self.key_figures.set_current(self.document.plan is None or self.document.plan_is_current)

    def _title(self) -> str:
        job = self.document.job
        if job is None:
            return "Corestow"
        mark = " " + self.tr("(can only be read)") if self.document.is_read_only else ""
        return f"{job.name}[*]{mark} – Corestow"

    def _take_plan(self, plan: ShownPlan) -> None:
        self.document.set_plan(plan, self._in_work)

    def _show_plan(self) -> None:
        plan = self.document.plan
        self.key_figures.set_plan(plan)
        QTimer.singleShot(0, self._show_summary)  # in a turn of its own: a plan must not hold up the desk
        self.box_chooser.clear()
        boxes = plan.boxes if plan is not None else ()
        for i, box in enumerate(boxes):
            text = self.tr("{0} of {1} ({2} cores)").format(i + 1, len(boxes), len(box.placements))
            self.box_chooser.addItem(text)
        for action in self._box_actions:
            action.setVisible(len(boxes) > 1)
        self._show_title()
        self._show_box()

    def _show_summary(self) -> None:
        self.summary_view.set_plan(self.document.plan)

    def _show_box(self) -> None:
        if self.document.box is not None:
            self.box_chooser.setCurrentIndex(self.document.box_index)

    def _show_busy(self) -> None:
        self.statusBar().clearMessage()
        self._show_title()

    def _dividers(self) -> dict[str, QSplitter]:
        return {"halves": self.halves, "desk": self.desk}


def _fill(menu: QMenu, entries: Sequence[QAction | QMenu | None]) -> None:
    """Fill a menu with actions and menus; None is a line between them."""
    for entry in entries:
        if entry is None:
            menu.addSeparator()
        elif isinstance(entry, QMenu):
            menu.addMenu(entry)
        else:
            menu.addAction(entry)
