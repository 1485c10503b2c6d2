"""Repair, orientation advice and calibration as a user runs them, through the command line."""

import json

import numpy as np
import pytest

from app.cli import BAD_INPUT, OK, run
from tests.allowance.test_calibration import coupons
from tests.mesh.shapes import box_corners, stl_bytes


def corestow(*arguments):
    return run([str(argument) for argument in arguments], lambda job: 1)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "open.stl").write_bytes(stl_bytes(np.delete(box_corners((80, 60, 50)), 3, axis=0)))
    return tmp_path


def test_repair_writes_a_sound_copy_and_says_what_it_did(folder, capsys):
    before = (folder / "open.stl").read_bytes()
    assert corestow("check", "open.stl", "--unit", "mm") == 1
    assert corestow("repair", "open.stl", "mended.stl", "--unit", "mm") == OK
    out = capsys.readouterr().out
    assert "1 holes closed" in out
    assert "240" in out
    assert (folder / "open.stl").read_bytes() == before
    assert corestow("check", "mended.stl", "--unit", "mm") == OK
    assert "no findings" in capsys.readouterr().out
    assert corestow("repair", "open.stl", "mended.stl", "--unit", "mm") == BAD_INPUT
    assert corestow("repair", "open.stl", "mended.obj", "--unit", "mm") == BAD_INPUT
    assert corestow("repair", "open.stl", "more.stl") == BAD_INPUT


def test_orient_ranks_six_sides(folder, capsys):
    (folder / "plate.stl").write_bytes(stl_bytes(box_corners((120, 80, 10))))
    assert corestow("orient", "plate.stl", "--unit", "mm") == OK
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 7
    assert "z down" in lines[1]
    assert corestow("orient", "open.stl", "--unit", "mm") == BAD_INPUT


def test_calibrate_writes_a_dated_profile_revision(folder, capsys):
    rows = ["axis,side,nominal,printed,measured"]
    rows += [
        f"{row.axis},{row.side},{row.nominal_mm},{row.printed_mm},{row.measured_mm}"
        for row in coupons(-0.3, 0.15, 0.01)
    ]
    (folder / "coupons.csv").write_text("\n".join(rows))
    assert corestow("calibrate", "coupons.csv", "--date", "2026-11-25", "--out", "profiles") == OK
    out = capsys.readouterr().out
    assert "scale error" in out
    assert "Cpk" in out
    written = json.loads((folder / "profiles/process/inorganic-printing.2026-11-25.json").read_bytes())
    assert written["scale_error_xy_pct"] == pytest.approx(-0.3, abs=0.05)
    assert written["sources"]["bleed_xy_mm"]["evidence"] == "fitted"
    assert corestow("calibrate", "coupons.csv", "--date", "2026-11-25", "--out", "profiles") == BAD_INPUT
    assert corestow("calibrate", "coupons.csv", "--date", "yesterday") == BAD_INPUT
    assert corestow("calibrate", "nowhere.csv") == BAD_INPUT
