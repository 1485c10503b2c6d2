"""Sections against solids with published formulas: sphere, torus, frustum, prismatoid, Pappus.

Tessellation error is kept apart: exact polyhedral values to 1e-11, curved solids to their facets' error.
"""

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from corelib.layers.sections import core_sections
from corelib.mesh.core import CoreMesh
from tests.layers.meshes import frustum, sphere, stl, torus, turn, volume

T = 0.3


def upright(mesh):
    sections = core_sections(mesh, np.eye(3), phase_mm=0.0, thickness_mm=T)
    return sections, (np.arange(sections.count) + 0.5) * T


def test_sphere():
    """A(h) = π(2Rh - h²), from the circle's r² = 2Rh - h² (Lexique de mathématique, Netmath, "spherical
    segment": r² = 2Rh - h²; segment of one base V = πh²(3R - h)/3)."""
    R = 30.0
    sections, h = upright(sphere(R))
    assert sections.area_mm2 == pytest.approx(np.pi * (2 * R * h - h * h), abs=2e-4 * np.pi * R * R)
    cap = np.cumsum(sections.slab_volume_mm3)
    top = (np.arange(sections.count) + 1) * T
    assert cap == pytest.approx(np.pi * top**2 * (3 * R - top) / 3, abs=2e-4 * 4 / 3 * np.pi * R**3)


def test_torus_has_constant_boundary_length():
    """The section of a torus across its axis is two concentric circles (R.P. Burn's dictionary entry as at
    rpdp.net), so A = 4πR√(r² - z²) and the length is 4πR at every height (derived)."""
    R, r = 40.0, 12.0
    sections, h = upright(torus(R, r))
    z = h - r
    assert sections.boundary_mm == pytest.approx(np.full(len(z), 4 * np.pi * R), rel=2e-4)
    wanted = 4 * np.pi * R * np.sqrt(np.maximum(r * r - z * z, 0))
    assert sections.area_mm2 == pytest.approx(wanted, abs=4e-4 * wanted.max())


def test_pappus():
    """Volume of a torus 2π²Rr² (Pappus's second theorem)."""
    R, r = 40.0, 12.0
    for turns in ((0, 0, 0), (90, 0, 0), (33, 10, 5)):
        sections = core_sections(torus(R, r), turn(*turns), phase_mm=0.0, thickness_mm=T)
        assert sections.slab_volume_mm3.sum() == pytest.approx(2 * np.pi**2 * R * r * r, rel=3e-4)
        assert sections.slab_volume_mm3.sum() == pytest.approx(volume(torus(R, r)), rel=1e-12)


def test_cone_frustum():
    """V = H/3·(A1 + A2 + √(A1·A2)) (Native Tree Society, "Volumes of frustums"); exact for n-gons too."""
    body = frustum(720, 25.0, 10.0, 48.0)
    sections, _ = upright(body)
    a1, a2 = 360 * np.sin(np.pi / 360) * np.array([25.0, 10.0]) ** 2
    wanted = 48 / 3 * (a1 + a2 + np.sqrt(a1 * a2))
    assert sections.slab_volume_mm3.sum() == pytest.approx(wanted, rel=1e-12)
    circular = np.pi * 48 / 3 * (625 + 100 + 250)
    assert sections.slab_volume_mm3.sum() == pytest.approx(circular, rel=1e-4)


@pytest.mark.parametrize("seed", range(5))
def test_prismatoid(seed):
    """V = h/6·(A1 + 4·Am + A2) for any body with its corners in two planes (MathWorld, "Prismatoid", after
    Kern and Bland 1948, pp. 76-77)."""
    rng = np.random.default_rng(seed)
    height = 27.0
    points = np.column_stack([rng.uniform(-20, 20, (60, 2)), np.repeat([0.0, height], 30)])
    hull = ConvexHull(points)
    corners = points[hull.simplices]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    outward = np.einsum("ij,ij->i", normal, hull.equations[:, :3]) > 0
    body = CoreMesh(points, np.where(outward[:, None], hull.simplices, hull.simplices[:, ::-1]))
    sections, h = upright(body)
    low = ConvexHull(points[:30, :2]).volume  # area, in the plane
    top = ConvexHull(points[30:, :2]).volume
    middle = (sections.area_mm2[44] + sections.area_mm2[45]) / 2  # at 13.35 and 13.65 mm
    curve = np.polyfit(h / height, sections.area_mm2, 2)
    assert np.polyval(curve, 0.0) == pytest.approx(low, rel=1e-10)
    assert np.polyval(curve, 1.0) == pytest.approx(top, rel=1e-10)
    at_middle = np.polyval(curve, 0.5)
    assert middle == pytest.approx(at_middle, rel=1e-3)
    wanted = height / 6 * (low + 4 * at_middle + top)
    assert sections.slab_volume_mm3.sum() == pytest.approx(wanted, rel=1e-11)


@pytest.mark.parametrize(
    ("name", "published"), [("HalfDonut", 2.343149), ("Moon", 0.888723), ("Star", 1.416599)]
)
@pytest.mark.parametrize("turns", [(0, 0, 0), (90, 0, 0), (20, 40, 60)])
def test_volumes_of_numpy_stl(name, published, turns):
    """Volumes that numpy-stl 2.17.1 states for its test files, there compared with MeshLab's to 1e-6."""
    mesh = stl(f"numpy_stl/{name}.stl")
    sections = core_sections(mesh, turn(*turns), phase_mm=0.0, thickness_mm=0.02)
    assert sections.slab_volume_mm3.sum() == pytest.approx(published, abs=1e-6)
