"""Cores as stacks of printed layers: volumes by an independent mesh library, sizes by hand."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh

from corelib.allowance.compensation import printed_body
from corelib.export.core_stl import layers_stl
from corelib.job.models import CoreItem, MeshReference
from corelib.job.operating_point import DEFAULT_PROFILES, profiles_point
from corelib.layers.cut_pose import CutPose
from corelib.layers.stacked import StackedBody, stacked_body
from corelib.layers.store import OutlineStore
from corelib.mesh.core import CoreMesh, LoadedCore

ON_ITS_SIDE = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
THICKNESS_MM, BLEED_MM = 0.5, 0.2


def stacked(shape: trimesh.Trimesh, rotation: np.ndarray, **process: float) -> StackedBody:
    point = profiles_point(DEFAULT_PROFILES)
    stated = {"bleed_xy_mm": BLEED_MM, "bleed_z_mm": 0.0, "scale_error_xy_pct": 0.0, **process}
    mesh = CoreMesh(np.asarray(shape.vertices, dtype=np.float64), np.asarray(shape.faces, dtype=np.int32))
    item = CoreItem(id="a", name="A", mesh=MeshReference(path="a.stl"))
    core = LoadedCore(
        item=item,
        mesh=mesh,
        volume_mm3=float(shape.volume),
        area_mm2=float(shape.area),
        bodies=1,
        unit="mm",
        file_sha256=None,
        solid_share=1.0,
        findings=(),
    )
    body = printed_body(core, point.process.model_copy(update=stated))
    return stacked_body(CutPose(body, rotation, 0.0, THICKNESS_MM), OutlineStore())


def read_back(body: StackedBody) -> trimesh.Trimesh:
    stl = layers_stl(body.vertices_mm, body.faces, body.layers, body.thickness_mm, (0.0, 0.0, 1.0))
    words = f"mm; {body.layers} printed layers of 0.5 mm, bleed drawn in, up 0 0 1"
    assert stl[:80].decode("ascii").rstrip() == words
    read = trimesh.load(io.BytesIO(stl), file_type="stl")
    assert isinstance(read, trimesh.Trimesh)
    return read


@pytest.mark.parametrize("rotation", [np.eye(3), ON_ITS_SIDE], ids=["as modelled", "on its side"])
def test_a_stack_has_the_printed_volume_and_is_closed(rotation: np.ndarray) -> None:
    sphere = trimesh.creation.icosphere(subdivisions=3, radius=10.0)
    body = stacked(sphere, rotation)
    read = read_back(body)
    assert read.is_watertight and read.is_winding_consistent
    assert read.volume == pytest.approx(body.volume_mm3, rel=1e-6)
    assert read.volume < sphere.volume
    assert np.abs(read.vertices).max() <= 10.0 + THICKNESS_MM
    assert abs(read.center_mass).max() < 0.05  # laid back to where the core's file has it


def test_a_block_is_drawn_in_sideways_only_and_its_dry_layers_are_left_out() -> None:
    block = trimesh.creation.box((20.0, 12.0, 8.0))
    body = stacked(block, np.eye(3), bleed_z_mm=THICKNESS_MM)
    assert body.vertices_mm.max(axis=0) == pytest.approx([10 - BLEED_MM, 6 - BLEED_MM, 4.0])
    assert body.vertices_mm.min(axis=0) == pytest.approx([BLEED_MM - 10, BLEED_MM - 6, THICKNESS_MM - 4.0])
    wanted = (20 - 2 * BLEED_MM) * (12 - 2 * BLEED_MM) * (8 - THICKNESS_MM)
    assert body.volume_mm3 == pytest.approx(wanted, rel=1e-9)
    assert trimesh.Trimesh(body.vertices_mm, body.faces).volume == pytest.approx(wanted, rel=1e-9)
    assert len(body.faces) == 12  # equal layers are one prism


def test_a_block_on_its_side_is_drawn_in_along_other_edges() -> None:
    body = stacked(trimesh.creation.box((20.0, 12.0, 8.0)), ON_ITS_SIDE)
    assert np.ptp(body.vertices_mm, axis=0) == pytest.approx([20 - 2 * BLEED_MM, 12.0, 8 - 2 * BLEED_MM])


def test_a_bore_is_wider_by_the_bleed() -> None:
    """A square bore of 6 mm: the printed one is wider by twice the bleed, its corners rounded by it."""
    plate = trimesh.creation.box((20.0, 20.0, 4.0)).difference(trimesh.creation.box((6.0, 6.0, 8.0)))
    body = stacked(plate, np.eye(3))
    outer = (20 - 2 * BLEED_MM) ** 2
    bore = 6.0**2 + 4 * 6.0 * BLEED_MM + np.pi * BLEED_MM**2
    assert body.volume_mm3 == pytest.approx(4.0 * (outer - bore), rel=1e-4)
    assert read_back(body).volume == pytest.approx(body.volume_mm3, rel=1e-6)
