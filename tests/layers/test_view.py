"""One printed layer to look at."""

import numpy as np
import pytest

from corelib.layers.raster import LayerDrawer, drawn_bodies
from corelib.layers.store import OutlineStore
from corelib.layers.view import printed_layer
from tests.layers.meshes import box, gyroid, inside_out, joined, sphere
from tests.layers.test_raster import GRID, bled


def signed_areas(layer):
    areas = []
    for first, end in zip(layer.ring_starts[:-1], layer.ring_starts[1:], strict=True):
        x, y = layer.points_mm[first:end].T
        areas.append(0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))
    return np.array(areas)


def test_the_layer_has_all_cores_at_their_places():
    hollow = joined(box(20, 20, 6), inside_out(box(10, 10, 4, at=(5, 5, 1))))
    bodies = drawn_bodies(
        [
            bled(hollow, (5, 5, 0), bleed=0.1),
            bled(sphere(8), (60, 20, 9), number=1),
            bled(hollow, (30, 30, 1.5), bleed=0.1, number=2),
        ],
        0.3,
    )
    shown = printed_layer(bodies, OutlineStore(), 12)
    areas = signed_areas(shown)
    assert shown.area_mm2 == pytest.approx(areas.sum(), rel=1e-9)
    assert ((areas < 0) == (shown.parent >= 0)).all()
    for ring in np.flatnonzero(shown.parent >= 0):
        assert shown.body[shown.parent[ring]] == shown.body[ring]
    assert sorted(set(shown.body.tolist())) == [0, 1, 2]
    pixels = LayerDrawer(bodies, GRID, OutlineStore()).draw(12).pixels
    assert shown.area_mm2 == pytest.approx(pixels * 0.01, rel=3e-3)


def test_a_layer_without_cores_is_empty():
    bodies = drawn_bodies([bled(sphere(8), (60, 20, 9))], 0.3)
    shown = printed_layer(bodies, OutlineStore(), 100)
    assert (len(shown.points_mm), shown.ring_starts.tolist(), shown.area_mm2) == (0, [0], 0.0)


def test_only_the_layers_blocks_are_made():
    store = OutlineStore()
    bodies = drawn_bodies([bled(gyroid(12, 40.0), (3 + 50 * i, 3, 3.0 * i), number=i) for i in range(3)], 0.3)
    printed_layer(bodies, store, 40)
    assert store.made == 3
