"""Use case: compile all kernels once, so that later starts are quick."""

from __future__ import annotations

from typing import Any

from corelib.files import cache_folder
from corelib.kernels import KERNELS_VERSION


def warm_kernels() -> dict[str, Any]:
    """Compile all kernels (importing their modules does it) and return where they are kept."""
    from corelib.export import g4_kernels, painting_kernels
    from corelib.geometry import (
        distance,
        voxels,
    )
    from corelib.layers import contour_kernels, nozzles, raster_kernels, section_kernels
    from corelib.mesh import topology
    from corelib.nesting import lattice, nofit, overlap

    layer_modules = (section_kernels, contour_kernels, raster_kernels, nozzles)
    modules = (
        *layer_modules,
        g4_kernels,
        painting_kernels,
        topology,
        distance,
        voxels,
        nofit,
        lattice,
        overlap,
    )
    return {"kernels": KERNELS_VERSION, "folder": str(cache_folder() / "kernels"), "modules": len(modules)}
