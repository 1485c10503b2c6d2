"""OBJ, PLY, OFF and STEP: what is announced arrives; what is cut, bent or empty is one error."""

import io
import math
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from corelib.errors import MeshError
from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.load import box_mesh
from corelib.mesh.raw import ReadLimits
from corelib.mesh.readers import read_raw
from corelib.mesh.topology import weld
from tests.mesh.shapes import box_corners, mesh_xml, model_xml, write_3mf

LIMITS = ReadLimits()
STEP = Path(__file__).parents[1] / "data" / "step"
BOX = box_mesh((10, 20, 30))


def written(kind, **options):
    mesh = trimesh.Trimesh(BOX.vertices_mm, BOX.faces, process=False)
    content = mesh.export(file_type=kind, **options)
    return content if isinstance(content, bytes) else content.encode()


SOUND = {
    "core.obj": written("obj"),
    "core.ply": written("ply"),
    "text.ply": written("ply", encoding="ascii"),
    "core.off": written("off"),
}


def read(tmp_path, name, content):
    (tmp_path / name).write_bytes(content)
    return read_raw(tmp_path / name, LIMITS)


def code_of(tmp_path, name, content):
    with pytest.raises(MeshError) as caught:
        read(tmp_path, name, content)
    assert caught.value.facts["file"] == name
    return caught.value.code


def measured(raw):
    return inspect_mesh(*weld(raw.corners), "mm")


@pytest.mark.parametrize("name", sorted(SOUND))
def test_sound_files_arrive_whole(tmp_path, name):
    raw = read(tmp_path, name, SOUND[name])
    found = measured(raw)
    assert found.volume_mm3 == pytest.approx(6000, rel=1e-6)
    assert raw.unit is None
    assert raw.remarks == ()
    assert not {finding.code for finding in found.findings} - {"mesh.size_implausible"}


@pytest.mark.parametrize("name", sorted(SOUND))
def test_every_cut_is_refused_or_open(tmp_path, name):
    content = SOUND[name]
    for kept in range(1, len(content) - 2, max(1, len(content) // 60)):
        try:
            raw = read(tmp_path, name, content[:kept])
        except MeshError as error:
            assert error.code.startswith("mesh.")
        else:  # a text file cut within its last number, or between two lines
            found = measured(raw)
            assert found.fatal is not None or len(raw.corners) == 12


def test_quads_are_split_and_said(tmp_path):
    quads = "".join(f"v {x} {y} {z}\n" for z in (0, 1) for y in (0, 1) for x in (0, 1))
    quads += "f 1 3 4 2\nf 5 6 8 7\nf 1 2 6 5\nf 3 7 8 4\nf 1 5 7 3\nf 2 4 8 6\n"
    raw = read(tmp_path, "core.obj", quads.encode())
    assert raw.remarks == (("mesh.polygons_split", {"split": 6}),)
    assert measured(raw).volume_mm3 == pytest.approx(1)


def test_obj_with_normals_materials_and_groups(tmp_path):
    text = SOUND["core.obj"].decode()
    text = "mtllib ../../secret.mtl\no first\ng some\nusemtl steel\nvn 0 0 1\n" + text
    raw = read(tmp_path, "core.obj", text.replace("\n", "\r\n").encode())
    assert measured(raw).volume_mm3 == pytest.approx(6000)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 -9\n"),
        ("a.obj", b"v 0 0 0\nv 1 0 zero\nv 0 1 0\nf 1 2 3\n"),
        ("a.off", b"OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 -1\n"),
        ("a.off", b"OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n"),
        ("a.off", b"OFF\n9999999999 9999999999 0\n"),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex 4000000000\nelement face 4000000000\nend_header\n"),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex x\nend_header\n"),
        ("a.obj", b"# nothing\n"),
        ("a.off", b"hello"),
        ("a.ply", b"hello"),
    ],
)
def test_wrong_indices_numbers_and_headers_are_refused(tmp_path, name, content):
    code_of(tmp_path, name, content)


def test_contents_of_another_format_are_named(tmp_path):
    assert code_of(tmp_path, "a.step", SOUND["core.obj"]) == "mesh.wrong_format"
    assert code_of(tmp_path, "a.obj", (STEP / "two_boxes.step").read_bytes()) == "mesh.wrong_format"
    assert code_of(tmp_path, "a.stl", SOUND["core.ply"]) == "mesh.wrong_format"


