"""Volumes of meshes that no one here made, against published figures and against manifold3d.

numpy-stl 2.17.1 (Rick van Hattem, BSD), tests/test_meshProperties.py, states the volumes of HalfDonut, Moon
and Star, checked there against MeshLab to 1e-6. manifold3d's own volume of the same mesh is the second way.
"""

from pathlib import Path

import pytest

from corelib.geometry import solids
from corelib.mesh.load import inspect_file
from corelib.mesh.parsing import ParserPool

FOLDER = Path(__file__).parents[1] / "data" / "numpy_stl"
UNIT_ASKED = {"mesh.size_implausible", "mesh.trailing_bytes"}


@pytest.fixture(scope="module")
def pool():
    with ParserPool(1) as made:
        yield made


@pytest.mark.parametrize(
    ("name", "published"), [("HalfDonut", 2.343149026), ("Moon", 0.888723), ("Star", 1.416599)]
)
def test_published_volumes(pool, name, published):
    inspection, _ = inspect_file(FOLDER / f"{name}.stl", "mm", pool=pool)
    assert inspection.volume_mm3 == pytest.approx(published, abs=1e-6)
    assert {finding.code for finding in inspection.findings} <= UNIT_ASKED


def test_half_donuts_trailing_byte_is_reported(pool):
    inspection, _ = inspect_file(FOLDER / "HalfDonut.stl", "mm", pool=pool)
    assert "mesh.trailing_bytes" in {finding.code for finding in inspection.findings}
    assert inspection.mesh is not None
    assert len(inspection.mesh.faces) == 288


@pytest.mark.parametrize("name", ["HalfDonut", "Moon", "Star", "rear_case"])
def test_manifold3d_finds_the_same_volume_and_area(pool, name):
    inspection, _ = inspect_file(FOLDER / f"{name}.stl", "mm", pool=pool)
    assert inspection.mesh is not None
    made = solids.solid(inspection.mesh.vertices_mm, inspection.mesh.faces)
    assert solids.volume_mm3(made) == pytest.approx(inspection.volume_mm3, rel=2e-8)
    assert solids.area_mm2(made) == pytest.approx(inspection.area_mm2, rel=2e-8)
