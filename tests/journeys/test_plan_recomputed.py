"""plan.json of the samples, computed again from the mesh files and matrices without any of our own code.

trimesh cuts the placed meshes, numpy adds up what the stated equations say: an outside check of the whole
way from files to figures.
"""

import json
from itertools import combinations
from pathlib import Path

import manifold3d
import numpy as np
import pytest
import trimesh

SAMPLES = Path(__file__).parent.parent.parent / "sample_jobs"
JOBS = ("pump_housing", "motor_cooling_jacket")
LAYERS_CHECKED = 6


@pytest.fixture(scope="module", params=JOBS)
def planned(request, tmp_path_factory):
    """The plan document as another program reads it, with the job's own meshes by core id."""
    from app.cli import run

    out = tmp_path_factory.mktemp(request.param) / "out"
    assert run(["plan", str(SAMPLES / f"{request.param}.json"), "--out", str(out)], lambda _: 99) == 0
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    meshes = {
        core["id"]: trimesh.load_mesh(SAMPLES / core["mesh"]["path"])
        for core in plan["job"]["cores"]
        if "mesh" in core
    }
    return plan, meshes


def placed(box, meshes):
    """The box's own cores at their places; what rides along has no file and is left out."""
    for place in box["placements"]:
        if place["core"] in meshes:
            yield place["core"], meshes[place["core"]].copy().apply_transform(np.array(place["matrix"]))


def alone(plan, number):
    """The layers in which only cores with a file are printed: those above everything that rides along."""
    others = {core["id"]: core["size_mm"] for core in plan["cores"] if core["rides_along"]}
    tops = [0.0]
    for place in plan["boxes"][number]["placements"]:
        if place["core"] in others:
            matrix = np.array(place["matrix"])
            corners = np.array(np.meshgrid(*[(0.0, side) for side in others[place["core"]]])).reshape(3, -1)
            tops.append(float((matrix[:3, :3] @ corners + matrix[:3, 3:]).max(axis=1)[2]))
    return max(tops)


def test_nominal_areas_of_random_layers_agree_with_trimesh(planned):
    plan, meshes = planned
    random = np.random.default_rng(20261125)
    for number, box in enumerate(plan["boxes"]):
        bodies = [mesh for _, mesh in placed(box, meshes)]
        free = [layer for layer in box["layers"] if layer["z_mm"] > alone(plan, number)]
        free = [layer for layer in free if layer["nominal_area_mm2"] > 0]
        for layer in random.choice(free, min(LAYERS_CHECKED, len(free)), replace=False):
            height = layer["z_mm"] + box["layer_thickness_mm"] / 2
            area = 0.0
            for mesh in bodies:
                section = mesh.section(plane_origin=[0, 0, height], plane_normal=[0, 0, 1])
                if section is not None:
                    area += section.to_2D()[0].area
            assert layer["nominal_area_mm2"] == pytest.approx(area, rel=1e-3)


def test_every_core_lies_inside_the_box_with_its_margins(planned):
    plan, meshes = planned
    margins = plan["box"]
    low = np.array([margins["wall_margin_mm"], margins["wall_margin_mm"], margins["floor_margin_mm"]])
    for box in plan["boxes"]:
        high = np.array(box["inner_mm"]) - [low[0], low[1], margins["top_margin_mm"]]
        for _, mesh in placed(box, meshes):
            assert (mesh.bounds[0] >= low - 1e-6).all()
            assert (mesh.bounds[1] <= high + 1e-6).all()


def test_gaps_between_all_pairs_are_kept(planned):
    plan, meshes = planned
    for box in plan["boxes"]:
        bodies = [
            manifold3d.Manifold(
                manifold3d.Mesh64(np.array(mesh.vertices), np.array(mesh.faces, dtype=np.uint64))
            )
            for _, mesh in placed(box, meshes)
        ]
        for first, second in combinations(bodies, 2):
            assert first.min_gap(second, plan["gap_mm"] + 0.5) >= plan["gap_mm"] - 1e-6


