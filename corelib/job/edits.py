"""Edits of a job: each returns a new job, checked as a whole, and leaves the old one as it was.

All raise InputError for a value that the job may not hold, KeyError for an id that it does not know.
"""

from __future__ import annotations

from typing import Any

from corelib.job.files import changed
from corelib.job.models import Job, LooseCores


def with_set_count(job: Job, set_id: str, count: int) -> Job:
    """Return the job with another number of castings of a casting set."""
    if all(casting_set.id != set_id for casting_set in job.casting_sets):
        raise KeyError(set_id)
    sets = [
        {**casting_set.model_dump(), "count": count} if casting_set.id == set_id else casting_set
        for casting_set in job.casting_sets
    ]
    return changed(job, casting_sets=sets)


def with_core_value(job: Job, core_id: str, field: str, value: Any) -> Job:
    """Return the job with one field of a core changed (`name`, `spares`, `gap_mm`, `is_fragile`, …)."""
    job.core(core_id)
    cores = [
        {**core.model_dump(), field: value} if core.id == core_id else core.model_dump() for core in job.cores
    ]
    return changed(job, cores=cores)


def with_loose_count(job: Job, core_id: str, count: int) -> Job:
    """Return the job with another number of copies of a core outside casting sets; 0 takes them out."""
    job.core(core_id)
    others = [loose for loose in job.loose if loose.core_id != core_id]
    mine = [] if count == 0 else [{"core_id": core_id, "count": count}]
    return changed(job, loose=sorted([*others, *mine], key=_loose_core))


def _loose_core(loose: LooseCores | dict[str, Any]) -> str:
    return str(loose["core_id"]) if isinstance(loose, dict) else loose.core_id


def with_gap(job: Job, gap_mm: float | None) -> Job:
    """Return the job with another gap between cores; None takes the process profile's."""
    return changed(job, gap_mm=gap_mm)


def with_box_value(job: Job, field: str, value: Any) -> Job:
    """Return the job with one field of the build box changed; None takes the machine profile's."""
    return changed(job, box={**job.box.model_dump(), field: value})


def with_extra(job: Job, field: str, count: int) -> Job:
    """Return the job with another number of what rides along (`witness_bars`, `accuracy_coupons`)."""
    return changed(job, extras={**job.extras.model_dump(), field: count})


def with_alloy(job: Job, alloy: str | None) -> Job:
    """Return the job with another alloy poured; None: not stated."""
    return changed(job, casting={"alloy": alloy})


def with_lifted_stop(
    job: Job, code: str, core: str | None, by: str, reason: str, date: str | None = None
) -> Job:
    """Return the job with a stop lifted by a named person for a reason; an earlier statement on it goes."""
    lifted = {"code": code, "core": core, "by": by, "reason": reason, "date": date}
    return changed(job, lifted_stops=[*_other_stops(job, code, core), lifted])


def without_lifted_stop(job: Job, code: str, core: str | None) -> Job:
    """Return the job with a stop in force again."""
    return changed(job, lifted_stops=_other_stops(job, code, core))


def _other_stops(job: Job, code: str, core: str | None) -> list[dict[str, Any]]:
    return [stop.model_dump() for stop in job.lifted_stops if (stop.code, stop.core) != (code, core)]


def with_choice(job: Job, choice: dict[str, Any] | None) -> Job:
    """Return the job with the plan that was picked of several (fields of `PlanChoice`); None withdraws it."""
    return changed(job, choice=choice)


def without_choice(job: Job) -> Job:
    """Return what of the job a plan is made from: all but the choice between plans."""
    return job if job.choice is None else changed(job, choice=None)


def with_override(job: Job, field: str, value: Any) -> Job:
    """Return the job with a profile value stated otherwise (`sand.moisture_pct`); None takes the profile's.

    Whether the profile's model takes the value is told by `operating_point`.
    """
    others = {name: stated for name, stated in job.overrides.items() if name != field}
    return changed(job, overrides=others if value is None else {**others, field: value})
