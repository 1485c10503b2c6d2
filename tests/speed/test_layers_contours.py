"""Outlines of all layers against general libraries, as ratios in one run; slow rivals on 8 layers, scaled.

Times are of the processor, as the machine is shared; nothing here runs on more than one thread unless said.
"""

import threading
import time

import manifold3d
import numpy as np
import pytest
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPlane, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkCutter, vtkStripper

from corelib.layers.contours import CoreCutter
from corelib.layers.sections import core_sections
from tests.layers.meshes import frustum, gyroid

T = 0.3
UPRIGHT = np.eye(3)
SAMPLED = 8


def say(what, ratio):
    print(f"{what}: {ratio}")  # pytest -s shows it


def ours_s(mesh, runs=3):
    """Turn, neighbours, walk and nesting, from the welded mesh on; and with the census of windings."""
    plain = whole = np.inf
    for _ in range(runs):
        start = time.process_time()
        cutter = CoreCutter(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=T)
        cutter.cut(0, cutter.count)
        plain = min(plain, time.process_time() - start)
        start = time.process_time()
        outlines = CoreCutter(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=T).outlines(0, cutter.count)
        whole = min(whole, time.process_time() - start)
    return plain, whole, outlines


def sampled(count):
    return np.linspace(0.02 * count, 0.98 * count, SAMPLED).astype(int)


def manifold3d_s(mesh, count):
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(mesh.vertices_mm.copy(), np.ascontiguousarray(mesh.faces, dtype=np.uint64))
    )
    assert solid.num_tri() > 0
    low = float(mesh.low_mm[2])
    start = time.process_time()
    areas = [solid.slice(low + (k + 0.5) * T).area() for k in sampled(count)]
    return (time.process_time() - start) * count / SAMPLED, np.array(areas)


def vtk_s(mesh, count):
    surface = vtkPolyData()
    points = vtkPoints()
    points.SetDataTypeToDouble()
    points.SetData(numpy_to_vtk(mesh.vertices_mm.copy(), deep=True))
    surface.SetPoints(points)
    cells = vtkCellArray()
    offsets = numpy_to_vtkIdTypeArray(3 * np.arange(len(mesh.faces) + 1, dtype=np.int64), deep=True)
    cells.SetData(offsets, numpy_to_vtkIdTypeArray(mesh.faces.astype(np.int64).ravel(), deep=True))
    surface.SetPolys(cells)
    plane = vtkPlane()
    plane.SetNormal(0, 0, 1)
    cutter, stripper = vtkCutter(), vtkStripper()
    cutter.SetInputData(surface)
    cutter.SetCutFunction(plane)
    stripper.SetInputConnection(cutter.GetOutputPort())
    low = float(mesh.low_mm[2])
    start = time.process_time()
    for k in sampled(count):
        plane.SetOrigin(0, 0, low + (k + 0.5) * T)
        stripper.Update()
        assert stripper.GetOutput().GetNumberOfLines() > 0
    return (time.process_time() - start) * count / SAMPLED


@pytest.mark.parametrize(("cells", "floor"), [(30, 10), (95, 8), (187, 5)])
def test_outlines_with_parents_against_manifold3d_and_vtk(cells, floor):
    """Ours gives nested rings; manifold3d gives flat contours, vtkCutter with vtkStripper lines."""
    mesh = gyroid(cells)
    ours, checked, outlines = ours_s(mesh)
    theirs, areas = manifold3d_s(mesh, outlines.count)
    say(f"manifold3d / ours at {len(mesh.faces)} triangles", round(theirs / ours, 1))
    say("  and with the census of windings", round(theirs / checked, 1))
    assert np.abs(areas - outlines.area_mm2[sampled(outlines.count)]).max() <= 1e-9 * outlines.area_mm2.max()
    assert theirs / ours >= floor
    lines = vtk_s(mesh, outlines.count)
    say(f"vtkCutter + vtkStripper / ours at {len(mesh.faces)} triangles", round(lines / ours, 1))
    assert lines / ours >= 15


def test_outlines_against_writing_their_points_and_copying_the_mesh():
    mesh = gyroid(95)
    ours, _, outlines = ours_s(mesh)
    limit = np.inf
    for _ in range(5):
        start = time.process_time()
        np.empty_like(outlines.points_mm).fill(1.0)
        mesh.vertices_mm.copy()
        mesh.faces.copy()
        limit = min(limit, time.process_time() - start)
    say("outlines / (fill of their points + copy of the mesh)", round(ours / limit, 1))
    assert ours / limit <= 50


def test_errors_are_those_of_rounding():
    """Area against an exact polyhedron 1e-11, against our own polygons 1e-12; slabs 1e-11."""
    n, t = 90, 0.3
    mesh = frustum(n, 30.0, 12.0, 60.0, 50, (1234.5, -777.7, 0.0))
    sections = core_sections(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=t)
    radius = 30 - 18 * (np.arange(sections.count) + 0.5) * t / 60
    exact = n / 2 * radius**2 * np.sin(2 * np.pi / n)
    assert np.abs(sections.area_mm2 - exact).max() <= 1e-11 * exact.max()
    volume = n / 2 * np.sin(2 * np.pi / n) * 60 / 3 * (30**2 + 30 * 12 + 12**2)
    assert abs(sections.slab_volume_mm3.sum() / volume - 1) <= 1e-11
    lattice = gyroid(60)
    cutter = CoreCutter(lattice, UPRIGHT, phase_mm=0.0, thickness_mm=t)
    polygons = cutter.outlines(0, cutter.count).area_mm2
    closed = core_sections(lattice, UPRIGHT, phase_mm=0.0, thickness_mm=t).area_mm2
    assert np.abs(polygons - closed).max() <= 1e-12 * closed.max()


def test_two_threads_share_the_work():
    """Each of two threads on half the layers takes little more than half the thread time of one on all."""
    mesh = gyroid(60)

    def thread_s(first, end, found):
        cutter = CoreCutter(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=T)
        cutter.outlines(0, 1)  # neighbours are found once, outside the measured time
        start = time.thread_time()
        cutter.outlines(first, end)
        found.append(time.thread_time() - start)

    count = CoreCutter(mesh, UPRIGHT, phase_mm=0.0, thickness_mm=T).count
    best = 0.0
    for _ in range(3):
        whole, halves = [], []
        thread_s(0, count, whole)
        pair = [
            threading.Thread(target=thread_s, args=(*span, halves))
            for span in ((0, count // 2), (count // 2, count))
        ]
        for thread in pair:
            thread.start()
        for thread in pair:
            thread.join()
        best = max(best, whole[0] / max(halves))
    say("one thread / slower of two", round(best, 2))
    assert best >= 1.7