def test_every_copy_wanted_is_placed_once(planned):
    plan, _ = planned
    wanted = {core["id"]: core.get("spares", 0) for core in plan["job"]["cores"]}
    for casting_set in plan["job"]["casting_sets"]:
        for member in casting_set["members"]:
            wanted[member["core_id"]] += member["per_set"] * casting_set["count"]
    for loose in plan["job"].get("loose", ()):
        wanted[loose["core_id"]] += loose["count"]
    found = {core_id: [] for core_id in wanted}
    for box in plan["boxes"]:
        for place in box["placements"]:
            found.setdefault(place["core"], []).append(place["copy"])
    assert {core_id: sorted(found[core_id]) for core_id in wanted} == {
        core_id: list(range(count)) for core_id, count in wanted.items()
    }


def test_matrices_are_rigid(planned):
    plan, _ = planned
    for box in plan["boxes"]:
        for place in box["placements"]:
            matrix = np.array(place["matrix"])
            assert np.allclose(matrix[:3, :3] @ matrix[:3, :3].T, np.eye(3), atol=1e-12)
            assert np.linalg.det(matrix[:3, :3]) == pytest.approx(1.0)
            assert matrix[3].tolist() == [0.0, 0.0, 0.0, 1.0]


def test_quantities_follow_the_stated_equations(planned):
    plan, _ = planned
    totals, profiles = plan["totals"], plan["profiles"]
    layers = [layer for box in plan["boxes"] for layer in box["layers"]]
    thickness = profiles["process"]["layer_thickness_mm"]
    density, liquid = profiles["sand"]["bulk_density_g_cm3"], profiles["binder"]["density_g_cm3"]
    additive = profiles["additive"]["additive_on_sand_pct"] / 100
    dose_on_mix = profiles["process"]["binder_on_sand_pct"] / 100 / (1 + additive)

    printed_mm3 = thickness * sum(layer["printed_area_mm2"] for layer in layers)
    assert totals["printed_volume_mm3"] == pytest.approx(printed_mm3, rel=1e-9)
    mix_kg = printed_mm3 * density * 1e-6
    assert totals["printed_sand_kg"] == pytest.approx(mix_kg / (1 + additive), rel=1e-9)
    assert totals["binder_kg"] == pytest.approx(mix_kg * dose_on_mix, rel=1e-9)
    assert totals["binder_l"] == pytest.approx(mix_kg * dose_on_mix / liquid, rel=1e-9)
    assert sum(layer["binder_ml"] for layer in layers) == pytest.approx(1000 * totals["binder_l"], rel=1e-9)

    heights = sum(box["height_mm"] for box in plan["boxes"])
    bed_kg = np.prod(plan["box"]["inner_mm"][:2]) * heights * density * 1e-6
    assert totals["bed_sand_kg"] == pytest.approx(bed_kg / (1 + additive), rel=1e-9)
    assert totals["additive_kg"] == pytest.approx(bed_kg * additive / (1 + additive), rel=1e-9)
    assert totals["layer_count"] == len(layers)


def test_layers_hold_the_volume_of_the_meshes(planned):
    plan, meshes = planned
    core_mm3 = sum(
        meshes[core["id"]].volume * core["copies"] for core in plan["cores"] if core["id"] in meshes
    )
    core_mm3 += sum(core["core_volume_mm3"] * core["copies"] for core in plan["cores"] if core["rides_along"])
    layer_mm3 = sum(
        layer["nominal_area_mm2"] * box["layer_thickness_mm"]
        for box in plan["boxes"]
        for layer in box["layers"]
    )
    assert layer_mm3 == pytest.approx(core_mm3, rel=2e-3)


def test_times_and_costs_add_up(planned):
    plan, _ = planned
    for box in plan["boxes"]:
        warm_up = plan["profiles"]["machine"]["warm_up_s"]
        assert box["build_time_s"] == pytest.approx(
            warm_up + sum(layer["time_s"] for layer in box["layers"]), rel=1e-9
        )
    from decimal import Decimal

    lines = [(line["kind"], Decimal(line["value"])) for line in plan["lines"]["cost"]]
    assert sum(value for _, value in lines) == Decimal(plan["totals"]["price"])
    assert sum(value for kind, value in lines if kind != "margin") == Decimal(plan["totals"]["cost"])
    shares = [Decimal(core["cost"]) for core in plan["sharing"]["cores"]]
    assert sum(shares) == Decimal(plan["totals"]["cost"])
    sets = [Decimal(share["cost"]) for share in plan["sharing"]["casting_sets"]]
    loose = plan["sharing"]["loose"]
    assert sum(sets) + (Decimal(loose["cost"]) if loose else 0) == Decimal(plan["totals"]["cost"])
