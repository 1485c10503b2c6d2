"""Outlines of layers: cut, nested, compensated; faults are seen."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.errors import MeshError
from corelib.layers.contours import CoreCutter, printed_outlines
from corelib.layers.cut_pose import dry_layers
from corelib.layers.sections import core_sections
from corelib.mesh.core import CoreMesh
from tests.layers.meshes import (
    box,
    frustum,
    gyroid,
    inside_out,
    joined,
    shifted,
    sphere,
    stl,
    torus,
    turn,
    welded,
)

T = 0.3
UPRIGHT = np.eye(3)


def cutter(mesh, rotation=UPRIGHT, phase=0.0, t=T):
    return CoreCutter(mesh, rotation, phase_mm=phase, thickness_mm=t)


def all_outlines(mesh, rotation=UPRIGHT, phase=0.0, t=T):
    made = cutter(mesh, rotation, phase, t)
    return made.outlines(0, made.count)


MESHES = {
    "rear case": lambda: welded(stl("numpy_stl/rear_case.stl")),
    "lattice": lambda: gyroid(16, 60.0),
    "ring": lambda: torus(20, 6, 60, 40),
    "hollow": lambda: joined(box(40, 40, 12), inside_out(box(20, 20, 6, at=(10, 10, 3)))),
}


@pytest.mark.parametrize("name", MESHES)
@pytest.mark.parametrize("turns", [(0, 0, 0), (31, -12, 77)])
def test_outlines_have_the_areas_and_lengths_of_the_closed_form(name, turns):
    mesh = MESHES[name]()
    sections = core_sections(mesh, turn(*turns), phase_mm=0.1, thickness_mm=T)
    outlines = all_outlines(mesh, turn(*turns), phase=0.1)
    assert outlines.count == sections.count
    assert np.abs(outlines.area_mm2 - sections.area_mm2).max() <= 1e-11 * sections.area_mm2.max()
    assert np.abs(outlines.boundary_mm - sections.boundary_mm).max() <= 1e-9 * sections.boundary_mm.max()
    assert outlines.doubtful == ()
    holes = outlines.ring_area_mm2 < 0
    assert ((outlines.parent >= 0) == holes).all()


@pytest.mark.parametrize("name", MESHES)
def test_edges_straight_from_triangles_are_those_of_the_outlines(name):
    made = cutter(MESHES[name](), turn(31, -12, 77))
    outlines = made.outlines(3, 17)
    cut = made.edges(3, 17)
    edges, starts = cut.edges_mm, cut.edge_starts
    assert starts.tolist() == outlines.edge_starts.tolist()
    for i in range(outlines.count):
        walked = outlines.edges_mm[starts[i] : starts[i + 1]]
        direct = edges[starts[i] : starts[i + 1]]
        assert sorted(map(tuple, walked)) == sorted(map(tuple, direct))


def test_any_range_of_layers_gives_the_same_rings():
    made = cutter(gyroid(16, 60.0), turn(10, 20, 30))
    whole = made.outlines(0, made.count)
    for first in range(0, made.count, 37):
        part = made.outlines(first, first + 37)
        for layer in range(first, first + part.count):
            a, b = whole.rings(layer), part.rings(layer)
            assert sorted(tuple(np.sort(r, axis=0).ravel()) for r in a) == sorted(
                tuple(np.sort(r, axis=0).ravel()) for r in b
            )


def test_holes_know_their_outer_ring():
    """Two tubes side by side, one with a rod inside its bore."""
    tube = joined(box(40, 40, 6), inside_out(box(30, 30, 8, at=(5, 5, -1))))
    assert all_outlines(tube).hole_count.tolist()[5] == 1
    bore = inside_out(box(30, 30, 5.9, at=(5, 5, 0.05)))
    rod = box(10, 10, 5.8, at=(15, 15, 0.1))
    body = joined(box(40, 40, 6), bore, rod, shifted(joined(box(40, 40, 6), bore), 100, 0, 0))
    outlines = all_outlines(body)
    layer = 10
    first, end = outlines.layer_rings[layer], outlines.layer_rings[layer + 1]
    areas = outlines.ring_area_mm2[first:end]
    assert sorted(areas.round(9).tolist()) == [-900.0, -900.0, 100.0, 1600.0, 1600.0]
    for r in range(first, end):
        if outlines.parent[r] >= 0:
            hole, outer = outlines.rings(layer)[r - first], outlines.rings(layer)[outlines.parent[r] - first]
            assert outlines.ring_area_mm2[outlines.parent[r]] == pytest.approx(1600.0)
            assert shapely.Polygon(outer).contains(shapely.Polygon(hole))
    assert outlines.area_mm2[layer] == pytest.approx(1600 - 900 + 100 + 1600 - 900)


@pytest.mark.parametrize(
    ("body", "signed", "covered"),
    [
        (joined(box(40, 40, 30), box(40, 40, 30, at=(20, 0, 0))), 3200.0, 2400.0),
        (joined(box(40, 40, 30), box(40, 40, 30)), 3200.0, 1600.0),
        (joined(box(40, 40, 30), box(20, 20, 10, at=(10, 10, 10))), 2000.0, 1600.0),
        (inside_out(box(40, 40, 30)), -1600.0, 0.0),
    ],
    ids=["half overlap", "twice the same", "shell in a solid", "inside out"],
)
def test_overlapping_and_inverted_bodies_are_seen_and_filled_once(body, signed, covered):
    """The closed form against the union is the check that bites: here they differ, on clean bodies never."""
    sections = core_sections(body, UPRIGHT, phase_mm=0.0, thickness_mm=T)
    outlines = all_outlines(body)
    layer = 50
    assert layer in outlines.doubtful
    assert sections.area_mm2[layer] == signed
    assert outlines.area_mm2[layer] == pytest.approx(covered, rel=1e-6)


def test_a_cavity_is_no_fault():
    assert all_outlines(MESHES["hollow"]()).doubtful == ()


def test_an_open_mesh_is_refused_in_a_sentence():
    body = box(10, 10, 10)
    with pytest.raises(MeshError) as caught:
        all_outlines(CoreMesh(body.vertices_mm, body.faces[:-1]))
    assert caught.value.code == "layers.mesh_open"
    assert caught.value.facts == {"edges": 3}


def test_draw_in_of_a_box_is_exact():
    made = cutter(box(20, 10, 3))
    outlines = printed_outlines(made, 0.15, 0, 0, made.count)
    assert outlines.area_mm2 == pytest.approx([19.7 * 9.7] * 10, rel=1e-12)


def test_draw_in_rounds_inner_corners_and_widens_holes():
    body = joined(box(40, 40, 3), inside_out(box(20, 20, 3.2, at=(10, 10, -0.1))))
    made = cutter(body, phase=0.0)
    outlines = printed_outlines(made, 0.5, 0, 0, made.count)
    hole = 20 * 20 + 4 * 20 * 0.5 + np.pi * 0.25
    assert outlines.area_mm2[5] == pytest.approx(39 * 39 - hole, abs=0.02 * np.pi * 0.25)


def test_outward_offset_for_a_negative_bleed():
    made = cutter(box(20, 10, 3))
    outlines = printed_outlines(made, -0.2, 0, 0, made.count)
    assert outlines.area_mm2[4] == pytest.approx(200 + 60 * 0.2 + np.pi * 0.04, abs=1e-3)


def test_what_is_thinner_than_twice_the_bleed_vanishes():
    made = cutter(box(20, 0.25, 3))
    outlines = printed_outlines(made, 0.15, 0, 0, made.count)
    assert outlines.area_mm2.tolist() == [0.0] * 10
    assert len(outlines.points_mm) == 0
    assert outlines.vanished_mm2 == pytest.approx([5.0] * 10)


def test_a_thin_fin_vanishes_and_its_body_does_not():
    body = joined(box(20, 10, 3), box(10, 0.25, 3, at=(20, 5, 0)))
    made = cutter(body)
    outlines = printed_outlines(made, 0.15, 0, 0, made.count)
    corners = 4 * (1 - np.pi / 4) * 0.15**2
    assert outlines.area_mm2 == pytest.approx([19.7 * 9.7] * 10, abs=0.01)  # a bump at the fin's root
    assert outlines.vanished_mm2 == pytest.approx([10 * 0.25 + corners] * 10, abs=0.02)


def test_under_faces_stay_dry_and_walls_do_not():
    """A table: a plate of 1.5 mm on a leg; its underside and the leg's foot are dry for one layer."""
    leg, plate = box(10, 10, 6), box(30, 30, 1.5, at=(-10, -10, 6))
    body = joined(leg, plate)
    made = cutter(body)
    plain = made.outlines(0, made.count)
    dry = printed_outlines(made, 0.0, 2, 0, made.count)
    assert plain.area_mm2.round(9).tolist() == [100.0] * 20 + [900.0] * 5
    assert dry.area_mm2.round(9).tolist() == [0.0] * 2 + [100.0] * 20 + [900.0] * 3


