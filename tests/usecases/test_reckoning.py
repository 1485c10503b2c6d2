"""What a change moves, and prices of quantities, as a child reckons them; against plain arithmetic."""

from __future__ import annotations

import json
import shutil

import numpy as np
import pypdf
import pytest

from corelib.comparison import moved_figures
from corelib.errors import InputError
from corelib.job.new import NewJob
from corelib.progress import Progress
from corelib.usecases.jobs import write_new_job
from corelib.usecases.plans import plan_to_folder, run_plan
from corelib.usecases.reckoning import run_reckoning


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A planned job of blocks in one casting set with a core box beside: path, job, plan."""
    folder = tmp_path_factory.mktemp("job")
    path = folder / "blocks.json"
    write_new_job(path, NewJob(meshes=(), blocks=("Plate=120,80,12,0.1=2",)))
    job = json.loads(path.read_bytes())
    core = job["cores"][0]["id"]
    job["loose"] = []
    job["casting_sets"] = [
        {"id": "set", "name": "Set", "count": 2, "members": [{"core_id": core, "per_set": 1}]}
    ]
    band = {"low": "900", "likely": "1000", "high": "1100"}
    each = {"low": "9", "likely": "10", "high": "11"}
    job["quotation"] = {"conventional": {"tooling": band, "per_set": each}}
    path.write_text(json.dumps(job), encoding="utf-8")
    run_plan({"job": str(path), "folder": str(folder)}, Progress())
    return path, job, json.loads((folder / "plan.json").read_bytes())


def change(planned, tmp_path, **fields):
    """Return the plan that a change of the job leads to."""
    path, job, plan = planned
    places = [
        {name: value for name, value in place.items() if name != "orientation_label"}
        for box in plan["boxes"]
        for place in box["placements"]
    ]
    request = {"work": "change", "job": str(path), "folder": str(tmp_path), "packing": places}
    answer = run_reckoning({**request, "document": {**job, **fields}}, Progress())
    return json.loads((tmp_path / "changed.json").read_bytes()), answer


def test_a_rate_moves_what_it_is_part_of_and_nothing_else(planned, tmp_path):
    plan = planned[2]
    rate = float(plan["profiles"]["rates"]["sand_per_kg"])
    after, _ = change(planned, tmp_path, overrides={"rates.sand_per_kg": 2 * rate})
    rows = {(row.group, row.code): row for row in moved_figures(plan, after)}
    sand = rows["cost", "sand"]
    assert sand.after == pytest.approx(2 * sand.before, abs=0.011)  # each rounded to a cent
    assert ("inputs", "rates.sand_per_kg") in rows
    assert rows["totals", "cost"].difference > sand.difference - 0.01  # surcharges come on top
    assert not any(group == "time" for group, _ in rows)
    assert ("totals", "build_time_s") not in rows and ("cost", "machine") not in rows
    assert not after["packed_anew"]


def test_more_castings_are_packed_anew(planned, tmp_path):
    more = [{**planned[1]["casting_sets"][0], "count": 4}]
    after, _ = change(planned, tmp_path, casting_sets=more)
    rows = {(row.group, row.code): row for row in moved_figures(planned[2], after)}
    assert (rows["inputs", "casting_sets.set"].before, rows["inputs", "casting_sets.set"].after) == (2, 4)
    assert after["packed_anew"] and rows["totals", "binder_kg"].difference > 0


def test_nothing_moves_without_a_change(planned, tmp_path):
    after, _ = change(planned, tmp_path)
    assert moved_figures(planned[2], after) == ()


def test_quantities_are_quoted_with_the_crossing(planned):
    path, job, _ = planned
    heard = []

    def listen(share, step, facts):
        heard.append((share, facts))
        return False

    answer = run_reckoning(
        {"work": "quote", "job": str(path), "document": job, "sets": "1,4"}, Progress(listen)
    )
    found = [facts["found"] for _, facts in heard if "found" in facts]
    assert [(one["stage"], one["sets"]) for one in found] == [
        ("first", 1), ("first", 4), ("packed", 1), ("packed", 4),
    ]  # fmt: skip
    assert all(one["low"] <= float(one["price"]) <= one["high"] for one in found)
    shares = [share for share, _ in heard]
    assert shares == sorted(shares)
    quantities = answer["quotation"]["quantities"]
    assert [quantity["sets"] for quantity in quantities] == [1, 4]
    assert float(quantities[1]["unit_price"]) <= float(quantities[0]["unit_price"])
    crossing = answer["quotation"]["break_even"]
    assert crossing["curves"][0]["conventional_likely"] == pytest.approx(1010.0)  # 1000 once and 10 a set


def test_what_is_no_quantity_is_refused(planned):
    path, job, _ = planned
    with pytest.raises(InputError):
        run_reckoning({"work": "quote", "job": str(path), "document": job, "sets": "1,x"}, Progress())


def test_meshes_of_a_plan_on_disk_are_found_or_named(planned, tmp_path):
    path, job, _ = planned
    home = tmp_path / "home"
    home.mkdir()
    own = home / "blocks.json"
    shutil.copy(path, own)
    plan_to_folder(own)
    core = job["cores"][0]["id"]
    request = {"work": "display", "plan": str(home / "blocks.plan"), "folder": str(tmp_path / "meshes")}
    answer = run_reckoning(request, Progress())
    assert answer["missing"] == []
    vertices = np.load(tmp_path / "meshes" / f"{core}.vertices.npy")
    assert np.ptp(vertices, axis=0).tolist() == [120.0, 80.0, 12.0]


def test_a_comparison_is_written_with_the_choice_among_its_plans(planned, tmp_path):
    choice = {"plan": "low", "by": "A. Planner", "date": "2026-11-27", "reason": "lowest < highest"}
    request = {"work": "comparison", "plans": [planned[2]] * 2, "language": "en", "choice": choice}
    for names, says in ((["low", "high"], True), (["one", "other"], False)):
        path = tmp_path / f"{names[0]}.pdf"
        run_reckoning({**request, "names": names, "path": str(path)}, Progress())
        text = " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
        assert ("Reason: lowest < highest" in text) is says
