"""STL of printed cores, read back by trimesh: volumes scale with the cube of the allowance."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from corelib.export.core_stl import core_stl
from corelib.export.painting import Shape
from tests.export.conftest import SamplePlan


def test_trimesh_reads_the_volume_of_the_printed_body(pump: SamplePlan, tmp_path: Path) -> None:
    core = {**pump.document["cores"][0], "scale_xyz": [1.002, 1.002, 1.004], "bleed_xy_mm": 0.15}
    nominal = pump.shapes[core["id"]]
    printed = Shape(nominal.vertices_mm * np.array([1.002, 1.002, 1.004]), nominal.faces)
    path = tmp_path / "core.stl"
    path.write_bytes(core_stl(core, printed))
    read = trimesh.load(path)
    assert read.is_watertight and len(read.faces) == len(nominal.faces)
    volume = float(read.volume)
    loaded = next(c for c in pump.plan.cores if c.item.id == core["id"])
    assert volume == pytest.approx(loaded.volume_mm3 * 1.002 * 1.002 * 1.004, rel=1e-4)
    assert path.read_bytes()[:80].startswith(
        b"mm; printed body, scale 1.002 1.002 1.004; bleed not drawn in: 0.15"
    )
    assert not path.read_bytes().startswith(b"solid")
