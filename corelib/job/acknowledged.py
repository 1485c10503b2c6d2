"""What is poured around the cores, stops that a named person has lifted, and the plan that was chosen."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from corelib.job.calendar import DateText
from corelib.job.fields import Frozen, Identifier, contradiction

Alloy = Literal["aluminium", "magnesium", "copper", "zinc", "iron", "steel", "other"]
"""The metal that most of the alloy is; `other` is none of the named ones."""
NEVER_LIFTED = ("mesh", "volumes")
"""Families of findings on bodies without an honest figure: no name and no reason makes the figure honest."""

FindingCode = Annotated[str, Field(pattern=r"^[a-z_]+\.[a-z_0-9]+$", max_length=100)]
PersonName = Annotated[str, StringConstraints(strip_whitespace=True, min_length=2, max_length=200)]
Reason = Annotated[str, StringConstraints(strip_whitespace=True, min_length=3, max_length=500)]


class Casting(Frozen):
    """What is cast with the cores; the pouring temperature is the process profile's (`process.pouring_c`)."""

    alloy: Alloy | None = None
    """None: not stated; the plan says so, and magnesium counts as possible on the sheets."""


class LiftedStop(Frozen):
    """A stop that a person answers for: the finding stays, as a check, with the name and the reason."""

    code: FindingCode
    core: Identifier | None = None
    """The core that the finding is on; None where it is on no single core."""
    by: PersonName
    reason: Reason
    date: DateText | None = None

    @model_validator(mode="after")
    def _may_be_lifted(self) -> Self:
        if self.code.partition(".")[0] in NEVER_LIFTED:
            raise contradiction("job.stop_stays", stop=self.code)
        return self


class PlanChoice(Frozen):
    """Which of several plans side by side was picked, by whom and why; no figure follows from it."""

    plan: Annotated[str, Field(min_length=1, max_length=200)]
    """Name under which it was compared."""
    plan_sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    """Hash of the plan's file (plan.json)."""
    among: Annotated[
        tuple[Annotated[str, Field(min_length=1, max_length=200)], ...], Field(max_length=6)
    ] = ()
    """Names of all plans that were compared."""
    by: PersonName
    reason: Reason
    date: DateText
