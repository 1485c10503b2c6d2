"""Edits of a job's packing: each returns a new job, checked as a whole, and leaves the old one as it was.

All raise InputError for a value that the job may not hold.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from corelib.errors import InputError
from corelib.job.files import changed
from corelib.job.models import Job, Packing

CopyName = tuple[str, int]
"""A core's id and the number of its copy, from 0."""
Document = Mapping[str, Any]
"""A placement as a job file or a plan has it."""

_FIELDS = ("core", "copy", "set_id", "set_index", "box", "orientation", "locked", "placed_by", "matrix")


def placement_documents(placements: Sequence[Document]) -> list[dict[str, Any]]:
    """Return placements as a job holds them, without what a plan adds to them."""
    return [{name: place[name] for name in _FIELDS if name in place} for place in placements]


def copy_of(place: Document) -> CopyName:
    """Return which copy a placement is of."""
    return str(place["core"]), int(place["copy"])


def with_packing(job: Job, placements: Sequence[Document], search: Document | None = None) -> Job:
    """Return the job with another packing, and the search (seed, effort) that made it if there was one."""
    packing = {"placements": placement_documents(placements)}
    return changed(job, packing=packing, **({} if search is None else {"search": search}))


def with_placement(job: Job, placements: Sequence[Document], moved: Document) -> Job:
    """Return the job with the packing `placements`, in which one copy lies as in `moved`."""
    name = copy_of(moved)
    return with_packing(job, [moved if copy_of(place) == name else place for place in placements])


def with_other_box(job: Job, placements: Sequence[Document], moved: Document) -> Job:
    """Return the job with the packing `placements`, in which one copy lies in another box, as in `moved`.

    The last box goes, with what rides along in it, when its last core leaves; raises InputError for the last
    core of another box.
    """
    name, own = copy_of(moved), {core.id for core in job.cores}
    left = next(int(place["box"]) for place in placements if copy_of(place) == name)
    after = [moved if copy_of(place) == name else place for place in placements]
    if all(place["box"] != left for place in after if place["core"] in own):
        if left != max(int(place["box"]) for place in placements):
            raise InputError("job.box_left_empty", core=moved["core"], box=left + 1)
        after = [place for place in after if place["box"] != left]
    return with_packing(job, after)


def with_locked(
    job: Job, placements: Sequence[Document], names: Collection[CopyName], is_locked: bool
) -> Job:
    """Return the job with the packing `placements`, some copies locked or free."""
    return with_packing(
        job,
        [{**place, "locked": is_locked} if copy_of(place) in names else place for place in placements],
    )


def with_locked_only(job: Job) -> Job:
    """Return the job with its locked placements only: what a new search leaves where it is."""
    locked = () if job.packing is None else tuple(place for place in job.packing.placements if place.locked)
    return changed(job, packing=Packing(placements=locked) if locked else None)


def with_search(job: Job, field: str, value: int) -> Job:
    """Return the job with another `seed` or `effort` (candidate evaluations) of the packing search."""
    return changed(job, search={**job.search.model_dump(), field: value})
