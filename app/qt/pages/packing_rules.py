"""The rows of what a packing has to keep and would better be: regions, whole pixels, wishes."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import QT_TRANSLATE_NOOP, QCoreApplication

from app.qt.figures import stated
from app.qt.views.edit_tree import EditTree, Field
from corelib.job import packing_rule_edits as rule_edits
from corelib.job.models import Job
from corelib.job.nesting_rules import KeepOut

Edit = Callable[[Job, Any], Job]
Register = Callable[[str, str, Edit], None]
REGION_KEY = "region:"


class PackingRules:
    """Adds the rows; `register` takes each field's key with the name of its edit and the edit."""

    def __init__(self, register: Register) -> None:
        self._register = register

    def show(self, tree: EditTree, job: Job) -> None:
        """Add the rows of a job."""
        for number, region in enumerate(job.box.keep_out):
            self._show_region(tree, number, region)
        yes, no = _tr("yes"), _tr("no")
        snaps = job.box.snap_to_pixels
        name = _tr("Copies on whole pixels")
        self._row(tree, None, "snap_to_pixels", name, yes if snaps else no,
                  Field("snap_to_pixels", name, snaps, "choice", choices=((yes, True), (no, False))),
                  rule_edits.with_whole_pixels)  # fmt: skip
        for field, name in (
            ("heavy_low", _tr("Wish: heavy cores low")),
            ("sets_together", _tr("Wish: casting sets together")),
            ("even_area", _tr("Wish: even printed area")),
        ):
            weight = getattr(job.wishes, field)
            self._row(tree, None, field, name, stated(weight, ""),
                      Field(field, name, weight, "number", "", 0.0, 100.0, 2),
                      partial(_wish, field))  # fmt: skip

    def _show_region(self, tree: EditTree, number: int, region: KeepOut) -> None:
        key, called = f"{REGION_KEY}{number}", _tr("Region to keep out of")
        field = Field(f"{key}:reason", called, region.reason, "text")
        self._register(field.key, called, partial(_region, number, "reason", None))
        item = tree.row(None, [called, region.reason, _tr("the job")], {1: field})
        rows: list[tuple[str, int | None, str, float]] = [("gap_mm", None, _tr("Gap to it"), region.gap_mm)]
        for side, values, word in (
            ("low_mm", region.low_mm, _tr("from")),
            ("high_mm", region.high_mm, _tr("to")),
        ):
            rows += [(side, axis, f"{'xyz'[axis]} {word}", values[axis]) for axis in range(3)]
        for name, axis, label, value in rows:
            own = f"{key}:{name}:{axis}"
            entry = Field(own, label, value, "number", "mm", -20_000.0, 20_000.0, 2)
            edit = partial(_region, number, name, axis)
            self._row(tree, item, own, label, stated(value, "mm"), entry, edit)
        item.setExpanded(True)

    def _row(
        self, tree: EditTree, parent: Any, key: str, name: str, text: str, field: Field, edit: Edit
    ) -> None:
        self._register(key, name, edit)
        tree.row(parent, [name, text, "" if parent is not None else _tr("the job")], {1: field})


def _tr(text: str) -> str:
    return QCoreApplication.translate("PackingRules", text)


_TEXTS = (
    QT_TRANSLATE_NOOP("PackingRules", "Region to keep out of"),
    QT_TRANSLATE_NOOP("PackingRules", "Gap to it"),
    QT_TRANSLATE_NOOP("PackingRules", "from"),
    QT_TRANSLATE_NOOP("PackingRules", "to"),
    QT_TRANSLATE_NOOP("PackingRules", "the job"),
    QT_TRANSLATE_NOOP("PackingRules", "Copies on whole pixels"),
    QT_TRANSLATE_NOOP("PackingRules", "Wish: heavy cores low"),
    QT_TRANSLATE_NOOP("PackingRules", "Wish: casting sets together"),
    QT_TRANSLATE_NOOP("PackingRules", "Wish: even printed area"),
    QT_TRANSLATE_NOOP("PackingRules", "yes"),
    QT_TRANSLATE_NOOP("PackingRules", "no"),
)


def _wish(field: str, job: Job, value: Any) -> Job:
    return rule_edits.with_wish(job, field, value)


def _region(number: int, field: str, axis: int | None, job: Job, value: Any) -> Job:
    return rule_edits.with_region_value(job, number, field, axis, value)
