"""Sections in closed form: exact values, half-open planes, slivers, turns, cache."""

import threading

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull, QhullError

from corelib.layers.cache import LayerCache
from corelib.layers.sections import SectionCache, core_sections, layer_count, plane_areas, sections_key
from corelib.mesh.core import CoreMesh
from tests.layers import numpy_sections
from tests.layers.meshes import (
    box,
    frustum,
    gyroid,
    inside_out,
    joined,
    shifted,
    sphere,
    stl,
    turn,
    up_projection,
    volume,
    welded,
)

UPRIGHT = np.eye(3)


def close(found, wanted, relative):
    """Greatest difference relative to the greatest wanted value is within `relative`."""
    assert np.abs(found - wanted).max() <= relative * np.abs(wanted).max()


def test_a_box_of_whole_layers_has_equal_layers_and_no_more():
    sections = core_sections(box(20, 10, 3), UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    assert sections.count == 10
    assert sections.area_mm2.tolist() == [200.0] * 10
    assert sections.boundary_mm == pytest.approx([60.0] * 10, rel=1e-14)
    assert sections.slab_volume_mm3 == pytest.approx([60.0] * 10, rel=1e-13)


def test_planes_on_faces_are_half_open():
    """The plane of a bottom face cuts the body, the plane of a top face does not."""
    area, length = plane_areas(box(20, 10, 3), UPRIGHT, first_mm=0.0, step_mm=0.3, count=12)
    assert area.tolist() == [200.0] * 10 + [0.0] * 2
    assert length == pytest.approx([60.0] * 10 + [0.0] * 2, rel=1e-14)


@pytest.mark.parametrize("turns", [(90, 0, 0), (0, 90, 0), (0, 0, 37), (180, 0, 0), (90, 0, 90), (45, 0, 90)])
def test_flat_faces_stay_flat_when_turned(turns):
    """A face turned onto a mid-layer plane has float noise of 1e-15: it must not give half a layer."""
    rotation = turn(*turns)
    body = CoreMesh(box(3.15, 3.15, 3.15).vertices_mm @ rotation, box(1, 1, 1).faces)  # turned back
    sections = core_sections(body, rotation, phase_mm=0.0, thickness_mm=0.3)
    assert sections.area_mm2 == pytest.approx([3.15**2] * 10 + [0.0], rel=1e-12, abs=1e-12)
    assert sections.boundary_mm == pytest.approx([4 * 3.15] * 10 + [0.0], rel=1e-12, abs=1e-12)


def test_phase_shifts_the_planes():
    cone = frustum(60, 10, 0.0001, 20)
    at_0 = core_sections(cone, UPRIGHT, phase_mm=0.0, thickness_mm=0.5)
    at_quarter = core_sections(cone, UPRIGHT, phase_mm=0.125, thickness_mm=0.5)
    assert (at_0.count, at_quarter.count) == (40, 41)
    exact, _ = plane_areas(cone, UPRIGHT, first_mm=0.125, step_mm=0.5, count=41)
    close(at_quarter.area_mm2, exact, 1e-13)
    assert at_quarter.slab_volume_mm3.sum() == pytest.approx(at_0.slab_volume_mm3.sum(), rel=1e-12)


@pytest.mark.parametrize("levels", [1, 7, 400])
@pytest.mark.parametrize("at", [(0, 0, 0), (1234.5, -777.7, 55.5)])
def test_frustum_is_exact(levels, at):
    """Long walls (difference arrays) and short ones, near and far from the origin."""
    n, low, high, height, t = 90, 30.0, 12.0, 60.0, 0.3
    sections = core_sections(frustum(n, low, high, height, levels, at), UPRIGHT, phase_mm=0.0, thickness_mm=t)
    middle = (np.arange(sections.count) + 0.5) * t
    radius = low + (high - low) * middle / height
    close(sections.area_mm2, n / 2 * radius**2 * np.sin(2 * np.pi / n), 1e-12)
    close(sections.boundary_mm, 2 * n * radius * np.sin(np.pi / n), 1e-12)
    edge = low + (high - low) * np.arange(sections.count + 1) * t / height
    a, b = edge[:-1], edge[1:]
    close(sections.slab_volume_mm3, n / 2 * np.sin(2 * np.pi / n) * t / 3 * (a * a + a * b + b * b), 1e-11)


MESHES = {
    "rear case": lambda: welded(stl("numpy_stl/rear_case.stl")),
    "lattice": lambda: gyroid(12, 40.0),
    "frustum": lambda: frustum(7, 9, 4, 30),
}


@pytest.mark.parametrize("turns", [(0, 0, 0), (90, 0, 0), (31, -12, 77)])
@pytest.mark.parametrize(
    ("name", "phase", "thickness"),
    [
        ("rear case", 0.11, 0.3),
        ("rear case", 1.7, 4.0),
        ("lattice", 0.0, 0.3),
        ("lattice", 1.7, 4.0),
        ("frustum", 0.0, 0.05),
        ("frustum", 0.0, 0.3),
    ],
)
def test_kernels_agree_with_plain_numpy(name, turns, phase, thickness):
    mesh = MESHES[name]()
    sections = core_sections(mesh, turn(*turns), phase_mm=phase, thickness_mm=thickness)
    area, length, slab = numpy_sections.sections(mesh, turn(*turns), phase_mm=phase, thickness_mm=thickness)
    assert sections.count == len(area)
    close(sections.area_mm2, area, 1e-11)
    close(sections.boundary_mm, length, 1e-9)  # vertices within a millionth of a plane lie on it
    close(sections.slab_volume_mm3, slab, 1e-10)


def test_soup_and_welded_give_the_same_bits():
    soup = stl("numpy_stl/rear_case.stl")
    a = core_sections(soup, UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    again = core_sections(soup, UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    b = core_sections(welded(soup), UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    assert a.area_mm2.tobytes() == again.area_mm2.tobytes()
    close(b.area_mm2, a.area_mm2, 1e-13)


def test_slivers_stay_bounded():
    """Walls of facets from 1e-14 to 1e-6 mm tall between two boxes change nothing that counts."""
    for tall in (1e-14, 1e-12, 1e-9, 1e-7, 1e-6, 1e-3):
        body = box(10, 10, 1.35)
        vertices = body.vertices_mm.copy()
        vertices[5, 2] += tall  # one corner of the top face lifted onto, or just over, a mid-layer plane
        sections = core_sections(CoreMesh(vertices, body.faces), UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
        assert np.isfinite(sections.boundary_mm).all()
        assert sections.area_mm2[:4] == pytest.approx([100.0] * 4, rel=1e-12)
        assert -1e-9 <= sections.area_mm2[4] <= 100.0
        assert sections.slab_volume_mm3.sum() == pytest.approx(135.0, rel=1e-3)


def test_far_from_the_origin_digits_are_kept():
    near = core_sections(gyroid(14, 60.0), UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    for offset, limit in ((1e3, 1e-12), (1e5, 1e-10)):
        far = core_sections(
            shifted(gyroid(14, 60.0), offset, -offset, 0), UPRIGHT, phase_mm=0.0, thickness_mm=0.3
        )
        close(far.area_mm2, near.area_mm2, limit)


def test_inverted_hollow_and_overlapping_bodies():
    """The signs by which faults are detected: see the winding census for what they mean."""
    solid, inner = box(40, 40, 30), box(20, 20, 10, at=(10, 10, 10))
    layer = 50  # of 0.3 mm: 15.15 mm, in the middle of the inner box

    def area(mesh):
        return core_sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=0.3).area_mm2[layer]

    assert area(joined(solid, inside_out(inner))) == 1200.0
    assert area(joined(solid, inner)) == 2000.0
    assert area(inside_out(solid)) == -1600.0
    assert area(joined(solid, shifted(solid, 20, 0, 0))) == 3200.0


def test_walls_through_very_many_layers_keep_their_digits():
    """Each facet crosses 200,000 planes, through the difference arrays."""
    tall = frustum(12, 10, 5, 10_000)
    sections = core_sections(tall, UPRIGHT, phase_mm=0.0, thickness_mm=0.05)
    assert sections.count == 200_000
    assert sections.slab_volume_mm3.sum() == pytest.approx(volume(tall), rel=1e-11)


def test_layer_count_is_guarded_against_float_noise():
    assert layer_count(300.0, 0.3) == 1000
    assert layer_count(0.3 + 0.3 + 0.3, 0.3) == 3
    assert layer_count(0.1 * 3, 0.1) == 3
    assert layer_count(300.001, 0.3) == 1001
    assert layer_count(1e-9, 0.3) == 1


def test_what_is_no_mesh_is_refused():
    vertices = box(1, 1, 1).vertices_mm.copy()
    vertices[3, 1] = np.nan
    with pytest.raises(ValueError, match="no numbers"):
        core_sections(CoreMesh(vertices, box(1, 1, 1).faces), UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    with pytest.raises(ValueError, match="missing vertices"):
        core_sections(
            CoreMesh(box(1, 1, 1).vertices_mm, np.array([[0, 1, 8]])), UPRIGHT, phase_mm=0.0, thickness_mm=0.3
        )
    with pytest.raises(ValueError, match="phase"):
        core_sections(box(1, 1, 1), UPRIGHT, phase_mm=0.3, thickness_mm=0.3)


angles = st.floats(-180, 180, allow_nan=False)


@settings(max_examples=60)
@given(
    points=st.lists(
        st.tuples(*[st.floats(-30, 30, allow_nan=False, width=32)] * 3), min_size=5, max_size=20, unique=True
    ),
    turns=st.tuples(angles, angles, angles),
    thickness=st.floats(0.2, 5.0),
    share=st.floats(0, 0.999),
)
def test_mid_layer_sum_is_within_its_bound_of_the_volume(points, turns, thickness, share):
    """|t·ΣA - V| ≤ ½·t·P for any closed mesh, turn, thickness and phase; the slab sum is V itself."""
    points = np.array(points)
    try:
        hull = ConvexHull(points)
    except QhullError:
        return
    corners = points[hull.simplices]
    outward = np.einsum(
        "ij,ij->i",
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]),
        hull.equations[:, :3],
    )
    faces = np.where(outward[:, None] > 0, hull.simplices, hull.simplices[:, ::-1])
    mesh = joined(CoreMesh(points, faces), shifted(CoreMesh(points, faces), 3.0, 4.0, 5.0))
    rotation = turn(*turns)
    sections = core_sections(mesh, rotation, phase_mm=share * thickness, thickness_mm=thickness)
    scale = 1e-9 * up_projection(mesh, rotation) * 60
    bound = 0.5 * thickness * up_projection(mesh, rotation)
    assert abs(thickness * sections.area_mm2.sum() - volume(mesh)) <= bound + scale
    assert abs(sections.slab_volume_mm3.sum() - volume(mesh)) <= scale
    assert sections.boundary_mm.min() >= -1e-9


@settings(max_examples=20)
@given(
    yaw=angles,
    x=st.floats(-500, 500, allow_nan=False),
    y=st.floats(-500, 500, allow_nan=False),
    whole=st.integers(-50, 50),
)
def test_moves_and_turns_about_the_vertical_change_nothing(yaw, x, y, whole):
    """Also a mirrored core has the same sections."""
    mesh = welded(stl("numpy_stl/Star.stl"))
    rotation = turn(70, 20, 0)
    before = core_sections(mesh, rotation, phase_mm=0.0, thickness_mm=0.05)
    after = core_sections(
        shifted(mesh, x, y, 0.05 * whole), turn(0, 0, yaw) @ rotation, phase_mm=0.0, thickness_mm=0.05
    )
    mirrored = inside_out(CoreMesh(mesh.vertices_mm @ rotation.T * (-1, 1, 1), mesh.faces))
    reflected = core_sections(mirrored, UPRIGHT, phase_mm=0.0, thickness_mm=0.05)
    for other in (after, reflected):
        close(other.area_mm2, before.area_mm2, 1e-9)
        close(other.boundary_mm, before.boundary_mm, 1e-9)
        close(other.slab_volume_mm3, before.slab_volume_mm3, 1e-9)


def test_shear_leaves_every_area_unchanged():
    """Cavalieri: sections that are only moved in their plane keep area and boundary length."""
    mesh = gyroid(14, 60.0)
    vertices = mesh.vertices_mm.copy()
    vertices[:, 0] += 0.7 * vertices[:, 2]
    vertices[:, 1] -= 0.4 * vertices[:, 2]
    straight = core_sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    sheared = core_sections(CoreMesh(vertices, mesh.faces), UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    close(sheared.area_mm2, straight.area_mm2, 1e-12)
    close(sheared.boundary_mm, straight.boundary_mm, 1e-12)
    close(sheared.slab_volume_mm3, straight.slab_volume_mm3, 1e-12)


def test_cache_finds_by_content_alone():
    cache = SectionCache()
    mesh = sphere(10, 20, 30)
    first = cache.sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    twin = CoreMesh(mesh.vertices_mm.copy(), mesh.faces.copy())
    assert cache.sections(twin, UPRIGHT.copy(), phase_mm=0.0, thickness_mm=0.3) is first
    assert (cache.found, cache.made) == (1, 1)
    stretched = CoreMesh(mesh.vertices_mm * (1, 1, 1 + 1e-12), mesh.faces)
    keys = {
        sections_key(m, r, phase_mm=p, thickness_mm=t)
        for m, r, p, t in (
            (mesh, UPRIGHT, 0.0, 0.3),
            (stretched, UPRIGHT, 0.0, 0.3),
            (mesh, turn(90, 0, 0), 0.0, 0.3),
            (mesh, UPRIGHT, 0.1, 0.3),
            (mesh, UPRIGHT, 0.0, 0.25),
        )
    }
    assert len(keys) == 5


def test_cache_keeps_to_its_memory():
    cache = SectionCache(memory_mb=0.01)
    for share in range(10):
        cache.sections(box(10, 10, 30), UPRIGHT, phase_mm=share * 0.01, thickness_mm=0.1)
    assert cache._bytes <= 10_500
    assert len(cache._kept) == 1


def test_cache_keeps_few_faces_that_look_down(monkeypatch):
    monkeypatch.setattr("corelib.layers.sections.UNDER_KEPT", 3)
    cache = SectionCache()
    for share in range(10):
        rules = {"phase_mm": 0.01 * share, "thickness_mm": 0.1, "dry_mm": 0.2, "draw_in_mm": 0.1}
        cache.under_faces(box(10, 10, 30), UPRIGHT, **rules)
    assert len(cache._under) == 3


def test_one_limit_holds_for_sections_and_outlines():
    cache = LayerCache(memory_mb=2.0)
    assert cache.sections.most_bytes == cache.outlines.most_bytes == 2 * 2**20


def test_cache_on_disk_survives_and_notices_damage(tmp_path, monkeypatch):
    monkeypatch.setattr("corelib.layers.sections.DISK_FROM_TRIANGLES", 0)
    mesh = sphere(10, 20, 30)
    first = SectionCache(tmp_path).sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    second = SectionCache(tmp_path)
    read = second.sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    assert (second.found, second.made) == (1, 0)
    assert read.area_mm2.tobytes() == first.area_mm2.tobytes()
    assert read.slab_volume_mm3.tobytes() == first.slab_volume_mm3.tobytes()
    (path,) = tmp_path.rglob("*.npy")
    raw = bytearray(path.read_bytes())
    raw[-5] ^= 1
    path.write_bytes(raw)
    third = SectionCache(tmp_path)
    again = third.sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    assert third.made == 1
    assert again.area_mm2.tobytes() == first.area_mm2.tobytes()


def test_an_unwritable_cache_folder_costs_nothing_but_time(tmp_path, monkeypatch):
    monkeypatch.setattr("corelib.layers.sections.DISK_FROM_TRIANGLES", 0)
    blocked = tmp_path / "file"
    blocked.write_text("")
    sections = SectionCache(blocked).sections(box(1, 1, 3), UPRIGHT, phase_mm=0.0, thickness_mm=0.3)
    assert sections.count == 10


def test_threads_share_a_cache():
    cache, mesh = SectionCache(), sphere(10, 40, 60)
    found = []

    def work():
        found.append(cache.sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=0.1).area_mm2.tobytes())

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(set(found)) == 1
