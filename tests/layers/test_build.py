"""Layers of a box: the sum of cores at their places."""

import numpy as np
import pytest

from corelib.allowance.body import PrintedBody
from corelib.errors import InputError
from corelib.geometry.pose import Orientation, rigid
from corelib.job.models import CoreItem, MeshReference, Placement
from corelib.layers.build import box_layers, layer_offset
from corelib.layers.model import PlacedBody
from corelib.layers.sections import SectionCache
from corelib.mesh.core import CoreMesh, LoadedCore
from tests.layers.meshes import box, frustum, sphere, volume


def core(mesh, core_id="c", share=1.0):
    item = CoreItem(id=core_id, name=core_id, mesh=MeshReference(path="c.stl", unit="mm"))
    return LoadedCore(
        item=item,
        mesh=mesh,
        volume_mm3=volume(mesh),
        area_mm2=0.0,
        bodies=1,
        unit="mm",
        file_sha256=None,
        solid_share=share,
        findings=(),
    )


def placed(mesh, shift, *, printed=None, bleed=0.0, share=1.0, rotation=None, number=0):
    matrix = rigid(np.eye(3) if rotation is None else rotation, np.array(shift, dtype=float))
    return PlacedBody(
        Placement(
            core="c",
            copy=number,
            box=0,
            orientation=Orientation(),
            matrix=tuple(tuple(float(x) for x in row) for row in matrix),
        ),
        PrintedBody(core(mesh, share=share), printed or mesh, (1.0, 1.0, 1.0), bleed, 0.0),
    )


def layers(*bodies, base=0, cover=0, t=0.3, cache=None, outlines=None):
    return box_layers(
        0,
        bodies,
        thickness_mm=t,
        base_layers=base,
        cover_layers=cover,
        cache=cache or SectionCache(),
        outlines=outlines,
    )


def test_two_boxes_at_their_heights():
    built = layers(
        placed(box(20, 10, 3), (5, 5, 0.9)), placed(box(20, 10, 3), (50, 30, 1.8)), base=3, cover=2
    )
    assert built.count == 16 + 2
    assert built.z_mm == pytest.approx(np.arange(18) * 0.3)
    wanted = [0.0] * 3 + [200.0] * 3 + [400.0] * 7 + [200.0] * 3 + [0.0] * 2
    assert built.nominal_area_mm2.tolist() == wanted
    assert built.printed_area_mm2.tolist() == wanted
    assert built.area_error_mm2.tolist() == [0.0] * 18
    assert built.boundary_mm == pytest.approx(np.array(wanted) * 0.3, rel=1e-12)
    assert np.isnan(built.extent_mm[[0, 2, 16, 17]]).all()
    assert built.extent_mm[3].tolist() == [5, 5, 25, 15]
    assert built.extent_mm[7].tolist() == [5, 5, 70, 40]
    assert built.extent_mm[15].tolist() == [50, 30, 70, 40]
    assert built.height_mm == pytest.approx(5.4)
    assert built.printed_volume_mm3 == pytest.approx(1200.0)


def test_an_empty_box_has_base_and_cover():
    built = layers(base=4, cover=3)
    assert built.count == 7
    assert built.printed_volume_mm3 == 0.0


def test_copies_at_other_levels_come_from_the_cache():
    cache = SectionCache()
    ball = sphere(10, 30, 40)
    bodies = [placed(ball, (20, 20 + 25 * i, 10 + 0.3 * 7 * i), number=i) for i in range(20)]
    built = layers(*bodies, cache=cache)
    assert cache.made == 1
    assert built.printed_area_mm2.sum() * 0.3 == pytest.approx(20 * volume(ball), rel=2e-3)


def test_a_core_between_layers_has_its_own_phase():
    cone = frustum(40, 10, 2, 12)
    low = layers(placed(cone, (20, 20, 0.0)))
    between = layers(placed(cone, (20, 20, 0.15)))
    assert between.count == low.count + 1
    assert between.printed_area_mm2[0] == pytest.approx(low.printed_area_mm2[0], rel=0.03)
    assert between.printed_area_mm2[5] > low.printed_area_mm2[5]


def test_printed_and_nominal_are_kept_apart():
    nominal = box(20, 10, 3)
    printed = CoreMesh((nominal.vertices_mm - (10, 5, 1.5)) * 1.01 + (10, 5, 1.5), nominal.faces)
    built = layers(placed(nominal, (5, 5, 0.3), printed=printed))
    assert built.nominal_area_mm2[5] == pytest.approx(200.0)
    assert built.printed_area_mm2[5] == pytest.approx(200.0 * 1.01**2)
    assert built.count == 12  # the printed body reaches 15 µm into one more layer
    assert built.printed_area_mm2[11] == 0.0


def test_the_draw_in_is_stated_with_its_error():
    built = layers(placed(box(20, 10, 3), (5, 5, 0), bleed=0.2))
    exact = (20 - 0.4) * (10 - 0.4)
    assert built.printed_area_mm2[4] == pytest.approx(200 - 0.2 * 60)
    assert abs(built.printed_area_mm2[4] - exact) <= built.area_error_mm2[4] == pytest.approx(12.0)
    assert built.nominal_area_mm2[4] == 200.0


def test_more_draw_in_than_area_leaves_nothing():
    built = layers(placed(box(20, 0.3, 3), (5, 5, 0), bleed=0.5))
    assert built.printed_area_mm2.tolist() == [0.0] * 10
    assert built.area_error_mm2[3] == pytest.approx(6.0)


def test_a_block_counts_with_its_solid_share():
    built = layers(placed(box(20, 10, 3), (5, 5, 0), share=0.4))
    assert built.printed_area_mm2[4] == pytest.approx(80.0)
    assert built.nominal_area_mm2[4] == pytest.approx(80.0)


def test_a_core_below_the_floor_is_refused():
    with pytest.raises(InputError) as caught:
        layers(placed(box(20, 10, 3), (5, 5, -0.1)))
    assert caught.value.code == "layers.core_below_floor"
    assert layers(placed(box(20, 10, 3), (5, 5, -1e-9))).count == 10


def test_offsets_recognise_whole_layers():
    for k in range(3000):
        assert layer_offset(k * 0.28, 0.28) == layer_offset(k * 0.28 + 4e-7, 0.28)
        found = layer_offset(k * 0.28 - 4e-7, 0.28)
        assert (found.layer, found.phase_mm) == (k, 0.0)
    assert layer_offset(0.15, 0.3).phase_mm == pytest.approx(0.15, abs=1e-12)
    assert 0 <= layer_offset(0.3 - 2e-6, 0.3).phase_mm < 0.3
