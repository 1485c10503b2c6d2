"""The same core in two files is found wherever it lies, its mirror image is told apart, others are not."""

import numpy as np
import pytest
import trimesh

from corelib.mesh.core import CoreMesh
from corelib.mesh.likeness import alike_meshes


def bracket():
    return trimesh.util.concatenate(
        [
            trimesh.creation.box(bounds=[[0, 0, 0], [80, 20, 10]]),
            trimesh.creation.box(bounds=[[0, 30, 0], [20, 70, 10]]),
            trimesh.creation.box(bounds=[[60, 0, 20], [80, 10, 55]]),
        ]
    )


def core_mesh(mesh, matrix=None):
    moved = mesh.copy()
    if matrix is not None:
        moved.apply_transform(matrix)
    return CoreMesh(np.asarray(moved.vertices), np.asarray(moved.faces))


def turned(angle, axis, shift=(0, 0, 0)):
    matrix = trimesh.transformations.rotation_matrix(angle, axis)
    matrix[:3, 3] = shift
    return matrix


@pytest.mark.parametrize(
    "matrix", [turned(0, [0, 0, 1], (5, 6, 7)), turned(np.pi / 2, [1, 0, 0]), turned(1.1, [1, 2, 3])]
)
def test_a_moved_and_turned_copy_is_the_same_core(matrix):
    (likeness,) = alike_meshes([core_mesh(bracket()), core_mesh(bracket(), matrix)])
    assert (likeness.first, likeness.second, likeness.mirrored) == (0, 1, False)
    assert likeness.apart_mm < 1e-6


def test_identical_meshes_and_mirror_images():
    mirror = np.diag([-1.0, 1, 1, 1])
    (same,) = alike_meshes([core_mesh(bracket())] * 2)
    assert not same.moved
    (mirrored,) = alike_meshes([core_mesh(bracket()), core_mesh(bracket(), turned(0.7, [3, 1, 2]) @ mirror)])
    assert mirrored.mirrored


def test_a_symmetric_core_is_its_own_mirror_image():
    ring = trimesh.creation.annulus(20, 30, 15, sections=64)
    (likeness,) = alike_meshes([core_mesh(ring), core_mesh(ring, np.diag([-1.0, 1, 1, 1]))])
    assert not likeness.mirrored


def test_different_cores_are_not_alike():
    longer = core_mesh(trimesh.creation.box(bounds=[[0, 0, 0], [80, 20, 10.1]]))
    shorter = core_mesh(trimesh.creation.box(bounds=[[0, 0, 0], [80, 20, 10]]))
    assert alike_meshes([longer, shorter, core_mesh(bracket())]) == ()
