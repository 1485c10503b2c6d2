"""An invented close look for tests of the window: the invented plan's outlines, and a checkered image."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from corelib.progress import Progress
from corelib.usecases.outlines import run_outline

PITCH_MM = 0.5
NOZZLES, ROWS, COLUMNS = 100, 400, 600
LAYERS = 43
OPEN_TIME_S = 60.0


def run_look(request: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Leave what is asked, as `corelib.usecases.looking` does."""
    folder = Path(request["folder"])
    if request["work"] == "outlines":
        apart = folder / "look"  # the child that draws outlines writes files of the same names
        apart.mkdir(exist_ok=True)
        own = run_outline({**request, "folder": str(apart)}, progress)
        path = folder / "look.outlines.npz"
        np.savez(path, points=np.load(own["points"]), starts=np.load(own["starts"]))
        return {"outlines": str(path), "cores": own["cores"]}
    if request["work"] == "pixels":
        path = folder / "look.pixels.npz"
        np.savez(path, **pixels())
        return {"pixels": str(path)}
    path = folder / "nozzles.npz"
    for layer in range(LAYERS):
        progress(layer / LAYERS, "images")
    np.savez(path, **nozzles())
    return {"nozzles": str(path)}


def pixels() -> dict[str, Any]:
    """Return rows 100 to 200, columns 200 to 400: every second pixel on, the first one too."""
    bits = np.full((100, 25), 0b10101010, dtype=np.uint8)
    row = np.arange(ROWS, dtype=np.int32)
    return {
        "window": np.array([100, 200, 200, 400]),
        "bits": bits,
        "coverage": np.full((13, 25), 127, dtype=np.uint8),
        "strokes": np.array([[100.0, 200.0, 60.0, 0, 0, 1], [200.0, 100.0, 80.0, 0, 1, 0]]),
        "row_nozzle": row // 4,
        "row_strip": np.zeros(ROWS, dtype=np.int32),
        "drops": np.where((np.arange(NOZZLES) >= 25) & (np.arange(NOZZLES) < 50), 400, 0),
        "pixels": np.array([10_000]),
        "grid": np.array([PITCH_MM, PITCH_MM, COLUMNS, ROWS, 0.0]),
    }


def nozzles() -> dict[str, Any]:
    """Return nozzles 25 to 49 printing in every layer, the first of them late in the last layer."""
    state = np.zeros((LAYERS, NOZZLES), dtype=np.uint8)
    state[:, 25:50] = 3
    state[-1, 25] = 4
    idle_s = np.full((LAYERS, NOZZLES), 30.0, dtype=np.float32)
    idle_s[-1, 25] = 70.0
    longest_s = np.full(LAYERS, 30.0)
    longest_s[-1] = 70.0
    late = np.zeros(LAYERS, dtype=np.int64)
    late[-1] = 1
    return {
        "state": state,
        "idle_s": idle_s,
        "longest_s": longest_s,
        "late": late,
        "printing": np.full(LAYERS, 25),
        "strokes": np.full(LAYERS, 2),
        "open_time_s": np.array([OPEN_TIME_S]),
    }
