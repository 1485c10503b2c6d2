"""The turntable camera of the box view: where it stands, and what lies where in the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

VIEW_ANGLE_DEG = 28.0
STEEPEST_DEG = 89.0
HOME_DEG = (-35.0, 24.0)


@dataclass(frozen=True, eq=False)
class Ray:
    """A line of sight: where it starts, and its direction of length 1."""

    start_mm: Vector
    direction: Vector

    def meets_plane(self, through_mm: Vector, normal: Vector) -> Vector | None:
        """Return where the ray meets a plane, None where it runs along it or away from it."""
        steep = float(self.direction @ normal)
        if abs(steep) < 1e-6:
            return None
        along_mm = float((through_mm - self.start_mm) @ normal) / steep
        return None if along_mm <= 0.0 else self.start_mm + along_mm * self.direction


class BoxCamera:
    """Looks at a centre from a turn about the vertical, a tilt and a distance."""

    def __init__(self) -> None:
        self.turn_deg, self.tilt_deg = HOME_DEG
        self.distance = 1.0
        self.centre: Vector = np.zeros(3)
        self.box_mm = (1.0, 1.0, 1.0)

    def look_at_all(self) -> None:
        """Look at the whole box from its front left corner."""
        self.centre = np.array(self.box_mm) / 2
        self.turn_deg, self.tilt_deg = HOME_DEG
        reach_mm = float(np.linalg.norm(self.box_mm))
        self.distance = 0.56 * reach_mm / math.tan(math.radians(VIEW_ANGLE_DEG / 2))

    def look_from(self, turn_deg: float, tilt_deg: float) -> None:
        """Look at the whole box from a side (turn 0: front) and height."""
        self.look_at_all()
        self.turn_deg, self.tilt_deg = turn_deg, min(max(tilt_deg, -STEEPEST_DEG), STEEPEST_DEG)

    def look_as(self, other: BoxCamera) -> None:
        """Look at the own box as another camera at its own: same side, place and nearness for its size."""
        own, others = np.array(self.box_mm), np.array(other.box_mm)
        self.turn_deg, self.tilt_deg = other.turn_deg, other.tilt_deg
        self.centre = other.centre / others * own
        self.distance = other.distance * float(np.linalg.norm(own) / np.linalg.norm(others))

    def look_at_place(self, place_mm: Vector, nearness: float = 2.5) -> None:
        """Bring a place of the box into the middle of the picture, nearer than the whole box was."""
        self.centre = np.array(place_mm, dtype=np.float64)
        reach_mm = float(np.linalg.norm(self.box_mm))
        whole_mm = 0.56 * reach_mm / math.tan(math.radians(VIEW_ANGLE_DEG / 2))
        self.distance = min(self.distance, whole_mm / nearness)

    def orbit(self, turn_deg: float, tilt_deg: float) -> None:
        """Turn about the box's vertical, and tilt."""
        self.turn_deg = (self.turn_deg + turn_deg) % 360.0
        self.tilt_deg = min(max(self.tilt_deg + tilt_deg, -STEEPEST_DEG), STEEPEST_DEG)

    def pan(self, right: float, up: float) -> None:
        """Move the view by shares of the picture's height."""
        step = 2.0 * self.distance * math.tan(math.radians(VIEW_ANGLE_DEG / 2))
        across, upward, _ = self.axes()
        self.centre = self.centre - step * (right * across + up * upward)

    def zoom(self, factor: float) -> None:
        """Go nearer (factor above 1) or farther."""
        reach = float(np.linalg.norm(self.box_mm))
        self.distance = min(max(self.distance / factor, 0.02 * reach), 20.0 * reach)

    def axes(self) -> tuple[Vector, Vector, Vector]:
        """Return the directions to the right, up, and from the centre to the eye."""
        turn, tilt = math.radians(self.turn_deg), math.radians(self.tilt_deg)
        right = np.array([math.cos(turn), math.sin(turn), 0.0])
        back = np.array([math.sin(turn), -math.cos(turn), 0.0]) * math.cos(tilt)
        back[2] = math.sin(tilt)
        return right, np.cross(back, right), back

    @property
    def eye_mm(self) -> Vector:
        """Where the camera stands."""
        place: Vector = self.centre + self.distance * self.axes()[2]
        return place

    def axes_on_picture(self) -> list[tuple[str, float, float]]:
        """Return where x, y and z point in the picture (right, up), the nearest last."""
        right, up, back = self.axes()
        ends = [(name, right[i], up[i], back[i]) for i, name in enumerate("xyz")]
        return [(name, float(r), float(u)) for name, r, u, _ in sorted(ends, key=lambda end: end[3])]

    def on_picture(self, points_mm: Vector, width: float, height: float) -> Vector:
        """Return where points (n, 3) lie in a picture: right and down from its top left corner, and depth.

        What lies behind the eye has a depth of 0 or less and no sound place.
        """
        right, up, back = self.axes()
        seen = np.asarray(points_mm, dtype=np.float64).reshape(-1, 3) - self.eye_mm
        depth = seen @ -back
        scale = 0.5 * height / math.tan(math.radians(VIEW_ANGLE_DEG / 2)) / np.where(depth > 0, depth, 1.0)
        return np.stack(
            [0.5 * width + scale * (seen @ right), 0.5 * height - scale * (seen @ up), depth], axis=1
        )

    def ray(self, x: float, y: float, width: float, height: float) -> Ray:
        """Return the line of sight through a place in a picture (right and down from its top left)."""
        right, up, back = self.axes()
        per_pixel = 2.0 * math.tan(math.radians(VIEW_ANGLE_DEG / 2)) / height
        across, upward = (x - 0.5 * width) * per_pixel, (0.5 * height - y) * per_pixel
        direction = across * right + upward * up - back
        return Ray(self.eye_mm, direction / np.linalg.norm(direction))

    def nearest_axis(self, right: float, up: float) -> Vector:
        """Return the horizontal box axis (±x or ±y) that points most to the right, or away, in the picture.

        `right` and `up` are -1, 0 or 1: what an arrow key means on the floor of the box as it is seen.
        """
        across, _, back = self.axes()
        away = np.array([-back[0], -back[1], 0.0])
        if float(np.linalg.norm(away)) < 1e-6:
            away = np.array([-across[1], across[0], 0.0])
        wanted = right * across[:2] + up * away[:2]
        axis = int(np.abs(wanted).argmax())
        found = np.zeros(3)
        found[axis] = float(np.sign(wanted[axis]))
        return found
