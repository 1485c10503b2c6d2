"""A plan on another kind of processor: equal placements and whole numbers, figures within 1e-9.

numba is told to compile for a generic processor, in a process and a cache of its own. That is the only other
kind that one machine can try; other makes and systems were not tried.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
SAMPLE = ROOT / "sample_jobs" / "pump_housing.json"


def planned(folder, **environment):
    command = [sys.executable, "-m", "app", "plan", str(SAMPLE), "--out", str(folder)]
    stated = {**os.environ, "PYTHONPATH": str(ROOT), **environment}
    done = subprocess.run(command, env=stated, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads((folder / "plan.json").read_text(encoding="utf-8"))


def agree(one, other, where="plan"):
    """Fail where two documents differ: numbers by more than 1e-9 of their size, all else at all."""
    if isinstance(one, dict):
        assert one.keys() == other.keys(), where
        for name, value in one.items():
            agree(value, other[name], f"{where}.{name}")
    elif isinstance(one, list):
        assert len(one) == len(other), where
        for number, value in enumerate(one):
            agree(value, other[number], f"{where}[{number}]")
    elif isinstance(one, float):
        assert other == pytest.approx(one, rel=1e-9, abs=1e-9), where
    else:
        assert one == other, where


def test_a_generic_processor_gives_the_same_plan(tmp_path):
    own = planned(tmp_path / "own")
    generic = planned(
        tmp_path / "generic", NUMBA_CPU_NAME="generic", CORESTOW_CACHE_DIR=str(tmp_path / "cache")
    )
    assert [box["placements"] for box in own["boxes"]] == [box["placements"] for box in generic["boxes"]]
    agree(own, generic)
