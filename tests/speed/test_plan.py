"""A full box planned from its files: 60 copies of 20 distinct meshes of 30,000 triangles, packing given.

The reference in the same run is trimesh reading one of these files and cutting it into its layers, timed on
4 layers and scaled: the whole plan of the box may not take as long as 5 of the 20 meshes take there, in
processor time of all processes, as the machine may be busy.
Absolute times, on an idle machine, stand in DEVELOPERS.md.
"""

import contextlib
import json
import os
import struct
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import psutil
import pytest
import trimesh

from corelib.job.operating_point import DEFAULT_PROFILES
from corelib.layers.cache import LayerCache
from corelib.usecases.plans import plan_build
from tests.pace import family_s, held, least_s

ROOT = Path(__file__).parent.parent.parent
TYPES, COPIES = 20, 3
THICKNESS_MM = 0.3


def knot(number, along=250, around=60):
    """A closed bent tube, its triangles (30,000, 3, 3); every number gives another shape."""
    t = np.linspace(0, 2 * np.pi, along, endpoint=False)
    reach = 45 * (1 + (0.25 + 0.005 * number) * np.cos(3 * t))
    spine = np.stack([reach * np.cos(t), reach * np.sin(t), (20 + number) * np.sin(2 * t)], axis=1)
    tangent = np.roll(spine, -1, 0) - np.roll(spine, 1, 0)
    tangent /= np.linalg.norm(tangent, axis=1)[:, None]
    side = np.cross(tangent, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side, axis=1)[:, None]
    over = np.cross(side, tangent)
    s = np.linspace(0, 2 * np.pi, around, endpoint=False)[None, :, None]
    points = spine[:, None] + 9 * (np.cos(s) * side[:, None] + np.sin(s) * over[:, None])
    grid = np.arange(along * around).reshape(along, around)
    a, b, c, d = grid, np.roll(grid, -1, 0), np.roll(np.roll(grid, -1, 0), -1, 1), np.roll(grid, -1, 1)
    faces = np.concatenate([np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)])
    corners = points.reshape(-1, 3)[faces].astype("<f4")
    volume = np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))
    return corners if volume > 0 else corners[:, ::-1]


@pytest.fixture(scope="module")
def full_box(tmp_path_factory):
    folder = tmp_path_factory.mktemp("full_box")
    cores, places = [], []
    for number in range(TYPES):
        corners = knot(number)
        records = np.zeros(len(corners), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
        records["v"] = corners
        core = f"knot{number:02d}"
        (folder / f"{core}.stl").write_bytes(b"\0" * 80 + struct.pack("<I", len(corners)) + records.tobytes())
        cores.append(
            {
                "id": core,
                "name": core,
                "mesh": {"path": f"{core}.stl", "unit": "mm"},
                "mesh_is": "core at size",
            }
        )
        low = corners.reshape(-1, 3).min(axis=0).astype(float)
        for copy in range(COPIES):
            column, row, tier = (number * COPIES + copy) % 5, (number * COPIES + copy) // 5 % 4, copy
            wanted = [
                20 + column * 130,
                20 + row * 130,
                round((12 + tier * 146) / THICKNESS_MM) * THICKNESS_MM,
            ]
            matrix = np.eye(4)
            matrix[:3, 3] = np.array(wanted) - low
            places.append(
                {"core": core, "copy": copy, "box": 0, "matrix": matrix.tolist(), "placed_by": "hand"}
            )
    job = {
        "kind": "corestow.job",
        "schema_version": 1,
        "name": "full box",
        "currency": "EUR",
        "cores": cores,
        "loose": [{"core_id": core["id"], "count": COPIES} for core in cores],
        "box": {"inner_mm": [700, 560, 460]},
        "profiles": DEFAULT_PROFILES.model_dump(),
        "overrides": {"process.layer_thickness_mm": THICKNESS_MM},
        "packing": {"placements": places},
    }
    (folder / "job.json").write_text(json.dumps(job))
    return folder


@pytest.mark.benchmark(timer=family_s)
def test_planning_a_full_box_is_far_quicker_than_cutting_its_meshes_one_by_one(full_box, benchmark):
    job = full_box / "job.json"
    plan = plan_build(job, cache=LayerCache())
    assert plan.packed_by == "job"
    assert len(plan.packing.placements) == TYPES * COPIES
    assert plan.layers[0].count > 1300
    mesh = trimesh.load_mesh(full_box / "knot00.stl")
    low, high = mesh.bounds[:, 2]
    heights = np.linspace(low, high, 6)[1:-1]
    read_s, cut_s = least_s(
        lambda: trimesh.load_mesh(full_box / "knot00.stl"), lambda: _areas(mesh, heights), runs=7
    )
    one_mesh_s = read_s + cut_s * (high - low) / THICKNESS_MM / len(heights)
    benchmark.pedantic(lambda: plan_build(job, cache=LayerCache()), rounds=3)
    print(f"plan of the box / one mesh by trimesh: {benchmark.stats.stats.min / one_mesh_s:.2f}")
    assert benchmark.stats.stats.min < held(asked=5, busy=8) * one_mesh_s  # 2.8 seen


def _areas(mesh, heights):
    sections = mesh.section_multiplane([0, 0, 0], [0, 0, 1], heights)
    return [section.area for section in sections if section is not None]


def test_a_full_box_is_planned_within_one_gigabyte(full_box):
    command = [sys.executable, "-m", "app", "plan", str(full_box / "job.json")]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    peaks = [_peak_bytes(command, environment) for _ in range(2)]  # the first run may compile kernels
    print(f"a full box's plan holds {peaks[-1] / 1e6:.0f} MB at most")
    assert peaks[-1] < 1_000_000_000  # 266 to 382 MB seen


def _peak_bytes(command, environment):
    """The most memory that the process and its children hold at once, sampled every 10 ms."""
    process = psutil.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    peak = 0
    while process.poll() is None:
        held = 0
        for member in [process, *process.children(recursive=True)]:
            with contextlib.suppress(psutil.NoSuchProcess):
                held += member.memory_info().rss
        peak = max(peak, held)
        time.sleep(0.01)
    assert process.returncode in (0, 1)
    return peak
