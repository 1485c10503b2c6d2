"""Getting ready: once planning is prepared, the first plan loads next to nothing more of the library."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
SCRIPT = """
import sys
from multiprocessing import active_children
from pathlib import Path
from corelib.usecases.warming import prepare_planning

if __name__ == "__main__":
    prepare_planning()
    ready, readers = set(sys.modules), {child.pid for child in active_children()}
    from corelib.progress import SILENT
    from corelib.usecases.plans import run_plan

    run_plan({"job": sys.argv[1], "folder": sys.argv[2]}, SILENT)
    assert {child.pid for child in active_children()} == readers and len(readers) == 2, readers
    print(*sorted(name for name in set(sys.modules) - ready if name.startswith("corelib.")))
"""


def test_nothing_with_kernels_is_loaded_after_it_and_the_readers_stand_by(tmp_path: Path) -> None:
    """A kernel's load costs a hundredth of a second; modules without one may come when they are needed."""
    script = tmp_path / "prepared.py"
    script.write_text(SCRIPT, encoding="utf-8")
    sample = ROOT / "sample_jobs" / "pump_housing.json"
    run = subprocess.run(
        [sys.executable, str(script), str(sample), str(tmp_path)], cwd=ROOT, capture_output=True, text=True
    )
    assert run.returncode == 0, run.stderr
    sources = {name: ROOT.joinpath(*name.split(".")).with_suffix(".py") for name in run.stdout.split()}
    late = [
        name for name, path in sources.items() if path.is_file() and "@kernel(" in path.read_text("utf-8")
    ]
    assert late == []
