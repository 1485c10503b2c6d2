"""Allowed orientations of a core, from its rule; and the box around a core as it is turned."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from corelib.errors import InputError
from corelib.geometry.pose import Array, Orientation, right_angle_orientations
from corelib.geometry.vertices import used_vertices
from corelib.job.fields import Point_mm
from corelib.job.models import OrientationRule
from corelib.mesh.core import CoreMesh

MOST_ORIENTATIONS = 1440
FREE_YAW_STEP_DEG = 15.0  # where any yaw is allowed the search tries steps no coarser than this


def allowed_orientations(rule: OrientationRule) -> tuple[Orientation, ...]:
    """Return the orientations that a rule allows, in a fixed order, none twice; raises InputError."""
    if rule.rule == "fixed":
        return (Orientation(),)
    if rule.rule == "right angles":
        return right_angle_orientations()
    downs: Sequence[str | Point_mm] = rule.down or ("-z",)
    step_deg = min(rule.yaw_step_deg, FREE_YAW_STEP_DEG) if rule.rule == "free yaw" else rule.yaw_step_deg
    steps = max(1, round(360.0 / step_deg + 0.499999))
    if steps * len(downs) > MOST_ORIENTATIONS:
        raise InputError("nesting.too_many_orientations", count=steps * len(downs), most=MOST_ORIENTATIONS)
    yaws = [step * step_deg for step in range(steps) if step * step_deg < 360.0 - 1e-9]
    return tuple(dict.fromkeys(Orientation(down, yaw) for down in downs for yaw in yaws))


def is_right_angled(rotation: Array) -> bool:
    """Return True if the rotation only swaps and flips axes."""
    return bool(np.isin(rotation, (-1.0, 0.0, 1.0)).all())


def turned_box_mm(mesh: CoreMesh, rotation: Array) -> tuple[Array, Array]:
    """Return the lowest and highest corner of the mesh's bounding box after the rotation."""
    if is_right_angled(rotation):
        ends = np.stack([mesh.low_mm, mesh.high_mm]) @ rotation.T
    else:
        ends = used_vertices(mesh.vertices_mm, mesh.faces) @ rotation.T
    return ends.min(axis=0), ends.max(axis=0)
