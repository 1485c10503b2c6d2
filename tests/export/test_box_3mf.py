"""The 3MF of a packed box, read strictly by lib3mf (the 3MF consortium's own library)."""

from __future__ import annotations

from typing import Any

import lib3mf
import manifold3d
import numpy as np
import pytest

from corelib.export.box_3mf import box_3mf
from corelib.export.painting import Shape
from tests.export.conftest import NASTY, SamplePlan


def read_strictly(content: bytes) -> Any:
    model = lib3mf.Wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(content)
    assert reader.GetWarningCount() == 0
    return model


def mesh_objects(model: Any) -> dict[str, Any]:
    found, objects = {}, model.GetMeshObjects()
    while objects.MoveNext():
        mesh = objects.GetCurrentMeshObject()
        found[mesh.GetPartNumber()] = mesh
    return found


def volume_mm3(mesh: Any) -> float:
    vertices = np.array([list(vertex.Coordinates) for vertex in mesh.GetVertices()], dtype=np.float64)
    faces = np.array([list(face.Indices) for face in mesh.GetTriangleIndices()], dtype=np.uint64)
    return float(manifold3d.Manifold(manifold3d.Mesh64(vert_properties=vertices, tri_verts=faces)).volume())


@pytest.fixture(scope="module")
def model(pump: SamplePlan) -> Any:
    return read_strictly(box_3mf(pump.document, 1, pump.shapes))


def test_strict_reader_finds_every_core_with_its_volume(pump: SamplePlan, model: Any) -> None:
    placed = {item["core"] for item in pump.document["boxes"][1]["placements"]}
    meshes = mesh_objects(model)
    assert set(meshes) == placed
    volumes = {core.item.id: core.volume_mm3 for core in pump.plan.cores}
    for core_id, mesh in meshes.items():
        assert mesh.IsManifoldAndOriented()
        assert volume_mm3(mesh) == pytest.approx(volumes[core_id], rel=1e-6)
        count = sum(item["core"] == core_id for item in pump.document["boxes"][1]["placements"])
        copies = mesh.GetMetaDataGroup().GetMetaDataByKey("urn:corestow:packed-box", "copies")
        assert int(copies.GetValue()) == count


def test_strict_reader_finds_every_copy_where_the_plan_has_it(pump: SamplePlan, model: Any) -> None:
    wanted = {
        f"{p['core']}-{p['copy'] + 1}": np.array(p["matrix"]) for p in pump.document["boxes"][1]["placements"]
    }
    items, seen = model.GetBuildItems(), {}
    while items.MoveNext():
        item = items.GetCurrent()
        fields = item.GetObjectTransform().Fields  # four rows of three, for row vectors
        seen[item.GetPartNumber()] = np.array([list(row) for row in fields]).T
    assert set(seen) == set(wanted)
    for number, matrix in wanted.items():
        assert np.allclose(seen[number], matrix[:3], atol=1e-4)  # lib3mf keeps single precision


def test_unit_is_millimetre_and_title_names_job_and_box(pump: SamplePlan, model: Any) -> None:
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    assert pump.document["job"]["name"] in model.GetMetaDataGroup().GetMetaDataByKey("", "Title").GetValue()


def test_names_that_break_formats_come_back_as_they_are(plan: dict[str, Any]) -> None:
    tetrahedron = Shape(
        np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 10.0]]),
        np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], dtype=np.int32),
    )
    plan["job"]["name"] = NASTY + "\x00\x0b'"
    meshes = mesh_objects(read_strictly(box_3mf(plan, 0, {"a": tetrahedron, "b": tetrahedron})))
    assert meshes["b"].GetName() == f"{NASTY} (b)"
    assert volume_mm3(meshes["a"]) == pytest.approx(1000 / 6)  # a corner of a cube of 10 mm


def test_same_box_same_bytes(pump: SamplePlan) -> None:
    assert box_3mf(pump.document, 0, pump.shapes) == box_3mf(pump.document, 0, pump.shapes)
