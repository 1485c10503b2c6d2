"""Use cases: get ready. Compile all kernels once; start the readers of meshes; load what planning takes."""

from __future__ import annotations

import gc
from functools import cache
from typing import Any


def start_readers() -> None:
    """Start this process's readers of meshes, which get ready while the caller goes on."""
    from corelib.mesh.parsing import standing_pool

    standing_pool().start()


@cache
def prepare_planning() -> None:
    """Load in this process what planning takes, once: its first plan then begins at once.

    Modules stay for good: Python's collector is kept from going over them again and again while they load.
    """
    gc.disable()
    try:
        start_readers()
        from corelib.geometry import distance, extraction
        from corelib.nesting import portfolio
        from corelib.usecases import plans
    finally:
        gc.enable()
    assert all((distance, extraction, portfolio, plans)), "loaded for later"
    gc.freeze()


def warm_kernels() -> dict[str, Any]:
    """Compile all kernels (importing their modules does it) and return where they are kept."""
    from corelib.export import g4_kernels, painting_kernels
    from corelib.files import cache_folder
    from corelib.geometry import (
        ball_kernels,
        crossing_kernels,
        distance,
        extraction,
        nearest,
        section_moments,
        void_kernels,
        voxels,
    )
    from corelib.kernels import KERNELS_VERSION
    from corelib.layers import contour_kernels, nozzles, raster_kernels, section_kernels
    from corelib.mesh import topology
    from corelib.nesting import nofit, penetration, separation

    of_shape = (
        ball_kernels, crossing_kernels, distance, nearest, section_moments, topology, void_kernels, voxels,
    )  # fmt: skip
    of_layers = (contour_kernels, nozzles, raster_kernels, section_kernels)
    of_packing = (extraction, nofit, penetration, separation)
    of_pictures = (g4_kernels, painting_kernels)
    modules = (*of_shape, *of_layers, *of_packing, *of_pictures)
    return {"kernels": KERNELS_VERSION, "folder": str(cache_folder() / "kernels"), "modules": len(modules)}
