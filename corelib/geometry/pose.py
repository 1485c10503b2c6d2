"""Orientations and rigid placements of a core in the build box.

An orientation is which direction of the core points down, then a turn about the box's vertical. A matrix
is 4×4, row-major, rigid (determinant +1), and takes points in the core file (mm) to the box (mm).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

AXES: dict[str, tuple[float, float, float]] = {
    "+x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}


@dataclass(frozen=True, order=True)
class Orientation:
    """Which direction of the core points down (an axis name or a vector), and the turn that follows."""

    down: str | tuple[float, float, float] = "-z"
    yaw_deg: float = 0.0

    @property
    def label(self) -> str:
        """How people read it: `-z down, turned 90°`."""
        down = self.down if isinstance(self.down, str) else "({:.3g}, {:.3g}, {:.3g})".format(*self.down)
        return f"{down} down, turned {self.yaw_deg:g}°" if self.yaw_deg else f"{down} down"

    @property
    def rotation(self) -> Array:
        """The 3×3 rotation from the core's frame to the box's."""
        return _turn(self.yaw_deg) @ _laid(AXES[self.down] if isinstance(self.down, str) else self.down)


def right_angle_orientations() -> tuple[Orientation, ...]:
    """Return the 24 orientations by right angles, in their fixed order."""
    return tuple(Orientation(down, yaw) for down in AXES for yaw in (0.0, 90.0, 180.0, 270.0))


def _turn(yaw_deg: float) -> Array:
    quarter, rest = divmod(yaw_deg % 360.0, 90.0)
    if rest == 0.0:  # exact entries for right angles
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter)]
    else:
        c, s = math.cos(math.radians(yaw_deg)), math.sin(math.radians(yaw_deg))
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


@lru_cache(maxsize=256)
def _laid(direction: tuple[float, float, float]) -> Array:
    """Return the least rotation that takes a direction to -z (about x for a half turn)."""
    down = np.array(direction, dtype=np.float64)
    down /= np.linalg.norm(down)
    target = np.array([0.0, 0.0, -1.0])
    cosine = float(down @ target)
    if cosine > 1 - 1e-15:
        return np.eye(3)
    if cosine < -1 + 1e-15:
        return np.diag([1.0, -1.0, -1.0])
    axis = np.cross(down, target)
    cross = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    return np.eye(3) + cross + cross @ cross / (1.0 + cosine)


def rigid(rotation: Array, shift_mm: Array) -> Array:
    """Return the 4×4 matrix that rotates, then shifts."""
    matrix = np.eye(4)
    matrix[:3, :3] = rotation
    matrix[:3, 3] = shift_mm
    return matrix + 0.0  # turns -0.0 into 0.0


def moved(points_mm: Array, matrix: Array) -> Array:
    """Return points (n, 3) taken through a 4×4 matrix."""
    placed: Array = points_mm @ matrix[:3, :3].T + matrix[:3, 3]
    return placed


def is_rigid(matrix: Array, tolerance: float = 1e-9) -> bool:
    """Return True if the matrix is a rotation and a shift: determinant +1, last row 0 0 0 1."""
    if matrix.shape != (4, 4) or not np.isfinite(matrix).all():
        return False
    rotation = matrix[:3, :3]
    orthogonal = np.abs(rotation @ rotation.T - np.eye(3)).max() <= tolerance
    last_row = np.array_equal(matrix[3], [0.0, 0.0, 0.0, 1.0])
    return bool(orthogonal and last_row and np.linalg.det(rotation) > 0)
