"""The packing on show: the job's own where it is of the plan's cores, else the plan's.

A core that is moved by hand, a lock and an accepted search are edits of the job; they show at once, before
the plan that follows is made.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from app.qt.shown_plan import ShownPlacement, ShownPlan
from corelib.job.files import job_document
from corelib.job.models import Job
from corelib.job.packing_edits import copy_of, placement_documents

_LEFT_OUT = ("packing", "search", "name", "customer", "notes", "quotation", "choice")


def packing_on_show(plan: ShownPlan, job: Job | None, planned: Job | None) -> list[dict[str, Any]] | None:
    """Return the placements on show, as a job has them; None where the job asks for another packing.

    That is so where anything but the packing was changed since the plan was made, and where the job's
    packing is not of the plan's copies.
    """
    if job is None or planned is None or not is_of_plan(job, planned):
        return None
    of_plan = placement_documents([p for box in plan.document["boxes"] for p in box["placements"]])
    if job.packing is None:
        return of_plan if planned.packing is None or job == planned else None
    own = placement_documents(job_document(job)["packing"]["placements"])
    if sorted(map(copy_of, own)) != sorted(map(copy_of, of_plan)):
        return None
    return own


def is_of_plan(job: Job, planned: Job) -> bool:
    """Return True if a job and the job that was planned differ in no more than their packing."""
    if job is planned:
        return True
    one, other = (job.model_dump(exclude=set(_LEFT_OUT)) for job in (job, planned))
    return bool(one == other)


def shown_placements(
    placements: Sequence[dict[str, Any]], planned: Sequence[ShownPlacement], box: int
) -> tuple[ShownPlacement, ...]:
    """Return what lies in one box: what is there in the plan, in its order, then what came from others."""
    here = {copy_of(place): place for place in placements if place["box"] == box}
    names = [(place.core, place.copy_number) for place in planned]
    order = [name for name in names if name in here] + sorted(set(here) - set(names))
    return tuple(_shown(here[name]) for name in order)


def _shown(place: dict[str, Any]) -> ShownPlacement:
    matrix = np.array(place["matrix"], dtype=np.float64)
    return ShownPlacement(str(place["core"]), int(place["copy"]), matrix, bool(place.get("locked")))