@pytest.mark.parametrize("chord_mm", [0.3, 0.03, 0.003])
def test_step_bore_is_true_within_its_stated_chord(chord_mm):
    """Volume of the block less the bore is 72,000 - 9,000 π mm³; chords lie at most `chord_mm` inside."""
    raw = read_raw(STEP / "block_with_bore.step", LIMITS, chord_mm)
    found = measured(raw)
    exact_mm3 = 60 * 40 * 30 - math.pi * 10**2 * 30
    most_mm3 = (math.pi * 10**2 - math.pi * (10 - chord_mm) ** 2) * 30
    assert 0 <= found.volume_mm3 - exact_mm3 <= most_mm3
    assert found.findings == ()
    assert raw.unit == "mm"
    assert raw.remarks[0][0] == "mesh.tessellated"


def test_step_units_are_the_files_own(tmp_path):
    content = (STEP / "two_boxes.step").read_bytes()
    metres = content.replace(b"SI_UNIT(.MILLI.,.METRE.)", b"SI_UNIT(.CENTI.,.METRE.)")
    assert metres != content
    assert measured(read(tmp_path, "a.step", content)).volume_mm3 == pytest.approx(7000, rel=1e-7)
    assert measured(read(tmp_path, "b.step", metres)).volume_mm3 == pytest.approx(7e6, rel=1e-7)


def test_step_without_solids_or_cut_is_refused(tmp_path):
    with pytest.raises(MeshError) as caught:
        read_raw(STEP / "wire_only.step", LIMITS)
    assert caught.value.code == "mesh.step_no_solids"
    content = (STEP / "two_boxes.step").read_bytes()
    assert code_of(tmp_path, "a.step", content[: len(content) // 2]) == "mesh.step_cut"


def test_step_sheet_is_open():
    fatal = measured(read_raw(STEP / "sheet_only.step", LIMITS)).fatal
    assert fatal is not None


def test_3mf_with_objects_in_several_parts(tmp_path):
    """A production archive: the root model names an object that another part holds."""
    inner = model_xml(f'<object id="5" type="model">{mesh_xml(box_corners((1, 2, 3)))}</object>', "")
    production = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
    uuids = [f"0000000{number}-0000-4000-8000-000000000000" for number in range(5)]
    inner = inner.replace("<model ", f'<model xmlns:p="{production}" requiredextensions="p" ', 1)
    inner = inner.replace('<object id="5"', f'<object id="5" p:UUID="{uuids[0]}"')
    inner = inner.replace("<build>", f'<build p:UUID="{uuids[4]}">')
    component = f'<component objectid="5" p:path="/3D/inner.model" p:UUID="{uuids[1]}"/>'
    outer = model_xml(
        f'<object id="1" type="model" p:UUID="{uuids[2]}"><components>{component}</components></object>',
        f'<item objectid="1" p:UUID="{uuids[3]}"/>',
    )
    outer = outer.replace("<model ", f'<model xmlns:p="{production}" requiredextensions="p" ', 1)
    outer = outer.replace("<build>", f'<build p:UUID="{uuids[4]}">')
    relations = (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        '<Relationship Target="/3D/inner.model" Id="rel1" '
        'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
    )
    more = {"3D/inner.model": inner, "3D/_rels/3dmodel.model.rels": relations}
    raw = read_raw(write_3mf(tmp_path / "a.3mf", outer, more), LIMITS)
    assert len(raw.faces) == 12
    assert inspect_mesh(raw.vertices, raw.faces, "mm").volume_mm3 == pytest.approx(6)


def test_binary_ply_with_huge_counts_stays_small(tmp_path):
    head = b"ply\nformat binary_little_endian 1.0\nelement vertex 20000000\n"
    head += b"property float x\nproperty float y\nproperty float z\nelement face 9000000\n"
    head += b"property list uchar int vertex_indices\nend_header\n"
    code_of(tmp_path, "a.ply", head + struct.pack("<3f", 0, 0, 0))
    assert io.BytesIO(head).read(3) == b"ply"


def test_numbers_that_are_not_finite_are_refused_or_found(tmp_path):
    assert code_of(tmp_path, "a.obj", SOUND["core.obj"].replace(b"v 10", b"v nan")) == "mesh.not_readable"
    raw = read(tmp_path, "a.off", SOUND["core.off"].replace(b"10.0000000000", b"nan", 1))
    assert not np.isfinite(raw.corners).all()
    fatal = measured(raw).fatal
    assert fatal is not None
    assert fatal.code == "mesh.not_finite"


def test_relative_indices_are_refused_by_name(tmp_path):
    content = b"v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf -1 -2 -3\n"
    assert code_of(tmp_path, "a.obj", content) == "mesh.relative_indices"
