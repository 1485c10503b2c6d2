"""A small plan made by hand: two boxes, three layers each, names that try to break every format."""

from __future__ import annotations

import copy
import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest

from corelib.export.packing_pictures import BoxPictures
from corelib.export.painting import Shape
from corelib.files import canonical_json
from corelib.job.files import changed, read_job
from corelib.layers.cache import LayerCache
from corelib.plan.build import build_plan
from corelib.plan.document import plan_document
from corelib.plan.model import Plan

NASTY = '<b>=cmd|"/c calc"!A1</b> & "Übermaß" 😀 שלום'


def layer(z_mm: float, area_mm2: float) -> dict[str, float]:
    return {
        "z_mm": z_mm,
        "printed_area_mm2": area_mm2,
        "nominal_area_mm2": area_mm2 * 1.01,
        "boundary_mm": 4 * area_mm2**0.5,
        "binder_ml": area_mm2 * 1e-5,
        "time_s": 21.5,
    }


def line(code: str, value: float | str, unit: str, **more: Any) -> dict[str, Any]:
    return {"code": code, "value": value, "unit": unit, "formula": "a × b", "inputs": {}, **more}


def placed(core: str, copy_number: int) -> dict[str, Any]:
    matrix = [[1.0, 0.0, 0.0, 100.0], [0.0, 1.0, 0.0, 100.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
    return {
        "core": core,
        "copy": copy_number,
        "set_id": "housing",
        "set_index": copy_number,
        "orientation_label": "-z down",
        "matrix": matrix,
    }


PLAN: dict[str, Any] = {
    "kind": "corestow.plan",
    "schema_version": 1,
    "version": "0.1.0",
    "job_sha256": "0123456789abcdef" * 4,
    "job": {
        "name": NASTY,
        "customer": "Halbrook Pumps (invented for the demo)",
        "notes": "",
        "currency": "EUR",
        "cores": [
            {"id": "a", "name": "Volute passage", "mesh": {"path": "meshes/a.stl"}},
            {"id": "b", "name": NASTY, "mesh": {"path": "meshes/b.stl"}},
        ],
    },
    "profiles": {
        "process": {"lifted_by_hand_kg": 15.0},
        "sand": {"is_silica": True},
        "additive": {"additive_on_sand_pct": 1.0},
        "binder": {"is_alkaline": True, "sds_number": "SDS-77", "sds_date": "2026-01-31"},
        "oven": {"heating": "microwave"},
    },
    "box": {"inner_mm": [800.0, 500.0, 400.0]},
    "gap_mm": 5.0,
    "overridden": [{"field": "sand.bulk_density_g_cm3", "profile_value": 1.5, "job_value": 1.45}],
    "cores": [
        {
            "id": "a",
            "name": "Volute passage",
            "size_mm": [282.0, 332.0, 156.0],
            "core_volume_mm3": 2.995e6,
            "mass_kg": 4.6,
        },
        {
            "id": "b",
            "name": NASTY,
            "size_mm": [266.0, 117.0, 238.0],
            "core_volume_mm3": 2.63e6,
            "mass_kg": 16.2,
        },
    ],
    "boxes": [
        {
            "height_mm": 0.9,
            "layer_thickness_mm": 0.3,
            "inner_mm": [800.0, 500.0, 400.0],
            "placements": [placed("a", 0), placed("b", 0)],
            "layers": [layer(0.0, 0.0), layer(0.3, 51234.5), layer(0.6, 1000.0 / 3.0)],
            "printed_volume_mm3": 15470.35,
            "build_time_s": 3600.0 * 5 + 300,
            "gross_box_kg": 412.3,
        },
        {
            "height_mm": 0.9,
            "layer_thickness_mm": 0.3,
            "inner_mm": [800.0, 500.0, 400.0],
            "placements": [placed("b", 1)],
            "layers": [layer(0.0, 0.0), layer(0.3, 25000.0), layer(0.6, 0.0)],
            "printed_volume_mm3": 7500.0,
            "build_time_s": 3600.0 * 4,
            "gross_box_kg": 390.0,
        },
    ],
    "totals": {
        "layer_count": 6,
        "printed_volume_mm3": 22970.35,
        "printed_sand_kg": 0.0345,
        "binder_kg": 1.2345,
        "binder_l": 0.9,
        "bed_sand_kg": 1234.5,
        "additive_kg": 12.3,
        "build_time_s": 32700.0,
        "energy_kwh": 88.8,
        "cost": "1234.50",
        "gross_box_kg": 412.3,
    },
    "lines": {
        "quantities": [line("binder_kg", 1.2345, "kg", inputs={"process.binder_on_sand_pct": 2.2})],
        "time": [line("build_time_s", 32700.0, "s", parts=[line("recoat_s", 54.0, "s")])],
        "cost": [line("cost", "1234.50", "EUR", parts=[line("machine", "1000.00", "EUR")])],
    },
    "findings": [
        {"code": "x.note", "severity": "note", "message": "Only a note.", "core": None, "remedy": ""},
        {
            "code": "x.stop",
            "severity": "stop",
            "message": f"Broken {NASTY}.",
            "core": "b",
            "remedy": "Mend it.",
        },
        {"code": "x.check", "severity": "check", "message": "Look here.", "core": "a", "remedy": "Look."},
    ],
}


@pytest.fixture
def plan() -> dict[str, Any]:
    return copy.deepcopy(PLAN)


SAMPLES = Path(__file__).parents[2] / "sample_jobs"


@dataclass(frozen=True, eq=False)
class SamplePlan:
    document: dict[str, Any]
    shapes: dict[str, Shape]
    plan: Plan

    @cached_property
    def pictures(self) -> BoxPictures:
        return BoxPictures(self.document, self.shapes)


def sample(name: str, packing: str | None = None) -> SamplePlan:
    """Return a sample's plan; a stored packing spares the search, which is tested elsewhere."""
    path = SAMPLES / f"{name}.json"
    job = read_job(path)
    if packing is not None:
        job = changed(job, packing=json.loads((Path(__file__).parent / packing).read_text(encoding="utf-8")))
    made = build_plan(job, path.parent, cache=LayerCache())
    shapes = {core.item.id: Shape(core.mesh.vertices_mm, core.mesh.faces) for core in made.cores}
    document = json.loads(canonical_json(plan_document(made)))
    return SamplePlan(document, shapes, made)


@pytest.fixture(scope="session")
def pump() -> SamplePlan:
    return sample("pump_housing", "pump_packing.json")


@pytest.fixture(scope="session")
def motor() -> SamplePlan:
    return sample("motor_cooling_jacket")
