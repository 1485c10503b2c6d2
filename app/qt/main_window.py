"""The window: one desk with the box, its layers, the findings and the figures of a plan."""

from __future__ import annotations

import logging
import signal
import sys
from collections import Counter
from pathlib import Path
from types import TracebackType

import pyqtgraph as pg
from PySide6.QtCore import QByteArray, QLocale, QSettings, Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QFileDialog,
    QLabel,
    QMainWindow,
    QMenu,
    QProgressBar,
    QSplitter,
    QTabWidget,
    QToolBar,
    QVBoxLayout,
    QWidget,
)

from app.qt.document import Document
from app.qt.figures import language, number
from app.qt.outlines import Outlines
from app.qt.palette import core_colours
from app.qt.screen import require_screen
from app.qt.shown_plan import ShownFinding, ShownPlan
from app.qt.views.box_view import BoxView
from app.qt.views.findings_view import FindingsView
from app.qt.views.height_rule import HeightRule
from app.qt.views.key_figures import KeyFigures
from app.qt.views.layer_view import LayerView
from app.qt.views.notice_strip import NoticeStrip
from app.qt.views.summary_view import SummaryView
from app.qt.worker import OutlineWorker, PlanWorker
from app.runner import Runner
from app.settings import Preferences, config_folder, load_preferences, log_path, save_preferences, start_log
from corelib.child import freeze_support
from corelib.errors import CorestowError, FileError
from corelib.units import MM2_PER_CM2
from corelib.wording import error_sentence

STATE_VERSION = 1
WARM_AFTER_MS = 50
VIEWS = {"front": (0.0, 4.0), "left": (-90.0, 4.0), "above": (0.0, 89.0), "corner": (-35.0, 24.0)}

log = logging.getLogger("corestow.window")


