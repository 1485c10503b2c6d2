"""The process sheet and the measuring routes from the command line."""

import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from app.cli import BAD_INPUT, HAS_STOP, OK, run
from corelib.checks.process_droplets import temperature_band_c
from corelib.job.files import read_job
from corelib.job.operating_point import operating_point, profile_ids
from corelib.job.profiles import PROFILE_KINDS
from corelib.usecases.process import point_of, process_of, read_settings

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "pump_housing.json"


def corestow(*arguments):
    return run([str(argument) for argument in arguments], lambda job: 99)


@pytest.mark.parametrize("kind", sorted(PROFILE_KINDS))
def test_sheet_of_every_shipped_profile(kind, capsys):
    for profile_id in profile_ids(kind):
        assert corestow("process", f"{kind}/{profile_id}") == OK
        printed = capsys.readouterr().out
        assert f"{kind} {profile_id}" in printed
        assert "None" not in printed and "nan" not in printed.split("FINDINGS")[0]


def test_a_cold_nozzle_leaves_the_window_and_says_where(capsys):
    name = "alkali-silicate-characterised"
    assert corestow("process", name) == OK
    assert "Z =" not in capsys.readouterr().out.split("FINDINGS")[1]
    assert corestow("process", name, "--set", "head.nozzle_temperature_c=12") == OK
    findings = capsys.readouterr().out.split("FINDINGS")[1]
    low, _ = temperature_band_c(point_of(name))
    assert f"The edge lies at {low:.1f} °C" in findings


def test_sheet_of_a_job_holds_its_cores_in_the_melt(capsys):
    assert corestow("process", SAMPLE, "--json") == OK
    document = json.loads(capsys.readouterr().out)
    lifts = {entry["core"]: entry for entry in document["core_lifts"]}
    assert set(lifts) == {"volute_passage", "inlet_elbow", "bearing_jacket"}
    for entry in lifts.values():
        assert entry["wetted_is_bound"]
        displaced_kg = entry["gross_lift_n"] / 9.80665
        assert entry["net_lift_n"] == pytest.approx(entry["gross_lift_n"] - entry["weight_n"], rel=1e-9)
        assert 0.1 < displaced_kg < 20
    assert document["kind"] == "corestow.process_sheet"


def test_same_sheet_same_bytes():
    first, second = (process_of("demo-head").json_bytes for _ in range(2))
    assert first == second


def test_chart_is_svg_with_the_operating_point(tmp_path, capsys):
    chart = tmp_path / "window.svg"
    assert corestow("process", "alkali-silicate-characterised", "--chart", chart, "--language", "de") == OK
    root = ElementTree.fromstring(chart.read_text(encoding="utf-8"))
    texts = {element.text for element in root.iter("{http://www.w3.org/2000/svg}text")}
    assert "Betriebspunkt" in texts and "50 °C" in texts
    (point,) = [c for c in root.iter("{http://www.w3.org/2000/svg}circle") if c.get("r") == "6"]
    (outline,) = root.iter("{http://www.w3.org/2000/svg}polygon")
    corners = [tuple(float(v) for v in pair.split(",")) for pair in outline.get("points").split()]
    assert is_inside(float(point.get("cx")), float(point.get("cy")), corners)
    cold = tmp_path / "cold.svg"
    name = "alkali-silicate-characterised"
    corestow("process", name, "--chart", cold, "--set", "head.nozzle_temperature_c=11")
    root = ElementTree.fromstring(cold.read_text(encoding="utf-8"))
    (point,) = [c for c in root.iter("{http://www.w3.org/2000/svg}circle") if c.get("r") == "6"]
    assert not is_inside(float(point.get("cx")), float(point.get("cy")), corners)


def is_inside(x, y, corners):
    """Even-odd rule, by hand."""
    inside = False
    for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            inside = not inside
    return inside


def test_a_stop_sets_the_exit_status(capsys):
    assert corestow("process", "quartz-sand", "--set", "sand.bulk_density_g_cm3=2.7") == HAS_STOP


