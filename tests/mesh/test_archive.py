"""The archive guard: what must never reach a parser, and that nothing honest is refused."""

import io
import struct
import zipfile

import pytest

from corelib.errors import MeshError
from corelib.mesh.archive import check_expansion, guarded_parts
from corelib.mesh.raw import ReadLimits
from corelib.mesh.readers import read_raw
from tests.mesh.shapes import box_corners, mesh_xml, model_xml, write_3mf

LIMITS = ReadLimits()
OBJECT = f'<object id="1" type="model">{mesh_xml(box_corners((1, 2, 3)))}</object>'
SOUND = model_xml(OBJECT, '<item objectid="1"/>')


def code_of(path, limits=LIMITS):
    with pytest.raises(MeshError) as caught:
        read_raw(path, limits)
    assert caught.value.facts["file"] == path.name
    return caught.value.code


def test_a_sound_archive_passes(tmp_path):
    assert len(read_raw(write_3mf(tmp_path / "a.3mf", SOUND), LIMITS).faces) == 12


@pytest.mark.parametrize("name", ["../up.model", "/etc/up.model", "a/../../up.model", "C:/up.model"])
def test_names_that_climb_out_are_refused(tmp_path, name):
    assert code_of(write_3mf(tmp_path / "a.3mf", SOUND, {name: "x"})) == "mesh.archive_climbs"


@pytest.mark.parametrize(
    "head",
    [
        '<!DOCTYPE m [<!ENTITY a "b">]>',
        "<!doctype m>",
        '<!DOCTYPE m [<!ENTITY a SYSTEM "file:///etc/passwd">]>',
    ],
)
def test_entities_are_refused(tmp_path, head):
    path = write_3mf(tmp_path / "a.3mf", model_xml(OBJECT, '<item objectid="1"/>', head=head))
    assert code_of(path) == "mesh.archive_entities"


def test_other_encodings_are_refused(tmp_path):
    assert code_of(write_3mf(tmp_path / "a.3mf", SOUND.encode("utf-16"))) == "mesh.archive_not_utf8"
    latin = SOUND.replace("UTF-8", "ISO-8859-1")
    assert code_of(write_3mf(tmp_path / "b.3mf", latin)) == "mesh.archive_not_utf8"


def test_bombs_are_refused_before_they_unpack(tmp_path):
    path = write_3mf(tmp_path / "a.3mf", SOUND, {"3D/other.model": b"\0" * (64 * 2**20)})
    assert path.stat().st_size < 2**20
    assert code_of(path) == "mesh.archive_bomb"
    big = write_3mf(tmp_path / "b.3mf", SOUND, {"3D/noise.png": bytes(range(256)) * 8192})
    assert code_of(big, ReadLimits(part_mb=1)) == "mesh.archive_bomb"


def test_a_part_that_lies_about_its_size_is_stopped(tmp_path):
    path = write_3mf(tmp_path / "a.3mf", SOUND)
    raw = bytearray(path.read_bytes())
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        declared = archive.getinfo("3D/3dmodel.model").file_size
    for at in range(len(raw) - 4):
        if raw[at : at + 4] == struct.pack("<I", declared):
            raw[at : at + 4] = struct.pack("<I", 10)
    path.write_bytes(raw)
    assert code_of(path) in {"mesh.archive_bomb", "mesh.archive_broken"}


def test_repeated_parts_too_many_parts_and_passwords_are_refused(tmp_path):
    assert code_of(write_3mf(tmp_path / "a.3mf", SOUND, {"3D/3DMODEL.model": "x"})) == "mesh.archive_repeats"
    many = {f"Metadata/{number}.txt": "x" for number in range(300)}
    assert code_of(write_3mf(tmp_path / "b.3mf", SOUND, many)) == "mesh.archive_parts"
    path = write_3mf(tmp_path / "c.3mf", SOUND)
    raw = bytearray(path.read_bytes())
    for magic, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = raw.find(magic)
        while at >= 0:
            raw[at + offset] |= 1
            at = raw.find(magic, at + 4)
    path.write_bytes(raw)
    assert code_of(path) == "mesh.archive_encrypted"


def test_component_bomb_is_counted_not_expanded(tmp_path):
    levels = [OBJECT]
    for number in range(2, 12):
        inner = f'<component objectid="{number - 1}"/>' * 10
        levels.append(f'<object id="{number}" type="model"><components>{inner}</components></object>')
    path = write_3mf(tmp_path / "a.3mf", model_xml("".join(levels), '<item objectid="11"/>'))
    assert code_of(path) == "mesh.too_many_instances"


def test_components_that_contain_each_other_are_refused(tmp_path):
    ring = "".join(
        f'<object id="{a}" type="model"><components><component objectid="{b}"/></components></object>'
        for a, b in ((1, 2), (2, 3), (3, 1))
    )
    path = write_3mf(tmp_path / "a.3mf", model_xml(ring, '<item objectid="1"/>'))
    assert code_of(path) == "mesh.circular"


def test_a_graph_with_shared_objects_is_counted_right():
    pair = (
        '<object id="2"><components><component objectid="1"/><component objectid="1"/></components></object>'
    )
    triple = "<object id='3'><components>" + '<component a=">" objectid="2"/>' * 3 + "</components></object>"
    model = model_xml(OBJECT + pair + triple, '<item objectid="3"/>').encode()
    parts = {"3D/3dmodel.model": model}
    check_expansion("a", parts, ReadLimits(instances=10, triangles=72))
    with pytest.raises(MeshError):
        check_expansion("a", parts, ReadLimits(instances=9, triangles=72))
    with pytest.raises(MeshError):
        check_expansion("a", parts, ReadLimits(instances=10, triangles=71))


def test_broken_archives_are_refused(tmp_path):
    whole = write_3mf(tmp_path / "a.3mf", SOUND).read_bytes()
    for number, content in enumerate((whole[:200], whole[:-30], b"PK\x03\x04" + b"\0" * 100)):
        path = tmp_path / f"b{number}.3mf"
        path.write_bytes(content)
        with pytest.raises(MeshError) as caught:
            guarded_parts(path, LIMITS)
        assert caught.value.code == "mesh.archive_broken"


@pytest.mark.parametrize(
    ("old", "new"),
    [('v1="0"', 'v1="99"'), ('v1="0"', 'v1="-1"'), ('x="0"', 'x="NaN"'), ('objectid="1"', 'objectid="7"')],
)
def test_what_strict_reading_refuses_is_one_error(tmp_path, old, new):
    assert old in SOUND
    assert code_of(write_3mf(tmp_path / "a.3mf", SOUND.replace(old, new, 1))) == "mesh.not_readable"
