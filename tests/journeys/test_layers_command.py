"""`corestow layers` as a foundry uses it, its files judged by other libraries and plain arithmetic."""

import json

import numpy as np
import pytest
import tifffile
import trimesh
from PIL import Image

from app.cli import run
from corelib.errors import Cancelled
from corelib.job.files import read_job
from corelib.progress import Progress
from corelib.usecases.imaging import layers_to_folder
from corelib.usecases.plans import plan_to_folder


def no_window(_path):
    raise AssertionError("no window was asked for")


def corestow(*arguments):
    return run([str(argument) for argument in arguments], no_window)


def write_job(folder, meshes, **overrides):
    """A job with these meshes (trimesh objects by name) in a small box; returns its path."""
    for name, mesh in meshes.items():
        mesh.export(folder / f"{name}.stl")
    path = folder / "job.json"
    files = [folder / f"{name}.stl" for name in meshes]
    assert corestow("new", path, *files, "--unit", "mm", "--box", "260,180,120", "--gap", "5") == 0
    return restated(path, **overrides)


def restated(path, **overrides):
    document = json.loads(path.read_text(encoding="utf-8"))
    stated = {name.replace("__", "."): value for name, value in overrides.items()}
    document["overrides"] = {**document.get("overrides", {}), **stated}
    path.write_text(json.dumps(document))
    read_job(path)
    return path


def curved_meshes():
    ring = trimesh.creation.torus(major_radius=30, minor_radius=9, major_sections=48, minor_sections=24)
    cone = trimesh.creation.cone(radius=18, height=45, sections=40)
    return {"ring": ring, "cone": cone}


def hourglass(height_mm=75.0):
    """A core wide at foot and head and thin between: most nozzles stand dry through the middle."""
    parts = [
        trimesh.creation.box(bounds=[[0, 0, 0], [60, 120, 6]]),
        trimesh.creation.box(bounds=[[25, 57, 6], [35, 63, height_mm - 6]]),
        trimesh.creation.box(bounds=[[0, 0, height_mm - 6], [60, 120, height_mm]]),
    ]
    return trimesh.boolean.union(parts, engine="manifold")


def pixels_of(path):
    """Count with tifffile's page and Pillow's decoder: 1 jets here."""
    with tifffile.TiffFile(path) as read:
        assert read.pages[0].compression == 4
        shape = read.pages[0].shape
    image = np.array(Image.open(path))
    assert image.shape == shape
    return int(image.sum())


def test_images_give_the_plans_area_and_binder(tmp_path, capsys):
    """The outside script: pixels × pixel area against plan.json, layer by layer, and the binder from it."""
    job = write_job(tmp_path, curved_meshes())
    assert corestow("plan", job, "--out", tmp_path / "plan") == 0
    assert corestow("layers", job, "--out", tmp_path / "images") == 0
    plan = json.loads((tmp_path / "plan" / "plan.json").read_text(encoding="utf-8"))
    index = json.loads((tmp_path / "images" / "index.json").read_text(encoding="utf-8"))
    machine, head = plan["profiles"]["machine"], plan["profiles"]["head"]
    assert machine["image_jet_value"] == 1
    pixel_mm2 = machine["pitch_travel_mm"] * machine["pitch_across_mm"]
    t = plan["profiles"]["process"]["layer_thickness_mm"]
    for box, images in zip(plan["boxes"], index["boxes"], strict=True):
        counted = []
        for layer, image in zip(box["layers"], images["layers"], strict=True):
            pixels = 0 if image["file"] is None else pixels_of(tmp_path / "images" / image["file"])
            counted.append(pixels)
            assert pixels == image["pixels"]
            bound = (machine["pitch_travel_mm"] + machine["pitch_across_mm"]) / 2 * layer["boundary_mm"]
            assert abs(pixels * pixel_mm2 - layer["printed_area_mm2"]) <= bound + 1e-6
        area, printed = np.array(counted) * pixel_mm2, [layer["printed_area_mm2"] for layer in box["layers"]]
        assert area.sum() == pytest.approx(sum(printed), rel=5e-4)
        binder = [layer["binder_ml"] for layer in box["layers"]]
        dose = sum(binder) / sum(printed)  # mL a mm²
        assert (area * dose).sum() == pytest.approx(sum(binder), rel=5e-4)
        drops_ml = np.sum(counted) * machine["grey_level"] * head["drop_volume_pl"] * 1e-9
        assert drops_ml == pytest.approx(images["totals"]["binder_by_drops_ml"], rel=1e-9)
        assert images["totals"]["pixel_volume_mm3"] == pytest.approx(area.sum() * t, rel=1e-9)
    assert "by pixels" in capsys.readouterr().out


