"""A layer looked at closely: its outlines, pixels and nozzles against the plan's own figures."""

from __future__ import annotations

import json

import numpy as np
import pytest

from corelib.errors import InputError
from corelib.job.new import NewJob
from corelib.layers.nozzle_states import LATE, PRINTS
from corelib.progress import Progress
from corelib.usecases.jobs import write_new_job
from corelib.usecases.looking import COVERAGE_PIXELS, run_look
from corelib.usecases.plans import run_plan


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A planned job of three full blocks with a bleed of 0.2 mm: plan document and look request."""
    folder = tmp_path_factory.mktemp("job")
    path = folder / "blocks.json"
    write_new_job(path, NewJob(meshes=(), blocks=("Plate=120,80,12,0.2=2", "Bar=150,20,20,0.05=1")))
    job = json.loads(path.read_bytes())
    for core in job["cores"]:
        block = core["block"]
        core["block"] = {"size_mm": block["size_mm"], "volume_mm3": float(np.prod(block["size_mm"]))}
    job["overrides"] = {"process.bleed_xy_mm": 0.2}
    path.write_text(json.dumps(job), encoding="utf-8")
    answer = run_plan({"job": str(path), "folder": str(folder)}, Progress())
    document = json.loads((folder / "plan.json").read_bytes())
    return document, {**answer, "folder": str(folder), "box": 0}


def look(planned, work, layer=20):
    """Return the arrays that a look leaves, by name."""
    answer = run_look({**planned[1], "work": work, "layer": layer}, Progress())
    with np.load(answer[work]) as arrays:
        return {name: arrays[name] for name in arrays.files}, answer


def area_mm2(points, starts):
    """Return the area within closed outlines, by the shoelace formula."""
    rings = np.split(points, starts[1:])
    return sum(
        0.5 * float(np.sum(r[:, 0] * np.roll(r[:, 1], -1) - np.roll(r[:, 0], -1) * r[:, 1])) for r in rings
    )


def test_the_outlines_enclose_the_printed_area_of_the_plan(planned):
    layers = planned[0]["boxes"][0]["layers"]
    arrays, answer = look(planned, "outlines")
    assert area_mm2(arrays["points"], arrays["starts"]) == pytest.approx(
        layers[20]["printed_area_mm2"], rel=1e-9
    )
    assert layers[20]["printed_area_mm2"] < layers[20]["nominal_area_mm2"]  # drawn in by the bleed
    assert len(answer["cores"]) == len(arrays["starts"]) and set(answer["cores"]) == {"Plate", "Bar"}


def test_the_pixels_are_those_of_the_outlines_and_every_drop_has_its_nozzle(planned):
    layer = planned[0]["boxes"][0]["layers"][20]
    arrays, _ = look(planned, "pixels")
    along_mm, across_mm, columns, rows, _ = arrays["grid"]
    on = np.unpackbits(arrays["bits"], axis=1)
    assert on.sum() == arrays["pixels"][0] == arrays["drops"].sum()
    bound_mm2 = 0.5 * (along_mm + across_mm) * layer["boundary_mm"]
    assert abs(on.sum() * along_mm * across_mm - layer["printed_area_mm2"]) <= bound_mm2
    first, end, left, right = arrays["window"]
    assert 0 <= first < end <= rows and 0 <= left < right <= columns + 7
    cells = arrays["coverage"].astype(float).sum() / 255 * COVERAGE_PIXELS**2
    assert cells == pytest.approx(on.sum(), rel=0.01)
    for start, stop, across, *_ in arrays["strokes"]:
        assert 0 <= min(start, stop) < max(start, stop) <= columns * along_mm + 1e-9
        assert 0 <= across <= rows * across_mm


def test_nozzles_over_the_box_agree_with_a_single_layer(planned):
    one, _ = look(planned, "pixels")
    all_layers, _ = look(planned, "nozzles")
    layers = planned[0]["boxes"][0]["layers"]
    prints = np.isin(all_layers["state"], (PRINTS, LATE))
    assert all_layers["state"].shape == (len(layers), len(one["drops"]))
    assert np.array_equal(prints[20], one["drops"] > 0)
    assert np.array_equal(all_layers["printing"], prints.sum(axis=1))
    assert all_layers["strokes"][20] == len(one["strokes"])
    assert (all_layers["longest_s"] >= 0).all()


def test_an_empty_layer_has_nothing(planned):
    arrays, answer = look(planned, "outlines", layer=0)
    assert len(arrays["points"]) == 0 and answer["cores"] == []
    arrays, _ = look(planned, "pixels", layer=0)
    assert arrays["pixels"][0] == 0 and arrays["bits"].size == 0


def test_what_a_profile_leaves_open_is_named(planned, tmp_path):
    document = json.loads(json.dumps(planned[0]))
    document["profiles"]["head"]["nozzle_count"] = None
    plan = tmp_path / "plan.json"
    plan.write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        run_look({**planned[1], "plan": str(plan), "work": "pixels", "layer": 20}, Progress())
    assert "head.nozzle_count" in str(refused.value.facts)
