"""What the packing takes: items, box and rules. What it gives is `corelib.job.models.Packing`."""

from __future__ import annotations

from dataclasses import dataclass

from corelib.geometry.pose import Orientation
from corelib.job.nesting_rules import BoxOpens, Grip, Wishes
from corelib.mesh.core import CoreMesh


@dataclass(frozen=True, order=True)
class CopyKey:
    """One copy of a core: its number (from 0) and the casting set that it belongs to, if any."""

    copy_number: int
    set_id: str | None = None
    set_index: int | None = None
    due_date: str | None = None
    """Day (ISO 8601) by which it is needed."""


@dataclass(frozen=True, eq=False)
class NestItem:
    """One core type to pack: the body to keep clear (core file frame, mm), its copies and rules.

    `gap_mm` is the least sand to any other core (the larger of two cores' gaps counts). A zone is a region
    to keep out of, always given as a fixed placement: nothing comes within its gap, but it stands in nobody's
    way up, needs no bed and is not printed.
    """

    core_id: str
    mesh: CoreMesh
    orientations: tuple[Orientation, ...]
    gap_mm: float
    copies: tuple[CopyKey, ...]
    is_fragile: bool = False
    held_by_hand: bool = False
    is_zone: bool = False
    free_yaw: bool = False
    """Any turn about the vertical is allowed; `orientations` are those that the search tries."""
    grip: Grip | None = None
    """Room beside it that drawing it needs."""


@dataclass(frozen=True)
class Zone:
    """An upright region of the box in which no core may lie, and how far cores keep off."""

    low_mm: tuple[float, float, float]
    high_mm: tuple[float, float, float]
    gap_mm: float
    reason: str


@dataclass(frozen=True)
class NestBox:
    """The build box: inner size, least sand to walls, floor and top, regions to keep out of, what opens."""

    inner_mm: tuple[float, float, float]
    wall_margin_mm: float
    floor_margin_mm: float
    top_margin_mm: float
    zones: tuple[Zone, ...] = ()
    opens: BoxOpens = "top only"

    @property
    def sides_open(self) -> bool:
        """True if cores can leave sideways: the walls come off, or the contents rise above them."""
        return self.opens != "top only"

    @property
    def low_mm(self) -> tuple[float, float, float]:
        """Lowest corner that a core may reach."""
        return self.wall_margin_mm, self.wall_margin_mm, self.floor_margin_mm

    @property
    def high_mm(self) -> tuple[float, float, float]:
        """Highest corner that a core may reach."""
        x, y, z = self.inner_mm
        return x - self.wall_margin_mm, y - self.wall_margin_mm, z - self.top_margin_mm


@dataclass(frozen=True)
class NestRules:
    """Rules for the whole packing. Lowest points lie on whole multiples of the layer thickness."""

    layer_thickness_mm: float
    bedded_share: float = 0.10
    """A core keeps its bed while sand reaches this share of its height."""
    freed_share: float = 0.25
    """A core can be drawn when sand is down to this share of its height."""
    wishes: Wishes | None = None
    """What the packing should be like where it costs no height."""
    pixel_mm: tuple[float, float] | None = None
    """Bring copies to whole multiples of this in x and y; None: leave them where the search puts them."""
    is_ordered: bool = True
    """Every core must be drawable, in some order; False only for comparison with tables that ask for none."""
