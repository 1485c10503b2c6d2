"""Edits of what a packing has to keep and would better be: each returns a new job, checked as a whole.

All raise InputError for a value that the job may not hold, IndexError for a region that it has not.
"""

from __future__ import annotations

from typing import Any

from corelib.job.files import changed
from corelib.job.models import Job

NEW_REGION_MM = 50.0


def with_whole_pixels(job: Job, snaps: bool) -> Job:
    """Return the job whose copies come to whole pixels, or need not."""
    return _with_box(job, snap_to_pixels=snaps)


def with_wish(job: Job, field: str, weight: float) -> Job:
    """Return the job with another weight of a wish (`heavy_low`, `sets_together`, `even_area`)."""
    return changed(job, wishes={**job.wishes.model_dump(), field: weight})


def with_new_region(job: Job, reason: str) -> Job:
    """Return the job with one more region to keep out of: a small one in the corner of the box."""
    side = (NEW_REGION_MM,) * 3
    return _with_box(job, keep_out=[*_regions(job), {"reason": reason, "low_mm": (0, 0, 0), "high_mm": side}])


def without_region(job: Job, number: int) -> Job:
    """Return the job without a region to keep out of."""
    regions = _regions(job)
    del regions[number]
    return _with_box(job, keep_out=regions)


def with_region_value(job: Job, number: int, field: str, axis: int | None, value: Any) -> Job:
    """Return the job with a region's `reason` or `gap_mm` changed, or one `axis` of `low_mm` or `high_mm`."""
    regions = _regions(job)
    if axis is not None:
        corner = list(regions[number][field])
        corner[axis] = value
        value = corner
    regions[number] = {**regions[number], field: value}
    return _with_box(job, keep_out=regions)


def _regions(job: Job) -> list[dict[str, Any]]:
    return [region.model_dump() for region in job.box.keep_out]


def _with_box(job: Job, **fields: Any) -> Job:
    return changed(job, box={**job.box.model_dump(), **fields})
