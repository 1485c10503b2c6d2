"""From the mouse to a way in the box: a core that is dragged stays under the pointer in a plane."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF

from app.qt.views.box_camera import BoxCamera

FLAT_DEG = 20.0
"""Seen from less than this above the floor, a core is dragged in the upright plane that faces the eye."""
Way = tuple[float, float, float]


class CoreDrag:
    """A drag from the place on the surface that was taken hold of."""

    def __init__(self, camera: BoxCamera, place_mm: NDArray[np.float64]) -> None:
        self._camera = camera
        self._place_mm = place_mm

    def way_mm(self, at: QPointF, width: float, height: float, is_upright: bool) -> Way:
        """Return the way to the place under the pointer: level, or straight up and down if `is_upright`."""
        ray = self._camera.ray(at.x(), at.y(), width, height)
        _, _, back = self._camera.axes()
        level = np.array([0.0, 0.0, 1.0])
        facing = np.array([back[0], back[1], 0.0])
        is_low = abs(self._camera.tilt_deg) < FLAT_DEG
        met = ray.meets_plane(self._place_mm, facing if is_upright or is_low else level)
        if met is None:
            return 0.0, 0.0, 0.0
        x, y, z = (float(value) for value in met - self._place_mm)
        return (0.0, 0.0, z) if is_upright else (x, y, z if is_low else 0.0)


def step_axis(camera: BoxCamera, right: int, up: int) -> Way:
    """Return the axis of the box along which an arrow key moves a core, as the box is seen."""
    x, y, z = (float(value) for value in camera.nearest_axis(right, up))
    return x, y, z