class MainWindow(QMainWindow):
    """Binds the document, the workers and the views."""

    def __init__(self, runner: Runner, preferences: Preferences | None = None) -> None:
        super().__init__()
        self.document = Document(self)
        self._runner = runner
        self._preferences = preferences or Preferences()
        self.plan_worker = PlanWorker(runner, self)
        self.outline_worker = OutlineWorker(runner, self)
        self.setAcceptDrops(True)
        self._make_views()
        self._make_actions()
        self._make_bars()
        self._arrange()
        self._connect()
        self._restore()
        self._show_job()
        QTimer.singleShot(WARM_AFTER_MS, self._warm)

    # --- building -----------------------------------------------------------------------------------

    def _make_views(self) -> None:
        self.box_view = BoxView()
        self.height_rule = HeightRule()
        self.layer_view = LayerView()
        self.findings_view = FindingsView()
        self.summary_view = SummaryView()
        self.key_figures = KeyFigures()
        self.notice = NoticeStrip()
        self.layer_heading = QLabel()
        self.findings_heading = QLabel()
        self.box_chooser = QComboBox()
        self.box_chooser.setAccessibleName(self.tr("Box shown"))
        self.progress_bar = QProgressBar()
        self.progress_bar.setRange(0, 1000)
        self.progress_bar.setTextVisible(False)
        self.progress_bar.setMaximumWidth(220)
        self.progress_bar.setAccessibleName(self.tr("Progress of the plan"))
        self.progress_label = QLabel()

    def _make_actions(self) -> None:
        self.open_action = self._action(self.tr("&Open job…"), QKeySequence(QKeySequence.StandardKey.Open))
        self.open_action.triggered.connect(self.choose_job)
        self.plan_action = self._action(self.tr("&Plan"), QKeySequence(Qt.Key.Key_F5))
        self.plan_action.triggered.connect(self.plan)
        self.stop_action = self._action(self.tr("&Stop"), QKeySequence(Qt.Key.Key_Escape))
        self.stop_action.triggered.connect(self.plan_worker.cancel)
        self.quit_action = self._action(self.tr("&Quit"), QKeySequence(QKeySequence.StandardKey.Quit))
        self.quit_action.triggered.connect(self.close)

    def _action(self, text: str, shortcut: QKeySequence) -> QAction:
        action = QAction(text, self)
        action.setShortcut(shortcut)
        return action

    def _make_bars(self) -> None:
        job_menu = self.menuBar().addMenu(self.tr("&Job"))
        job_menu.addAction(self.open_action)
        self.recent_menu = job_menu.addMenu(self.tr("Open &recent"))
        self.recent_menu.aboutToShow.connect(self._fill_recent)
        job_menu.addSeparator()
        job_menu.addActions([self.plan_action, self.stop_action])
        job_menu.addSeparator()
        job_menu.addAction(self.quit_action)
        self._make_view_menu(self.menuBar().addMenu(self.tr("&View")))
        bar = QToolBar(self.tr("Work"))
        bar.setObjectName("work")
        bar.setMovable(False)
        bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        bar.addActions([self.open_action, self.plan_action, self.stop_action])
        box_label = QLabel(self.tr("Box") + " ")
        box_label.setBuddy(self.box_chooser)
        self._box_actions = [
            bar.addSeparator(),
            bar.addWidget(box_label),
            bar.addWidget(self.box_chooser),
        ]
        self.addToolBar(bar)
        self.statusBar().addPermanentWidget(self.progress_label)
        self.statusBar().addPermanentWidget(self.progress_bar)

    def _make_view_menu(self, menu: QMenu) -> None:
        labels = {
            "corner": self.tr("Box from its &corner"),
            "front": self.tr("Box from the &front"),
            "left": self.tr("Box from the &left"),
            "above": self.tr("Box from &above"),
        }
        for place, (side, label) in enumerate(labels.items(), start=1):
            action = self._action(label, QKeySequence(f"Ctrl+{place}"))
            action.triggered.connect(lambda _=False, side=side: self.box_view.look_from(*VIEWS[side]))
            menu.addAction(action)

    def _arrange(self) -> None:
        upper = QSplitter(Qt.Orientation.Horizontal)
        upper.addWidget(self.height_rule)
        upper.addWidget(self.box_view)
        upper.setSizes([190, 520])
        upper.setStretchFactor(1, 1)
        self.desk = QSplitter(Qt.Orientation.Vertical)
        self.desk.addWidget(upper)
        self.desk.addWidget(_headed(self.findings_heading, self.findings_view))
        self.desk.setSizes([470, 170])
        self.desk.setStretchFactor(0, 1)
        self.pages = QTabWidget()
        self.pages.setDocumentMode(True)
        self.pages.tabBar().setAccessibleName(self.tr("Pages"))
        self.pages.addTab(_headed(self.layer_heading, self.layer_view), self.tr("Layers"))
        self.pages.addTab(self.summary_view, self.tr("Time and cost"))
        self.halves = QSplitter(Qt.Orientation.Horizontal)
        self.halves.addWidget(self.desk)
        self.halves.addWidget(self.pages)
        self.halves.setSizes([740, 540])
        self.halves.setStretchFactor(0, 1)
        centre = QWidget()
        column = QVBoxLayout(centre)
        column.setContentsMargins(6, 4, 6, 4)
        column.setSpacing(4)
        column.addWidget(self.notice)
        column.addWidget(self.key_figures)
        column.addWidget(self.halves, 1)
        self.setCentralWidget(centre)
        self.findings_heading.setBuddy(self.findings_view)
        for one, other in ((self.height_rule, self.box_view), (self.box_view, self.findings_view)):
            QWidget.setTabOrder(one, other)

    def _connect(self) -> None:
        document, plan_worker = self.document, self.plan_worker
        document.job_changed.connect(self._show_job)
        document.plan_changed.connect(self._show_plan)
        document.box_changed.connect(self._show_box)
        document.layer_changed.connect(self._show_layer)
        self.height_rule.layer_chosen.connect(document.show_layer)
        self.box_chooser.activated.connect(document.show_box)
        self.findings_view.finding_chosen.connect(self._go_to)
        plan_worker.started.connect(self._show_busy)
        plan_worker.progressed.connect(self._show_progress)
        plan_worker.planned.connect(document.set_plan)
        plan_worker.failed.connect(self.say_error)
        plan_worker.cancelled.connect(lambda: self.statusBar().showMessage(self.tr("Planning was stopped.")))
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
        """Open a job file and plan it."""
        if self.plan_worker.is_busy:
            self.notice.say(self.tr("A plan is being made; stop it before another job is opened."))
            return
        if not path.is_file():
            self.say_error(FileError("file.missing", path=str(path)))
            return
        self.document.open_job(path)
        self._remember(path)
        self.plan()

    def plan(self) -> None:
        """Plan the open job."""
        if self.document.job_path is not None and not self.plan_worker.is_busy:
            self.notice.hide()
            self.plan_worker.start(self.document.job_path, language())

    def say_error(self, error: CorestowError) -> None:
        """Show an error's sentence."""
        try:
            sentence = error_sentence(error, language())
        except (KeyError, OSError):
            log.error("no wording for %s", error)
            sentence = self.tr("Something went wrong ({0}); see the log {1}.").format(error.code, log_path())
        self.notice.say(sentence)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Accept a job file."""
        if _dropped_job(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the job file that was dropped."""
        path = _dropped_job(event)
        if path is not None:
            event.acceptProposedAction()
            self.open_job(path)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Stop what runs, end the children, keep the window's shape."""
        self.plan_worker.cancel()
        self.outline_worker.end()
        self.plan_worker.wait(1.0)
        self._runner.end()
        self.box_view.close_scene()
        state = _state()
        state.setValue("version", STATE_VERSION)
        state.setValue("geometry", self.saveGeometry())
        state.setValue("halves", self.halves.saveState())
        state.setValue("desk", self.desk.saveState())
        super().closeEvent(event)

    # --- showing ------------------------------------------------------------------------------------

    def _warm(self) -> None:
        if not self.plan_worker.is_busy:
            self.plan_worker.warm()

    def _show_job(self) -> None:
        path = self.document.job_path
        self.setWindowTitle("Corestow" if path is None else f"{path.stem} – Corestow")
        self.plan_action.setEnabled(path is not None)
        self.stop_action.setEnabled(False)
        self.progress_bar.hide()
        if path is None:
            self._show_plan()

    def _show_plan(self) -> None:
        plan = self.document.plan
        if plan is not None:
            self.setWindowTitle(f"{plan.job_name} – Corestow")
        self.key_figures.set_plan(plan)
        self.summary_view.set_plan(plan)
        self.findings_view.findings.set_plan(plan)
        self.findings_heading.setText(self._findings_text(plan))
        self.box_chooser.clear()
        boxes = plan.boxes if plan is not None else ()
        for i, box in enumerate(boxes):
            self.box_chooser.addItem(
                self.tr("{0} of {1} ({2} cores)").format(i + 1, len(boxes), len(box.placements))
            )
        for action in self._box_actions:
            action.setVisible(len(boxes) > 1)
        self._show_box()

    def _show_box(self) -> None:
        plan, box = self.document.plan, self.document.box
        if plan is None or box is None:
            self.box_view.show_box(None)
            self.layer_view.set_box(None, {})
            self.height_rule.set_box(None)
            self.layer_heading.setText(self.tr("No plan yet"))
            return
        colours = core_colours(plan.core_names)
        copies = Counter(placement.core for placement in box.placements)
        self.box_chooser.setCurrentIndex(self.document.box_index)
        legend = [(colours[core], f"{copies[core]} × {plan.core_names[core]}") for core in sorted(copies)]
        self.box_view.show_box(box.inner_mm, box.placements, plan.looks, colours, legend)
        self.layer_view.set_box(box.inner_mm, colours)
        self.height_rule.set_box(box, self.document.layer)
        self._show_layer(self.document.layer)

    def _show_layer(self, layer: int) -> None:
        plan, box = self.document.plan, self.document.box
        if plan is None or box is None or box.layer_count == 0:
            return
        self.height_rule.show_layer(layer)
        self.box_view.show_level(float(box.z_mm[layer]) + 0.5 * box.thickness_mm)
        self.layer_heading.setText(
            self.tr("Layer {0} of {1} · {2} mm · {3} cm² printed").format(
                layer + 1,
                box.layer_count,
                number(float(box.z_mm[layer]), 2),
                number(float(box.printed_area_mm2[layer]) / MM2_PER_CM2, 1),
            )
        )
        self.outline_worker.ask(plan.files, self.document.box_index, layer)

    def _show_outlines(self, box: int, layer: int, outlines: Outlines) -> None:
        if self.document.plan is not None and box == self.document.box_index:
            self.layer_view.show_outlines(outlines)

    def _findings_text(self, plan: ShownPlan | None) -> str:
        if plan is None:
            return self.tr("Findings")
        severities = Counter(finding.severity for finding in plan.findings)
        words = self.findings_view.findings
        counts = [
            f"{severities[s]} × {words.severity_word(s)}" for s in ("stop", "check", "note") if severities[s]
        ]
        return self.tr("Findings: {0}").format(", ".join(counts) if counts else self.tr("none"))

    def _go_to(self, finding: ShownFinding) -> None:
        """Show the box and layer that a finding is about."""
        if finding.box is not None:
            self.document.show_box(finding.box)
        if finding.layers is not None:
            self.document.show_layer(finding.layers[0])

    def _show_busy(self) -> None:
        self.plan_action.setEnabled(False)
        self.open_action.setEnabled(False)
        self.stop_action.setEnabled(True)
        self.progress_bar.setValue(0)
        self.progress_bar.show()
        self.statusBar().clearMessage()

    def _show_progress(self, share: float, step: str) -> None:
        self.progress_bar.setValue(round(1000 * share))
        self.progress_label.setText(self._step_words().get(step, step))

    def _step_words(self) -> dict[str, str]:
        return {
            "read": self.tr("Reading cores"),
            "pack": self.tr("Packing"),
            "nest": self.tr("Packing"),
            "settle": self.tr("Settling the packing"),
            "layers": self.tr("Layers"),
            "estimate": self.tr("Quantities, time and cost"),
            "done": self.tr("Done"),
        }

    def _show_idle(self) -> None:
        self.plan_action.setEnabled(self.document.job_path is not None)
        self.open_action.setEnabled(True)
        self.stop_action.setEnabled(False)
        self.progress_bar.hide()
        self.progress_label.clear()

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
        for name, take in (
            ("geometry", self.restoreGeometry),
            ("halves", self.halves.restoreState),
            ("desk", self.desk.restoreState),
        ):
            stored = state.value(name)
            if isinstance(stored, QByteArray):
                take(stored)