def test_the_same_job_gives_the_same_bytes(tmp_path):
    job = write_job(tmp_path, curved_meshes(), machine__image_canvas="printed extent")
    for name in ("one", "two"):
        assert corestow("layers", job, "--out", tmp_path / name, "--format", "png") == 0
    files = sorted(
        path.relative_to(tmp_path / "one") for path in (tmp_path / "one").rglob("*") if path.is_file()
    )
    assert len(files) > 100
    for file in files:
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes()


def idle_findings(folder):
    index = json.loads((folder / "index.json").read_text(encoding="utf-8"))
    return [f for f in index["findings"] if f["code"].startswith("layers.nozzles_idle")], index


def test_a_thin_core_leaves_nozzles_dry_until_a_spit_interval_is_set(tmp_path, capsys):
    job = write_job(
        tmp_path,
        {"hourglass": hourglass()},
        binder__open_time_s=600.0,
        machine__wipe_every_layers=0,
        machine__purge_every_s=0.0,
        machine__wipe_s=12.0,
        machine__wipe_binder_ml=3.0,
    )
    document = json.loads(job.read_text(encoding="utf-8"))
    document["cores"][0]["orientations"] = {"rule": "fixed"}
    job.write_text(json.dumps(document))
    assert corestow("layers", job, "--out", tmp_path / "dry") == 0
    (finding,), index = idle_findings(tmp_path / "dry")
    assert finding["severity"] == "check"
    assert "idle" in capsys.readouterr().out
    nozzles = index["boxes"][0]["nozzles"]
    assert nozzles["at_risk"] > 0.8 * nozzles["used"]
    every = finding["facts"]["every_layers"]
    assert corestow("plan", job, "--out", tmp_path / "before") == 0
    restated(job, machine__wipe_every_layers=every)
    assert corestow("layers", job, "--out", tmp_path / "spat") == 0
    assert idle_findings(tmp_path / "spat")[0] == []
    assert corestow("plan", job, "--out", tmp_path / "after") == 0
    before, after = (
        json.loads((tmp_path / n / "plan.json").read_text(encoding="utf-8")) for n in ("before", "after")
    )
    added_s = after["totals"]["build_time_s"] - before["totals"]["build_time_s"]
    assert added_s == pytest.approx(finding["facts"]["added_s"])
    services = len(before["boxes"][0]["layers"]) // every
    assert finding["facts"]["added_s"] == services * 12.0
    assert finding["facts"]["added_binder_ml"] == services * 3.0


def test_dead_nozzles_are_named_and_spared(tmp_path, capsys):
    job = write_job(tmp_path, {"cone": curved_meshes()["cone"]})
    assert corestow("layers", job, "--out", tmp_path / "whole") == 0
    table = (tmp_path / "whole" / "nozzles.csv").read_text(encoding="utf-8").splitlines()[1:]
    drops = np.array([float(line.split(",")[2]) for line in table])
    worst = int(drops.argmax())
    spared = tmp_path / "spared.json"
    told = tmp_path / "dead"
    assert corestow("layers", job, "--out", told, "--dead", worst, "--spare", spared) == 0
    index = json.loads((told / "index.json").read_text(encoding="utf-8"))
    (hit,) = [f for f in index["findings"] if f["code"] == "layers.dead_nozzle_hits"]
    pixels = drops[worst] / index["drops_a_pixel"]
    assert index["boxes"][0]["nozzles"]["dead_hits"][0]["pixels"] == pixels
    assert hit["facts"]["binder_ml"] == pytest.approx(drops[worst] * index["drop_volume_pl"] * 1e-9, abs=6e-5)
    assert hit["core"] == "cone"
    offset = index["boxes"][0]["nozzles"]["sparing_offset"]
    assert offset["lost_before"] == pixels
    assert offset["lost_after"] <= pixels
    assert corestow("layers", spared, "--out", tmp_path / "again", "--dead", worst) == 0
    again = json.loads((tmp_path / "again" / "index.json").read_text(encoding="utf-8"))
    lost = sum(hit["pixels"] for hit in again["boxes"][0]["nozzles"]["dead_hits"])
    assert lost == index["boxes"][0]["nozzles"]["sparing_shift"]["lost_after"] == 0
    capsys.readouterr()


