"""Measuring in the box: two places on the cores' true surfaces, and how far apart they are."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from app.qt.document import Document
from app.qt.figures import number
from app.qt.place_worker import PlaceWorker
from app.qt.views.box_marks import Span
from app.runner import Runner
from corelib.units import MM_PER_INCH

Vector = NDArray[np.float64]


class MeasuredPlaces(QObject):
    """Takes one place, then a second; a third begins anew."""

    changed = Signal()

    def __init__(self, document: Document, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._worker = PlaceWorker(runner, self)
        self._places: tuple[Vector, ...] = ()
        self._worker.placed.connect(self._take)
        self._worker.failed.connect(lambda _: self.changed.emit())

    @property
    def places_mm(self) -> tuple[Vector, ...]:
        """The places measured, at most two."""
        return self._places

    def pick(self, copy: int, ray: tuple[Vector, Vector], near_mm: Vector) -> None:
        """Take the place where a line of sight meets a core."""
        plan, placements = self._document.plan, self._document.placements
        if plan is None or not 0 <= copy < len(placements):
            return
        start, direction = ray
        self._worker.ask(
            plan.files,
            {
                "work": "touch",
                "core": placements[copy].core,
                "matrix": placements[copy].matrix.tolist(),
                "start_mm": start.tolist(),
                "direction": direction.tolist(),
                "near_mm": near_mm.tolist(),
            },
        )

    def forget(self) -> None:
        """Begin anew."""
        if self._places:
            self._places = ()
            self.changed.emit()

    def _take(self, _wish: dict[str, Any], answer: dict[str, Any]) -> None:
        place = np.array(answer["place_mm"], dtype=np.float64)
        self._places = (place,) if len(self._places) != 1 else (self._places[0], place)
        self.changed.emit()

    def spans(self) -> tuple[Span, ...]:
        """Return the line between two places."""
        if len(self._places) < 2:
            return ()
        return (Span(self._places[0], self._places[1], self._length()),)

    def lone_points(self) -> tuple[Vector, ...]:
        """Return the first place while the second is awaited."""
        return self._places if len(self._places) == 1 else ()

    def words(self) -> str:
        """Return what was measured: distance in mm and inch, and its parts along x, y, z."""
        if not self._places:
            return self.tr("Click a place on a core, then a second one.")
        if len(self._places) == 1:
            x, y, z = (number(float(part), 2) for part in self._places[0])
            return self.tr("Place x {0}, y {1}, z {2} mm. Click a second one.").format(x, y, z)
        parts = [number(float(part), 2) for part in self._places[1] - self._places[0]]
        return self.tr("Distance {0}: Δx {1}, Δy {2}, Δz {3} mm").format(self._length(), *parts)

    def _length(self) -> str:
        length_mm = float(np.linalg.norm(self._places[1] - self._places[0]))
        return f"{number(length_mm, 2)} mm ({number(length_mm / MM_PER_INCH, 3)} in)"

    def end(self) -> None:
        """End the thread."""
        self._worker.end()
