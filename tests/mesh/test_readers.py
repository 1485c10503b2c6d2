"""Readers: what is in the file arrives, or one error names the file; nothing is empty in silence."""

import numpy as np
import pytest

from corelib.errors import FileError, InputError, MeshError
from corelib.mesh.raw import ReadLimits, stated_limits
from corelib.mesh.readers import read_raw
from tests.mesh.shapes import ascii_stl, box_corners, mesh_xml, model_xml, stl_bytes, write_3mf

LIMITS = ReadLimits()
BOX = box_corners((10, 20, 30))


def read(tmp_path, content, name="core.stl", limits=LIMITS):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_raw(path, limits)


def refusal(tmp_path, content, name="core.stl", limits=LIMITS):
    with pytest.raises(MeshError) as caught:
        read(tmp_path, content, name, limits)
    assert caught.value.facts["file"] == name
    return caught.value.code


@pytest.mark.parametrize("header", [b"plain", b"solid core", b"solid" + b" " * 75])
def test_binary_stl_arrives_whatever_its_header_says(tmp_path, header):
    raw = read(tmp_path, stl_bytes(BOX, header=header))
    assert np.array_equal(raw.corners, BOX)
    assert raw.remarks == ()


def test_trailing_byte_is_reported(tmp_path):
    raw = read(tmp_path, stl_bytes(BOX, header=b"solid x", tail=b"\n"))
    assert len(raw.corners) == 12
    assert raw.remarks == (("mesh.trailing_bytes", {"trailing": 1}),)


@pytest.mark.parametrize("stated", [0, 5, 11, 13, 4_000_000_000])
def test_broken_count_is_reported_and_all_records_are_read(tmp_path, stated):
    raw = read(tmp_path, stl_bytes(BOX, count=stated))
    assert np.array_equal(raw.corners, BOX)
    assert raw.remarks == (("mesh.count_broken", {"stated": stated, "held": 12}),)


@pytest.mark.parametrize("kept", [1, 49, 51, 599])
def test_truncated_binary_stl_is_refused(tmp_path, kept):
    code = refusal(tmp_path, stl_bytes(BOX)[: 84 + kept])
    assert code == ("mesh.truncated" if kept >= 50 else "mesh.no_triangles")


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "mesh.file_empty"),
        (b"hello", "mesh.no_triangles"),
        (b"\0" * 84, "mesh.no_triangles"),
        (b"solid nothing\nendsolid nothing\n", "mesh.no_triangles"),
        (b"%PDF-1.7 a drawing" + b" " * 200, "mesh.wrong_format"),
        (b"PK\x03\x04" + b"\0" * 200, "mesh.wrong_format"),
        (b"ISO-10303-21;\nHEADER;" + b" " * 200, "mesh.wrong_format"),
    ],
)
def test_what_is_no_stl_is_refused_in_one_sentence(tmp_path, content, code):
    assert refusal(tmp_path, content) == code


def test_unknown_ending_and_missing_file(tmp_path):
    assert refusal(tmp_path, b"x", "core.xyz") == "mesh.unknown_format"
    with pytest.raises(FileError) as caught:
        read_raw(tmp_path / "nowhere.stl", LIMITS)
    assert caught.value.code == "file.missing"


def test_limits_are_kept(tmp_path):
    assert refusal(tmp_path, stl_bytes(BOX), limits=ReadLimits(triangles=11)) == "mesh.too_many_triangles"
    assert refusal(tmp_path, b"\0" * (2**20 + 1), limits=ReadLimits(file_mb=1)) == "mesh.file_too_large"
    assert refusal(tmp_path, ascii_stl(BOX), limits=ReadLimits(triangles=11)) == "mesh.too_many_triangles"


def test_ascii_stl_arrives_with_any_line_ends_and_several_solids(tmp_path):
    text = ascii_stl(BOX)
    for variant in (text, text.replace("\n", "\r\n"), text.upper(), text.replace("solid core", "solid")):
        assert np.array_equal(read(tmp_path, variant).corners, BOX)
    both = text + ascii_stl(box_corners((1, 1, 1)), "second")
    assert len(read(tmp_path, both).corners) == 24


