"""A box of a finished plan, ready to be drawn: its printed bodies and profiles, from the plan's own files."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from corelib.allowance.body import PrintedBody
from corelib.allowance.compensation import printed_body
from corelib.errors import FileError
from corelib.estimate.stated import number
from corelib.files import read_document
from corelib.job.files import job_from_document
from corelib.job.models import CoreItem, Packing
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.layers.grid import PixelGrid, pixel_grid
from corelib.layers.model import PlacedBody
from corelib.layers.raster import DrawnBody, drawn_bodies
from corelib.layers.strokes import HeadLayout, head_layout
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.ride_along import accuracy_coupon, witness_bar
from corelib.plan.build import placed_by_box
from corelib.plan.document import PLAN_KIND, PLAN_SCHEMA_VERSION


@dataclass(frozen=True, eq=False)
class PlannedBox:
    """One box of a plan: its placed bodies, the profiles that the plan used, its inner size."""

    number: int
    point: OperatingPoint
    placed: tuple[PlacedBody, ...]
    inner_mm: tuple[float, float, float]

    @property
    def thickness_mm(self) -> float:
        """Layer thickness."""
        return float(required(self.point, "process.layer_thickness_mm"))

    @cached_property
    def bodies(self) -> tuple[DrawnBody, ...]:
        """The bodies as they are drawn; blocks that are solid in part have no outline and are left out."""
        return drawn_bodies(self.placed, self.thickness_mm)

    @cached_property
    def grid(self) -> PixelGrid:
        """The machine's pixel grid over the box; raises InputError for what its profile doesn't state."""
        return pixel_grid(
            required(self.point, "machine.travel_axis"),
            number(self.point, "machine.pitch_travel_mm"),
            number(self.point, "machine.pitch_across_mm"),
            self.inner_mm,
        )

    @cached_property
    def layout(self) -> HeadLayout:
        """How the head covers the grid; raises InputError for what the profiles don't state."""
        return head_layout(
            self.grid,
            nozzle_count=int(number(self.point, "head.nozzle_count")),
            nozzle_pitch_mm=number(self.point, "head.nozzle_pitch_mm"),
            overlap_mm=self.point.head.overlap_mm or 0.0,
            passes=int(number(self.point, "machine.passes")),
        )


@lru_cache(maxsize=2)
def planned_box(plan: Path, meshes: Path, box: int) -> PlannedBox:
    """Return box `box` (from 0) of the plan file `plan`, whose nominal meshes lie as .npy in `meshes`.

    Kept, as a layer is seldom looked at alone. Raises FileError or InputError.
    """
    document = read_document(plan, PLAN_KIND, PLAN_SCHEMA_VERSION)
    point = OperatingPoint.model_validate({**document["profiles"], "overridden": document["overridden"]})
    bodies = _bodies(document, meshes, point, str(plan))
    here = document["boxes"][box]
    x, y, z = here["inner_mm"]
    placed = placed_by_box(_packing(document), bodies)
    return PlannedBox(
        box,
        point,
        placed[box] if box < len(placed) else (),
        (float(x), float(y), float(z)),
    )


def _bodies(
    document: Mapping[str, Any], meshes: Path, point: OperatingPoint, source: str
) -> Sequence[PrintedBody]:
    job = job_from_document(document["job"], source)
    pieces = {piece.item.id: piece for piece in (accuracy_coupon(), witness_bar())}
    bodies = []
    for core in document["cores"]:
        piece = pieces.get(core["id"]) if core["rides_along"] else None
        loaded = piece or _loaded(job.core(core["id"]), core, meshes)
        bodies.append(printed_body(loaded, point.process))
    return bodies


def _loaded(item: CoreItem, core: Mapping[str, Any], meshes: Path) -> LoadedCore:
    """Return a core with the mesh that the plan's run left."""
    try:
        vertices = np.load(meshes / f"{item.id}.vertices.npy", allow_pickle=False)
        faces = np.load(meshes / f"{item.id}.faces.npy", allow_pickle=False)
    except (OSError, ValueError) as error:
        raise FileError("file.not_readable", path=str(meshes), reason=str(error)) from error
    volume_mm3 = float(core["core_volume_mm3"])
    outer_mm3 = volume_mm3 if item.block is None else math.prod(item.block.size_mm)
    share = volume_mm3 / outer_mm3 if outer_mm3 else 1.0
    return LoadedCore(
        item=item,
        mesh=CoreMesh(vertices, faces),
        volume_mm3=outer_mm3,
        area_mm2=float(core["area_mm2"]),
        bodies=int(core["bodies"]),
        unit=core["unit"],
        file_sha256=core["sha256"],
        solid_share=1.0 if math.isclose(share, 1.0, rel_tol=1e-9) else share,
        findings=(),
    )


def _packing(document: Mapping[str, Any]) -> Packing:
    places = [
        {name: value for name, value in place.items() if name != "orientation_label"}
        for box in document["boxes"]
        for place in box["placements"]
    ]
    return Packing.model_validate({"placements": places})
