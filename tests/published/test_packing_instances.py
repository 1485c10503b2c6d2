"""Two open instances at a fixed effort: valid by independent means, and no worse than when last recorded.

Instances: ESICUP data sets (CC0), tests/data/packing_instances/README.md. Published heights: solution tables
of J. Tollenaere, KU Leuven, as in tests/speed/packing_record.py.
"""

import itertools

import fcl
import manifold3d
import numpy as np
import pytest

from tests.speed.packing_record import PUBLISHED, load, play

RECORDED = {"Stoyan et al. 2005/Example3.json": 1.20, "Liu et al. 2015/Experiment1.json": 1.20}
"""Ratio to the best published height (24 orientations) that this effort must reach."""


@pytest.mark.parametrize("name", sorted(RECORDED))
def test_an_open_instance_is_packed_validly_and_no_worse_than_recorded(name):
    instance = load(name, turns=True)
    result = play(instance, 0, seconds=None, effort=20_000_000, ordered=False, workers=1)
    assert result["valid"]
    assert result["height"] / PUBLISHED[name][1] <= RECORDED[name]
    recheck(instance, result["placements"], result["height"])


def recheck(instance, placements, height):
    """Footprint, height, copies, and overlap of every pair by manifold3d and python-fcl."""
    meshes = {item.core_id: item.mesh for item in instance.items}
    wanted = sorted((item.core_id, key.copy_number) for item in instance.items for key in item.copies)
    assert sorted((p["item"], p["copy"]) for p in placements) == wanted
    solids, shapes = [], []
    for placement in placements:
        mesh, matrix = meshes[placement["item"]], np.array(placement["matrix"])
        points = mesh.vertices_mm @ matrix[:, :3].T + matrix[:, 3]
        assert (points.min(axis=0) >= -1e-5).all()
        assert (points.max(axis=0) <= np.array([*instance.footprint_mm, height]) + 1e-5).all()
        made = manifold3d.Manifold(manifold3d.Mesh64(np.array(points), np.array(mesh.faces, dtype=np.uint64)))
        assert made.status() == manifold3d.Error.NoError
        solids.append(made)
        model = fcl.BVHModel()
        model.beginModel(len(points), len(mesh.faces))
        # drawn in by a trifle about its middle, so that contact is no collision
        middle = points.mean(axis=0)
        model.addSubModel(middle + (points - middle) * (1 - 1e-5), mesh.faces)
        model.endModel()
        shapes.append(fcl.CollisionObject(model, fcl.Transform()))
    for first, second in itertools.combinations(range(len(placements)), 2):
        common = solids[first] ^ solids[second]
        assert common.volume() <= 1e-6
        collision = fcl.CollisionResult()
        assert fcl.collide(shapes[first], shapes[second], fcl.CollisionRequest(), collision) == 0
