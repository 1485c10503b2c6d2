"""Use case: the place on a core's true surface that was pointed at, for measuring in the box."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from corelib.child import Answer, Request
from corelib.errors import FileError
from corelib.geometry.rays import nearest_vertex_mm, ray_hits_mm
from corelib.progress import Progress

Mesh = tuple[NDArray[np.float64], NDArray[np.int32]]


def run_touch(request: Request, _progress: Progress) -> Answer:
    """Run in a child: where a line of sight meets the core `core` placed by `matrix`.

    `start_mm` and `direction` (length 1) are in the box, `near_mm` is the place on the simplified copy that
    is shown: of several places on the line that nearest to it counts. The answer has `place_mm` in the box,
    and `is_vertex` where the line misses the true surface by a trifle and its nearest vertex is given.
    """
    vertices, faces = _mesh(Path(request["meshes"]), request["core"])
    matrix = np.array(request["matrix"], dtype=np.float64)
    turn, shift = matrix[:3, :3], matrix[:3, 3]
    start, near = (
        (np.array(request[name], dtype=np.float64) - shift) @ turn for name in ("start_mm", "near_mm")
    )
    direction = np.array(request["direction"], dtype=np.float64) @ turn
    hits = ray_hits_mm(vertices, faces, start, direction)
    if len(hits):
        shown = float((near - start) @ direction)
        place = start + float(hits[np.abs(hits - shown).argmin()]) * direction
    else:
        place = nearest_vertex_mm(vertices, faces, near)
    return {"place_mm": (turn @ place + shift).tolist(), "is_vertex": not len(hits)}


@lru_cache(maxsize=32)
def _mesh(meshes: Path, core: str) -> Mesh:
    try:
        return np.load(meshes / f"{core}.vertices.npy"), np.load(meshes / f"{core}.faces.npy")
    except OSError as error:
        raise FileError("file.not_readable", path=str(meshes), reason=str(error)) from error
