"""Edits of what a job is made of: cores and casting sets, added, changed and taken out.

Each returns a new job, checked as a whole, and leaves the old one as it was. All raise InputError for what
the job may not hold, KeyError for an id that it does not know.
"""

from __future__ import annotations

from typing import Any

from corelib.job.files import changed
from corelib.job.models import Job


def with_new_set(job: Job, name: str) -> Job:
    """Return the job with one more casting set, of one copy of each core that has no set yet, else of all."""
    known = {casting_set.id for casting_set in job.casting_sets}
    number = next(n for n in range(1, len(known) + 2) if f"set-{n}" not in known)
    in_sets = {member.core_id for casting_set in job.casting_sets for member in casting_set.members}
    free = [core.id for core in job.cores if core.id not in in_sets] or [core.id for core in job.cores]
    members = [{"core_id": core_id, "per_set": 1} for core_id in free]
    added = {"id": f"set-{number}", "name": name, "count": 1, "members": members}
    return changed(job, casting_sets=[*_sets(job), added])


def without_set(job: Job, set_id: str) -> Job:
    """Return the job without a casting set; cores that are in no other become loose, in their numbers."""
    gone = next(casting_set for casting_set in job.casting_sets if casting_set.id == set_id)
    kept = [casting_set for casting_set in _sets(job) if casting_set["id"] != set_id]
    named = {member["core_id"] for casting_set in kept for member in casting_set["members"]}
    loose = {entry.core_id: entry.count for entry in job.loose}
    for member in gone.members:
        if member.core_id not in named and member.core_id not in loose:
            loose[member.core_id] = member.per_set * gone.count
    return changed(job, casting_sets=kept, loose=_loose(loose))


def with_set_name(job: Job, set_id: str, name: str) -> Job:
    """Return the job with a casting set called otherwise."""
    return changed(job, casting_sets=[{**s, "name": name} if s["id"] == set_id else s for s in _sets(job)])


def with_per_set(job: Job, set_id: str, core_id: str, per_set: int) -> Job:
    """Return the job with another number of a core in one casting; 0 takes the core out of the set."""
    job.core(core_id)
    sets = []
    for casting_set in _sets(job):
        if casting_set["id"] == set_id:
            counts = {member["core_id"]: member["per_set"] for member in casting_set["members"]}
            counts[core_id] = per_set
            members = [{"core_id": name, "per_set": count} for name, count in counts.items() if count]
            casting_set = {**casting_set, "members": members}
        sets.append(casting_set)
    return changed(job, casting_sets=sets)


def without_core(job: Job, core_id: str) -> Job:
    """Return the job without a core, its places in casting sets and in the packing."""
    job.core(core_id)
    sets = []
    for casting_set in _sets(job):
        members = [member for member in casting_set["members"] if member["core_id"] != core_id]
        if members:
            sets.append({**casting_set, "members": members})
    packing = None
    if job.packing is not None:
        placements = [p for p in job.packing.placements if p.core != core_id]
        packing = {"placements": placements} if placements else None
    return changed(
        job,
        cores=[core for core in job.cores if core.id != core_id],
        casting_sets=sets,
        loose=[entry for entry in job.loose if entry.core_id != core_id],
        packing=packing,
    )


def _sets(job: Job) -> list[dict[str, Any]]:
    return [casting_set.model_dump() for casting_set in job.casting_sets]


def _loose(counts: dict[str, int]) -> list[dict[str, Any]]:
    return [{"core_id": core_id, "count": count} for core_id, count in sorted(counts.items())]
