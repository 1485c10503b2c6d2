"""3MF files written by the independent library lib3mf 2.5 (its writer) come in as their own measures say.

The library's bounding box of the whole model, and trimesh's volume of the same file, are the references.
"""

import lib3mf
import numpy as np
import pytest
import trimesh

from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.load import box_mesh
from corelib.mesh.raw import ReadLimits
from corelib.mesh.readers import read_raw


def transform(rows, shift):
    made = lib3mf.Transform()
    for row in range(3):
        for column in range(3):
            made.Fields[row][column] = rows[row][column]
    for column in range(3):
        made.Fields[3][column] = shift[column]
    return made


def add_mesh(model, vertices, faces):
    mesh = model.AddMeshObject()
    positions = []
    for vertex in vertices:
        position = lib3mf.Position()
        position.Coordinates[:] = [float(value) for value in vertex]
        positions.append(position)
    triangles = []
    for face in faces:
        triangle = lib3mf.Triangle()
        triangle.Indices[:] = [int(index) for index in face]
        triangles.append(triangle)
    mesh.SetGeometry(positions, triangles)
    return mesh


@pytest.mark.parametrize(("unit", "ours"), [("MilliMeter", "mm"), ("Inch", "inch"), ("MicroMeter", "micron")])
def test_a_model_of_the_library_comes_in_whole(tmp_path, unit, ours):
    model = lib3mf.get_wrapper().CreateModel()
    model.SetUnit(getattr(lib3mf.ModelUnit, unit))
    box = box_mesh((10, 20, 30))
    mesh = add_mesh(model, box.vertices_mm, box.faces)
    pair = model.AddComponentsObject()
    pair.AddComponent(mesh, transform(np.eye(3), (0, 0, 0)))
    pair.AddComponent(mesh, transform([[0, 1, 0], [-1, 0, 0], [0, 0, 1]], (100, 5, 7)))
    model.AddBuildItem(pair, transform([[2, 0, 0], [0, 2, 0], [0, 0, 2]], (1, 2, 3)))
    model.AddBuildItem(mesh, transform(np.eye(3), (-50, 0, 0)))
    path = tmp_path / "model.3mf"
    model.QueryWriter("3mf").WriteToFile(str(path))

    raw = read_raw(path, ReadLimits())
    assert raw.unit == ours
    found = inspect_mesh(raw.vertices, raw.faces, "mm")
    assert found.volume_mm3 == pytest.approx(2 * 8 * 6000 + 6000, rel=1e-6)
    outbox = model.GetOutbox()
    assert raw.vertices.min(axis=0) == pytest.approx(list(outbox.MinCoordinate), abs=1e-4)
    assert raw.vertices.max(axis=0) == pytest.approx(list(outbox.MaxCoordinate), abs=1e-4)
    assert trimesh.load_mesh(path).volume == pytest.approx(found.volume_mm3, rel=1e-6)


def test_a_ball_keeps_its_triangles(tmp_path):
    ball = trimesh.creation.icosphere(3, 25)
    model = lib3mf.get_wrapper().CreateModel()
    model.AddBuildItem(add_mesh(model, ball.vertices, ball.faces), transform(np.eye(3), (0, 0, 0)))
    path = tmp_path / "ball.3mf"
    model.QueryWriter("3mf").WriteToFile(str(path))
    raw = read_raw(path, ReadLimits())
    assert np.array_equal(raw.faces, ball.faces)
    assert raw.vertices == pytest.approx(np.asarray(ball.vertices), abs=1e-4)
