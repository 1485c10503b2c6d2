"""A recessed number: volume by cells, closed mesh (trimesh), readable where it stands."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from corelib.errors import FileError, InputError
from corelib.mesh.core import CoreMesh
from corelib.mesh.recessed_number import CELLS, NumberFace, with_number
from corelib.usecases.numbering import number_file
from corelib.wording import error_sentence

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "meshes" / "inlet_elbow.stl"


def block() -> CoreMesh:
    box = trimesh.creation.box(extents=(60.0, 40.0, 20.0))
    return CoreMesh(np.array(box.vertices), np.array(box.faces, dtype=np.int32))


def read(mesh: CoreMesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)


@pytest.mark.parametrize("signs", ["0123456789", "8", "12-7"])
def test_volume_is_less_by_cells_times_depth(signs: str) -> None:
    made = read(with_number(block(), signs, NumberFace((0.0, 0.0, 10.0), (0.0, 0.0, 1.0), 5.0, 0.8)))
    cells = sum(line.count("#") for sign in signs for line in CELLS[sign])
    assert made.is_watertight and made.is_winding_consistent
    assert made.volume == pytest.approx(60 * 40 * 20 - cells * 1.0 * 1.0 * 0.8, rel=1e-9)


def test_a_seven_on_a_side_face_stands_upright_and_reads_from_outside() -> None:
    """Its bar is on top; seen from +x (y to the right, z up) the stem is on the right."""
    made = read(with_number(block(), "7", NumberFace((30.0, 0.0, 0.0), (1.0, 0.0, 0.0), 10.0, 1.0)))
    origins = np.array([[40.0, y, z] for y, z in ((-2.0, 4.0), (2.0, 4.0), (2.0, -4.0), (-2.0, -4.0))])
    hits, rays, _ = made.ray.intersects_location(
        origins, np.tile([-1.0, 0.0, 0.0], (4, 1)), multiple_hits=False
    )
    depth = {int(ray): float(hit[0]) for hit, ray in zip(hits, rays, strict=True)}
    assert [round(30.0 - depth[ray], 6) for ray in range(4)] == [1.0, 1.0, 1.0, 0.0]


@pytest.mark.parametrize(
    ("signs", "face"),
    [
        ("12", NumberFace((30.0, 0.0, 10.0), (0.0, 0.0, 1.0), 5.0, 0.8)),  # over the edge
        ("1", NumberFace((0.0, 0.0, 25.0), (0.0, 0.0, 1.0), 5.0, 0.8)),  # in the air
        ("", NumberFace((0.0, 0.0, 10.0), (0.0, 0.0, 1.0), 5.0, 0.8)),
        ("4a", NumberFace((0.0, 0.0, 10.0), (0.0, 0.0, 1.0), 5.0, 0.8)),
        ("1", NumberFace((0.0, 0.0, 10.0), (0.0, 0.0, 0.0), 5.0, 0.8)),
        ("1", NumberFace((0.0, 0.0, 10.0), (0.0, 0.0, 1.0), float("nan"), 0.8)),
    ],
)
def test_what_can_not_be_sunk_is_one_sentence(signs: str, face: NumberFace) -> None:
    with pytest.raises(InputError) as caught:
        with_number(block(), signs, face)
    assert error_sentence(caught.value, "de") and "?)" not in error_sentence(caught.value)


def test_a_sample_core_gets_its_number_on_its_print(tmp_path: Path) -> None:
    """The elbow's side print ends in a flat face at x 208, with a vent in its middle."""
    out = tmp_path / "elbow-210.stl"
    face = NumberFace((208.0, 0.0, 132.0), (1.0, 0.0, 0.0), 12.0, 1.2)
    made = number_file(SAMPLE, out, "210", face, unit="mm")
    written = trimesh.load(out)
    assert written.is_watertight and written.volume < trimesh.load(SAMPLE).volume
    assert len(written.faces) == len(made.faces)
    with pytest.raises(FileError):
        number_file(SAMPLE, out, "210", face, unit="mm")
