"""Look at a layer: the outlines of a finished plan's layer, as a child process draws them."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from corelib.child import Answer, Request
from corelib.errors import FileError
from corelib.plan.outline import layer_outlines
from corelib.progress import Progress


def run_outline(request: Request, _progress: Progress) -> Answer:
    """Run in a child: leave the outlines of a finished plan's layer as .npy files in the run folder.

    This module stands alone, so that the child that draws loads little.
    """
    plan, meshes, folder = (Path(request[name]) for name in ("plan", "meshes", "folder"))
    try:
        outlines = layer_outlines(plan, meshes, request["box"], request["layer"])
        points, starts = folder / "outline.points.npy", folder / "outline.starts.npy"
        np.save(points, outlines.points_mm)
        np.save(starts, outlines.starts)
    except OSError as error:
        raise FileError("file.not_readable", path=str(folder), reason=str(error)) from error
    return {"points": str(points), "starts": str(starts), "cores": list(outlines.cores)}
