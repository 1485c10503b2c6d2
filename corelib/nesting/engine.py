"""The lattices, forms and overlap search of a task, made once in a process."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

import numpy as np

from corelib.files import canonical_json
from corelib.nesting.boxes import FilledBox, Task
from corelib.nesting.clearance import Body, Clearance
from corelib.nesting.forms import Forms, search_lattices
from corelib.nesting.lattice import Lattice
from corelib.nesting.presser import Presser, lenient_items, search_items
from corelib.nesting.squeezing import Squeeze
from corelib.nesting.tiers import Member
from corelib.progress import SILENT, Progress

FORMS_KEPT = 3  # this process's last ones: the next search finds its own

_forms: dict[str, Forms] = {}
_lattices: dict[str, tuple[Lattice, ...]] = {}
_clearances: dict[str, Clearance] = {}


def lattices_of(task: Task) -> tuple[Lattice, ...]:
    """Return the lattices of the overlap search, the coarse one first."""
    room_mm = np.array(task.box.high_mm) - task.origin_mm
    key = _key(task, room_mm.tolist())
    if key not in _lattices:
        while len(_lattices) >= FORMS_KEPT:
            del _lattices[next(iter(_lattices))]
        _lattices[key] = search_lattices(search_items(task), room_mm)
    return _lattices[key]


def forms_for(task: Task, locked: Sequence[Body], level: int, progress: Progress = SILENT) -> Forms:
    """Return a task's forms on lattice number `level` beside what is fixed in one box."""
    lattice = lattices_of(task)[level]
    fixed = [[body.item.core_id, body.matrix.tolist()] for body in locked]
    key = _key(
        task,
        [lattice.pitch_mm, lattice.fineness, fixed, task.origin_mm.tolist(), task.ordered, task.lenience],
    )
    if key not in _forms:
        while len(_forms) >= FORMS_KEPT:
            del _forms[next(iter(_forms))]
        _forms[key] = make_forms(task, locked, level, progress)
    return _forms[key]


def make_forms(task: Task, locked: Sequence[Body], level: int, progress: Progress) -> Forms:
    """Return the forms of `forms_for` made anew; their tables lie on the shelf for the next who asks."""
    lattice = lattices_of(task)[level]
    items = lenient_items(task, lattice)
    return Forms(items, task.rules, lattice, locked, task.origin_mm, progress)


def _key(task: Task, more: list[Any]) -> str:
    """Return a hash of a task's items and more."""
    items = [
        (
            i.core_id,
            i.mesh.content_sha256,
            i.gap_mm,
            [o.label for o in i.orientations],
            i.is_fragile,
            i.held_by_hand,
        )
        for i in task.items
    ]
    return hashlib.sha256(canonical_json([items, task.rules.pixel_mm, more])).hexdigest()


def squeeze_for(
    task: Task, box: FilledBox, members: Sequence[Member], level: int, progress: Progress = SILENT
) -> Squeeze:
    """Return the overlap search on one box for these copies."""
    room_mm = np.array(task.box.high_mm) - task.origin_mm
    kinds = np.array([member.kind for member in members], dtype=np.int64)
    forms = forms_for(task, box.locked, level, progress)
    # bodies without a gap touch on the lattice: it keeps them apart by itself
    press = Presser(task, box, members, forms, _clearance_of(task)) if task.has_gaps else None
    return Squeeze(forms, kinds, room_mm, task.ordered, press)


def _clearance_of(task: Task) -> Clearance:
    """Return the true distances between a task's bodies, as far as they are known."""
    key = _key(task, [])
    if key not in _clearances:
        _clearances.clear()
        _clearances[key] = Clearance()
    return _clearances[key]
