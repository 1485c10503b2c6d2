"""A finished plan as the window shows it: read from plan.json and the run's mesh files, never changed."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.qt.display_mesh import MOVING_TRIANGLES, REST_TRIANGLES, DisplayMesh, simplified
from app.qt.figures import words
from app.runner import PlanFiles

Series = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class ShownPlacement:
    """One core copy at its place: 4×4 matrix from core file (mm) to box."""

    core: str
    copy_number: int
    matrix: NDArray[np.float64]
    locked: bool = False


@dataclass(frozen=True, eq=False)
class ShownBox:
    """One box: inner size, placements, and a value for each layer."""

    inner_mm: tuple[float, float, float]
    height_mm: float
    thickness_mm: float
    placements: tuple[ShownPlacement, ...]
    z_mm: Series
    printed_area_mm2: Series
    boundary_mm: Series
    binder_ml: Series
    time_s: Series

    @property
    def layer_count(self) -> int:
        """Number of layers, base and cover layers included."""
        return len(self.z_mm)


@dataclass(frozen=True)
class ShownFinding:
    """A finding as the plan words it; `layers` count from 0, as in plan.json.

    `places_mm` are points in the core's own frame where it is about a core, else in the box's;
    `copy_number` is the core copy that it is about, None for all; `is_lifted` says that it was a stop.
    """

    severity: str
    code: str
    message: str
    remedy: str
    core: str | None
    box: int | None
    layers: tuple[int, int] | None
    places_mm: tuple[tuple[float, float, float], ...] = ()
    copy_number: int | None = None
    is_lifted: bool = False


@dataclass(frozen=True, eq=False)
class CoreLook:
    """A core's simplified copies: at rest, and while the view moves."""

    rest: DisplayMesh
    moving: DisplayMesh


@dataclass(frozen=True, eq=False)
class ShownPlan:
    """All that the window shows of one plan."""

    files: PlanFiles
    job_name: str
    currency: str
    core_names: dict[str, str]
    boxes: tuple[ShownBox, ...]
    totals: dict[str, Any]
    findings: tuple[ShownFinding, ...]
    document: dict[str, Any]
    looks: dict[str, CoreLook] = field(default_factory=dict)


def read_plan(files: PlanFiles, pause: Callable[[], None] = lambda: None) -> ShownPlan:
    """Return the plan that lies in `files`; `pause` is called between its parts.

    It is read in a worker thread: the pauses let the window's own thread run.
    """
    document = json.loads(files.plan.read_bytes())
    pause()
    job = document["job"]
    looks = {}
    hashes = {core["id"]: core.get("sha256") for core in document["cores"]}
    for core_id in sorted({p["core"] for box in document["boxes"] for p in box["placements"]}):
        if (files.meshes / f"{core_id}.vertices.npy").exists():  # meshes of an old plan may be gone
            looks[core_id] = _look(files.meshes, core_id, hashes.get(core_id))
        pause()
    return ShownPlan(
        files=files,
        job_name=job["name"],
        currency=job["currency"],
        core_names={
            core["id"]: words(core["id"]) if core.get("rides_along") else core["name"]
            for core in document["cores"]
        },
        boxes=tuple(_box(box, document) for box in document["boxes"]),
        totals=document["totals"],
        findings=tuple(shown_finding(finding) for finding in document["findings"]),
        document=document,
        looks=looks,
    )


LOOKS_KEPT = 200
_looks: dict[tuple[str, ...], CoreLook] = {}  # the next plan of the same meshes finds its copies made


def _look(meshes: Path, core_id: str, sha256: str | None) -> CoreLook:
    """Return a core's simplified copies; they are made once for a mesh file and its size in mm."""
    vertices = np.load(meshes / f"{core_id}.vertices.npy")
    faces = np.load(meshes / f"{core_id}.faces.npy")
    size = (str(len(faces)), *(f"{length:.9g}" for length in np.ptp(vertices, axis=0)))
    key = (sha256 or str(meshes), core_id, *size)
    if key not in _looks:
        while len(_looks) >= LOOKS_KEPT:
            del _looks[next(iter(_looks))]
        rest = simplified(vertices, faces, REST_TRIANGLES)
        _looks[key] = CoreLook(rest, simplified(rest.vertices_mm, rest.faces, MOVING_TRIANGLES))
    return _looks[key]


def _box(box: dict[str, Any], document: dict[str, Any]) -> ShownBox:
    layers = box["layers"]
    series = {
        name: np.array([layer[name] for layer in layers], dtype=np.float64)
        for name in ("z_mm", "printed_area_mm2", "boundary_mm", "binder_ml", "time_s")
    }
    count = len(layers)
    placements = tuple(
        ShownPlacement(
            p["core"], int(p["copy"]), np.array(p["matrix"], dtype=np.float64), bool(p.get("locked"))
        )
        for p in box["placements"]
    )
    x, y, z = box["inner_mm"]
    return ShownBox(
        inner_mm=(float(x), float(y), float(z)),
        height_mm=float(box["height_mm"]),
        thickness_mm=float(box["height_mm"]) / count if count else 0.0,
        placements=placements,
        **series,
    )


def shown_finding(finding: dict[str, Any]) -> ShownFinding:
    """Return a finding of a plan document, or one that a check of a core found."""
    layers, copy = finding.get("layers"), finding.get("facts", {}).get("copy")
    return ShownFinding(
        severity=finding["severity"],
        code=finding["code"],
        message=finding["message"],
        remedy=finding.get("remedy") or "",
        core=finding.get("core"),
        box=finding.get("box"),
        layers=(int(layers[0]), int(layers[1])) if layers else None,
        places_mm=tuple((float(x), float(y), float(z)) for x, y, z in finding.get("places_mm") or ()),
        copy_number=int(copy) if isinstance(copy, int) else None,
        is_lifted=bool(finding.get("lifted")),
    )
