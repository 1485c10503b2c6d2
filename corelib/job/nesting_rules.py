"""What a job states on how its boxes are packed: keep-out regions, room to grip, filler walls, wishes."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from corelib.job.fields import Distance_mm, Frozen, Length_mm, Name, Point_mm, contradiction

BoxOpens = Literal["top only", "platform rises", "walls off"]


class KeepOut(Frozen):
    """An upright region of every build box in which no core may lie, and why."""

    reason: Name
    low_mm: Point_mm
    """Its lowest corner, from the box's inner bottom front left corner."""
    high_mm: Point_mm
    gap_mm: Distance_mm = 0.0
    """Least sand between a core and the region."""

    @model_validator(mode="after")
    def _has_an_inside(self) -> Self:
        if any(low >= high for low, high in zip(self.low_mm, self.high_mm, strict=True)):
            raise contradiction("job.region_inside_out", reason=self.reason)
        return self


class Grip(Frozen):
    """Free space that fingers or a gripper need beside a core, on two opposite sides, when it is drawn."""

    beside_mm: Annotated[float, Field(gt=0, le=500)]
    """Free space on each of the two sides, from the core's outermost point outwards."""
    reach_mm: Annotated[float, Field(gt=0, le=500)] = 30.0
    """How far they reach down beside the core, from its top."""
    width_mm: Annotated[float, Field(gt=0, le=500)] = 80.0
    """Width of hand or jaw along the core's side, at its middle (never more than the side is long)."""


class FillerWalls(Frozen):
    """Walls that are put into the box so that less of it is filled with sand."""

    step_mm: Length_mm
    """The inner size shrinks by whole multiples of it."""
    most_mm: tuple[Distance_mm, Distance_mm]
    """By how much the inner size can shrink along x and along y (0: not at all)."""

    @model_validator(mode="after")
    def _a_step_fits(self) -> Self:
        if max(self.most_mm) < self.step_mm:
            raise contradiction("job.filler_step", step_mm=self.step_mm, most_mm=max(self.most_mm))
        return self


WishWeight = Annotated[float, Field(ge=0, le=100)]


class Wishes(Frozen):
    """What a packing should be like if it costs no height and no box; weights tell which wish counts more."""

    heavy_low: WishWeight = 0.0
    sets_together: WishWeight = 0.0
    even_area: WishWeight = 0.0
    """The same printed area in every layer."""

    @property
    def any_stated(self) -> bool:
        """True if at least one wish has a weight."""
        return max(self.heavy_low, self.sets_together, self.even_area) > 0
