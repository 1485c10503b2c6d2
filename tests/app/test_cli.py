"""The command line as a new user meets it: results, exit status, one sentence for each mistake."""

import json
import os
import struct
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from app.cli import BAD_INPUT, HAS_STOP, OK, OWN_FAULT, run

ROOT = Path(__file__).parent.parent.parent
SAMPLE = ROOT / "sample_jobs" / "pump_housing.json"
CUBE = [
    (0, 2, 1), (1, 2, 3), (4, 5, 6), (5, 7, 6), (0, 1, 4), (1, 5, 4),
    (2, 6, 3), (3, 6, 7), (0, 4, 2), (2, 4, 6), (1, 3, 5), (3, 7, 5),
]  # fmt: skip


def no_window(job):
    raise AssertionError("the window was not asked for")


def corestow(*arguments):
    return run([str(argument) for argument in arguments], no_window)


def write_stl(path, size_mm, triangles=12):
    """Write a block as binary STL; fewer triangles leave it open."""
    corners = np.array([[x, y, z] for z in (0, 1) for y in (0, 1) for x in (0, 1)], dtype="<f4") * size_mm
    records = b"".join(
        struct.pack("<3f", 0, 0, 0) + corners[list(face)].astype("<f4").tobytes() + b"\0\0"
        for face in CUBE[:triangles]
    )
    path.write_bytes(b"\0" * 80 + struct.pack("<I", triangles) + records)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    write_stl(tmp_path / "bar.stl", (100, 40, 30))
    return tmp_path


@pytest.fixture
def job(folder):
    assert corestow("new", "job.json", "bar.stl=4", "--unit", "mm", "--box", "300,200,150") == OK
    return folder / "job.json"


def test_new_writes_a_job_that_plan_plans(job, folder, capsys):
    assert corestow("plan", "job.json") == OK
    assert "Layers" in capsys.readouterr().out
    assert {path.name for path in (folder / "job.plan").iterdir()} == {
        "plan.json",
        "run.json",
        "layers.csv",
        "summary.html",
    }
    plan = json.loads((folder / "job.plan" / "plan.json").read_bytes())
    # four bars of 100 × 40 × 30 mm, exactly
    assert sum(layer["nominal_area_mm2"] for layer in plan["boxes"][0]["layers"]) * 0.3 == pytest.approx(
        4 * 120_000, rel=1e-2
    )
    assert plan["job"]["loose"] == [{"core_id": "bar", "count": 4}]


def test_new_takes_all_its_options(folder):
    arguments = ["new", "all.json", "bar.stl=2", "bar.stl", "--unit", "inch", "--box", "9000,9000,9000"]
    arguments += ["--gap", "6.5", "--layer", "0.28", "--binder-on-sand", "1.9"]
    arguments += [
        "--machine",
        "demo-printer-large",
        "--block",
        "Riser=50,50,80,0.2=3",
        "--block",
        "B=1,2,3,0.001",
    ]
    assert corestow(*arguments) == OK
    written = json.loads((folder / "all.json").read_text(encoding="utf-8"))
    assert [core["id"] for core in written["cores"]] == ["bar", "bar-2", "Riser", "B"]
    assert [loose["count"] for loose in written["loose"]] == [2, 1, 3, 1]
    assert written["cores"][0]["mesh"]["unit"] == "inch"
    assert written["gap_mm"] == 6.5
    assert written["box"]["inner_mm"] == [9000, 9000, 9000]
    assert written["profiles"]["machine"] == "demo-printer-large"
    assert written["overrides"] == {"process.layer_thickness_mm": 0.28, "process.binder_on_sand_pct": 1.9}


def test_json_prints_the_plan_alone_and_the_same_bytes_each_time(job, folder, capsysbinary):
    printed = []
    for _ in range(2):
        assert corestow("plan", "job.json", "--json") == OK
        out, err = capsysbinary.readouterr()
        assert err == b""
        printed.append(out)
    assert printed[0] == printed[1] == (folder / "job.plan" / "plan.json").read_bytes()
    assert json.loads(printed[0])["kind"] == "corestow.plan"


