"""The way to the window: where Qt can't be loaded, one sentence and no child that stays."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
SCRIPT = """
import sys
from multiprocessing import active_children

if __name__ == "__main__":
    sys.modules["PySide6"] = None
    from app.cli import run
    from app.window import open_window

    status = run(["open", "job.json"], open_window)
    print(status, len(active_children()))
"""


def test_without_qt_a_sentence_is_said_and_the_child_that_was_begun_ends(tmp_path: Path) -> None:
    script = tmp_path / "open.py"
    script.write_text(SCRIPT, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_STATE_HOME": str(tmp_path)}
    call = [sys.executable, str(script)]
    ended = subprocess.run(call, env=environment, cwd=tmp_path, capture_output=True, text=True, timeout=300)
    assert ended.returncode == 0, ended.stderr
    assert ended.stdout.split() == ["2", "0"]
    assert "PySide6" in ended.stderr and "Traceback" not in ended.stderr


def test_children_load_no_qt_through_the_entry() -> None:
    """A child that is spawned runs the program's main module again, under another name, and its entry."""
    code = (
        "import runpy, sys\n"
        "runpy.run_module('app', run_name='__mp_main__')\n"
        "import app.runner\n"
        "print([name for name in ('PySide6', 'vtkmodules', 'pyqtgraph', 'numba') if name in sys.modules])"
    )
    call = [sys.executable, "-c", code]
    ended = subprocess.run(call, cwd=ROOT, capture_output=True, text=True, timeout=300)
    assert ended.stdout.strip() == "[]", ended.stderr
