"""Moving and turning cores by hand: from wishes of mouse and keys to measured places and undoable edits.

Wishes are answered by a child on the true meshes. While one is measured, the next waits; a drag becomes one
edit when it is over, a key that is held down too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from app.qt.document import Document
from app.qt.figures import language
from app.qt.place_worker import PlaceWorker
from corelib.errors import CorestowError
from corelib.job.models import Job
from corelib.job.packing_edits import copy_of, with_locked, with_other_box, with_placement

STEP_MM = 5.0
FINE_SHARE = 0.1
Way = tuple[float, float, float]


@dataclass(frozen=True)
class GapReading:
    """What the child measured at the chosen core: gaps as documents, its turns, why a wish was not met."""

    gap: dict[str, Any] | None
    side: dict[str, Any]
    orientations: tuple[str, ...]
    orientation: int
    refused: str | None
    is_locked: bool


class HandPlacing(QObject):
    """Moves, turns, locks and measures the core copy that the document has chosen."""

    read = Signal(object)
    """Takes a GapReading, or None where no core is chosen or can be measured."""
    shown_at = Signal(int, object)
    """Takes a core copy's number and the matrix at which it is shown for now."""
    refused = Signal(object)
    """Takes a CorestowError."""
    told = Signal(str)
    """Takes a sentence for the user: why nothing can be moved now."""
    edited = Signal()
    box_gone = Signal()
    """The last core has left the last box: a new plan is due."""

    def __init__(self, document: Document, worker: PlaceWorker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._worker = worker
        self.step_mm = STEP_MM
        self.is_open = False
        self._waiting: Way | None = None
        self._is_asked = self._is_wished = False
        self._lock_next = False
        self._drag: dict[str, Any] | None = None
        self._held = 0
        self._is_editing = False
        worker.placed.connect(self._take)
        worker.failed.connect(self._fail)
        document.copy_chosen.connect(lambda _: self.measure())
        document.plan_changed.connect(self.measure)
        document.job_changed.connect(self.measure)

    def open(self, is_open: bool) -> None:
        """Begin or end measuring the chosen core."""
        self.is_open = is_open
        self.measure()

    def chosen(self) -> dict[str, Any] | None:
        """Return the placement of the chosen core copy as the job has it; None if it can't be moved."""
        packing, number = self._document.packing, self._document.copy
        placements = self._document.placements
        if packing is None or not 0 <= number < len(placements):
            return None
        name = placements[number].core, placements[number].copy_number
        return next((place for place in packing if copy_of(place) == name), None)

    def measure(self) -> None:
        """Read the gap of the chosen core where it is."""
        if not self.is_open or self._drag is not None or self._is_editing:
            return
        if self.chosen() is None:
            self.read.emit(None)
        elif not self._is_asked:
            self._ask({})

    # --- wishes -------------------------------------------------------------------------------------

    def step(self, direction: Way, is_fine: bool, is_held: bool) -> None:
        """Move the chosen core by a step; a held key's steps are one edit."""
        if not self._may_move():
            return
        if not is_held:
            self._held += 1
        thickness_mm = self._document.box.thickness_mm if self._document.box is not None else 0.0
        level_mm = max(self.step_mm, thickness_mm) if not is_fine else thickness_mm
        flat_mm = self.step_mm * (FINE_SHARE if is_fine else 1.0)
        x, y, z = direction
        wish = (x * flat_mm, y * flat_mm, z * level_mm)
        if self._is_asked:
            waiting = self._waiting or (0.0, 0.0, 0.0)
            self._waiting = (waiting[0] + wish[0], waiting[1] + wish[1], waiting[2] + wish[2])
        else:
            self._ask({"by_mm": list(wish)})

    def begin_drag(self, _number: int) -> None:
        """Begin to drag the chosen core."""
        self._held += 1
        self._drag = self.chosen() if self._may_move() else None

    def drag(self, way_mm: Way, is_over: bool) -> None:
        """Take the chosen core along; when the drag is over its place becomes an edit."""
        if self._drag is None:
            return
        if is_over and not any(way_mm):
            self._drag = None
            self.measure()
            return
        self._ask({"by_mm": list(way_mm), "is_drag": True, "is_over": is_over})

    def turn(self, step: int) -> None:
        """Turn the chosen core to the next or last allowed orientation that is clear where it is."""
        if self._may_move():
            self._held += 1
            self._ask({"turn": step})

    def lay(self, orientation: int) -> None:
        """Lay the chosen core in one of its allowed orientations."""
        if self._may_move():
            self._held += 1
            self._ask({"orientation": orientation})

    def to_box(self, box: int) -> None:
        """Let the chosen core down into another box (from 0); one undoable edit."""
        place = self.chosen()
        if not self._may_move() or place is None or place["box"] == box:
            return
        if self._rides_along(place):
            self.told.emit(self.tr("What rides along stays in its box."))
            return
        self._held += 1
        self._ask({"to_box": box})

    def _rides_along(self, place: dict[str, Any]) -> bool:
        job = self._document.job
        return job is not None and place["core"] not in {core.id for core in job.cores}

    def lock(self) -> None:
        """Lock the chosen core where it is, or set it free; one undoable edit."""
        place, job, packing = self.chosen(), self._document.job, self._document.packing
        if self._is_wished:
            self._lock_next = True  # after the move that is being measured
            return
        if place is None or job is None or packing is None:
            self._say_why()
            return
        is_locked = not place.get("locked")
        text = self.tr("lock a core") if is_locked else self.tr("free a core")
        self._edit(text, lambda: with_locked(job, packing, {copy_of(place)}, is_locked))

    # --- answers ------------------------------------------------------------------------------------

    def _may_move(self) -> bool:
        """Return whether the chosen core can be moved; tells why not."""
        place = self.chosen()
        if place is None:
            self._say_why()
            return False
        if place.get("locked"):
            self.told.emit(self.tr("This core is locked where it is; L sets it free."))
            return False
        return True

    def _say_why(self) -> None:
        if self._document.plan is None or self._document.packing is None:
            self.told.emit(self.tr("The job has changed since its plan; plan it (F5), then move cores."))
        else:
            self.told.emit(self.tr("Choose a core first."))

    def _ask(self, wish: dict[str, Any]) -> None:
        plan, place, packing = self._document.plan, self.chosen(), self._document.packing
        if plan is None or place is None or packing is None:
            return
        self._is_asked, self._is_wished = True, bool(wish)
        boxes = place["box"], wish.get("to_box")
        mates = [other for other in packing if other["box"] in boxes]
        self._worker.ask(
            plan.files,
            {
                "placements": mates,
                "core": place["core"],
                "copy": place["copy"],
                "names": plan.core_names,
                "language": language(),
                "held": self._held,
                **wish,
            },
        )

    def _take(self, wish: dict[str, Any], answer: dict[str, Any]) -> None:
        self._is_asked = self._is_wished = False
        place = self.chosen()
        if place is None or (wish["core"], wish["copy"]) != copy_of(place):
            self._waiting = self._drag = None
            self.measure()
            return
        reading = GapReading(
            answer["gap"],
            answer["side"],
            tuple(answer["orientations"]),
            answer["orientation"],
            answer["refused"],
            bool(place.get("locked")),
        )
        if wish.get("is_drag"):
            self._take_drag(wish, answer, reading)
            return
        is_wish = any(name in wish for name in ("by_mm", "turn", "orientation", "to_box"))
        if is_wish and answer["changed"]:
            self._place(wish, answer["placement"])
        self.read.emit(reading)
        if self._waiting is not None:
            steps, self._waiting = self._waiting, None
            self._ask({"by_mm": list(steps)})
        elif self._lock_next:
            self._lock_next = False
            self.lock()

    def _take_drag(self, wish: dict[str, Any], answer: dict[str, Any], reading: GapReading) -> None:
        matrix: NDArray[np.float64] = np.array(answer["placement"]["matrix"], dtype=np.float64)
        self.shown_at.emit(self._document.copy, matrix)
        self.read.emit(reading)
        if wish["is_over"]:
            self._drag = None
            if answer["changed"]:
                self._place(wish, answer["placement"])

    def _place(self, wish: dict[str, Any], moved: dict[str, Any]) -> None:
        """Make the place an edit of the job."""
        job, packing, plan = self._document.job, self._document.packing, self._document.plan
        if job is None or packing is None or plan is None:
            return
        name = plan.core_names.get(moved["core"], moved["core"])
        if "to_box" in wish:
            self._change_box(name, moved)
            return
        verb = self.tr("move {0} {1}") if "by_mm" in wish else self.tr("turn {0} {1}")
        merge = f"{moved['core']}:{moved['copy']}:{wish['held']}"
        text = verb.format(name, moved["copy"] + 1)
        self._is_editing = True  # the gap there is known already
        try:
            self._edit(text, lambda: with_placement(job, packing, moved), merge)
        finally:
            self._is_editing = False

    def _change_box(self, name: str, moved: dict[str, Any]) -> None:
        """Make the other box an edit of the job, and go along with the core."""
        job, packing = self._document.job, self._document.packing
        assert job is not None and packing is not None
        text = self.tr("move {0} {1} to box {2}").format(name, moved["copy"] + 1, moved["box"] + 1)
        self._edit(text, lambda: with_other_box(job, packing, moved))
        if self._document.packing is None:  # a box has gone: its figures can't wait
            self.box_gone.emit()
        else:
            self._document.show_copy(moved["box"], copy_of(moved))

    def _edit(self, text: str, make: Callable[[], Job], merge: str = "") -> None:
        try:
            self._document.edit(text, make(), merge)
        except CorestowError as error:
            self.refused.emit(error)
            return
        self.edited.emit()

    def _fail(self, error: CorestowError | None) -> None:
        self._is_asked = self._is_wished = self._lock_next = False
        self._waiting = self._drag = None
        if error is not None:
            self.refused.emit(error)