def test_plan_leaves_the_job_untouched(job):
    before = job.read_bytes()
    assert corestow("plan", job) == OK
    assert job.read_bytes() == before


def test_a_stop_gives_status_1(job, folder, capsys):
    stated = json.loads(job.read_text(encoding="utf-8"))
    stated["overrides"]["machine.platform_load_kg"] = 1.0
    job.write_text(json.dumps(stated))
    assert corestow("plan", job) == HAS_STOP
    assert corestow("check", job) == HAS_STOP
    assert "STOP" in capsys.readouterr().out


def change(job, **fields):
    stated = json.loads(job.read_text(encoding="utf-8"))
    stated.update(fields)
    job.write_text(json.dumps(stated))


def spoil_mesh(content):
    def act(job):
        (job.parent / "bar.stl").write_bytes(content)

    return act


def with_nan(job):
    write_stl(job.parent / "bar.stl", (100, float("nan"), 30))


BAD_JOBS = {
    "missing mesh": (lambda job: (job.parent / "bar.stl").unlink(), "bar"),
    "empty file": (spoil_mesh(b""), "bar"),
    "truncated STL": (spoil_mesh(b"\0" * 80 + struct.pack("<I", 12) + b"\0" * 90), "bar"),
    "not a mesh": (spoil_mesh(b"%PDF-1.7 this is no mesh at all" * 30), "bar"),
    "NaN vertices": (with_nan, "bar"),
    "open mesh": (lambda job: write_stl(job.parent / "bar.stl", (100, 40, 30), triangles=7), "bar"),
    "core larger than the box": (lambda job: change(job, box={"inner_mm": [90, 90, 90]}), "bar"),
    "negative gap": (lambda job: change(job, gap_mm=-2), "gap_mm"),
    "zero count": (lambda job: change(job, loose=[{"core_id": "bar", "count": 0}]), "count"),
    "unknown profile": (
        lambda job: change(
            job, profiles={**json.loads(job.read_text(encoding="utf-8"))["profiles"], "sand": "beach"}
        ),
        "beach",
    ),
    "newer schema version": (lambda job: change(job, schema_version=99), "newer"),
    "not JSON": (lambda job: job.write_text("{"), "JSON"),
    "another kind": (lambda job: change(job, kind="letter"), "letter"),
    "override out of range": (
        lambda job: change(job, overrides={"sand.bulk_density_g_cm3": -1}),
        "bulk_density",
    ),
    "override unknown": (lambda job: change(job, overrides={"sand.colour": 1}), "colour"),
}


@pytest.mark.parametrize("case", BAD_JOBS)
def test_bad_input_is_one_sentence_with_status_2_and_nothing_written(case, job, folder, capsys):
    spoil, named = BAD_JOBS[case]
    spoil(job)
    capsys.readouterr()
    assert corestow("plan", job) == BAD_INPUT
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    assert len(err.strip().splitlines()) == 1
    assert named in err
    assert not (folder / "job.plan").exists()
    assert [path.name for path in folder.iterdir() if path.name.startswith(".")] == []


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX folders")
def test_an_output_folder_that_cannot_be_made_is_said(job, folder, capsys):
    (folder / "file").write_text("")
    assert corestow("plan", job, "--out", folder / "file" / "out") == BAD_INPUT
    assert "can't be written" in capsys.readouterr().err


def test_an_output_folder_with_other_files_is_left_alone(job, folder, capsys):
    (folder / "mine").mkdir()
    (folder / "mine" / "letter.txt").write_text("dear")
    assert corestow("plan", job, "--out", folder / "mine") == BAD_INPUT
    assert "no output of Corestow" in capsys.readouterr().err
    assert [path.name for path in (folder / "mine").iterdir()] == ["letter.txt"]


