"""Small meshes and boxes for the nesting tests."""

from __future__ import annotations

import numpy as np

from corelib.geometry.pose import Orientation, right_angle_orientations
from corelib.mesh.core import CoreMesh
from corelib.nesting.model import CopyKey, NestBox, NestItem

CUBE_FACES = [
    [0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4],
    [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7],
]  # fmt: skip


def block(x, y, z, at=(0.0, 0.0, 0.0)):
    """A closed box with its lowest corner at `at`."""
    corners = [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]]
    return CoreMesh(np.array(corners, dtype=float) * (x, y, z) + at, np.array(CUBE_FACES, dtype=np.int32))


def joined(*meshes):
    """Several closed bodies in one mesh."""
    vertices, faces, count = [], [], 0
    for mesh in meshes:
        vertices.append(mesh.vertices_mm)
        faces.append(mesh.faces + count)
        count += len(mesh.vertices_mm)
    return CoreMesh(np.concatenate(vertices), np.concatenate(faces))


def extruded(outline, height):
    """A prism over a star-shaped outline (corner list about the origin, counter-clockwise)."""
    n = len(outline)
    bottom = [[x, y, 0.0] for x, y in outline]
    top = [[x, y, height] for x, y in outline]
    vertices = np.array([*bottom, *top, [0, 0, 0], [0, 0, height]], dtype=float)
    faces = []
    for i in range(n):
        j = (i + 1) % n
        faces += [[i, j, n + j], [i, n + j, n + i], [j, i, 2 * n], [n + i, n + j, 2 * n + 1]]
    return CoreMesh(vertices, np.array(faces, dtype=np.int32))


def bracket(x=40.0, y=30.0, z=20.0, wall=8.0):
    """An L-shaped solid."""
    outline = [(0, 0), (x, 0), (x, wall), (wall, wall), (wall, y), (0, y)]
    shifted = [(a - wall / 2, b - wall / 2) for a, b in outline]
    return extruded(shifted, z)


def item(core_id, mesh, count=1, gap_mm=5.0, orientations=None, set_id=None, per_set=1, **marks):
    """A nest item with `count` copies, all loose or `per_set` to each casting set."""
    keys = [CopyKey(n) if set_id is None else CopyKey(n, set_id, n // per_set) for n in range(count)]
    allowed = right_angle_orientations() if orientations is None else orientations
    return NestItem(core_id, mesh, tuple(allowed), gap_mm, tuple(keys), **marks)


AS_MODELLED = (Orientation(),)


def build_box(x=300.0, y=200.0, z=150.0, wall=10.0, floor=10.0, top=10.0):
    """A build box."""
    return NestBox((x, y, z), wall, floor, top)
