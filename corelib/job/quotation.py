"""What a quotation needs beside the job: terms, ranges of inputs, the conventional way, joined cores."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from corelib.job.calendar import DateText
from corelib.job.fields import Frozen, Money, Name, NotNegative, Positive, Text, contradiction

RangeShape = Literal["triangular", "uniform", "normal"]
Finite = Annotated[float, Field(ge=-1e12, le=1e12)]


class Range(Frozen):
    """How an uncertain input spreads.

    `triangular` from low over `likely` (None: the stated value) to high; `uniform` from low to high;
    `normal` about the stated value with the standard deviation `sd`.
    """

    shape: RangeShape = "triangular"
    low: Finite | None = None
    likely: Finite | None = None
    high: Finite | None = None
    sd: Annotated[float, Field(gt=0, le=1e12)] | None = None

    @model_validator(mode="after")
    def _has_what_its_shape_needs(self) -> Self:
        if self.shape == "normal":
            if self.sd is None:
                raise contradiction("job.range_needs", shape=self.shape, needs="sd")
            return self
        if self.low is None or self.high is None:
            raise contradiction("job.range_needs", shape=self.shape, needs="low, high")
        likely = self.low if self.likely is None else self.likely
        if not self.low <= likely <= self.high or self.low == self.high:
            raise contradiction("job.range_order", low=self.low, likely=likely, high=self.high)
        return self


class MoneyBand(Frozen):
    """An amount of money as a triangular range: low, likely, high."""

    low: Money
    likely: Money
    high: Money

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if not self.low <= self.likely <= self.high:
            raise contradiction(
                "job.range_order", low=float(self.low), likely=float(self.likely), high=float(self.high)
            )
        return self


class Conventional(Frozen):
    """Core-making with a core box, as the user states it: the other way to the same casting sets."""

    name: Name = "core box"
    tooling: MoneyBand
    """Core boxes and what belongs to them, once."""
    per_set: MoneyBand
    """Cores of one casting set out of these tools: sand, binder, labour, machine."""
    set_up_per_batch: Money = Decimal(0)
    batch_sets: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    """Sets made after one set-up; None: one set-up for the whole quantity."""
    tool_lead_time_days: NotNegative = 0.0
    cycle_min_per_set: NotNegative = 0.0
    change_cost: Money = Decimal(0)
    """What one change of the tools costs."""
    changes: NotNegative = 0.0
    """Changes expected; for printed cores a change costs new data only."""
    printed_change_cost: Money = Decimal(0)


class JoinedCores(Frozen):
    """Several cores that printing makes in one piece: what the user says that saves, a set."""

    parts_before: Annotated[int, Field(ge=1, le=1000)]
    parts_after: Annotated[int, Field(ge=1, le=1000)] = 1
    assembly_min_per_joint: NotNegative = 0.0
    glue_per_joint: Money = Decimal(0)
    handling_per_part: Money = Decimal(0)
    link_tolerance_mm: Positive | None = None
    """Plus or minus of one link of the tolerance chain."""

    @model_validator(mode="after")
    def _fewer_after(self) -> Self:
        if self.parts_after > self.parts_before:
            raise contradiction("job.joined_into_more", before=self.parts_before, after=self.parts_after)
        return self


class QuotationTerms(Frozen):
    """Terms of a quotation, and what only the user can state for it."""

    number: Annotated[str, Field(max_length=100)] = ""
    start_date: DateText | None = None
    """Day on which work starts; lead times count from it. None: a Monday without closed days."""
    validity_days: Annotated[int, Field(ge=1, le=3650)] = 30
    round_unit_price_to: Annotated[Decimal, Field(gt=0, le=10**6, allow_inf_nan=False)] | None = None
    """Step to which a set's price is rounded up; None: the currency's smallest unit."""
    assumptions: Annotated[tuple[Text, ...], Field(max_length=50)] = ()
    exclusions: Annotated[tuple[Text, ...], Field(max_length=50)] = ()
    ranges: dict[str, Range] = Field(default_factory=dict)
    """Spread of profile values, as `{"sand.bulk_density_g_cm3": {...}}`; others spread by their evidence."""
    conventional: Conventional | None = None
    joined: JoinedCores | None = None
