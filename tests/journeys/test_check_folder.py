"""`corestow check` on a folder of sound and broken meshes names every planted defect at its place, none else.

Each broken mesh has one planted defect; the sound ones have walls, bores and bodies that could be mistaken.
"""

import re

import manifold3d
import numpy as np
import pytest
import trimesh

from corelib.usecases.checking import check_files
from tests.mesh.shapes import ascii_stl, box_corners, mesh_xml, model_xml, stl_bytes, turned, write_3mf

cube, cylinder, sphere = manifold3d.Manifold.cube, manifold3d.Manifold.cylinder, manifold3d.Manifold.sphere
PROCESS = "inorganic-printing-characterised"
"""Least wall 4 mm, clean-out diameter 8 mm, strengths stated: invented demo values."""
BOX = box_corners((80, 60, 50))


def triangles(made):
    mesh = made.to_mesh64()
    return mesh.vert_properties[:, :3][mesh.tri_verts]


def fine_cube():
    mesh = trimesh.creation.box((100, 100, 100))
    for _ in range(6):
        mesh = mesh.subdivide()
    return np.asarray(mesh.triangles) + 50.0


def block():
    return cube([80, 60, 50])


def bore():
    return cylinder(90, 22, 22, 96).translate([0, 0, -10])


def room():
    return sphere(14, 64).translate([40, 30, 25])


def neck():
    return cylinder(40, 1.5, 1.5, 48).translate([40, 30, 25])


PINHOLE = 4321
NEAR_MM = 1.6
"""How near to a planted defect its finding must point; a pair of numbers is the defect's own extent."""
SOUND = {
    "block.stl": stl_bytes(BOX),
    "bored block.stl": stl_bytes(triangles(block() - cylinder(80, 12, 12, 64).translate([40, 30, -10]))),
    "text.stl": ascii_stl(triangles(cylinder(60, 30, 20, 64))).encode(),
    "tube.stl": stl_bytes(
        triangles(cylinder(70, 30, 30, 96) - cylinder(90, 22, 22, 96).translate([0, 0, -10]))
    ),
    "cross.stl": stl_bytes(triangles(cube([90, 30, 30]) + cube([30, 90, 30]).translate([30, -30, 0]))),
    "ball.stl": stl_bytes(triangles(sphere(30, 96))),
}


def dented():
    corners = fine_cube()
    top = (corners[..., 2] > 99.9) & (np.linalg.norm(corners[..., :2] - 50, axis=-1) < 3)
    corners[top] = [50, 50, -20]
    return corners


def repeated():
    return np.concatenate([BOX, BOX[5:6]])


