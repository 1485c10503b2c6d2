"""The window: a desk with the box and its findings, and the pages of the work beside it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings, Qt, QTimer
from PySide6.QtGui import (
    QAction,
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeySequence,
)
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QLabel,
    QMainWindow,
    QMenu,
    QMessageBox,
    QProgressBar,
    QSplitter,
    QTabWidget,
    QToolBar,
    QVBoxLayout,
    QWidget,
)

from app.qt.about import AboutDialog
from app.qt.box_bench import BoxBench
from app.qt.desk import Desk
from app.qt.document import Document
from app.qt.figures import language
from app.qt.new_job import ask_new_job, dropped_files, is_mesh, is_welcome
from app.qt.outlines import Outlines
from app.qt.pages.box_page import BoxPage
from app.qt.pages.compare_page import ComparePage
from app.qt.pages.cores_page import CoresPage
from app.qt.pages.layers_page import LayersPage
from app.qt.pages.process_page import ProcessPage
from app.qt.palette import core_colours
from app.qt.recovery import Recovery
from app.qt.sheets_bench import SheetsBench
from app.qt.shown_plan import ShownPlan
from app.qt.step_words import step_word
from app.qt.stops_bench import StopsBench
from app.qt.views.key_figures import KeyFigures
from app.qt.views.notice_strip import NoticeStrip
from app.qt.views.summary_view import SummaryView
from app.qt.worker import OutlineWorker, PlanWorker
from app.runner import Runner
from app.settings import (
    Preferences,
    config_folder,
    log_path,
    save_preferences,
)
from corelib.errors import CorestowError, FileError
from corelib.job.files import job_document
from corelib.job.models import Job
from corelib.job.new import MESH_FORMATS
from corelib.wording import error_sentence

STATE_VERSION = 2
WARM_AFTER_MS = 50
VIEWS = {"corner": (-35.0, 24.0), "front": (0.0, 4.0), "left": (-90.0, 4.0), "above": (0.0, 89.0)}

log = logging.getLogger("corestow.window")
Choice = QMessageBox.StandardButton


class MainWindow(QMainWindow):
    """Binds the document, the workers, the desk and the pages."""

    def __init__(self, runner: Runner, preferences: Preferences | None = None) -> None:
        super().__init__()
        self.document = Document(self)
        self._runner = runner
        self._preferences = preferences or Preferences()
        self._in_work: Job | None = None
        self.recovery = Recovery(self.document, config_folder() / "recovery", self)
        self.plan_worker = PlanWorker(runner, self)
        self.outline_worker = OutlineWorker(runner, self)
        self.setAcceptDrops(True)
        self._make_views()
        self.bench = BoxBench(self.document, self.desk, self.box_page, self.plan_worker, runner, self)
        self.stops = StopsBench(self.document, self.desk.findings_view, self)
        self._make_actions()
        self._make_bars()
        self._arrange()
        self._make_menus()
        self._connect()
        self._restore()
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
        self.summary_view = SummaryView()
        self.compare_page = ComparePage(self.document)
        self.key_figures = KeyFigures()
        self.notice = NoticeStrip()
        self.box_chooser = QComboBox()
        self.box_chooser.setAccessibleName(self.tr("Box shown"))
        self.progress_bar = QProgressBar()
        self.progress_bar.setRange(0, 1000)
        self.progress_bar.setTextVisible(False)
        self.progress_bar.setMaximumWidth(220)
        self.progress_bar.setAccessibleName(self.tr("Progress of the plan"))
        self.progress_label = QLabel()

    def _make_actions(self) -> None:
        standard = QKeySequence.StandardKey
        self.new_action = self._action(self.tr("&New job from meshes…"), standard.New, self.choose_meshes)
        self.open_action = self._action(self.tr("&Open job…"), standard.Open, self.choose_job)
        self.save_action = self._action(self.tr("Save &job"), standard.Save, self.save)
        self.plan_action = self._action(self.tr("&Plan"), Qt.Key.Key_F5, self.plan)
        self.stop_action = self._action(self.tr("&Stop"), Qt.Key.Key_Escape, self.plan_worker.cancel)
        self.sheets = SheetsBench(self.document, self.plan_worker, self._runner, self)
        self.quit_action = self._action(self.tr("&Quit"), standard.Quit, self.close)
        history = self.document.history
        self.undo_action = history.createUndoAction(self, self.tr("&Undo"))
        self.undo_action.setShortcuts(standard.Undo)
        self.redo_action = history.createRedoAction(self, self.tr("&Redo"))
        self.redo_action.setShortcuts(standard.Redo)

    def _action(
        self, text: str, key: Qt.Key | QKeySequence.StandardKey | str, do: Callable[[], object]
    ) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda: do())
        return action

    def _make_menus(self) -> None:
        job_menu = self.menuBar().addMenu(self.tr("&Job"))
        job_menu.addActions([self.new_action, self.open_action])
        self.recent_menu = job_menu.addMenu(self.tr("Open &recent"))
        self.recent_menu.aboutToShow.connect(self._fill_recent)
        job_menu.addAction(self.save_action)
        job_menu.addSeparator()
        job_menu.addActions([self.plan_action, self.stop_action])
        job_menu.addActions([self.sheets.preview_action, self.sheets.write_action])
        job_menu.addSeparator()
        job_menu.addAction(self.quit_action)
        edit_menu = self.menuBar().addMenu(self.tr("&Edit"))
        edit_menu.addActions([self.undo_action, self.redo_action])
        edit_menu.addActions([self.stops.lift_action, self.stops.restore_action])
        self.menuBar().addMenu(self.tr("&Box")).addActions(self.bench.actions)
        self._make_view_menu(self.menuBar().addMenu(self.tr("&View")))
        about = self._action(self.tr("&About and licences"), "", lambda: AboutDialog(self).open())
        self.menuBar().addMenu(self.tr("&Help")).addAction(about)

    def _make_view_menu(self, menu: QMenu) -> None:
        labels = {
            "corner": self.tr("Box from its &corner"),
            "front": self.tr("Box from the &front"),
            "left": self.tr("Box from the &left"),
            "above": self.tr("Box from &above"),
        }
        for place, (side, label) in enumerate(labels.items(), start=1):
            look = partial(self.desk.box_view.look_from, *VIEWS[side])
            menu.addAction(self._action(label, f"Ctrl+{place}", look))
        self.cut_action = self._action(self.tr("C&ut cores at the layer"), "Ctrl+K", lambda: None)
        self.cut_action.setCheckable(True)
        self.cut_action.toggled.connect(self.desk.box_view.set_cut)
        menu.addAction(self.cut_action)
        menu.addSeparator()
        for place in range(self.pages.count()):
            show = partial(self.pages.setCurrentIndex, place)
            menu.addAction(self._action(self.pages.tabText(place), f"Alt+{place + 1}", show))

    def _make_bars(self) -> None:
        bar = QToolBar(self.tr("Work"))
        bar.setObjectName("work")
        bar.setMovable(False)
        bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        bar.addActions([self.open_action, self.save_action, self.bench.nest_action, self.plan_action])
        bar.addAction(self.stop_action)
        label = QLabel(self.tr("Box") + " ")
        label.setBuddy(self.box_chooser)
        self._box_actions = [bar.addSeparator(), bar.addWidget(label), bar.addWidget(self.box_chooser)]
        self.addToolBar(bar)
        self.statusBar().addPermanentWidget(self.progress_label)
        self.statusBar().addPermanentWidget(self.progress_bar)

    def _arrange(self) -> None:
        self.pages = QTabWidget()
        self.pages.setDocumentMode(True)
        self.pages.tabBar().setAccessibleName(self.tr("Pages"))
        self.pages.addTab(self.cores_page, self.tr("Cores"))
        self.pages.addTab(self.box_page, self.tr("Box"))
        self.pages.addTab(self.layers_page, self.tr("Layers"))
        self.pages.addTab(self.process_page, self.tr("Process"))
        self.pages.addTab(self.summary_view, self.tr("Time and cost"))
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
        document.layer_changed.connect(self._ask_outlines)
        self.box_chooser.activated.connect(document.show_box)
        for page in (self.cores_page, self.box_page, self.layers_page, self.process_page, self.compare_page):
            page.refused.connect(self.say_error)
        self.bench.plan_asked.connect(self.plan)
        self.bench.refused.connect(self.say_error)
        self.stops.refused.connect(self.say_error)
        self.bench.told.connect(self.notice.say)
        plan_worker.started.connect(self._show_busy)
        plan_worker.progressed.connect(self._show_progress)
        plan_worker.planned.connect(self._take_plan)
        self.sheets.begun.connect(self.notice.hide)
        self.sheets.told.connect(self.statusBar().showMessage)
        plan_worker.failed.connect(self.say_error)
        plan_worker.cancelled.connect(lambda: self.statusBar().showMessage(self.tr("The work was stopped.")))
        plan_worker.idle.connect(self._show_idle)
        self.outline_worker.drawn.connect(self._show_outlines)
        self.outline_worker.failed.connect(self.say_error)

    # --- what the user does -------------------------------------------------------------------------

    def choose_job(self) -> None:
        """Ask for a job file and open it."""
        last = self._preferences.recent_jobs[:1]
        folder = str(Path(last[0]).parent) if last else ""
        name, _ = QFileDialog.getOpenFileName(
            self, self.tr("Open job"), folder, self.tr("Jobs (*.json);;All files (*)")
        )
        if name:
            self.open_job(Path(name))

    def open_job(self, path: Path) -> None:
        """Open a job file and plan it; what is not saved is asked about first."""
        if self.plan_worker.is_busy:
            self.notice.say(self.tr("A plan is being made; stop it before another job is opened."))
            return
        if not self._may_leave():
            return
        try:
            self.document.open_job(path)
        except CorestowError as error:
            self.say_error(error)
            return
        self._remember(path)
        self.plan()
        self._guard(path)

    def _guard(self, path: Path) -> None:
        """Take the job's lock, and offer what a crash left of its changes."""
        if not self.recovery.take(path):
            self.notice.say(self.tr("This job is open in another window; what is saved last stays."))
            return
        kept = self.recovery.left_behind(path)
        if kept is None or kept == self.document.job:
            return
        answer = QMessageBox.question(
            self,
            self.tr("Changes were recovered"),
            self.tr("Corestow ended before changes to this job were saved. Take them up again?"),
        )
        if answer == Choice.Yes:
            self.document.edit(self.tr("recovered changes"), kept)
        else:
            self.recovery.drop()

    def save(self) -> bool:
        """Write the job to its file and return whether it is written."""
        try:
            self.document.save()
        except CorestowError as error:
            self.say_error(error)
            return False
        return True

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
        if not is_welcome(paths):
            return
        event.acceptProposedAction()
        if is_mesh(paths[0]):
            QTimer.singleShot(0, partial(self.new_job, paths))  # a dialog must not hold up the drop
        else:
            self.open_job(paths[0])

    def choose_meshes(self) -> None:
        """Ask for mesh files and make a job of them."""
        endings = " ".join(f"*{ending}" for ending in MESH_FORMATS)
        names, _ = QFileDialog.getOpenFileNames(
            self, self.tr("Cores of the new job"), "", self.tr("Meshes ({0})").format(endings)
        )
        if names:
            self.new_job([Path(name) for name in names])

    def new_job(self, meshes: Sequence[Path]) -> None:
        """Make a job of mesh files and open it."""
        try:
            path = ask_new_job(self, meshes)
        except CorestowError as error:
            self.say_error(error)
            return
        if path is not None:
            self.open_job(path)

    def _may_leave(self) -> bool:
        """Ask what becomes of changes that are not saved; False if the user stays."""
        if not self.document.is_dirty:
            return True
        answer = QMessageBox.question(
            self,
            self.tr("Changes are not saved"),
            self.tr("The job has changes that are not saved. Save them?"),
            Choice.Save | Choice.Discard | Choice.Cancel,
            Choice.Save,
        )
        if answer == Choice.Discard:
            self.recovery.drop()
        return self.save() if answer == Choice.Save else answer == Choice.Discard

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask for what is not saved, stop what runs, end the children, keep the window's shape."""
        if not self._may_leave():
            event.ignore()
            return
        self.document.history.setClean()
        self.recovery.leave()
        self.plan_worker.cancel()
        self.outline_worker.end()
        self.bench.end()
        self.plan_worker.wait(1.0)
        self._runner.end()
        self.desk.box_view.close_scene()
        state = _state()
        state.setValue("version", STATE_VERSION)
        state.setValue("geometry", self.saveGeometry())
        state.setValue("halves", self.halves.saveState())
        state.setValue("desk", self.desk.saveState())
        super().closeEvent(event)

    # --- showing ------------------------------------------------------------------------------------

    def _show_title(self) -> None:
        job, path = self.document.job, self.document.job_path
        has_job = job is not None
        self.setWindowTitle("Corestow" if job is None or path is None else f"{job.name}[*] – Corestow")
        self.setWindowModified(self.document.is_dirty)
        self.save_action.setEnabled(has_job and self.document.is_dirty)
        self.plan_action.setEnabled(has_job and not self.plan_worker.is_busy)
        self.stop_action.setEnabled(self.plan_worker.is_busy)
        self.sheets.set_enabled(self.document.plan is not None and not self.plan_worker.is_busy)
        self.progress_bar.setVisible(self.plan_worker.is_busy)
        self.key_figures.set_current(self.document.plan is None or self.document.plan_is_current)

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
        plan, box = self.document.plan, self.document.box
        if plan is None or box is None:
            self.layers_page.view.set_box(None, {})
            return
        self.box_chooser.setCurrentIndex(self.document.box_index)
        self.layers_page.view.set_box(box.inner_mm, core_colours(plan.core_names))
        self._ask_outlines(self.document.layer)

    def _ask_outlines(self, layer: int) -> None:
        if self.document.plan is not None:
            self.outline_worker.ask(self.document.plan.files, self.document.box_index, layer)

    def _show_outlines(self, box: int, layer: int, outlines: Outlines) -> None:
        if self.document.plan is not None and box == self.document.box_index:
            self.layers_page.view.show_outlines(outlines)
            self.desk.show_outlines(box, layer, outlines)

    def _show_busy(self) -> None:
        self.open_action.setEnabled(False)
        self.new_action.setEnabled(False)
        self.progress_bar.setValue(0)
        self.statusBar().clearMessage()
        self._show_title()

    def _show_progress(self, share: float, step: str) -> None:
        self.progress_bar.setValue(round(1000 * share))
        self.progress_label.setText(step_word(step))

    def _show_idle(self) -> None:
        self.open_action.setEnabled(True)
        self.new_action.setEnabled(True)
        self.progress_label.clear()
        self._show_title()

    # --- remembering --------------------------------------------------------------------------------

    def _remember(self, path: Path) -> None:
        self._preferences = self._preferences.with_recent(path)
        try:
            save_preferences(self._preferences)
        except FileError as error:
            log.warning("preferences are not kept: %s", error)

    def _fill_recent(self) -> None:
        self.recent_menu.clear()
        for name in self._preferences.recent_jobs:
            action = self.recent_menu.addAction(name)
            action.setEnabled(Path(name).is_file())
            action.triggered.connect(lambda _=False, name=name: self.open_job(Path(name)))
        if not self._preferences.recent_jobs:
            self.recent_menu.addAction(self.tr("No job was opened yet")).setEnabled(False)

    def _restore(self) -> None:
        self.resize(1280, 800)
        state = _state()
        if state.value("version", 0, int) != STATE_VERSION:
            return
        parts = {"geometry": self.restoreGeometry, "halves": self.halves.restoreState}
        for name, take in {**parts, "desk": self.desk.restoreState}.items():
            stored = state.value(name)
            if isinstance(stored, QByteArray):
                take(stored)


def _state() -> QSettings:
    return QSettings(str(config_folder() / "window.ini"), QSettings.Format.IniFormat)
