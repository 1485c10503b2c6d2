"""How far the lattice search may fall short of a gap, and the pressing that restores it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from corelib.job.models import Packing
from corelib.nesting.boxes import FilledBox, Task, box_at, copies_at
from corelib.nesting.clearance import Clearance, placed_bodies
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.forms import Forms
from corelib.nesting.lattice import Lattice, Rows
from corelib.nesting.model import NestItem
from corelib.nesting.pressing import pressed
from corelib.nesting.squeezing import Stand
from corelib.nesting.tiers import Member
from corelib.nesting.zones import without_zones
from corelib.progress import Progress

MEASURING = 400  # candidate evaluations that measuring a distance counts as: it takes about that long
LEAST_OF_GAP = 0.3  # share of a gap that the lattice keeps in any case, so that bodies never meet


def search_items(task: Task) -> tuple[NestItem, ...]:
    """Return the items as the search keeps them apart: far enough for copies to move to whole pixels."""
    if task.rules.pixel_mm is None:
        return task.items
    more_mm = 2.0 * float(np.hypot(*task.rules.pixel_mm))
    return tuple(item if item.is_zone else replace(item, gap_mm=item.gap_mm + more_mm) for item in task.items)


def lenient_items(task: Task, lattice: Lattice) -> tuple[NestItem, ...]:
    """Return the items as the lattice keeps them apart: by less than their gap, which pressing restores.

    Cells that enclose a core and places on whole steps cost up to a step between two cores.
    """
    spared_mm = task.lenience * lattice.pitch_mm
    return tuple(
        replace(item, gap_mm=max(item.gap_mm - spared_mm, LEAST_OF_GAP * item.gap_mm))
        for item in search_items(task)
    )


class Presser:
    """Makes what the lattice finds keep its true gaps and its order of drawing: a `Press` for one box."""

    def __init__(
        self, task: Task, box: FilledBox, members: Sequence[Member], forms: Forms, clearance: Clearance
    ) -> None:  # fmt: skip
        self.task, self.box, self.members, self.forms = task, box, members, forms
        self.clearance = clearance
        self.items = {item.core_id: item for item in search_items(task)}

    def __call__(self, rows: Rows, ceiling_mm: float, progress: Progress) -> tuple[Stand | None, int]:
        """Return where the cores stand with true gaps, if possible as low as the ceiling, and the effort."""
        task, origin_mm = self.task, float(self.task.origin_mm[2])
        tried = box_at(self.forms, self.box, self.members, rows)
        bodies = placed_bodies(self.items, copies_at(task, tried))
        goal_mm = ceiling_mm + origin_mm
        found, measured = pressed(
            bodies, self.box.locked, task.box, task.rules, self.clearance, goal_mm=goal_mm, progress=progress
        )
        if not found:
            return None, measured * MEASURING
        matrices = tuple(body.matrix for body in found[-1])
        places = tuple((o, matrix) for (o, _), matrix in zip(tried.places, matrices, strict=True))
        # a plan that asks for no effort has its order proved once, at the end
        proves = task.proves_order and task.search.effort > 0
        if proves and not self._can_be_drawn(replace(tried, places=places), progress):
            return None, measured * MEASURING
        near = [
            self.forms.row_of(member.kind, orientation, matrix)
            for member, (orientation, matrix) in zip(self.members, places, strict=True)
        ]
        top_mm = max(float(body.high_mm[2]) for body in found[-1]) - origin_mm
        stand = Stand(matrices, np.array(near, dtype=np.int64).reshape(-1, 4), top_mm)
        return stand, measured * MEASURING

    def _can_be_drawn(self, box: FilledBox, progress: Progress) -> bool:
        """Return True if there is an order in which the box can be unpacked."""
        task = self.task
        fixed = without_zones(task.items, [body.placement for body in box.locked])
        packing = Packing(placements=(*fixed, *copies_at(task, box)))
        orders = extraction_orders(task.items, task.box, task.rules, packing, progress.span(0.0, 0.0))
        return not any(finding.severity != "note" for order in orders for finding in order.findings)