BROKEN = {
    "empty.stl": (b"", "is empty", None),
    "cut.stl": (stl_bytes(BOX)[:500], "cut short", None),
    "count.stl": (
        stl_bytes(box_corners((70, 60, 50)), count=11),
        "11 triangles but holds 12",
        None,
    ),
    "open.stl": (stl_bytes(np.delete(BOX, 2, axis=0)), "is not closed", (40, 30, 50)),
    "pinhole.stl": (
        stl_bytes(np.delete(fine_cube(), 4321, axis=0)),
        "small holes",
        fine_cube()[4321].mean(axis=0),
    ),
    "inside out.stl": (stl_bytes(turned(BOX)), "turned inside out", (40, 30, 25)),
    "mixed.stl": (stl_bytes(np.concatenate([BOX[:3], turned(BOX[3:4]), BOX[4:]])), "disagree", (40, 30, 50)),
    "nan.stl": (stl_bytes(np.where(BOX == 50, np.nan, BOX)), "not finite numbers", None),
    "far.stl": (stl_bytes(BOX * 1e28), "reaches out to", None),
    "flat.stl": (stl_bytes(BOX * [1, 1, 0]), "", None),
    "doubled.stl": (stl_bytes(repeated()), "", None),
    "nested.stl": (
        stl_bytes(np.concatenate([BOX, box_corners((20, 20, 20), (30, 20, 10))])),
        "inside another one with the same side out",
        (40, 30, 20),
    ),
    "hollow.stl": (
        stl_bytes(triangles(block() - room())),
        "closed void",
        (40, 30, 25),
    ),
    "bottle.stl": (
        stl_bytes(
            triangles(
                block()
                - sphere(14, 64).translate([40, 30, 25])
                - cylinder(40, 1.5, 1.5, 48).translate([40, 30, 25])
            )
        ),
        "behind an opening narrower than",
        (40, 30, 25),
    ),
    "overlap.stl": (
        stl_bytes(np.concatenate([BOX, box_corners((50, 20, 20), (60, 10, 10))])),
        "overlap",
        ((60, 80), (10, 30), (10, 30)),
    ),
    "dented.stl": (stl_bytes(dented()), "crosses itself", ((44, 56), (44, 56), (-1, 1))),
    "two.stl": (
        stl_bytes(np.concatenate([BOX, box_corners((30, 30, 30), (100, 0, 0))])),
        "separate bodies",
        (40, 30, 25),
    ),
    "inches.stl": (stl_bytes(BOX / 25.4), "unusual for a core", None),
    "thin wall.stl": (
        stl_bytes(triangles(block() + cube([2.5, 60, 20]).translate([30, 0, 50]))),
        "has walls of 2.5 mm",
        ((30, 32.5), (0, 60), (50, 70)),
    ),
    "slot.stl": (
        stl_bytes(triangles(block() - cube([2, 80, 6]).translate([40, -10, 44]))),
        "slots of 2 mm",
        ((40, 42), (0, 60), (44, 50)),
    ),
    "slender.stl": (stl_bytes(box_corners((600, 9, 9))), "when lifted", ((250, 350), (4, 5), (4, 5))),
    "web page.stl": (b"<html><body>404 not found</body></html>" + b" " * 100, "holds a web page", None),
    "bomb.3mf": (None, "would unpack to", None),
    "entity.3mf": (None, "declares XML entities", None),
}


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    folder = tmp_path_factory.mktemp("meshes")
    for name, content in SOUND.items():
        (folder / name).write_bytes(content)
    for name, (content, _, _) in BROKEN.items():
        if content is not None:
            (folder / name).write_bytes(content)
    sound = model_xml(f'<object id="1" type="model">{mesh_xml(BOX)}</object>', '<item objectid="1"/>')
    write_3mf(folder / "bomb.3mf", sound, {"3D/more.model": b"\0" * (64 * 2**20)})
    write_3mf(folder / "entity.3mf", sound.replace("<model ", '<!DOCTYPE m [<!ENTITY a "b">]><model ', 1))
    found: dict[str, list[str]] = {}
    name = ""
    lines = check_files([folder], unit="mm", process=PROCESS).lines
    for line in lines:
        if line.startswith("  "):
            found[name].append(line.strip())
        else:
            name = line.removeprefix(f"{folder}/").split(":")[0]
            found[name] = []
    assert len(found) == len(SOUND) + len(BROKEN)
    return found


@pytest.mark.parametrize("name", sorted(SOUND))
def test_sound_meshes_have_no_findings(report, name):
    assert report[name] == []


@pytest.mark.parametrize("name", sorted(BROKEN))
def test_every_planted_defect_is_named_at_its_place(report, name):
    _, words, place = BROKEN[name]
    lines = [line for line in report[name] if words in line]
    assert lines, report[name]
    if place is not None:
        x, y, z = (
            float(v) for v in re.search(r"\((-?[\d.]+), (-?[\d.]+), (-?[\d.]+)\) mm", lines[0]).groups()
        )
        for found, planted in zip((x, y, z), place, strict=True):
            low, high = planted if isinstance(planted, tuple) else (planted, planted)
            assert low - NEAR_MM <= found <= high + NEAR_MM


def test_no_traceback_and_one_line_a_finding(report):
    for lines in report.values():
        for line in lines:
            assert re.match(r"(STOP|CHECK|NOTE) ", line)
            assert "Traceback" not in line
            assert not re.search(r"\(\w+\?\)", line)
