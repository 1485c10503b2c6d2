"""The unpacking played in the box view: sand, the cores still in it, and the core that is drawn."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from app.qt.desk import Desk
from app.qt.document import Document
from app.qt.figures import language
from app.qt.unpacking import Unpacking, drawn_by_mm, drawn_matrix, unpacking_of
from corelib.export.cautions import cautions_before

NOTHING = Unpacking((), 0, ())


class BoxUnpacking(QObject):
    """Follows the player of the desk while it is open."""

    way_changed = Signal()

    def __init__(self, document: Document, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._desk = document, desk
        self._unpacking = NOTHING
        self._is_open = False
        self._way: tuple[NDArray[np.float64], NDArray[np.float64]] | None = None
        self._lifted = -1
        desk.player.moved.connect(self._show)
        document.plan_changed.connect(self._take_box)
        document.box_changed.connect(self._take_box)
        document.job_changed.connect(self._take_moved)

    def open(self, is_open: bool) -> None:
        """Show the player and begin, or put it away and show all cores without sand."""
        if is_open == self._is_open:
            return
        self._is_open = is_open
        self._desk.player.setVisible(is_open)
        if is_open:
            self._take_box()
            self._desk.player.play_button.setFocus()
            return
        self._desk.player.pause()
        self._put_back()
        self._way = None
        self._desk.box_view.show_sand(None, None)
        self._desk.box_view.show_chosen(self._document.copy)

    def way(self) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
        """Return start and end of the way on which a core is drawn just now."""
        return self._way

    def _is_as_planned(self) -> bool:
        """Return True if the cores in the box shown are those of the plan, wherever they lie in it."""
        box = self._document.box
        names = [
            [(place.core, place.copy_number) for place in places]
            for places in (self._document.placements, () if box is None else box.placements)
        ]
        return names[0] == names[1]

    def _take_moved(self) -> None:
        """Have nothing to play once cores have gone to other boxes, until the plan that follows."""
        if self._is_open and (self._unpacking is NOTHING) == self._is_as_planned():
            self._take_box()

    def _take_box(self) -> None:
        if not self._is_open:
            return
        plan, box = self._document.plan, self._document.box
        if plan is None or box is None or not self._is_as_planned():
            self._unpacking = NOTHING
            self._lifted = -1
            self._desk.player.show_unpacking(NOTHING, (), "")
            return
        document = plan.document["boxes"][self._document.box_index].get("unpacking") or {}
        self._unpacking = unpacking_of(box, document)
        names = tuple(f"{plan.core_names[p.core]} {p.copy_number + 1}" for p in box.placements)
        cautions = cautions_before("step_unpack", plan.document, language())
        text = "\n".join(
            f"⚠ {caution.wording.what} {caution.wording.why} {caution.wording.next}" for caution in cautions
        )
        self._lifted = -1
        self._desk.player.show_unpacking(self._unpacking, names, text)

    def _show(self, place: float) -> None:
        if not self._is_open:
            return
        box, moments = self._document.box, self._unpacking.moments
        if box is None or not moments:
            self._desk.box_view.show_sand(None, None)
            return
        self._put_back()
        done = int(place)
        gone = {moment.core for moment in moments[:done] if moment.core >= 0}
        level_mm = moments[done - 1].to_mm if done else moments[0].from_mm
        self._way = None
        chosen = -1
        if done < len(moments) and place > done:
            moment, share = moments[done], place - done
            if moment.core < 0:
                level_mm = moment.from_mm + share * (moment.to_mm - moment.from_mm)
            else:
                chosen = moment.core
                self._lift(chosen, share)
        elif done and moments[done - 1].core >= 0 and done == place:
            chosen = moments[done - 1].core  # its way is shown as long as the player stands here
            self._lift(chosen, 1.0)
            gone.discard(chosen)
        self._desk.box_view.show_sand(level_mm, set(range(len(box.placements))) - gone)
        self._desk.box_view.show_chosen(chosen)
        self.way_changed.emit()

    def _lift(self, number: int, share: float) -> None:
        """Show a core on its way up, and the way."""
        box = self._document.box
        assert box is not None
        if not self._desk.shows(number):
            return
        placement = box.placements[number]
        moment = next(m for m in self._unpacking.moments if m.core == number)
        rise_mm = 0.6 * box.inner_mm[2]
        self._lifted = number
        self._desk.box_view.show_core_at(number, drawn_matrix(placement.matrix, moment, share, rise_mm))
        centre = self._desk.centre_of(number)
        self._way = centre, centre + drawn_by_mm(moment, 1.0, rise_mm)

    def _put_back(self) -> None:
        box = self._document.box
        if self._lifted >= 0 and box is not None and self._lifted < len(box.placements):
            self._desk.box_view.show_core_at(self._lifted, box.placements[self._lifted].matrix)
        self._lifted = -1
