"""Meshes for the tests of layers, with what is known about them."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from corelib.mesh.core import CoreMesh

DATA = Path(__file__).parent.parent / "data"

BOX_FACES = [
    [0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4],
    [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7],
]  # fmt: skip


def box(x, y, z, at=(0.0, 0.0, 0.0)):
    """A closed box with its lowest corner at `at`."""
    corners = [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]]
    return CoreMesh(np.array(corners, dtype=float) * (x, y, z) + at, np.array(BOX_FACES, dtype=np.int32))


def inside_out(mesh):
    """The same mesh with all faces turned."""
    return CoreMesh(mesh.vertices_mm, mesh.faces[:, ::-1])


def joined(*meshes):
    """Several bodies in one mesh."""
    vertices, faces, count = [], [], 0
    for mesh in meshes:
        vertices.append(mesh.vertices_mm)
        faces.append(mesh.faces + count)
        count += len(mesh.vertices_mm)
    return CoreMesh(np.concatenate(vertices), np.concatenate(faces))


def shifted(mesh, x, y, z):
    """The same mesh elsewhere."""
    return CoreMesh(mesh.vertices_mm + np.array([x, y, z]), mesh.faces)


def frustum(sides, low_radius, high_radius, height, levels=1, at=(0.0, 0.0, 0.0)):
    """A regular frustum, its walls in `levels` rows of facets; exact, no tessellation error."""
    angle = 2 * np.pi * np.arange(sides) / sides
    ring = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    rows = []
    for i in range(levels + 1):
        share = i / levels
        radius = low_radius + share * (high_radius - low_radius)
        rows.append(np.column_stack([radius * ring, np.full(sides, share * height)]))
    vertices = np.concatenate([*rows, [[0, 0, 0], [0, 0, height]]]) + at
    foot, tip = len(vertices) - 2, len(vertices) - 1
    faces = []
    for i in range(sides):
        j = (i + 1) % sides
        for level in range(levels):
            a, b = level * sides + i, level * sides + j
            c, d = a + sides, b + sides
            faces += [[a, b, d], [a, d, c]]
        faces += [[foot, j, i], [tip, levels * sides + i, levels * sides + j]]
    return CoreMesh(vertices, np.array(faces, dtype=np.int32))


def turned_surface(radius_mm, height_mm, around):
    """A closed surface of revolution about z through points (radius, height) from pole to pole.

    First and last radius are 0; the profile goes upward.
    """
    radius, height = np.asarray(radius_mm, float), np.asarray(height_mm, float)
    angle = 2 * np.pi * np.arange(around) / around
    rings = [
        np.column_stack([r * np.cos(angle), r * np.sin(angle), np.full(around, h)])
        for r, h in zip(radius[1:-1], height[1:-1], strict=True)
    ]
    vertices = np.concatenate([*rings, [[0, 0, height[0]], [0, 0, height[-1]]]])
    foot, tip = len(vertices) - 2, len(vertices) - 1
    last = (len(rings) - 1) * around
    faces = []
    for i in range(around):
        j = (i + 1) % around
        faces += [[foot, j, i], [tip, last + i, last + j]]
        for row in range(len(rings) - 1):
            a, b = row * around + i, row * around + j
            faces += [[a, b, b + around], [a, b + around, a + around]]
    return CoreMesh(vertices, np.array(faces, dtype=np.int32))


def sphere(radius, steps=200, around=400):
    """A sphere about the origin, poles on z."""
    t = np.linspace(-np.pi / 2, np.pi / 2, steps + 1)
    r = radius * np.cos(t)
    r[0] = r[-1] = 0.0
    return turned_surface(r, radius * np.sin(t), around)


def torus(ring_radius, tube_radius, around=400, across=200):
    """A torus about z."""
    u = 2 * np.pi * np.arange(around) / around
    v = 2 * np.pi * np.arange(across) / across
    reach = ring_radius + tube_radius * np.cos(v)[None, :]
    vertices = np.stack(
        [
            reach * np.cos(u)[:, None],
            reach * np.sin(u)[:, None],
            np.broadcast_to(tube_radius * np.sin(v), (around, across)),
        ],
        axis=2,
    ).reshape(-1, 3)
    i, j = np.meshgrid(np.arange(around), np.arange(across), indexing="ij")
    a = (i * across + j).ravel()
    b = ((i + 1) % around * across + j).ravel()
    c = ((i + 1) % around * across + (j + 1) % across).ravel()
    d = (i * across + (j + 1) % across).ravel()
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    return CoreMesh(vertices, faces.astype(np.int32))


def gyroid(cells_across, size_mm=300.0, periods=3):
    """A thick-walled closed lattice by VTK's flying edges: many triangles in little time.

    The field is padded with outside, so its faces on the cube's sides are closed.
    """
    from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
    from vtkmodules.vtkCommonDataModel import vtkImageData
    from vtkmodules.vtkFiltersCore import vtkFlyingEdges3D

    grid = np.linspace(0, periods * 2 * np.pi, cells_across)
    x, y, z = np.meshgrid(grid, grid, grid, indexing="ij", sparse=True)
    field = 0.6 - np.abs(np.sin(x) * np.cos(y) + np.sin(y) * np.cos(z) + np.sin(z) * np.cos(x))
    padded = np.pad(field, 1, constant_values=-1.0)
    image = vtkImageData()
    image.SetDimensions(*padded.shape)
    image.GetPointData().SetScalars(numpy_to_vtk(padded.ravel(order="F"), deep=True))
    edges = vtkFlyingEdges3D()
    edges.SetInputData(image)
    edges.SetValue(0, 0.0)
    edges.ComputeNormalsOff()
    edges.Update()
    surface = edges.GetOutput()
    vertices = vtk_to_numpy(surface.GetPoints().GetData()).astype(float)
    faces = vtk_to_numpy(surface.GetPolys().GetConnectivityArray()).reshape(-1, 3).astype(np.int32)
    mesh = CoreMesh(vertices * size_mm / cells_across, faces)
    return mesh if volume(mesh) > 0 else inside_out(mesh)


def stl(name):
    """A binary STL of tests/data as triangle soup (what lies after the stated count is left)."""
    raw = (DATA / name).read_bytes()
    count = int(np.frombuffer(raw, "<u4", 1, 80)[0])
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    corners = np.frombuffer(raw, record, count, 84)["corners"].reshape(-1, 3)
    return CoreMesh(corners.astype(float), np.arange(len(corners), dtype=np.int32).reshape(-1, 3))


def welded(mesh):
    """The same mesh with equal vertices made one, and without the triangles that vanish by it."""
    vertices, index = np.unique(mesh.vertices_mm, axis=0, return_inverse=True)
    faces = index.reshape(-1)[mesh.faces]
    a, b, c = faces.T
    return CoreMesh(vertices, faces[(a != b) & (b != c) & (c != a)].astype(np.int32))


def volume(mesh):
    """Signed volume by the divergence theorem, about the mesh's middle."""
    corners = (mesh.vertices_mm - mesh.vertices_mm.mean(axis=0))[mesh.faces]
    return float(np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6)


def up_projection(mesh, rotation=None):
    """Sum of |n_z| times triangle area: the P of the bound |t·ΣA - V| ≤ ½·t·P."""
    vertices = mesh.vertices_mm if rotation is None else mesh.vertices_mm @ np.asarray(rotation).T
    corners = vertices[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.abs(normal[:, 2]).sum() / 2)


def turn(x_deg, y_deg, z_deg):
    """A rotation matrix from three turns."""
    from scipy.spatial.transform import Rotation

    return Rotation.from_euler("xyz", [x_deg, y_deg, z_deg], degrees=True).as_matrix()
