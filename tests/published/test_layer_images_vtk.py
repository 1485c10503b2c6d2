"""Pixels of layers against VTK's polygon stencil (Kitware, VTK 9): it may differ by a pixel a layer."""

import numpy as np
import pytest
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkImagingStencil import vtkImageStencilToImage, vtkPolyDataToImageStencil

from corelib.layers.grid import PixelGrid
from corelib.layers.raster import LayerDrawer, drawn_bodies
from corelib.layers.store import OutlineStore
from tests.layers.meshes import gyroid, stl, turn, welded
from tests.layers.test_build import placed

GRID = PixelGrid("x", 0.1, 0.1, 1200, 1100)
T = 0.3


def vtk_pixels(vertices, faces, z):
    """Pixels whose centres VTK finds inside the closed surface at height z."""
    surface = vtkPolyData()
    points = vtkPoints()
    points.SetDataTypeToDouble()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(vertices), deep=True))
    surface.SetPoints(points)
    cells = vtkCellArray()
    offsets = numpy_to_vtkIdTypeArray(3 * np.arange(len(faces) + 1, dtype=np.int64), deep=True)
    cells.SetData(offsets, numpy_to_vtkIdTypeArray(faces.astype(np.int64).ravel(), deep=True))
    surface.SetPolys(cells)
    stencil = vtkPolyDataToImageStencil()
    stencil.SetInputData(surface)
    stencil.SetOutputOrigin(0.05, 0.05, z)
    stencil.SetOutputSpacing(0.1, 0.1, 1.0)
    stencil.SetOutputWholeExtent(0, GRID.columns - 1, 0, GRID.rows - 1, 0, 0)
    stencil.SetTolerance(0.0)
    image = vtkImageStencilToImage()
    image.SetInputConnection(stencil.GetOutputPort())
    image.SetInsideValue(1)
    image.SetOutsideValue(0)
    image.SetOutputScalarTypeToUnsignedChar()
    image.Update()
    flat = vtk_to_numpy(image.GetOutput().GetPointData().GetScalars())
    return flat.reshape(GRID.rows, GRID.columns).astype(bool)


@pytest.mark.parametrize("name", ["rear_case", "lattice"])
def test_pixels_against_the_stencil(name):
    mesh = {
        "rear_case": lambda: welded(stl("numpy_stl/rear_case.stl")),
        "lattice": lambda: gyroid(30, 90.0),
    }[name]()
    rotation = turn(20, 10, 30)
    vertices = mesh.vertices_mm @ rotation.T
    shift = np.array([5.03, 4.04, 0.0]) - vertices.min(axis=0)
    bodies = drawn_bodies([placed(mesh, shift, rotation=rotation)], T)
    drawer = LayerDrawer(bodies, GRID, OutlineStore())
    differing = 0
    for layer in range(5, bodies[0].end_layer - 5, (bodies[0].end_layer - 10) // 6):
        bits = drawer.canvas()
        drawn = drawer.draw(layer, bits)
        ours = np.unpackbits(bits, axis=1, count=GRID.columns).astype(bool)
        theirs = vtk_pixels(vertices + shift, mesh.faces, (layer + 0.5) * T)
        assert drawn.pixels > 500
        differing = max(differing, int((ours != theirs).sum()))
    assert differing <= 1
