"""Use case: compile all kernels once, so that later starts are quick."""

from __future__ import annotations

from typing import Any

from corelib.files import cache_folder
from corelib.kernels import KERNELS_VERSION


def warm_kernels() -> dict[str, Any]:
    """Compile all kernels (importing their modules does it) and return where they are kept."""
    from corelib.export import g4_kernels
    from corelib.layers import contour_kernels, nozzles, raster_kernels, section_kernels
    from corelib.mesh import topology

    modules = (section_kernels, contour_kernels, raster_kernels, nozzles, g4_kernels, topology)
    return {"kernels": KERNELS_VERSION, "folder": str(cache_folder() / "kernels"), "modules": len(modules)}
