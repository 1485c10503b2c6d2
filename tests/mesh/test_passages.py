"""Through passages of a core, against the Euler number of an independent mesh library."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from corelib.estimate.time import UnpackedCores, _unpack
from corelib.job.models import CoreItem, MeshReference
from corelib.job.operating_point import DEFAULT_PROFILES, profiles_point
from corelib.mesh.core import CoreMesh, LoadedCore


def loaded(shape: trimesh.Trimesh) -> LoadedCore:
    mesh = CoreMesh(np.asarray(shape.vertices, dtype=np.float64), np.asarray(shape.faces, dtype=np.int32))
    item = CoreItem(id="a", name="A", mesh=MeshReference(path="a.stl"))
    return LoadedCore(
        item, mesh, float(shape.volume), float(shape.area), shape.body_count, "mm", None, 1.0, ()
    )


def drilled(holes: int) -> trimesh.Trimesh:
    plate = trimesh.creation.box((20.0 * holes + 20.0, 20.0, 6.0))
    for number in range(holes):
        drill = trimesh.creation.cylinder(3.0, 20.0)
        plate = plate.difference(drill.apply_translation((20.0 * (number - (holes - 1) / 2), 0.0, 0.0)))
    return plate


@pytest.mark.parametrize("holes", [0, 1, 3])
def test_holes_are_counted(holes: int) -> None:
    plate = drilled(holes)
    assert (2 - plate.euler_number) // 2 == holes  # trimesh's own count for one body
    assert loaded(plate).passages == holes


def test_a_closed_cavity_and_a_second_body_are_no_passages() -> None:
    ball, hollow = trimesh.creation.icosphere(radius=10.0), trimesh.creation.icosphere(radius=5.0)
    hollow.invert()
    far = trimesh.creation.torus(8.0, 2.0).apply_translation((40.0, 0.0, 0.0))
    assert loaded(trimesh.util.concatenate([ball, hollow])).passages == 0
    assert loaded(trimesh.util.concatenate([ball, hollow, far])).passages == 1


def test_minutes_a_passage_are_in_the_unpacking() -> None:
    """2 cores at 3 min and 8 passages at 1.5 min are 18 min, by hand."""
    point = profiles_point(DEFAULT_PROFILES)
    stated = {"unpack_min_per_core": 3.0, "unpack_min_per_litre": None, "unpack_min_per_passage": 1.5}
    point = point.model_copy(update={"rates": point.rates.model_copy(update=stated)})
    line = _unpack(point, UnpackedCores(2, 1e6, 8))
    assert line.value == pytest.approx(18 * 60) and line.inputs["passages"] == 8
