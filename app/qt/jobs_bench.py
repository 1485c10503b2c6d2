"""What is done with jobs: made of meshes, opened, dropped on the window, saved, recovered after a crash."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QFileDialog, QMenu, QMessageBox, QWidget

from app.qt.choices_bench import ChoicesBench
from app.qt.document import Document
from app.qt.new_job import ask_new_job, is_mesh
from app.qt.recovery import Recovery
from app.qt.worker import PlanWorker
from app.settings import config_folder
from corelib.errors import CorestowError
from corelib.job.new import MESH_FORMATS

Choice = QMessageBox.StandardButton


class JobsBench(QObject):
    """The actions on job files; `opened` when one was taken, before what a crash left is offered."""

    opened = Signal()
    meshes_dropped = Signal(object)
    told = Signal(str)
    refused = Signal(object)

    def __init__(
        self, document: Document, worker: PlanWorker, choices: ChoicesBench, window: QWidget
    ) -> None:
        super().__init__(window)
        self._document, self._worker, self._window = document, worker, window
        self._choices = choices
        self.recovery = Recovery(document, config_folder() / "recovery", self)
        standard = QKeySequence.StandardKey
        self.new_action = self._action(self.tr("&New job from meshes…"), standard.New, self.choose_meshes)
        self.open_action = self._action(self.tr("&Open job…"), standard.Open, self.choose_job)
        self.save_action = self._action(self.tr("Save &job"), standard.Save, self.save)
        self.save_as_action = self._action(self.tr("Sa&ve job as…"), standard.SaveAs, self.save_as)
        self.recent_menu = QMenu(self.tr("Open &recent"), window)
        self.recent_menu.aboutToShow.connect(self._fill_recent)

    def _action(self, text: str, key: QKeySequence.StandardKey, do: Callable[[], object]) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda: do())
        return action

    def show_state(self) -> None:
        """Allow what can be done now: a job is opened or made only while no work goes on."""
        is_free = not self._worker.is_busy
        self.new_action.setEnabled(is_free)
        self.open_action.setEnabled(is_free)
        self.save_action.setEnabled(self._document.job is not None and self._document.is_dirty)
        self.save_as_action.setEnabled(self._document.job is not None)

    # --- opening ------------------------------------------------------------------------------------

    def choose_job(self) -> None:
        """Ask for a job file and open it."""
        last = self._choices.preferences.recent_jobs[:1]
        folder = str(Path(last[0]).parent) if last else ""
        name, _ = QFileDialog.getOpenFileName(
            self._window, self.tr("Open job"), folder, self.tr("Jobs (*.json);;All files (*)")
        )
        if name:
            self.open_job(Path(name))

    def open_job(self, path: Path, *, takes_recovered: bool = False) -> None:
        """Open a job file; what is not saved is asked about first.

        `takes_recovered`: what a crash left of its changes is taken up without asking again.
        """
        if self._worker.is_busy:
            self.told.emit(self.tr("A plan is being made; stop it before another job is opened."))
            return
        if not self.may_leave():
            return
        try:
            self._document.open_job(path)
        except CorestowError as error:
            self.refused.emit(error)
            return
        self._choices.remember(path)
        self.opened.emit()
        self._guard(path, takes_recovered)
        if self._document.is_read_only:
            self.told.emit(
                self.tr("{0} can only be read: changes are saved under another name.").format(path)
            )

    def _guard(self, path: Path, is_wanted: bool) -> None:
        """Take the job's lock, and offer what a crash left of its changes."""
        if not self.recovery.take(path):
            self.told.emit(self.tr("This job is open in another window; what is saved last stays."))
            return
        kept = self.recovery.left_behind(path)
        if kept is None or kept == self._document.job:
            return
        if is_wanted or self._wants_recovered(
            self.tr("Corestow ended before changes to this job were saved. Take them up again?")
        ):
            self._document.edit(self.tr("recovered changes"), kept)
        else:
            self.recovery.drop()

    def _wants_recovered(self, question: str) -> bool:
        answer = QMessageBox.question(self._window, self.tr("Changes were recovered"), question)
        return answer == Choice.Yes

    def offer_recovered(self) -> None:
        """Offer, job by job, to open what a crash left with changes, until one is taken."""
        for path in self.recovery.waiting():
            if self._wants_recovered(
                self.tr(
                    "Corestow ended before changes to {0} were saved. Open the job and take them up again? "
                    "With No they are offered again when the job is opened."
                ).format(path)
            ):
                self.open_job(path, takes_recovered=True)
                return

    def take_dropped(self, paths: Sequence[Path]) -> None:
        """Open a job file that was dropped; mesh files become cores of the open job, or a job."""
        if is_mesh(paths[0]) and self._document.job is not None:
            QTimer.singleShot(0, partial(self.meshes_dropped.emit, paths))
        elif is_mesh(paths[0]):
            QTimer.singleShot(0, partial(self.new_job, paths))  # a dialog must not hold up the drop
        else:
            self.open_job(paths[0])

    # --- new jobs -----------------------------------------------------------------------------------

    def choose_meshes(self) -> None:
        """Ask for mesh files and make a job of them."""
        endings = " ".join(f"*{ending}" for ending in MESH_FORMATS)
        names, _ = QFileDialog.getOpenFileNames(
            self._window, self.tr("Cores of the new job"), "", self.tr("Meshes ({0})").format(endings)
        )
        if names:
            self.new_job([Path(name) for name in names])

    def new_job(self, meshes: Sequence[Path]) -> None:
        """Make a job of mesh files and open it."""
        try:
            path = ask_new_job(self._window, meshes)
        except CorestowError as error:
            self.refused.emit(error)
            return
        if path is not None:
            self.open_job(path)

    # --- saving and leaving -------------------------------------------------------------------------

    def save(self) -> bool:
        """Write the job to its file and return whether it is written; one to be read only goes elsewhere."""
        if self._document.is_read_only:
            return self.save_as()
        try:
            self._document.save()
        except CorestowError as error:
            self.refused.emit(error)
            return False
        return True

    def save_as(self) -> bool:
        """Ask for another file, write the job to it and go on with that; return whether it is written."""
        old = self._document.job_path
        if old is None:
            return False
        name, _ = QFileDialog.getSaveFileName(
            self._window, self.tr("Save job as"), str(_free_name(old)), self.tr("Jobs (*.json)")
        )
        if not name:
            return False
        path = Path(name) if Path(name).suffix else Path(f"{name}.json")
        try:
            self._document.save_as(path)
        except CorestowError as error:
            self.refused.emit(error)
            return False
        self._choices.remember(path)
        if not self.recovery.move(old, path):
            self.told.emit(self.tr("This job is open in another window; what is saved last stays."))
        return True

    def may_leave(self) -> bool:
        """Ask what becomes of changes that are not saved; False if the user stays."""
        if not self._document.is_dirty:
            return True
        answer = QMessageBox.question(
            self._window,
            self.tr("Changes are not saved"),
            self.tr("The job has changes that are not saved. Save them?"),
            Choice.Save | Choice.Discard | Choice.Cancel,
            Choice.Save,
        )
        if answer == Choice.Discard:
            self.recovery.drop()
        return self.save() if answer == Choice.Save else answer == Choice.Discard

    def _fill_recent(self) -> None:
        recent = self._choices.preferences.recent_jobs
        self.recent_menu.clear()
        for name in recent:
            action = self.recent_menu.addAction(name)
            action.setEnabled(Path(name).is_file())
            action.triggered.connect(lambda _=False, name=name: self.open_job(Path(name)))
        if not recent:
            self.recent_menu.addAction(self.tr("No job was opened yet")).setEnabled(False)


def _free_name(path: Path) -> Path:
    """Return the first name of a job's copies that is still free: job-2.json."""
    number = 2
    while (free := path.with_name(f"{path.stem}-{number}{path.suffix}")).exists():
        number += 1
    return free
