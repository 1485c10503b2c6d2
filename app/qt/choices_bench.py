"""What the user chooses for all jobs: the unit of length shown, the language, the jobs opened last."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu, QWidget

from app.qt.lengths import LENGTHS
from app.settings import Preferences, save_preferences
from corelib.errors import FileError

SYSTEM = ""
"""The language of the system, whichever it is."""

log = logging.getLogger("corestow.window")


class ChoicesBench(QObject):
    """Holds the preferences and keeps each change; `told` says what a choice does not do at once."""

    told = Signal(str)

    def __init__(self, preferences: Preferences, window: QWidget) -> None:
        super().__init__(window)
        self.preferences = preferences
        self._started_in = preferences.language
        LENGTHS.show_in(preferences.length_unit)
        self.units_menu = QMenu(self.tr("Leng&ths in"), window)
        units = {"mm": self.tr("&Millimetres"), "inch": self.tr("&Inches")}
        self.unit_actions = self._fill(self.units_menu, units, preferences.length_unit, self._show_lengths)
        self.language_menu = QMenu(self.tr("Lan&guage"), window)
        languages = {SYSTEM: self.tr("As the &system"), "en": "&English", "de": "&Deutsch"}
        self.language_actions = self._fill(
            self.language_menu, languages, preferences.language or SYSTEM, self._speak_next_time
        )

    @property
    def menus(self) -> tuple[QMenu, QMenu]:
        """Return what a menu offers."""
        return self.units_menu, self.language_menu

    def _fill(
        self, menu: QMenu, labels: dict[str, str], chosen: str, do: Callable[[str], None]
    ) -> dict[str, QAction]:
        """Fill a menu with choices of which one is marked; return its actions."""
        group, actions = QActionGroup(self), {}
        for key, label in labels.items():
            actions[key] = action = QAction(label, group)
            action.setCheckable(True)
            action.setChecked(key == chosen)
            action.triggered.connect(lambda _=False, key=key: do(key))
        menu.addActions(list(actions.values()))
        return actions

    def _show_lengths(self, unit: str) -> None:
        self._keep(self.preferences.with_length_unit(unit))
        LENGTHS.show_in(unit)

    def _speak_next_time(self, language: str) -> None:
        self._keep(self.preferences.with_language(language or None))
        if (language or None) != self._started_in:
            self.told.emit(self.tr("The window speaks the language chosen from its next start on."))

    def remember(self, job: Path) -> None:
        """Put a job at the top of those opened last."""
        self._keep(self.preferences.with_recent(job))

    def _keep(self, preferences: Preferences) -> None:
        self.preferences = preferences
        try:
            save_preferences(preferences)
        except FileError as error:
            log.warning("preferences are not kept: %s", error)