def test_overlapping_copies_are_a_finding_with_their_layers(tmp_path):
    """A packing by hand with two copies in one another: the sum counts the overlap twice, the images once."""
    job = write_job(tmp_path, {"ring": curved_meshes()["ring"]})
    document = json.loads(job.read_text(encoding="utf-8"))
    document["loose"] = [{"core_id": "ring", "count": 2}]
    job.write_text(json.dumps(document))
    plan_to_folder(job, tmp_path / "plan")
    (box,) = json.loads((tmp_path / "plan" / "plan.json").read_text(encoding="utf-8"))["boxes"]
    one, two = box["placements"]
    two["matrix"] = [list(row) for row in one["matrix"]]
    two["matrix"][0][3] += 3.0
    for place in (one, two):
        del place["orientation_label"]
    document["packing"] = {"placements": [one, two]}
    job.write_text(json.dumps(document))
    layers_to_folder(job, tmp_path / "images")
    index = json.loads((tmp_path / "images" / "index.json").read_text(encoding="utf-8"))
    found = {finding["code"]: finding for finding in index["findings"]}
    (images,) = index["boxes"]
    printed = [layer for layer in images["layers"] if layer["printed_area_mm2"]]
    for code in ("layers.bodies_overlap", "layers.images_disagree"):
        assert printed[0]["layer"] <= found[code]["layers"][0] < found[code]["layers"][1]
    once = sum(layer["pixels"] for layer in printed) * index["canvas"]["pixel_mm2"]
    assert once < 0.8 * sum(layer["printed_area_mm2"] for layer in printed)


def test_bleed_is_drawn_in_and_what_vanishes_is_a_finding(tmp_path):
    """A plate with a fin of 0.25 mm: pixels are those of the drawn-in outline, and the fin is reported."""
    plate = trimesh.creation.box(bounds=[[0, 0, 0], [60, 40, 12]])
    fin = trimesh.creation.box(bounds=[[60, 20, 0], [80, 20.25, 12]])
    job = write_job(
        tmp_path,
        {"plate": trimesh.boolean.union([plate, fin], engine="manifold")},
        process__bleed_xy_mm=0.15,
        process__bleed_z_mm=0.2,
    )
    document = json.loads(job.read_text(encoding="utf-8"))
    document["cores"][0]["orientations"] = {"rule": "fixed"}
    job.write_text(json.dumps(document))
    layers_to_folder(job, tmp_path / "images")
    index = json.loads((tmp_path / "images" / "index.json").read_text(encoding="utf-8"))
    codes = {finding["code"]: finding for finding in index["findings"]}
    t = index["boxes"][0]["thickness_mm"]
    full = [layer for layer in index["boxes"][0]["layers"] if layer["pixels"]]
    assert len(full) == round(12 / t) - round(0.2 / t)  # the bottom stays dry for the bleed depth
    for layer in full:
        assert layer["pixels"] * 0.01 == pytest.approx(59.7 * 39.7, rel=2e-3)
    vanished = codes["layers.vanished"]
    assert vanished["core"] == "plate"
    assert vanished["facts"]["volume_mm3"] == pytest.approx(20 * 0.25 * 12, rel=0.05)
    assert codes["layers.bleed_depth_rest"]["facts"]["rest_mm"] == pytest.approx(0.2 - round(0.2 / t) * t)


def test_a_cancelled_run_leaves_no_index_and_goes_on_later(tmp_path):
    job = write_job(tmp_path, {"cone": curved_meshes()["cone"]})
    out = tmp_path / "images"
    with pytest.raises(Cancelled):
        layers_to_folder(job, out, progress=Progress(lambda share, step, facts: share > 0.6))
    assert not out.exists()
    assert not (tmp_path / "images.partial" / "index.json").exists()
    assert len(list((tmp_path / "images.partial").rglob("*.tif"))) > 20
    resumed = layers_to_folder(job, out)
    assert resumed.resumed > 20
    fresh = layers_to_folder(job, tmp_path / "fresh")
    assert fresh.resumed == 0
    assert (out / "index.json").read_bytes() == (tmp_path / "fresh" / "index.json").read_bytes()
    assert not (tmp_path / "images.partial").exists()


@pytest.mark.parametrize(
    ("overrides", "arguments", "words"),
    [
        ({"machine__pitch_travel_mm": 0.006, "machine__pitch_across_mm": 0.0005}, (), "across"),
        ({"machine__image_origin": None}, (), "image_origin"),
        ({}, ("--format", "bmp"), "bmp"),
        ({}, ("--dead", "1,x"), "--dead"),
        ({}, ("--dead", "999999"), "999999"),
        ({"machine__passes": 3}, (), "passes"),
    ],
)
def test_bad_input_is_one_sentence_and_nothing_is_written(tmp_path, capsys, overrides, arguments, words):
    job = write_job(tmp_path, {"cone": curved_meshes()["cone"]})
    document = json.loads(job.read_text(encoding="utf-8"))
    document["overrides"] = {name.replace("__", "."): value for name, value in overrides.items()}
    job.write_text(json.dumps(document))
    capsys.readouterr()
    assert corestow("layers", job, "--out", tmp_path / "images", *arguments) == 2
    told = capsys.readouterr().err.strip()
    assert words in told
    assert "\n" not in told
    assert not (tmp_path / "images").exists()