def test_ascii_stl_that_is_cut_or_bent_is_refused(tmp_path):
    text = ascii_stl(BOX)
    for kept in range(40, len(text) - 20, 7):
        try:
            raw = read(tmp_path, text[:kept])
        except MeshError as error:
            assert error.code in {
                "mesh.truncated",
                "mesh.not_readable",
                "mesh.not_triangles",
                "mesh.no_triangles",
            }
        else:  # cut between two facets
            assert len(raw.corners) < 12
            assert raw.remarks == (("mesh.no_endsolid", {}),)
    quad = text.replace("  endloop", "   vertex 0 0 0\n  endloop", 1)
    assert refusal(tmp_path, quad) == "mesh.not_triangles"
    word = text.replace("vertex 0 0 0", "vertex 0 zero 0", 1)
    assert refusal(tmp_path, word) in {"mesh.not_readable", "mesh.truncated"}


def test_ascii_stl_without_end_mark_says_so(tmp_path):
    raw = read(tmp_path, ascii_stl(BOX).replace("endsolid core\n", ""))
    assert len(raw.corners) == 12
    assert raw.remarks == (("mesh.no_endsolid", {}),)


def test_3mf_places_components_and_items_and_knows_its_unit(tmp_path):
    resources = (
        f'<object id="1" type="model">{mesh_xml(BOX)}</object>'
        '<object id="2" type="model"><components><component objectid="1"/>'
        '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 100 0 0"/></components></object>'
    )
    items = '<item objectid="2" transform="0 1 0 -1 0 0 0 0 1 0 0 5"/><item objectid="1"/>'
    path = write_3mf(tmp_path / "core.3mf", model_xml(resources, items, unit="inch"))
    raw = read_raw(path, LIMITS)
    assert raw.unit == "inch"
    assert len(raw.faces) == 36
    assert raw.vertices.min(axis=0) == pytest.approx([-20, 0, 0])
    assert raw.vertices.max(axis=0) == pytest.approx([10, 110, 35])


def test_3mf_mirrored_component_keeps_the_sign_of_its_volume(tmp_path):
    resources = f'<object id="1" type="model">{mesh_xml(BOX)}</object>'
    items = '<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>'
    raw = read_raw(write_3mf(tmp_path / "core.3mf", model_xml(resources, items)), LIMITS)
    a, b, c = (raw.vertices[raw.faces[:, k]] for k in range(3))
    assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6 == pytest.approx(6000)


def test_3mf_objects_that_are_no_core_are_reported(tmp_path):
    resources = "".join(
        f'<object id="{number}" type="{kind}">{mesh_xml(BOX)}</object>'
        for number, kind in ((1, "model"), (2, "support"))
    )
    items = '<item objectid="1"/><item objectid="2"/>'
    raw = read_raw(write_3mf(tmp_path / "core.3mf", model_xml(resources, items)), LIMITS)
    assert len(raw.faces) == 12
    assert raw.remarks == (("mesh.objects_left_out", {"left_out": 1}),)


def test_more_than_ten_million_triangles_are_refused_before_they_are_read(tmp_path):
    count = 10_000_001
    path = tmp_path / "huge.stl"
    with path.open("wb") as stream:  # a sparse file: no space on disk
        stream.write(b"huge".ljust(80, b"\0") + count.to_bytes(4, "little"))
        stream.truncate(84 + 50 * count)
    with pytest.raises(MeshError) as caught:
        read_raw(path, LIMITS)
    assert caught.value.code == "mesh.too_many_triangles"
    assert caught.value.facts["found"] == count


def test_limits_are_stated_in_the_environment():
    stated = stated_limits({"CORESTOW_READ_TRIANGLES": "50", "CORESTOW_READ_SECONDS": "2.5", "HOME": "/"})
    assert (stated.triangles, stated.seconds, stated.file_mb) == (50, 2.5, LIMITS.file_mb)
    for name, value in (("TRIANGLES", "many"), ("PIES", "3"), ("FILE_MB", "-1")):
        with pytest.raises(InputError) as caught:
            stated_limits({f"CORESTOW_READ_{name}": value})
        assert caught.value.code == "mesh.limit_wrong"
