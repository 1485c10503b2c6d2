"""An invented plan for tests of runner and window: quick, deterministic, and with faults on demand.

The job is a valid one of two blocks; `delay_s`, `hang_s`, `fault` and `boxes`, written as JSON in its
notes, say how the run goes.
"""

from __future__ import annotations

import json
import math
import os
import time
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from corelib.errors import MeshError
from corelib.progress import Progress

LAYER_MM = 2.0
BOX_MM = [300.0, 200.0, 150.0]


def ring(rings: int = 64, sides: int = 32) -> tuple[np.ndarray, np.ndarray]:
    """Return a torus of radii 40 and 12 mm around the z axis."""
    turn, side = np.meshgrid(np.arange(rings), np.arange(sides), indexing="ij")
    a, b = 2 * np.pi * turn / rings, 2 * np.pi * side / sides
    reach = 40.0 + 12.0 * np.cos(b)
    points = np.stack([reach * np.cos(a), reach * np.sin(a), 12.0 * np.sin(b)], axis=-1)
    here, beside = turn * sides + side, ((turn + 1) % rings) * sides + side
    above, across = turn * sides + (side + 1) % sides, ((turn + 1) % rings) * sides + (side + 1) % sides
    faces = np.concatenate([np.stack([here, beside, across], -1), np.stack([here, across, above], -1)])
    return points.reshape(-1, 3), faces.reshape(-1, 3).astype(np.int32)


def bar(size: tuple[float, float, float] = (120.0, 30.0, 24.0)) -> tuple[np.ndarray, np.ndarray]:
    """Return a block with one corner at the origin."""
    corners = np.array([[x, y, z] for z in (0, 1) for y in (0, 1) for x in (0, 1)], dtype=float) * size
    quads = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (1, 3, 7, 5), (3, 2, 6, 7), (2, 0, 4, 6)]
    faces = [triangle for a, b, c, d in quads for triangle in ((a, b, c), (a, c, d))]
    return corners, np.array(faces, dtype=np.int32)


def shifted(x: float, y: float, z: float) -> list[list[float]]:
    """Return the matrix of a shift."""
    return [[1.0, 0.0, 0.0, x], [0.0, 1.0, 0.0, y], [0.0, 0.0, 1.0, z], [0.0, 0.0, 0.0, 1.0]]


PLACES = (
    ("ring", 0, shifted(70.0, 70.0, 20.0)),
    ("ring", 1, shifted(70.0, 70.0, 60.0)),
    ("bar", 0, shifted(150.0, 40.0, 10.0)),
    ("bar", 1, shifted(150.0, 100.0, 10.0)),
    ("bar", 2, shifted(150.0, 40.0, 50.0)),
)


def job_document(name: str = "Invented", **facts: Any) -> dict[str, Any]:
    """Return an invented job whose notes say how its run goes."""
    block = {"size_mm": [104.0, 104.0, 24.0], "mass_kg": 0.4}
    return {
        "kind": "corestow.job",
        "schema_version": 1,
        "name": name,
        "notes": json.dumps(facts),
        "currency": "EUR",
        "cores": [
            {"id": "ring", "name": "Invented ring", "block": block, "mesh_is": "core at size"},
            {"id": "bar", "name": "Invented bar", "block": block, "mesh_is": "core at size"},
        ],
        "casting_sets": [
            {"id": "pair", "name": "Pair", "count": 2, "members": [{"core_id": "ring", "per_set": 1}]}
        ],
        "loose": [{"core_id": "bar", "count": 3}],
        "profiles": {
            "process": "inorganic-printing",
            "machine": "demo-printer",
            "head": "demo-head",
            "sand": "quartz-sand",
            "additive": "powder-additive",
            "binder": "alkali-silicate",
            "oven": "microwave-oven",
            "rates": "demo-rates",
        },
    }


def write_job(folder: Path, name: str = "Invented", **facts: Any) -> Path:
    """Write an invented job file and return its path."""
    path = folder / f"{name.lower()}.json"
    path.write_text(json.dumps(job_document(name, **facts)), encoding="utf-8")
    return path


