"""Python's garbage collection on the window's thread alone, and freed memory given back to the system.

Python's own collector runs on whatever thread happens to allocate. On a worker's thread it would end Qt's
objects there, timers and widgets among them, which ends the process.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

from corelib.memory import give_back, keep_little

LOOK_MS = 250
WHOLE_AFTER = 120
"""Looks between two collections of everything, and between two returns of free memory: half a minute."""


class Collector(QObject):
    """Collects as often as Python would, in turns of the event loop; `end` gives it back to Python."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        keep_little()
        gc.freeze()  # modules stay, and need not be looked through again and again
        self._looks = 0
        self._timer = QTimer(self)
        self._timer.timeout.connect(self.look)
        self._timer.start(LOOK_MS)

    def look(self) -> None:
        """Collect what is due: the young objects, those that survived, or all."""
        self._looks += 1
        young, middle, old = (
            count > limit for count, limit in zip(gc.get_count(), gc.get_threshold(), strict=True)
        )
        is_due = self._looks >= WHOLE_AFTER
        if old and is_due:
            gc.collect()
        elif middle:
            gc.collect(1)
        elif young:
            gc.collect(0)
        if is_due:
            self._looks = 0
            give_back()

    def end(self) -> None:
        """Let Python collect by itself again."""
        self._timer.stop()
        gc.unfreeze()
        gc.enable()
