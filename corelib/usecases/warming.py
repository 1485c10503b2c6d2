"""Use case: compile all kernels once, so that later starts are quick."""

from __future__ import annotations

from typing import Any

from corelib.files import cache_folder
from corelib.kernels import KERNELS_VERSION


def warm_kernels() -> dict[str, Any]:
    """Compile all kernels (importing their modules does it) and return where they are kept."""
    from corelib.export import g4_kernels, painting_kernels
    from corelib.geometry import (
        ball_kernels,
        crossing_kernels,
        distance,
        extraction,
        section_moments,
        void_kernels,
        voxels,
    )
    from corelib.layers import contour_kernels, nozzles, raster_kernels, section_kernels
    from corelib.mesh import topology
    from corelib.nesting import nofit, penetration, separation

    of_shape = (ball_kernels, crossing_kernels, distance, section_moments, topology, void_kernels, voxels)
    of_layers = (contour_kernels, nozzles, raster_kernels, section_kernels)
    of_packing = (extraction, nofit, penetration, separation)
    of_pictures = (g4_kernels, painting_kernels)
    modules = (*of_shape, *of_layers, *of_packing, *of_pictures)
    return {"kernels": KERNELS_VERSION, "folder": str(cache_folder() / "kernels"), "modules": len(modules)}
