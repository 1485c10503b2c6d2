"""Regions to keep out of: kept by first packing and search, checked by the gate, refused if contradictory."""

import numpy as np
import pytest
import trimesh

from corelib.errors import InputError
from corelib.geometry.pose import Orientation, moved, rigid
from corelib.job.models import Packing, Search
from corelib.nesting.gate import check_packing
from corelib.nesting.model import CopyKey, NestBox, NestRules, Zone
from corelib.nesting.packing import nest_build, pack_build
from corelib.nesting.tiers import pack_in_tiers, placement_of
from corelib.nesting.zones import zone_items
from corelib.progress import Progress
from corelib.wording import error_sentence
from tests.nesting.bodies import block, bracket, build_box, item

RULES = NestRules(layer_thickness_mm=0.3)
POST = Zone((120.0, 80.0, 0.0), (180.0, 120.0, 150.0), 4.0, "lifting post")
CORNER = Zone((0.0, 0.0, 0.0), (60.0, 200.0, 40.0), 0.0, "clamp")


def box_with(*zones, x=300.0, y=200.0, z=150.0):
    return NestBox((x, y, z), 10.0, 10.0, 10.0, zones=zones)


def nearest_mm(items, packing, zone):
    """Least distance of any core's surface to the region, by trimesh on points sampled densely."""
    known = {one.core_id: one for one in items}
    low, high = np.array(zone.low_mm), np.array(zone.high_mm)
    least = np.inf
    for place in packing.placements:
        mesh = known[place.core].mesh
        solid = trimesh.Trimesh(moved(mesh.vertices_mm, np.array(place.matrix)), mesh.faces, process=False)
        points = np.concatenate([solid.vertices, trimesh.sample.sample_surface_even(solid, 4000, seed=1)[0]])
        apart = np.maximum(low - points, points - high).clip(min=0.0)
        least = min(least, float(np.sqrt((apart**2).sum(axis=1)).min()))
    return least


@pytest.mark.parametrize("effort", [0, 200_000])
def test_search_keeps_cores_out_of_the_regions(effort):
    items = [item("a", bracket(70, 60, 30, 14), 10), item("b", block(40, 30, 25), 12)]
    box = box_with(POST, CORNER)
    packing = pack_build(items, box, RULES, Search(seed=1, effort=effort))
    assert check_packing(items, box, RULES, packing) == ()
    assert len(packing.placements) == 22
    assert nearest_mm(items, packing, POST) >= 4.0
    assert nearest_mm(items, packing, CORNER) > 0.0


def test_the_engine_packs_lower_than_tiers_around_a_region_and_its_top_does_not_count():
    items = [item("a", bracket(80, 80, 20, 12), 12)]
    box = box_with(POST, z=400.0)
    first = pack_in_tiers(items, box, RULES)
    found = nest_build(items, box, RULES, Search(seed=0, effort=100_000))

    def top(packing):
        places = [np.array(p.matrix) for p in packing.placements]
        return max(moved(items[0].mesh.vertices_mm, place)[:, 2].max() for place in places)

    assert {p.core for p in found.packing.placements} == {"a"}
    assert top(found.packing) < 0.8 * top(first)
    assert top(found.packing) < POST.high_mm[2]


def test_results_on_the_way_hold_no_regions():
    seen = []

    def hear(share, step, facts):
        seen.append(facts.get("found"))
        return False

    items = [item("a", bracket(80, 80, 20, 12), 12)]
    nest_build(items, box_with(POST, z=400.0), RULES, Search(effort=300_000), progress=Progress(hear))
    found = [packing for packing in seen if packing is not None]
    assert all({p["core"] for p in packing["placements"]} == {"a"} for packing in found)


def placed_at(one, x, y, z):
    matrix = rigid(np.eye(3), np.array([x, y, z], dtype=float))
    return placement_of(one, CopyKey(0), 0, Orientation(), matrix)


@pytest.mark.parametrize(
    ("x", "codes"), [(85.9, []), (86.1, ["nesting.in_zone"]), (140, ["nesting.in_zone"])]
)
def test_the_gate_measures_the_distance_to_a_region(x, codes):
    one = item("a", block(30, 30, 30))
    found = check_packing([one], box_with(POST), RULES, Packing(placements=(placed_at(one, x, 85, 20),)))
    assert [finding.code for finding in found] == codes


def test_a_region_without_a_gap_may_be_touched():
    one = item("a", block(30, 30, 30))
    zone = Zone((120.0, 80.0, 0.0), (180.0, 120.0, 150.0), 0.0, "post")
    for x, codes in ((90.0, []), (90.01, ["nesting.in_zone"])):
        packing = Packing(placements=(placed_at(one, x, 85, 20),))
        assert [f.code for f in check_packing([one], box_with(zone), RULES, packing)] == codes


def test_a_locked_core_in_a_region_is_refused():
    one = item("a", block(30, 30, 30))
    locked = placed_at(one, 100, 85, 20).model_copy(update={"locked": True})
    with pytest.raises(InputError) as caught:
        pack_build([one], box_with(POST), RULES, Search(), fixed=(locked,))
    assert caught.value.code == "nesting.locked_in_zone"
    assert "lifting post" in error_sentence(caught.value)


def tiers_beside(zone, one):
    return pack_in_tiers([one], box_with(zone), RULES)


def test_regions_that_leave_no_room_are_refused_before_the_work():
    one = item("a", block(150, 150, 100))
    for work in (lambda: pack_build([one], box_with(POST), RULES, Search()), lambda: tiers_beside(POST, one)):
        with pytest.raises(InputError) as caught:
            work()
        assert caught.value.code == "nesting.no_room_beside_zones"
        assert caught.value.facts == {"core": "a", "reasons": ["lifting post"]}
    with pytest.raises(InputError) as caught:
        pack_build([one], box_with(Zone((400, 0, 0), (500, 50, 50), 0, "far")), RULES, Search())
    assert caught.value.code == "nesting.zone_outside"


def test_a_core_that_just_fits_between_regions_finds_its_place():
    walls = Zone((0, 0, 0), (100, 200, 150), 0, "a"), Zone((205, 0, 0), (300, 200, 150), 0, "b")
    one = item("a", block(95, 60, 40), gap_mm=5.0, orientations=(Orientation(),))
    packing = pack_build([one], box_with(*walls), RULES, Search())
    assert packing.placements[0].matrix[0][3] == pytest.approx(105.0)
    wider = item("a", block(95.2, 60, 40), gap_mm=5.0, orientations=(Orientation(),))
    with pytest.raises(InputError):
        pack_build([wider], box_with(*walls), RULES, Search())


def test_bodies_of_regions_are_closed_and_point_outwards():
    (one,) = zone_items(build_box().__class__((300, 200, 150), 10, 10, 10, zones=(POST,)))
    solid = trimesh.Trimesh(one.mesh.vertices_mm, one.mesh.faces)
    assert solid.is_watertight
    assert solid.volume == pytest.approx(60 * 40 * 150)
