"""The document: the job that is open, its plan, and what of it is looked at. The only mutable state.

Views listen to its signals and change it only through its methods.
"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.qt.shown_plan import ShownBox, ShownPlan


class Document(QObject):
    """The open job, its plan, and the box and layer shown (both count from 0)."""

    job_changed = Signal()
    plan_changed = Signal()
    box_changed = Signal()
    layer_changed = Signal(int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._job_path: Path | None = None
        self._plan: ShownPlan | None = None
        self._box = 0
        self._layer = 0

    @property
    def job_path(self) -> Path | None:
        """The job file that is open."""
        return self._job_path

    @property
    def plan(self) -> ShownPlan | None:
        """The job's plan, None until it is planned."""
        return self._plan

    @property
    def box_index(self) -> int:
        """Number of the box shown, from 0."""
        return self._box

    @property
    def layer(self) -> int:
        """Number of the layer shown, from 0."""
        return self._layer

    @property
    def box(self) -> ShownBox | None:
        """The box shown."""
        if self._plan is None or not self._plan.boxes:
            return None
        return self._plan.boxes[self._box]

    def open_job(self, path: Path) -> None:
        """Take another job file; an earlier plan goes."""
        self._job_path = path
        self._plan = None
        self._box = self._layer = 0
        self.job_changed.emit()
        self.plan_changed.emit()

    def set_plan(self, plan: ShownPlan) -> None:
        """Take the job's plan and show the layer of the largest printed area in the first box."""
        self._plan = plan
        self._box = 0
        self._layer = self._fullest_layer()
        self.plan_changed.emit()

    def show_box(self, index: int) -> None:
        """Show another box, at the layer of its largest printed area."""
        if self._plan is None or not 0 <= index < len(self._plan.boxes) or index == self._box:
            return
        self._box = index
        self._layer = self._fullest_layer()
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

    def _fullest_layer(self) -> int:
        box = self.box
        return 0 if box is None or box.layer_count == 0 else int(box.printed_area_mm2.argmax())
