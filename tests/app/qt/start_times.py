"""Measures what a user waits for: start to a usable window, and the sample opened and planned.

    QT_QPA_PLATFORM=offscreen python -m tests.app.qt.start_times [JOB.json] [--times 3]

Each figure is taken in a process of its own, from before the interpreter starts until the window has been
painted and an event that was sent to it has been answered; for the job, until its plan is painted. Kernels
have to be compiled (`corestow warm`), other work on the machine makes the figures worse.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[3]
SAMPLE = ROOT / "sample_jobs" / "pump_housing.json"
MOST_USABLE_S, MOST_PLANNED_S = 2.5, 5.0
LIMIT_S = 120.0
SCRIPT = """
import sys, threading, time
from pathlib import Path

def look():
    from PySide6.QtWidgets import QApplication
    from app.qt.main_window import MainWindow

    window = next((w for w in QApplication.topLevelWidgets() if isinstance(w, MainWindow)), None)
    if window is None or not window.isVisible():
        return
    if wants_plan and (window.document.plan is None or window.plan_worker.is_busy):
        return
    timers.pop().stop()
    window.repaint()
    QTimer.singleShot(0, lambda: answer(window))

def answer(window):
    print("%.3f" % (time.time() - begun_s), flush=True)
    window.close()

def begin():
    timer = QTimer()
    timers.append(timer)
    timer.timeout.connect(look)
    timer.start(10)

def wait_for_qt():
    global QTimer
    while (qt := sys.modules.get("app.qt.main_window")) is None or not hasattr(qt, "MainWindow"):
        time.sleep(0.01)
    from PySide6.QtCore import QCoreApplication, QTimer

    while QCoreApplication.instance() is None:
        time.sleep(0.01)
    QTimer.singleShot(0, QCoreApplication.instance(), begin)

if __name__ == "__main__":  # children import this file again: they are to load no more than they would
    begun_s, wants_plan, timers = float(sys.argv[1]), len(sys.argv) > 2, []
    from app.window import open_window

    threading.Thread(target=wait_for_qt, daemon=True).start()
    sys.exit(open_window(Path(sys.argv[2]) if wants_plan else None))
"""


def seconds(folder: Path, job: Path | None) -> float:
    """Return how long one start took."""
    script = folder / "start.py"
    script.write_text(SCRIPT, encoding="utf-8")
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "CORESTOW_CONFIG_DIR": str(folder / "config"),
        "XDG_STATE_HOME": str(folder / "state"),
    }
    call = [sys.executable, str(script), f"{time.time():.6f}", *([] if job is None else [str(job)])]
    run = subprocess.run(
        call, env=environment, cwd=folder, capture_output=True, text=True, timeout=LIMIT_S, check=True
    )
    return float(run.stdout.split()[0])


def main() -> int:
    """Print the figures; returns 1 if one is over its limit."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("job", type=Path, nargs="?", default=SAMPLE)
    parser.add_argument("--times", type=int, default=3)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(asked.job.parent, folder / "jobs", ignore=shutil.ignore_patterns("*.plan"))
        job = folder / "jobs" / asked.job.name
        usable = [seconds(folder, None) for _ in range(asked.times)]
        planned = [seconds(folder, job) for _ in range(asked.times)]
    figures = (("usable window, no job", usable, MOST_USABLE_S), ("job planned", planned, MOST_PLANNED_S))
    for what, taken, most in figures:
        each = ", ".join(f"{one:.2f}" for one in taken)
        print(f"{what}: {statistics.median(taken):.2f} s (of {each}); wanted under {most} s")
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    print(f"{os.cpu_count()} cores, load {load:.1f} by the end")
    return 1 if any(statistics.median(taken) >= most for _, taken, most in figures) else 0


if __name__ == "__main__":
    sys.exit(main())
