"""The rows under a core: copies outside casting sets, its turns, the sides it may lie on, how it is held."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import QT_TRANSLATE_NOOP, QCoreApplication
from PySide6.QtWidgets import QTreeWidgetItem

from app.qt.figures import count, stated
from app.qt.views.edit_tree import EditTree, Field
from corelib.job import edits
from corelib.job.models import CoreItem, Job

Edit = Callable[[Job, Any], Job]
Register = Callable[[Field, str, Edit], Field]
SIDES = ("-x", "+x", "-y", "+y", "-z", "+z")
"""Sides of a core, by the direction in its own frame that points down when it lies on them."""


class CoreRules:
    """Adds the rows; `register` takes each field with the name of its edit and the edit."""

    def __init__(self, register: Register) -> None:
        self._register = register

    def show(self, tree: EditTree, parent: QTreeWidgetItem, core: CoreItem, loose: int) -> None:
        """Add the rows of one core."""
        self._row(tree, parent, core, f"loose:{core.id}", _tr("Copies outside sets"), loose, "count",
                  count(loose), partial(_loose, core.id))  # fmt: skip
        rule = core.orientations
        if rule.rule in ("yaw steps", "faces down", "free yaw"):
            self._row(tree, parent, core, f"yaw:{core.id}", _tr("Turned by steps of"), rule.yaw_step_deg,
                      "number", stated(rule.yaw_step_deg, "°"), partial(_yaw, core.id))  # fmt: skip
        if rule.rule in ("faces down", "free yaw"):
            for side in SIDES:
                allowed = side in rule.down
                self._choice(tree, parent, core, f"side{side}:{core.id}", _tr("May lie on its side {0}"),
                             allowed, partial(_side, core.id, side), side)  # fmt: skip
        self._choice(tree, parent, core, f"held:{core.id}", _tr("Held by hand"),
                     core.held_by_hand, partial(_value, core.id, "held_by_hand"))  # fmt: skip
        self._choice(tree, parent, core, f"fragile:{core.id}", _tr("Fragile"), core.is_fragile,
                     partial(_value, core.id, "is_fragile"))  # fmt: skip

    def _row(
        self, tree: EditTree, parent: QTreeWidgetItem, core: CoreItem, key: str, name: str, value: Any,
        kind: Any, text: str, edit: Edit,
    ) -> None:  # fmt: skip
        unit, high = ("°", 180.0) if kind == "number" else ("", 5000.0)
        field = Field(key, name, value, kind, unit, 0.0, high, 2)
        self._register(field, f"{name}: {core.name}", edit)
        tree.row(parent, [name, text], {1: field})

    def _choice(
        self, tree: EditTree, parent: QTreeWidgetItem, core: CoreItem, key: str, name: str, value: bool,
        edit: Edit, *facts: str,
    ) -> None:  # fmt: skip
        yes, no = _tr("yes"), _tr("no")
        name = name.format(*facts)
        field = Field(key, name, value, "choice", choices=((yes, True), (no, False)))
        self._register(field, f"{name}: {core.name}", edit)
        tree.row(parent, [name, yes if value else no], {1: field})


def _tr(text: str) -> str:
    return QCoreApplication.translate("CoreRules", text)


_TEXTS = (
    QT_TRANSLATE_NOOP("CoreRules", "Copies outside sets"),
    QT_TRANSLATE_NOOP("CoreRules", "Turned by steps of"),
    QT_TRANSLATE_NOOP("CoreRules", "May lie on its side {0}"),
    QT_TRANSLATE_NOOP("CoreRules", "Held by hand"),
    QT_TRANSLATE_NOOP("CoreRules", "Fragile"),
    QT_TRANSLATE_NOOP("CoreRules", "yes"),
    QT_TRANSLATE_NOOP("CoreRules", "no"),
)


def _loose(core_id: str, job: Job, value: Any) -> Job:
    return edits.with_loose_count(job, core_id, value)


def _value(core_id: str, field: str, job: Job, value: Any) -> Job:
    return edits.with_core_value(job, core_id, field, value)


def _yaw(core_id: str, job: Job, value: Any) -> Job:
    rule = job.core(core_id).orientations.model_dump()
    return edits.with_core_value(job, core_id, "orientations", {**rule, "yaw_step_deg": value})


def _side(core_id: str, side: str, job: Job, value: Any) -> Job:
    """Allow a side or take it out; the model refuses a core that may lie on none."""
    rule = job.core(core_id).orientations.model_dump()
    down = [one for one in rule["down"] if one != side] + ([side] if value else [])
    named = [one for one in SIDES if one in down]
    others = [one for one in down if not isinstance(one, str)]
    return edits.with_core_value(job, core_id, "orientations", {**rule, "down": [*named, *others]})