@pytest.mark.parametrize(
    "arguments",
    [
        ["plan"],
        ["plan", "none.json"],
        ["paint", "job.json"],
        ["plan", "job.json", "--colour", "red"],
        ["new", "x.json"],
        ["new", "x.json", "none.stl", "--unit", "mm"],
        ["new", "x.json", "bar.stl"],
        ["new", "x.json", "bar.stl", "--unit", "furlong"],
        ["new", "x.json", "bar.stl=0", "--unit", "mm"],
        ["new", "x.json", "bar.stl=x", "--unit", "mm"],
        ["new", "x.json", "bar.stl", "--unit", "mm", "--gap", "nan"],
        ["new", "x.json", "bar.stl", "--unit", "mm", "--gap", "-1"],
        ["new", "x.json", "bar.stl", "--unit", "mm", "--box", "1,2"],
        ["new", "x.json", "bar.stl", "--unit", "mm", "--box", "1,2,x"],
        ["new", "x.json", "bar.stl", "--unit", "mm", "--machine", "dream"],
        ["new", "x.json", "bar.stl", "--unit", "mm", "--block", "A"],
        ["new", "x.json", "bar.stl", "--unit", "mm", "--layer", "0"],
        ["new", "job.json", "bar.stl", "--unit", "mm"],
        ["new", "x.json", "notes.txt"],
        ["check"],
        ["check", "notes.txt"],
        ["check", "bar.stl"],
        ["check", "bar.stl", "--unit", "furlong"],
    ],
    ids=" ".join,
)
def test_wrong_usage_is_one_sentence_with_status_2(arguments, job, folder, capsys):
    (folder / "notes.txt").write_text("notes")
    capsys.readouterr()
    assert corestow(*arguments) == BAD_INPUT
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in err
    assert not (folder / "x.json").exists()


def test_a_fault_of_our_own_is_status_3_and_names_the_log(job, monkeypatch, capsys, tmp_path):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr("corelib.usecases.plans.build_plan", lambda *_, **__: 1 / 0)
    assert corestow("plan", job) == OWN_FAULT
    err = capsys.readouterr().err
    assert "ZeroDivisionError" in err
    assert "Log: " in err
    assert "Traceback" not in err
    assert "Traceback" in Path(err.rpartition("Log: ")[2].strip()).read_text(encoding="utf-8")


def test_check_names_an_open_mesh(folder, capsys):
    write_stl(folder / "open.stl", (100, 40, 30), triangles=11)
    status = corestow("check", "open.stl", "--unit", "mm")
    out, err = capsys.readouterr()
    assert status in (HAS_STOP, BAD_INPUT)
    assert "open" in out + err


def test_check_is_silent_about_sound_meshes(folder, capsys):
    assert corestow("check", "bar.stl", "--unit", "mm") == OK
    assert "no findings" in capsys.readouterr().out


def test_without_arguments_the_window_opens():
    asked = []
    assert run([], lambda job: asked.append(job) or 7) == 7
    assert run(["open", "job.json"], lambda job: asked.append(job) or 7) == 7
    assert asked == [None, Path("job.json")]


def test_licences_hold_our_own_and_qts(capsys):
    assert corestow("licences") == OK
    out = capsys.readouterr().out
    assert "MIT License" in out
    assert "PySide6" in out


def test_plan_imports_neither_qt_nor_a_3d_library(tmp_path):
    """In a process of its own, with Qt and VTK made impossible to import."""
    script = (
        "import sys\n"
        "for name in ('PySide6', 'vtk', 'vtkmodules', 'pyqtgraph'):\n"
        "    sys.modules[name] = None\n"
        "from app.__main__ import main\n"
        "if __name__ == '__main__':\n"
        f"    sys.exit(main(['plan', {str(SAMPLE)!r}, '--out', {str(tmp_path / 'out')!r}]))\n"
    )
    path = tmp_path / "plan.py"
    path.write_text(script)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, path], capture_output=True, text=True, env=environment, check=False
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "plan.json").exists()


def test_the_window_says_what_is_missing_where_qt_cannot_load(tmp_path):
    script = (
        "import sys\n"
        "sys.modules['PySide6'] = None\n"
        "from app.__main__ import main\n"
        "if __name__ == '__main__':\n"
        "    sys.exit(main([]))\n"
    )
    path = tmp_path / "open.py"
    path.write_text(script)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, path], capture_output=True, text=True, env=environment, check=False
    )
    assert done.returncode == BAD_INPUT
    assert "The window can't be opened" in done.stderr
    assert "Traceback" not in done.stderr
