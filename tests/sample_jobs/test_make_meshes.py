"""The sample jobs: their meshes are sound cores, their job files hold, and the script makes them again."""

from __future__ import annotations

import hashlib
import json
import runpy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import manifold3d
import numpy as np
import pytest
import trimesh

from corelib.job.models import Job

FOLDER = Path(__file__).parents[2] / "sample_jobs"
MESHES = sorted((FOLDER / "meshes").glob("*.stl"))
JOBS = sorted(FOLDER.glob("*.json"))


def welded(path: Path) -> trimesh.Trimesh:
    raw = trimesh.load(path, process=False)
    vertices, inverse = np.unique(np.asarray(raw.vertices), axis=0, return_inverse=True)
    return trimesh.Trimesh(vertices, inverse.reshape(-1)[raw.faces], process=False)


@pytest.fixture(scope="module")
def script() -> dict[str, Any]:
    return runpy.run_path(str(FOLDER / "make_meshes.py"), run_name="sample_jobs")


@pytest.mark.parametrize("path", MESHES, ids=lambda path: path.stem)
def test_mesh_is_one_closed_body_of_a_sensible_size(path: Path) -> None:
    mesh = welded(path)
    assert 5_000 <= len(mesh.faces) <= 60_000
    assert mesh.is_watertight and mesh.is_winding_consistent
    assert len(mesh.split(only_watertight=False)) == 1
    assert 100 < mesh.extents.max() < 400
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.asarray(mesh.vertices), tri_verts=np.asarray(mesh.faces).astype(np.uint64)
        )
    )
    assert solid.status() == manifold3d.Error.NoError
    assert solid.volume() == pytest.approx(mesh.volume, rel=1e-9)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_job_holds_and_names_the_meshes_as_they_are(path: Path) -> None:
    job = Job.model_validate(json.loads(path.read_text(encoding="utf-8")))
    assert "invented for the demo" in job.notes
    for core in job.cores:
        assert core.mesh is not None and core.mesh.unit == "mm"
        content = (FOLDER / core.mesh.path).read_bytes()
        assert hashlib.sha256(content).hexdigest() == core.mesh.sha256


def test_both_samples_are_there() -> None:
    assert {path.stem for path in JOBS} >= {"pump_housing", "motor_cooling_jacket"}
    assert sum(path.stat().st_size for path in MESHES) < 8_000_000


def test_script_makes_the_same_solids_again(script: dict[str, Any]) -> None:
    cores: dict[str, Callable[[], manifold3d.Manifold]] = script["CORES"]
    assert {path.stem for path in MESHES} == set(cores)
    for path in MESHES:
        solid = cores[path.stem]()
        assert len(solid.decompose()) == 1
        assert solid.volume() == pytest.approx(welded(path).volume, rel=1e-5)
        # bytes may differ between processors, not on one machine
        assert script["stl_bytes"](solid, path.stem) == script["stl_bytes"](cores[path.stem](), path.stem)


def test_torus_by_the_sweep_has_the_volume_of_pappus(script: dict[str, Any]) -> None:
    """Second centroid theorem (Pappus; any calculus textbook, from memory): volume 2 pi R times area."""
    angle = np.linspace(0, np.pi, 721)  # half a torus, R 50, r 10
    path = np.column_stack([50 * np.cos(angle), 50 * np.sin(angle), np.zeros(721)])
    section = script["rounded_section"](10.0, 10.0, points=256)
    half = script["swept"](path, [section] * 721)
    assert half.volume() == pytest.approx(np.pi * 50 * np.pi * 100, rel=3e-4)
