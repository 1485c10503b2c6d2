"""The job: cores, casting sets, build box, profiles, packing. Frozen; changed only as a whole."""

from __future__ import annotations

from typing import Annotated, Any, Literal, LiteralString, Self

from pydantic import Field, model_validator

from corelib.geometry.pose import Orientation
from corelib.job.acknowledged import Casting, LiftedStop, PlanChoice
from corelib.job.calendar import DateText
from corelib.job.fields import (
    Count,
    CountOrNone,
    Distance_mm,
    Frozen,
    Identifier,
    Name,
    Percent,
    Point_mm,
    Positive,
    ScaleError_pct,
    Size_mm,
    Text,
    contradiction,
)
from corelib.job.nesting_rules import BoxOpens, FillerWalls, Grip, KeepOut, Wishes
from corelib.job.profiles import ProfileNames
from corelib.job.quotation import QuotationTerms

JOB_KIND = "corestow.job"
JOB_SCHEMA_VERSION = 1
MOST_COPIES = 5000

LengthUnit = Literal["mm", "micron", "cm", "m", "inch", "foot"]
AxisName = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
Matrix = tuple[
    tuple[float, float, float, float],
    tuple[float, float, float, float],
    tuple[float, float, float, float],
    tuple[float, float, float, float],
]


class MeshReference(Frozen):
    """A mesh file, its path relative to the job file, its content's hash and its length unit."""

    path: Annotated[str, Field(min_length=1, max_length=1000)]
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")] | None = None
    unit: LengthUnit | None = None
    """None: read from the file where its format has a unit; asked for otherwise."""


class Block(Frozen):
    """A core without a mesh: its outer size and either its mass or its solid volume."""

    size_mm: Size_mm
    mass_kg: Positive | None = None
    volume_mm3: Positive | None = None

    @model_validator(mode="after")
    def _one_of_mass_and_volume(self) -> Self:
        if (self.mass_kg is None) == (self.volume_mm3 is None):
            raise contradiction("job.block_mass_or_volume")
        return self


class OrientationRule(Frozen):
    """The orientations in which a core may lie in the box.

    `fixed`: as modelled. `yaw steps`: as modelled, turned about the vertical by multiples of
    `yaw_step_deg`. `faces down`: each direction in `down`, turned likewise. `right angles`: all 24.
    `free yaw`: as modelled or with a direction of `down` down, turned by any angle; the search tries steps
    of `yaw_step_deg`, at most 15°.
    """

    rule: Literal["fixed", "yaw steps", "faces down", "right angles", "free yaw"] = "right angles"
    yaw_step_deg: Annotated[float, Field(gt=0, le=180)] = 90.0
    down: Annotated[tuple[AxisName | Point_mm, ...], Field(max_length=100)] = ()

    @model_validator(mode="after")
    def _faces_are_named(self) -> Self:
        if self.rule != "free yaw" and (self.rule == "faces down") != bool(self.down):
            raise contradiction("job.faces_down")
        if any(not isinstance(down, str) and not any(down) for down in self.down):
            raise contradiction("job.no_direction")
        return self


class InMould(Frozen):
    """How a core lies in the mould when it is cast, which is not how it lies in the build box."""

    wetted_pct: Percent | None = None
    """Share of its volume that the melt surrounds; the rest lies in prints. None: the process profile's."""
    seat_above_mm2: Positive | None = None
    """Area of the print seats that hold the core down against its lift in the melt."""
    seat_below_mm2: Positive | None = None
    """Area of the print seats on which the core rests before the pour."""


class CoreItem(Frozen):
    """A core of the job: its mesh or block, what the mesh is, and its rules."""

    id: Identifier
    name: Name
    mesh: MeshReference | None = None
    block: Block | None = None
    mesh_is: Literal["core at size", "casting geometry"] | None = None
    """`casting geometry` still needs metal contraction, coating and clearance; None is a finding."""
    contraction_pct: tuple[ScaleError_pct, ScaleError_pct, ScaleError_pct] = (0.0, 0.0, 0.0)
    """Contraction of the metal along the mesh's x, y, z: the core is printed larger by 1 + s."""
    coating_mm: Distance_mm = 0.0
    """Thickness of the coating that comes on: the core is printed smaller by it on each side."""
    clearance_mm: Distance_mm = 0.0
    """Print clearance: the core is printed smaller by it on each side."""
    orientations: OrientationRule = OrientationRule()
    gap_mm: Distance_mm | None = None
    spares: CountOrNone = 0
    is_fragile: bool = False
    held_by_hand: bool = False
    grip: Grip | None = None
    """Room that drawing it needs beside it; None: no more than its way."""
    in_mould: InMould = InMould()

    @model_validator(mode="after")
    def _one_of_mesh_and_block(self) -> Self:
        if (self.mesh is None) == (self.block is None):
            raise contradiction("job.mesh_or_block", core=self.name)
        return self


class SetMember(Frozen):
    """How many of a core one casting needs."""

    core_id: Identifier
    per_set: Count


