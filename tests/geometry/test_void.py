"""Trapped sand: closed voids, bottles, blind and winding passages are caught; open shapes are not.

Shapes are built with manifold3d; distances are held against scipy's exact distance transform.
"""

import itertools

import manifold3d
import numpy as np
import pytest
import scipy.ndimage

from corelib.geometry.void import surroundings, trapped_sand
from corelib.geometry.void_kernels import labelled, seen_from_outside, squared_distances, steps_from
from corelib.mesh.core import CoreMesh

CLEAN_OUT_MM = 6.0
cube, cylinder, sphere = manifold3d.Manifold.cube, manifold3d.Manifold.cylinder, manifold3d.Manifold.sphere
BALL_MM3 = 4 / 3 * np.pi * 15**3


def block():
    """Return a 60 mm cube about the origin."""
    return cube([60, 60, 60], True)


def found(made, pitch_mm=1.0):
    mesh = made.to_mesh64()
    core = CoreMesh(mesh.vert_properties[:, :3], mesh.tri_verts.astype(np.int32))
    around = surroundings(core.vertices_mm, core.faces, CLEAN_OUT_MM, pitch_mm)
    return trapped_sand(around, CLEAN_OUT_MM)


def passage(points, radius):
    """Return the room of a passage through the points."""
    ends = [sphere(radius, 24).translate(point) for point in points]
    pairs = itertools.pairwise(ends)
    return manifold3d.Manifold.batch_boolean(
        [manifold3d.Manifold.batch_hull(list(pair)) for pair in pairs], manifold3d.OpType.Add
    )


@pytest.mark.parametrize(
    "made",
    [
        block,
        lambda: block() - cylinder(80, 4, 4, 48, True),
        lambda: block() - sphere(15, 64) - cylinder(60, 5, 5, 48),
        lambda: block() - cube([3, 80, 15], True).translate([0, 0, 22.5]),
        lambda: cube([120, 60, 120], True) - passage([(-70, 0, 45), (45, 0, 45), (45, 0, 15)], 4.5),
        lambda: block() - cube([40, 40, 40], True).translate([0, 0, 20]),
    ],
    ids=["block", "through bore", "wide bottle", "slot", "elbow", "open box"],
)
def test_what_can_be_cleaned_is_no_finding(made):
    assert found(made()) == ()


def test_closed_void_is_found_with_its_volume_and_place():
    (trapped,) = found(block() - sphere(15, 64).translate([5, -5, 8]))
    assert trapped.how == "closed"
    assert trapped.volume_mm3 == pytest.approx(BALL_MM3, rel=0.02)
    assert trapped.place_mm == pytest.approx((5, -5, 8), abs=1)


def test_bottle_with_a_three_millimetre_neck_holds_its_sand():
    (trapped,) = found(block() - sphere(15, 64) - cylinder(60, 1.5, 1.5, 48))
    assert trapped.how == "behind a small opening"
    assert trapped.volume_mm3 == pytest.approx(BALL_MM3, rel=0.03)
    assert trapped.depth_mm == pytest.approx(45, abs=12)


def test_deep_narrow_bore_holds_its_sand():
    (trapped,) = found(block() - cylinder(60, 2, 2, 48).translate([0, 0, -20]))
    assert trapped.how == "behind a small opening"
    assert trapped.depth_mm == pytest.approx(50, abs=3)


def test_long_winding_passage_is_found_though_it_is_wide():
    turns = [(-70, 0, 45), (45, 0, 45), (45, 0, 15), (-45, 0, 15), (-45, 0, -15), (45, 0, -15), (45, 0, -45)]
    made = cube([120, 60, 120], True) - passage([*turns, (-70, 0, -45)], 4.5)
    (trapped,) = found(made)
    assert trapped.how == "round corners"
    assert trapped.depth_mm > 100


def test_distances_agree_with_scipy():
    rng = np.random.default_rng(3)
    for shape in ((40, 50, 60), (1, 7, 3), (64, 5, 9)):
        targets = rng.random(shape) > 0.97
        targets[0, 0, 0] = True
        exact = scipy.ndimage.distance_transform_edt(~targets)
        assert np.array_equal(squared_distances(targets), np.rint(exact**2).astype(np.int32))


def test_groups_agree_with_scipy():
    cells = np.random.default_rng(4).random((30, 20, 25)) > 0.6
    label, count = labelled(cells)
    ours, theirs = label[cells], scipy.ndimage.label(cells)[0][cells]
    assert count == theirs.max()
    assert len({*zip(ours.tolist(), theirs.tolist(), strict=True)}) == count


def test_steps_and_sight():
    empty = np.zeros((9, 9, 9), bool)
    empty[:, 4, 4] = True
    empty[4, 4, :5] = True
    start = np.zeros_like(empty)
    start[0, 4, 4] = True
    steps = steps_from(start, empty, False)
    assert steps[8, 4, 4] == 8
    assert steps[4, 4, 0] == 8
    assert steps[0, 0, 0] == -1
    assert (seen_from_outside(empty) == empty).all()
    empty[8, 4, 4] = empty[0, 4, 4] = empty[4, 4, 0] = False
    assert not seen_from_outside(empty).any()
