"""Field types of jobs and profiles: numbers with their allowed range, frozen models, evidence."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal, LiteralString

from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import PydanticCustomError

Identifier = Annotated[str, Field(pattern=r"^[A-Za-z0-9_.\-]{1,64}$")]
Name = Annotated[str, Field(min_length=1, max_length=200)]
Text = Annotated[str, Field(max_length=2000)]

Count = Annotated[int, Field(ge=1, le=5000)]
CountOrNone = Annotated[int, Field(ge=0, le=5000)]

Positive = Annotated[float, Field(gt=0, le=1e9)]
NotNegative = Annotated[float, Field(ge=0, le=1e9)]
Percent = Annotated[float, Field(ge=0, le=100)]
SharePct = Annotated[float, Field(gt=0, le=100)]
Length_mm = Annotated[float, Field(gt=0, le=20_000)]
Distance_mm = Annotated[float, Field(ge=0, le=1000)]
LayerThickness_mm = Annotated[float, Field(ge=0.02, le=5)]
Density_g_cm3 = Annotated[float, Field(gt=0.05, le=25)]
Temperature_c = Annotated[float, Field(ge=-60, le=2000)]
ScaleError_pct = Annotated[float, Field(gt=-20, lt=20)]
Money = Annotated[Decimal, Field(ge=0, le=Decimal(10) ** 9, allow_inf_nan=False)]
AboveNothing = Annotated[Decimal, Field(gt=0, le=Decimal(10) ** 9, allow_inf_nan=False)]
Point_mm = tuple[float, float, float]
Size_mm = tuple[Length_mm, Length_mm, Length_mm]

EvidenceMark = Literal["measured", "fitted", "data sheet", "stated", "common practice", "guess", "invented"]
"""How well a value is known, best first. `stated`: what a job says without more; `invented`: demo data."""


class Frozen(BaseModel):
    """Base of all data that users state: frozen, no unknown fields, no NaN or infinity."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, validate_default=True, populate_by_name=True
    )


class Evidence(Frozen):
    """How well a value is known, and from where."""

    evidence: EvidenceMark
    source: Annotated[str, Field(min_length=3, max_length=500)]
    n: Annotated[int, Field(ge=1)] | None = None
    date: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$")] | None = None


class TablePoint(Frozen):
    """One row of a property over temperature."""

    temperature_c: Temperature_c
    value: Positive


def contradiction(code: LiteralString, **facts: Any) -> PydanticCustomError:
    """Return the error that a validator raises: its type is the code of our wording."""
    return PydanticCustomError(code, code, facts)
