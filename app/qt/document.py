"""The document: the open job with its undo history, its plan, and what is looked at. The only mutable state.

Views listen to its signals and change it only through its methods. Every edit is one undoable step that
takes the job from one frozen value to another; an edit that the job refuses changes nothing.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from app.qt.shown_packing import packing_on_show, shown_placements
from app.qt.shown_plan import ShownBox, ShownPlacement, ShownPlan
from corelib.files import is_read_only, require_writable
from corelib.job.edits import without_choice
from corelib.job.files import read_job, write_job
from corelib.job.models import Job
from corelib.job.moving import moved, require_same_profiles
from corelib.job.operating_point import overridden, profiles_point
from corelib.job.packing_edits import CopyName
from corelib.job.profiles import OperatingPoint, ProfileNames
from corelib.job.sharing import sharing

MERGED_ID = 1
NOT_MERGED_ID = -1


class _Edit(QUndoCommand):
    """One step of the history: the job before and after; steps with one `merge` name in a row are one.

    It knows the folder that its jobs are read from: a job saved elsewhere since is taken there.
    """

    def __init__(self, document: Document, text: str, before: Job, after: Job, merge: str = "") -> None:
        super().__init__(text)
        self._merge = merge
        self._document = document
        self._folder = document.folder
        self._before = before
        self._after = after

    def id(self) -> int:
        return MERGED_ID if self._merge else NOT_MERGED_ID

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, _Edit) or (other._merge, other._folder) != (self._merge, self._folder):
            return False
        self._after = other._after
        self.setObsolete(self._after == self._before)
        return True

    def redo(self) -> None:
        self._document._take(self._after, self._folder)

    def undo(self) -> None:
        self._document._take(self._before, self._folder)


class Document(QObject):
    """The open job, its plan, and the box, layer and core copy shown (all count from 0)."""

    opened = Signal()
    job_changed = Signal()
    plan_changed = Signal()
    box_changed = Signal()
    layer_changed = Signal(int)
    copy_chosen = Signal(int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.history = QUndoStack(self)
        self.history.indexChanged.connect(self._tell_taken)
        self._is_taken = False
        self._was_chosen: CopyName | None = None
        self._job_path: Path | None = None
        self._job: Job | None = None
        self._plan: ShownPlan | None = None
        self._planned: Job | None = None
        self._profiles: tuple[ProfileNames, OperatingPoint] | None = None
        self._packing: tuple[tuple[object, ...], list[dict[str, Any]] | None] | None = None
        self._box = 0
        self._layer = 0
        self._copy = -1

    @property
    def job_path(self) -> Path | None:
        """The job file that is open."""
        return self._job_path

    @property
    def job(self) -> Job | None:
        """The job as edited."""
        return self._job

    @property
    def folder(self) -> Path:
        """The folder that the job's meshes and profiles are named from."""
        assert self._job_path is not None
        return self._job_path.parent

    @property
    def is_read_only(self) -> bool:
        """True if the job's file, or the folder it is in, can't be written."""
        return self._job_path is not None and is_read_only(self._job_path)

    @property
    def is_dirty(self) -> bool:
        """True if the job differs from its file."""
        return not self.history.isClean()

    @property
    def plan(self) -> ShownPlan | None:
        """The last plan, None until there is one."""
        return self._plan

    @property
    def plan_is_current(self) -> bool:
        """True if the plan was made from the job as it is now."""
        if self._plan is None or self._planned is None or self._job is None:
            return False
        return self._planned == self._job or without_choice(self._planned) == without_choice(self._job)

    @property
    def box_index(self) -> int:
        """Number of the box shown."""
        return self._box

    @property
    def layer(self) -> int:
        """Number of the layer shown."""
        return self._layer

    @property
    def copy(self) -> int:
        """Number of the placement chosen in the box shown, -1 for none."""
        return self._copy

    @property
    def box(self) -> ShownBox | None:
        """The box shown."""
        if self._plan is None or not self._plan.boxes:
            return None
        return self._plan.boxes[self._box]

    @property
    def packing(self) -> list[dict[str, Any]] | None:
        """The placements of all boxes as they can be moved by hand; None where a new plan is due first."""
        if self._plan is None:
            return None
        made_of = (self._plan, self._job, self._planned)
        if self._packing is None or any(a is not b for a, b in zip(self._packing[0], made_of, strict=True)):
            self._packing = made_of, packing_on_show(*made_of)
        return self._packing[1]

    @property
    def placements(self) -> tuple[ShownPlacement, ...]:
        """Where the cores of the box shown lie: as moved by hand, else as planned."""
        box, packing = self.box, self.packing
        if box is None or packing is None:
            return () if box is None else box.placements
        return shown_placements(packing, box.placements, self._box)

    def profiles(self) -> OperatingPoint:
        """Return the job's profiles as they are on disk; raises InputError for one that is unknown."""
        assert self._job is not None and self._job_path is not None
        names = self._job.profiles
        if self._profiles is None or self._profiles[0] != names:
            self._profiles = names, profiles_point(names, self._job_path.parent)
        return self._profiles[1]

    def point(self) -> OperatingPoint:
        """Return the job's profiles with its own values applied; raises InputError."""
        assert self._job is not None
        return overridden(self.profiles(), self._job.overrides)

    def open_job(self, path: Path) -> None:
        """Take another job file; an earlier plan goes. Raises FileError or InputError and changes nothing."""
        job = read_job(path)
        self._job_path, self._job = path, job
        self._plan = self._planned = self._profiles = None
        self._box = self._layer = 0
        self._copy = -1
        self.history.clear()
        self.opened.emit()
        self.job_changed.emit()
        self.plan_changed.emit()

    def edit(self, text: str, after: Job, merge: str = "") -> None:
        """Change the job in one undoable step; a job that is the same is no step.

        Steps in a row with the same `merge` name (a drag, a key held down) become one.
        """
        if self._job is not None and after != self._job:
            self.history.push(_Edit(self, text, self._job, sharing(after, self._job), merge))

    def save(self) -> None:
        """Write the job to its file; raises FileError, for a file that is to be read only too."""
        if self._job is not None and self._job_path is not None:
            require_writable(self._job_path)
            write_job(self._job, self._job_path)
            self.history.setClean()

    def save_as(self, path: Path) -> None:
        """Write the job to another file and go on with that one; history and plan stay.

        Raises FileError, or InputError if a profile in the job's folder is not in the other; nothing is
        changed then.
        """
        if self._job is None or self._job_path is None:
            return
        require_writable(path)
        old = self.folder
        require_same_profiles(self._job, old, path.parent)
        job = moved(self._job, old, path.parent)
        write_job(job, path)
        if self._planned is not None:
            self._planned = moved(self._planned, old, path.parent)
        self._job, self._job_path, self._profiles = job, path, None
        self.history.setClean()
        self.job_changed.emit()

    def show_copy(self, box: int, name: CopyName) -> None:
        """Show the box that a core copy lies in and choose it there."""
        self.show_box(box)
        self.choose_copy(self._number_of(name))

    def _chosen_name(self) -> CopyName | None:
        """Return which copy is chosen: its number may change when cores come into its box or leave it."""
        placements = self.placements
        if not 0 <= self._copy < len(placements):
            return None
        return placements[self._copy].core, placements[self._copy].copy_number

    def _number_of(self, name: CopyName | None) -> int:
        """Return the number of a copy in the box shown, -1 if it isn't there."""
        names = [(place.core, place.copy_number) for place in self.placements]
        return names.index(name) if name in names else -1

    def _take(self, job: Job, folder: Path) -> None:
        """Take the job of a step; it is told once the history stands there: it may go over many steps."""
        if not self._is_taken:
            self._was_chosen = self._chosen_name()
        self._job = moved(job, folder, self.folder)
        self._is_taken = True

    def _tell_taken(self) -> None:
        if self._is_taken:
            self._is_taken = False
            before, self._copy = self._copy, self._number_of(self._was_chosen)
            self.job_changed.emit()
            if self._copy != before:
                self.copy_chosen.emit(self._copy)

    def set_plan(self, plan: ShownPlan, planned: Job | None) -> None:
        """Take the plan of a job and show the layer of the largest printed area in the first box.

        Of a plan that follows another, the box, layer and core copy that were looked at stay where they can.
        """
        last, box, chosen = self._plan, self._box, self._chosen_name()
        self._plan, self._planned = plan, planned
        if last is not None and box < len(plan.boxes):
            self._layer = min(self._layer, max(0, plan.boxes[box].layer_count - 1))
            self._copy = self._number_of(chosen)
        else:
            self._box = 0
            self._layer = self._fullest_layer()
            self._copy = -1
        self.plan_changed.emit()

    def show_box(self, index: int) -> None:
        """Show another box, at the layer of its largest printed area."""
        if self._plan is None or not 0 <= index < len(self._plan.boxes) or index == self._box:
            return
        self._box = index
        self._layer = self._fullest_layer()
        self._copy = -1
        self.box_changed.emit()

    def show_layer(self, layer: int) -> None:
        """Show another layer of the box; a number outside it goes to the nearest end."""
        box = self.box
        if box is None or box.layer_count == 0:
            return
        layer = min(max(layer, 0), box.layer_count - 1)
        if layer != self._layer:
            self._layer = layer
            self.layer_changed.emit(layer)

    def choose_copy(self, number: int) -> None:
        """Choose a placement of the box shown; -1 chooses none."""
        if self.box is None or not -1 <= number < len(self.placements) or number == self._copy:
            return
        self._copy = number
        self.copy_chosen.emit(number)

    def _fullest_layer(self) -> int:
        box = self.box
        return 0 if box is None or box.layer_count == 0 else int(box.printed_area_mm2.argmax())
