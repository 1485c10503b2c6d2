"""`corestow sheets` and `corestow compare --out` from the command line: files, exit status, one sentence."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from app.cli import BAD_INPUT, OK, run
from corelib.usecases.plans import plan_to_folder

SAMPLES = Path(__file__).parents[2] / "sample_jobs"


def no_window(_: Path | None) -> int:
    raise AssertionError("the window was not asked for")


def corestow(*arguments: object) -> int:
    return run([str(argument) for argument in arguments], no_window)


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("cli_sheets")
    shutil.copytree(SAMPLES / "meshes", folder / "meshes")
    shutil.copy(SAMPLES / "motor_cooling_jacket.json", folder)
    plan_to_folder(folder / "motor_cooling_jacket.json")
    return folder / "motor_cooling_jacket.json"


def test_sheets_of_a_plan_with_the_foundrys_own_letterhead(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CORESTOW_CONFIG_DIR", str(tmp_path))
    letterhead = {"name": "Lindwerk Castings", "address": ["12 Foundry Lane"]}
    (tmp_path / "letterhead.json").write_text(json.dumps(letterhead), encoding="utf-8")
    plan = job.with_suffix(".plan") / "plan.json"
    out = tmp_path / "out"
    assert corestow("sheets", plan, "--out", out, "--only", "labels,3mf", "--paper", "Letter") == OK
    assert {path.name for path in out.iterdir()} == {"core-labels.pdf", "box-1.3mf", "index.json"}
    assert "core-labels.pdf" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--only", "everything"], "no sheet everything"),
        (["--layer", "1,x"], "--layer"),
        (["--paper", "A3"], "A3"),
    ],
)
def test_a_mistake_is_one_sentence(
    job: Path, tmp_path: Path, arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = job.with_suffix(".plan")
    assert corestow("sheets", plan, "--out", tmp_path / "out", *arguments) == BAD_INPUT
    error = capsys.readouterr().err
    assert words in error and "Traceback" not in error
    assert not (tmp_path / "out").exists()


def test_a_missing_file_is_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert corestow("sheets", tmp_path / "none.json", "--out", tmp_path / "out") == BAD_INPUT
    assert "There is no file" in capsys.readouterr().err


def test_a_comparison_is_written_as_pdf(job: Path, tmp_path: Path) -> None:
    plan = job.with_suffix(".plan")
    assert corestow("compare", plan, plan, "--out", tmp_path / "both.pdf") == OK
    assert (tmp_path / "both.pdf").read_bytes().startswith(b"%PDF-")