def run_plan(request: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Write the invented plan into the run folder and say where it lies."""
    if request["work"] == "warm":
        return {}
    if request["work"] in ("preview", "pages"):
        return _pages(request)
    if request["work"] == "check":
        return {"findings": [{**_findings()[2], "core": request["core"], "code": "walls.thin_wall"}]}
    if request["work"] == "nest":
        return _nested(request, progress)
    if request["work"] == "sheets":
        folder = Path(request["folder"])
        folder.mkdir()
        (folder / "sheet.txt").write_text(request["plan"], encoding="utf-8")
        return {"folder": str(folder), "files": ["sheet.txt"]}
    stated = request.get("document") or json.loads(Path(request["job"]).read_text(encoding="utf-8"))
    job = {"name": stated["name"], **json.loads(stated["notes"])}
    folder = Path(request["folder"])
    _behave(job, progress)
    meshes = folder / "meshes"
    meshes.mkdir()
    write_meshes(meshes)
    plan = folder / "plan.json"
    plan.write_text(json.dumps(_document(job)), encoding="utf-8")
    progress(1.0, "write")
    return {"plan": str(plan), "meshes": str(meshes)}


def _pages(request: dict[str, Any]) -> dict[str, Any]:
    """Draw two blank pages of the sheet asked for, of the paper's shape."""
    pdf = Path(request.get("pdf") or Path(request["folder"]) / f"{request['sheet']}.pdf")
    if request["work"] == "preview":
        pdf.parent.mkdir(exist_ok=True)
        pdf.write_bytes(f"{request['sheet']} {request['paper']} {request['language']}".encode())
    high = 297.0 if b"A4" in pdf.read_bytes() else 279.4
    pages = [pdf.with_suffix(f".{request['dots_per_inch']:g}-{number}.png") for number in (1, 2)]
    for page in pages:
        Image.new("RGB", (210, round(high)), (255, 255, 255)).save(page)
    return {"pdf": str(pdf), "pages": [str(page) for page in pages]}


def write_meshes(folder: Path) -> None:
    """Write the meshes as a plan's run leaves them."""
    for name, (vertices, faces) in (("ring", ring()), ("bar", bar())):
        np.save(folder / f"{name}.vertices.npy", vertices)
        np.save(folder / f"{name}.faces.npy", faces)


def _behave(job: dict[str, Any], progress: Progress) -> None:
    if job.get("fault") == "mesh":
        raise MeshError("file.missing", path="ring.stl")
    if job.get("fault") == "bug":
        raise ZeroDivisionError("invented")
    if job.get("fault") == "death":
        os._exit(7)
    time.sleep(job.get("hang_s", 0.0))
    steps = max(1, round(job.get("delay_s", 0.0) / 0.02))
    for step in range(steps):
        progress(step / steps, "nest")
        if job.get("delay_s"):
            time.sleep(0.02)


def _document(job: dict[str, Any]) -> dict[str, Any]:
    count = 43
    heights = [LAYER_MM * i for i in range(count)]
    areas = [_area(z + 0.5 * LAYER_MM) for z in heights]
    layers = [
        {
            "z_mm": z,
            "printed_area_mm2": area,
            "nominal_area_mm2": area,
            "boundary_mm": 10.0 * math.sqrt(area),
            "binder_ml": 1e-4 * area,
            "time_s": 30.0,
        }
        for z, area in zip(heights, areas, strict=True)
    ]
    lies = {"down": "-z", "yaw_deg": 90.0}
    box = {
        "layer_thickness_mm": LAYER_MM,
        "inner_mm": BOX_MM,
        "height_mm": count * LAYER_MM,
        "layers": layers,
    }
    boxes = [{**box, "placements": _placements(number, lies)} for number in range(job.get("boxes", 1))]
    return {
        "kind": "corestow.plan",
        "schema_version": 1,
        "job": {"name": job["name"], "currency": "EUR"},
        "box": {"inner_mm": BOX_MM},
        "cores": [_core("ring", 2), _core("bar", 3)],
        "profiles": {"process": {"lifted_by_hand_kg": 15.0}},
        "lines": {"time": [{"code": "unpack_s", "value": 600.0, "unit": "s", "formula": "cores × 120 s"}]},
        "boxes": boxes,
        "totals": {
            "boxes": len(boxes),
            "cores": len(PLACES) * len(boxes),
            "currency": "EUR",
            "price": "200.00",
            "layer_count": count * len(boxes),
            "printed_volume_mm3": LAYER_MM * sum(areas),
            "printed_sand_kg": 0.9,
            "binder_kg": 0.031,
            "binder_l": 0.022,
            "bed_sand_kg": 7.5,
            "additive_kg": 0.02,
            "build_time_s": 30.0 * count * len(boxes),
            "energy_kwh": 12.5,
            "cost": "184.20",
            "gross_box_kg": 31.0,
        },
        "findings": _findings(),
    }


def _nested(request: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Tell an invented packing, two millimetres higher each time, and end after the job's `nest_steps`."""
    facts = json.loads(request["document"]["notes"])
    lies = {"down": "-z", "yaw_deg": 90.0}
    steps = facts.get("nest_steps", 2)
    for step in range(steps):
        placements = _placements(0, lies)
        for place in placements:
            place["matrix"][2][3] += 2.0 * step
        box = {"height_mm": 86.0 - step, "fill_pct": 20.0 + step, "cores": 5, "whole_sets": 2,
               "least_height_mm": 60.0, "limited_by": "search"}  # fmt: skip
        found = {"found": {"placements": placements}, "boxes": [box], "is_whole": True}
        progress(step / steps, "nest", **found)
        time.sleep(facts.get("nest_s", 0.02))
    return {
        "packing": {"placements": placements},
        "boxes": [box],
        "search": {"seed": 7, "effort": 1000},
        "is_better": facts.get("is_better", True),
    }


def _placements(box: int, lies: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the placements of one box; each box has copies of its own."""
    counts = {core: sum(name == core for name, _, _ in PLACES) for core, _, _ in PLACES}
    return [
        {
            "core": core,
            "copy": copy + box * counts[core],
            "box": box,
            "orientation": lies,
            "locked": False,
            "placed_by": "search",
            "matrix": [list(row) for row in matrix],
        }
        for core, copy, matrix in PLACES
    ]


def _core(core_id: str, copies: int) -> dict[str, Any]:
    return {
        "id": core_id,
        "name": f"Invented {core_id}",
        "copies": copies,
        "rides_along": False,
        "sha256": core_id,
        "core_volume_mm3": 9e4,
        "size_mm": [104.0, 104.0, 24.0],
        "triangles": 4096,
        "mass_kg": 0.4,
        "cost": "36.84",
    }


def _area(z_mm: float) -> float:
    total = 0.0
    for core, _, matrix in PLACES:
        z = z_mm - matrix[2][3]
        if core == "bar" and 0 <= z < 24:
            total += 120 * 30
        if core == "ring" and abs(z) < 12:
            total += 4 * math.pi * 40 * math.sqrt(144 - z * z)
    return total


def _findings() -> list[dict[str, Any]]:
    shared = {"facts": {}, "places_mm": []}
    return [
        {
            "severity": "stop",
            "code": "loads.platform",
            "message": "The filled box weighs 31 kg and the platform carries 25 kg.",
            "remedy": "Split the job over two boxes.",
            "core": None,
            "box": 0,
            "layers": None,
            **shared,
        },
        {
            "severity": "check",
            "code": "process.drops",
            "message": "Dose and drops disagree by 6 %.",
            "remedy": "Change the drop volume or the dose.",
            "core": None,
            "box": None,
            "layers": None,
            **shared,
        },
        {
            "severity": "note",
            "code": "mesh.kind_unstated",
            "message": "It is not stated whether the mesh is the core at size or the casting geometry.",
            "remedy": "State it; here the mesh counts as the core at size.",
            "core": "ring",
            "box": 0,
            "layers": [4, 36],
            "facts": {"copy": 1},
            "places_mm": [[40.0, 0.0, 12.0], [-40.0, 0.0, 12.0]],
        },
    ]
