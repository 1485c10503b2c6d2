"""The program as it is started: one process, a real job of the samples, its window closed again."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
SCRIPT = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app.qt import start
from app.qt.main_window import MainWindow

def look():
    window = next(w for w in QApplication.topLevelWidgets() if isinstance(w, MainWindow))
    if window.plan_worker.is_busy or window.document.job is None:
        return
    timer.stop()
    plan = window.document.plan
    print("boxes", 0 if plan is None else len(plan.boxes), window.notice.text)
    window.close()

if __name__ == "__main__":
    application = QApplication([])
    timer = QTimer()
    timer.timeout.connect(look)
    timer.start(100)
    sys.exit(start.run(Path(sys.argv[1])))
"""


def test_a_block_job_is_opened_planned_and_closed(tmp_path: Path) -> None:
    """Through the real use cases in the real child, from the command's own new job."""
    environment = {
        **os.environ,
        "QT_QPA_PLATFORM": "offscreen",
        "CORESTOW_CONFIG_DIR": str(tmp_path / "config"),
        "XDG_STATE_HOME": str(tmp_path / "state"),
    }
    job = tmp_path / "blocks.json"
    new = [sys.executable, "-m", "app", "new", str(job), "--block", "Plate=100,60,20,0.15=2"]
    subprocess.run(new, cwd=ROOT, env=environment, check=True, capture_output=True, timeout=300)
    script = tmp_path / "look.py"
    script.write_text(SCRIPT, encoding="utf-8")
    run = subprocess.run(
        [sys.executable, str(script), str(job)],
        cwd=ROOT,
        env={**environment, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=900,  # kernels may have to be compiled, on a machine that is busy
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout.strip() == "boxes 1"