class CastingSet(Frozen):
    """The cores of one casting, and how many castings."""

    id: Identifier
    name: Name
    count: Count
    due_date: DateText | None = None
    """Day by which the cores are needed: what is due earlier goes into earlier boxes."""
    members: Annotated[tuple[SetMember, ...], Field(min_length=1)]


class LooseCores(Frozen):
    """Copies of a core outside any casting set."""

    core_id: Identifier
    count: Count
    due_date: DateText | None = None


class BuildBox(Frozen):
    """Inner size of the build box, the least sand to walls, floor and top, and what else its user states."""

    inner_mm: Size_mm | None = None
    wall_margin_mm: Distance_mm | None = None
    floor_margin_mm: Distance_mm | None = None
    top_margin_mm: Distance_mm | None = None
    opens: BoxOpens | None = None
    """What opens for unpacking; None takes the machine profile's, and where that is silent the top only."""
    keep_out: Annotated[tuple[KeepOut, ...], Field(max_length=50)] = ()
    filler_walls: FillerWalls | None = None
    snap_to_pixels: bool = False
    """Bring copies to whole pixels in x and y, so that they are alike in the images."""


class Search(Frozen):
    """How the packing is searched; effort counts candidate evaluations, so the result repeats."""

    seed: Annotated[int, Field(ge=0, le=2**63 - 1)] = 0
    effort: Annotated[int, Field(ge=0, le=10**12)] = 0


class Placement(Frozen):
    """One core copy in a box."""

    core: Identifier
    copy_number: Annotated[int, Field(ge=0, alias="copy")]
    set_id: Identifier | None = None
    set_index: Annotated[int, Field(ge=0)] | None = None
    box: Annotated[int, Field(ge=0, le=1000)]
    orientation: Orientation = Orientation()
    locked: bool = False
    placed_by: Literal["search", "hand"] = "search"
    matrix: Matrix


class Packing(Frozen):
    """Where every core copy of the job lies."""

    placements: tuple[Placement, ...]


class Extras(Frozen):
    """What rides along: witness bars for strength, coupons for accuracy (a number for each box)."""

    witness_bars: CountOrNone = 0
    accuracy_coupons: CountOrNone = 0


class Job(Frozen):
    """A print job as the user states it."""

    kind: Literal["corestow.job"] = "corestow.job"
    schema_version: Literal[1] = 1
    name: Name
    customer: Annotated[str, Field(max_length=200)] = ""
    notes: Text = ""
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    cores: Annotated[tuple[CoreItem, ...], Field(min_length=1, max_length=1000)]
    casting_sets: Annotated[tuple[CastingSet, ...], Field(max_length=1000)] = ()
    loose: Annotated[tuple[LooseCores, ...], Field(max_length=1000)] = ()
    box: BuildBox = BuildBox()
    gap_mm: Distance_mm | None = None
    """Least sand between two cores; None takes the process profile's."""
    profiles: ProfileNames
    overrides: dict[str, Any] = Field(default_factory=dict)
    """Profile values that this job states otherwise, as `{"sand.bulk_density_g_cm3": 1.48}`."""
    search: Search = Search()
    wishes: Wishes = Wishes()
    extras: Extras = Extras()
    packing: Packing | None = None
    quotation: QuotationTerms | None = None
    casting: Casting = Casting()
    lifted_stops: Annotated[tuple[LiftedStop, ...], Field(max_length=200)] = ()
    """Stops of the plan for which a named person answers, each with the reason."""
    choice: PlanChoice | None = None
    """The plan that was picked of several; it makes no plan out of date."""

    @model_validator(mode="after")
    def _identities_hold(self) -> Self:
        ids = [core.id for core in self.cores]
        _refuse_repeats(ids, "job.core_id_repeated")
        _refuse_repeats([casting_set.id for casting_set in self.casting_sets], "job.set_id_repeated")
        named = [member.core_id for s in self.casting_sets for member in s.members]
        named += [loose.core_id for loose in self.loose]
        unknown = sorted(set(named) - set(ids))
        if unknown:
            raise contradiction("job.unknown_core", core=unknown[0])
        idle = sorted(set(ids) - set(named) - {core.id for core in self.cores if core.spares})
        if idle:
            raise contradiction("job.core_unused", core=idle[0])
        if sum(self.copies().values()) > MOST_COPIES:
            raise contradiction("job.too_many_copies", most=MOST_COPIES, copies=sum(self.copies().values()))
        return self

    def copies(self) -> dict[str, int]:
        """Return the copies of each core, sets and loose and spares together, by core id in id order."""
        total = {core.id: core.spares for core in self.cores}
        for casting_set in self.casting_sets:
            for member in casting_set.members:
                total[member.core_id] += member.per_set * casting_set.count
        for loose in self.loose:
            total[loose.core_id] += loose.count
        return dict(sorted(total.items()))

    def core(self, core_id: str) -> CoreItem:
        """Return the core with this id; raises KeyError."""
        for core in self.cores:
            if core.id == core_id:
                return core
        raise KeyError(core_id)


def _refuse_repeats(ids: list[str], code: LiteralString) -> None:
    repeated = sorted({name for name in ids if ids.count(name) > 1})
    if repeated:
        raise contradiction(code, id=repeated[0])