BAD = [
    (("process", "nothing"), "There is no profile or file nothing"),
    (("process", "binder/demo-head"), "There is no profile or file"),
    (("process", "missing.json"), "There is no file missing.json"),
    (("process", "quartz-sand", "--set", "sand.bulk_density_g_cm3"), "FIELD=VALUE"),
    (("process", "quartz-sand", "--set", "sand.bulk_density_g_cm3=heavy"), "> 0.05, ≤ 25 (unit: g/cm³)"),
    (("process", "quartz-sand", "--chart", "x.svg"), "no droplet window to draw"),
    (("measure", "colour", "demo-head"), "no measuring route colour"),
    (("measure", "drop_volume", "quartz-sand"), "no head profile quartz-sand"),
    (("measure", "drop_volume", "demo-head", "purged_g=x"), "NAME=VALUE"),
    (("measure", "drop_volume", "demo-head", "purged_g=1"), "needs nozzles"),
]


@pytest.mark.parametrize(("arguments", "said"), BAD)
def test_bad_input_is_one_sentence(arguments, said, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert corestow(*arguments) == BAD_INPUT
    error = capsys.readouterr().err
    assert said in error and "Traceback" not in error and error.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_a_json_file_of_another_kind_is_refused(tmp_path, capsys):
    path = tmp_path / "plan.json"
    path.write_text('{"kind": "corestow.plan"}', encoding="utf-8")
    assert corestow("process", path) == BAD_INPUT
    assert "neither a job file nor a profile file" in capsys.readouterr().err
    path.write_text("{", encoding="utf-8")
    assert corestow("process", path) == BAD_INPUT
    assert capsys.readouterr().err.count("\n") == 1


def test_a_measured_revision_is_used_by_name_and_by_file(tmp_path, capsys):
    readings = ["purged_g=0.0876,0.0881,0.0872", "nozzles=2560", "pulses=390", "binder_density_g_cm3=1.29"]
    status = corestow(
        "measure", "drop_volume", "demo-head", *readings, "--out", tmp_path, "--date", "2026-03-31"
    )
    assert status == OK
    path = Path(capsys.readouterr().out.strip())
    assert path == tmp_path / "head" / "demo-head.2026-03-31.json"
    for name in (["head/demo-head.2026-03-31", "--profiles", tmp_path], [path]):
        assert corestow("process", *name) == OK
        assert "measured; weighed purge of counted drops" in capsys.readouterr().out


def test_forms_are_printed_without_a_profile(capsys):
    for language in ("en", "de"):
        assert corestow("measure", "--language", language) == OK
        printed = capsys.readouterr().out
        for route in ("drop_volume", "bed_density", "oven_efficiency", "unpacking", "open_time"):
            assert route in printed
    assert corestow("measure", "open_time") == OK
    assert "idle_s (s, 1 to 100000" in capsys.readouterr().out


def test_sensitivity_of_a_profile(capsys):
    assert corestow("process", "quartz-sand", "--sensitivity") == OK
    assert "sand.bulk_density_g_cm3" in capsys.readouterr().out


def test_settings_are_json_or_text():
    assert read_settings(["a.b=1.5", "c.d=x", "e.f=[1, 2]", "g.h=null"]) == {
        "a.b": 1.5,
        "c.d": "x",
        "e.f": [1, 2],
        "g.h": None,
    }


def test_a_revision_measured_beside_a_job_is_found_by_it(tmp_path, monkeypatch, capsys):
    """`corestow measure` writes to profiles/ in the current folder; a job there names the revision."""
    monkeypatch.chdir(tmp_path)
    readings = ["idle_s=30,60,120", "missing_nozzles=0,0,4"]
    for day in ("2026-03-31", "2026-06-30"):
        previous = "alkali-silicate" if day == "2026-03-31" else "alkali-silicate.2026-03-31"
        assert corestow("measure", "open_time", previous, *readings, "--date", day) == OK
    job = json.loads(SAMPLE.read_text(encoding="utf-8"))
    job["profiles"]["binder"] = "alkali-silicate.2026-06-30"
    (tmp_path / "job.json").write_text(json.dumps(job), encoding="utf-8")
    assert operating_point(read_job(tmp_path / "job.json"), tmp_path).binder.open_time_s == 60.0
