"""Every planted defect is found at its place, and none on sound meshes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.mesh.defects import FATAL, MOST_PLACES, capped_places
from corelib.mesh.inspect import inspect_mesh
from corelib.mesh.topology import weld
from tests.mesh.shapes import box_corners, turned

BOX = box_corners((100, 60, 40))


def inspect(corners, unit="mm"):
    return inspect_mesh(*weld(np.asarray(corners, dtype=float)), unit)


def codes(corners, unit="mm"):
    return {finding.code for finding in inspect(corners, unit).findings}


def only(corners, unit="mm"):
    (finding,) = inspect(corners, unit).findings
    return finding


def fine_box(n=64):
    """Return a 100 mm cube of 12 n² triangles."""
    steps = np.linspace(0, 100, n + 1)
    sides = []
    for axis in range(3):
        for at in (0.0, 100.0):
            u, v = np.meshgrid(steps, steps, indexing="ij")
            points = np.empty((n + 1, n + 1, 3))
            points[..., axis], points[..., (axis + 1) % 3], points[..., (axis + 2) % 3] = at, u, v
            a, b, c, d = points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]
            side = np.stack([np.stack([a, b, c], 2), np.stack([a, c, d], 2)]).reshape(-1, 3, 3)
            sides.append(side if at else turned(side))
    return np.concatenate(sides)


def test_a_sound_box_has_its_measures_and_no_finding():
    found = inspect(BOX)
    assert found.findings == ()
    assert found.volume_mm3 == pytest.approx(240_000, rel=1e-14)
    assert found.area_mm2 == pytest.approx(24_800, rel=1e-14)
    assert found.bodies == 1


def test_missing_face_stops_and_names_its_open_edges():
    finding = only(np.delete(BOX, 3, axis=0))
    assert (finding.code, finding.severity) == ("mesh.open", "stop")
    assert finding.facts["count"] == 3
    expected = {tuple((BOX[3][k] + BOX[3][(k + 1) % 3]) / 2) for k in range(3)}
    assert set(finding.places_mm) == expected


def test_a_pinhole_is_a_finding_with_the_doubt_it_leaves():
    whole = fine_box()
    finding = only(np.delete(whole, 700, axis=0))
    assert (finding.code, finding.severity) == ("mesh.small_holes", "check")
    area_mm2 = 0.5 * (100 / 64) ** 2
    assert area_mm2 * 100 / 1e6 * 100 < finding.facts["doubt_pct"] < 0.1


@settings(max_examples=12)
@given(st.integers(0, 12 * 64 * 64 - 1))
def test_the_doubt_bounds_what_a_hole_really_takes_from_any_layer(face):
    whole = FINE
    place = whole[face].mean(axis=0)
    holed = np.delete(whole, face, axis=0)
    finding = only(holed)
    # volume by rays along x, y and z: what a missing triangle takes away is its projection times the way in
    a, b, c = whole[face]
    normal = 0.5 * np.cross(b - a, c - a)
    worst_mm3 = float(np.abs(normal).max() * np.abs(place).max())
    assert finding.facts["doubt_pct"] >= 100 * worst_mm3 / 1e6


FINE = fine_box()


def test_a_turned_face_is_told_from_a_hole():
    faces = BOX.copy()
    faces[5] = turned(faces[5:6])[0]
    finding = only(faces)
    assert finding.code == "mesh.sides_mixed"
    fine = FINE.copy()
    fine[100] = turned(fine[100:101])[0]
    assert only(fine).code == "mesh.few_sides_mixed"


def test_a_box_inside_out_stops():
    finding = only(turned(BOX))
    assert (finding.code, finding.severity) == ("mesh.inverted", "stop")


def test_a_hollow_is_a_cavity_and_not_an_inverted_body():
    hollow = np.concatenate([BOX, turned(box_corners((10, 10, 10), (20, 20, 20)))])
    finding = only(hollow)
    assert (finding.code, finding.severity) == ("mesh.cavity", "note")
    assert finding.places_mm == ((25.0, 25.0, 25.0),)
    assert finding.facts["volume_mm3"] == pytest.approx(1000)
    assert inspect(hollow).volume_mm3 == pytest.approx(239_000)


def test_a_body_in_the_body_would_count_twice():
    finding = only(np.concatenate([BOX, box_corners((10, 10, 10), (20, 20, 20))]))
    assert (finding.code, finding.severity) == ("mesh.body_in_body", "stop")
    assert only(np.concatenate([BOX, box_corners((1, 1, 1), (20, 20, 20))])).code == "mesh.speck_in_body"


def test_a_core_in_a_cavity_of_another_is_a_body_of_its_own():
    nested = [BOX, turned(box_corners((20, 20, 20), (20, 20, 10))), box_corners((10, 10, 10), (25, 25, 15))]
    assert codes(np.concatenate(nested)) == {"mesh.cavity", "mesh.several_bodies"}


def test_an_inverted_body_outside_is_not_taken_for_a_cavity():
    assert "mesh.inverted" in codes(np.concatenate([BOX, turned(box_corners((5, 5, 5), (200, 0, 0)))]))


def test_separate_and_touching_bodies():
    assert only(np.concatenate([BOX, box_corners((9, 9, 9), (200, 0, 0))])).code == "mesh.several_bodies"
    edge = np.concatenate([BOX, box_corners((9, 9, 40), (100, 60, 0))])
    assert codes(edge) == {"mesh.several_bodies", "mesh.touching_edges"}


def test_flat_and_repeated_faces():
    flat = np.concatenate([BOX, [[[0, 0, 0], [0, 0, 0], [100, 0, 0]]]])
    assert (only(flat).code, only(flat).severity) == ("mesh.flat_faces", "note")
    sheet = np.array([[[200, 0, 0], [210, 0, 0], [200, 10, 0]]], dtype=float)
    backed = codes(np.concatenate([BOX, sheet, turned(sheet)]))
    assert backed == {"mesh.repeated_faces", "mesh.sheets"}
    doubled = np.concatenate([BOX, BOX])
    assert {"mesh.repeated_faces"} <= codes(doubled)


def test_no_volume_no_figures():
    flat = box_corners((100, 60, 40)) * np.array([1, 1, 0])
    assert inspect(flat).fatal is not None
    assert inspect(np.zeros((4, 3, 3))).fatal.code == "mesh.only_flat_faces"


@pytest.mark.parametrize(("bad", "code"), [(np.nan, "mesh.not_finite"), (np.inf, "mesh.not_finite"),
                                           (1e30, "mesh.coordinates_absurd")])  # fmt: skip
def test_impossible_numbers_stop(bad, code):
    corners = BOX.copy()
    corners[4, 1, 2] = bad
    assert only(corners).code == code
    assert code in FATAL


@pytest.mark.parametrize("stated", ["inch", "m", "foot"])
def test_a_200_mm_core_with_the_wrong_unit_is_noticed(stated):
    from corelib.units import MM_PER

    core = box_corners((200, 120, 80))
    assert "mesh.size_implausible" not in codes(core)
    assert "mesh.size_implausible" in codes(core * MM_PER[stated], stated)  # numbers are mm, read as inches
    finding = only(core / MM_PER[stated])  # numbers are inches, read as mm
    assert finding.code == "mesh.size_implausible"
    assert any(stated in hint for hint in finding.facts["likely"])


def test_places_are_capped_and_spread():
    points = np.arange(3000.0).reshape(-1, 3)
    places = capped_places(points)
    assert len(places) <= MOST_PLACES
    assert places[-1][0] > 2900


def test_flush_and_crossing_bodies_would_count_twice():
    flush = np.concatenate([BOX, box_corners((50, 60, 40), (70, 0, 0))])
    finding = only_of(flush, "mesh.bodies_overlap")
    assert finding.severity == "stop"
    assert finding.facts["volume_mm3"] == pytest.approx(30 * 60 * 40)
    across = np.concatenate([BOX, box_corners((50, 20, 20), (70, 10, 10))])
    finding = only_of(across, "mesh.bodies_overlap")
    assert finding.facts["volume_mm3"] == pytest.approx(30 * 20 * 20)
    assert min(x for x, _, _ in finding.places_mm) >= 70
    barely = np.concatenate([BOX, box_corners((50, 2, 2), (99, 10, 10))])
    assert only_of(barely, "mesh.bodies_touch_deep").severity == "check"


def only_of(corners, code):
    (finding,) = (finding for finding in inspect(corners).findings if finding.code == code)
    return finding


def test_bodies_that_touch_in_a_face_dont_overlap():
    assert codes(np.concatenate([BOX, box_corners((50, 60, 40), (100, 0, 0))])) <= {
        "mesh.several_bodies",
        "mesh.touching_edges",
        "mesh.repeated_faces",
        "mesh.sheets",
    }


def test_a_dent_pushed_through_the_far_side_is_found_at_its_place():
    dented = FINE.copy()
    top = (np.abs(dented[..., 2] - 100) < 1e-9) & (np.linalg.norm(dented[..., :2] - 50, axis=-1) < 3)
    assert top.any()
    dented[top] = [50, 50, -20]
    finding = only_of(dented, "mesh.crosses_itself")
    assert finding.severity == "stop"
    assert max(abs(x - 50) for x, _, _ in finding.places_mm) < 6


def test_very_many_bodies_are_compared_as_far_as_time_allows(monkeypatch):
    monkeypatch.setattr("corelib.mesh.inspect.MOST_FACE_VISITS", 12 * 12 * 3)
    specks = [box_corners((2, 2, 2), (10 * x + 3, 10 * y + 3, 20)) for x in range(4) for y in range(3)]
    hollow = np.concatenate([BOX, *(turned(speck) for speck in specks)])
    found = codes(hollow)
    assert {"mesh.bodies_not_compared", "mesh.cavity"} <= found
    assert "mesh.inverted" not in found