def _headed(heading: QLabel, content: QWidget) -> QWidget:
    """Return a widget with a heading over it."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 2, 0, 0)
    column.setSpacing(2)
    column.addWidget(heading)
    column.addWidget(content, 1)
    return holder


def _dropped_job(event: QDragEnterEvent | QDropEvent) -> Path | None:
    urls = event.mimeData().urls()
    if len(urls) != 1 or not urls[0].isLocalFile():
        return None
    path = Path(urls[0].toLocalFile())
    return path if path.suffix.lower() == ".json" else None


def _state() -> QSettings:
    return QSettings(str(config_folder() / "window.ini"), QSettings.Format.IniFormat)


def run(job_path: Path | None = None) -> int:
    """Open the window, with a job if one is given, and return the exit status once it is closed."""
    freeze_support()
    require_screen()
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName("Corestow")
    application.setDesktopFileName("corestow")
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # Ctrl-C in the terminal ends the window
    pg.setConfigOptions(antialias=True)
    preferences = load_preferences()
    if preferences.language is not None:
        QLocale.setDefault(QLocale(preferences.language))
    window = MainWindow(Runner(), preferences)
    _report_faults(window)
    window.show()
    if job_path is not None:
        QTimer.singleShot(0, lambda: window.open_job(job_path))
    return application.exec()


def _report_faults(window: MainWindow) -> None:
    """Have what nobody caught written to the log and told in the notice strip."""
    path = start_log()

    def tell(kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        log.critical("internal fault", exc_info=(kind, fault, trace))
        window.notice.say(window.tr("An internal fault was written to the log {0}.").format(path))

    sys.excepthook = tell
