"""All sheets of a full box: 60 copies of 20 meshes of 30,000 triangles, some 1,400 layers.

The reference in the same run is trimesh writing the 20 meshes, once each, as 3MF, in processor time of all
processes, as the machine may be busy. Absolute times, on an idle machine, stand in DEVELOPERS.md.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import trimesh

from corelib.progress import SILENT
from corelib.usecases import sheets
from corelib.usecases.plans import plan_to_folder
from corelib.usecases.sheet_source import sheet_source
from tests.pace import family_s, held, least_s
from tests.speed import test_plan

full_box = test_plan.full_box
pytestmark = pytest.mark.benchmark(timer=family_s)


@pytest.fixture(scope="module")
def source(full_box: Path) -> Any:
    plan_to_folder(full_box / "job.json")
    return sheet_source(full_box / "job.plan", sheets.SheetsAsked(dated="2026-11-25"), SILENT)


@pytest.fixture(scope="module")
def trimesh_s(source: Any) -> float:
    scene = trimesh.Scene()
    for core_id, shape in source.shapes.items():
        if core_id.startswith("knot"):
            scene.add_geometry(
                trimesh.Trimesh(shape.vertices_mm, shape.faces, process=False), geom_name=core_id
            )
    (spent_s,) = least_s(lambda: scene.export(file_type="3mf"), clock=family_s)
    return spent_s


def test_the_packed_box_is_written_quicker_than_its_meshes_by_trimesh(
    source: Any, trimesh_s: float, benchmark: Any
) -> None:
    assert sum(len(box["placements"]) for box in source.plan["boxes"]) == 60
    benchmark.pedantic(lambda: list(sheets.SHEETS["3mf"](source)), rounds=3)
    print(f"packed box / trimesh: {benchmark.stats.stats.min / trimesh_s:.2f}")
    assert benchmark.stats.stats.min < held(asked=1.2, busy=1.8) * trimesh_s  # 0.55 seen


def test_all_sheets_take_a_few_times_what_trimesh_takes_for_the_meshes_alone(
    source: Any, trimesh_s: float, benchmark: Any
) -> None:
    def all_sheets() -> int:
        fresh = replace(source)
        usual = [write for name, write in sheets.SHEETS.items() if name not in sheets.ON_REQUEST]
        return sum(len(content) for write in usual for _, content in write(fresh))

    assert benchmark.pedantic(all_sheets, rounds=1) > 1_000_000
    print(f"all sheets / trimesh: {benchmark.stats.stats.min / trimesh_s:.2f}")
    assert benchmark.stats.stats.min < 6 * trimesh_s  # 2.5 seen