def test_dry_layers_of_a_block_match_those_of_the_whole():
    made = cutter(sphere(8, 30, 40))
    whole = printed_outlines(made, 0.1, 2, 0, made.count)
    for first in (0, 1, 16, 40):
        part = printed_outlines(made, 0.1, 2, first, first + 9)
        end = first + part.count
        assert part.first_layer == first
        assert part.area_mm2 == pytest.approx(whole.area_mm2[first:end], rel=1e-12)


def test_bleed_depth_comes_in_whole_layers():
    assert [dry_layers(b, 0.3) for b in (0.0, 0.14, 0.16, 0.44, 0.46, 0.9)] == [0, 0, 1, 1, 2, 3]


@settings(max_examples=25)
@given(
    yaw=st.floats(-180, 180, allow_nan=False),
    x=st.floats(-300, 300, allow_nan=False),
    bleed=st.floats(0.02, 0.4),
)
def test_moved_turned_and_mirrored_cores_print_the_same_area(yaw, x, bleed):
    mesh, rotation = frustum(7, 9, 4, 6), turn(70, 20, 0)

    def areas(body, turned):
        made = cutter(body, turned)
        return printed_outlines(made, bleed, 1, 0, made.count).area_mm2

    before = areas(mesh, rotation)
    after = areas(shifted(mesh, x, -x, 7.0), turn(0, 0, yaw) @ rotation)
    mirror = inside_out(CoreMesh(mesh.vertices_mm @ rotation.T * (-1, 1, 1), mesh.faces))
    assert after == pytest.approx(before, abs=1e-6 * before.max())
    assert areas(mirror, UPRIGHT) == pytest.approx(before, abs=1e-6 * before.max())
