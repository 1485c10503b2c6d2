"""Cusp heights: level and upright faces have none, slopes have t·|n_z|, and the coarse faces are named."""

import numpy as np
import pytest
import trimesh

from corelib.checks.steps import layer_steps, step_findings
from corelib.geometry.pose import Orientation
from corelib.mesh.core import CoreMesh, LoadedCore
from tests.allowance.test_compensation import core, process


def cone_core():
    mesh = trimesh.creation.cone(30, 8, sections=128)
    body = CoreMesh(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    return LoadedCore(core().item, body, mesh.volume, mesh.area, 1, "mm", None, 1.0, ())


def test_a_box_has_no_steps_and_a_flat_cone_has_its_slopes():
    box = core().mesh
    assert layer_steps(box, np.eye(3), 0.3).cusp_mm.max() == pytest.approx(0, abs=1e-12)
    steps = layer_steps(cone_core().mesh, np.eye(3), 0.3)
    assert steps.cusp_mm.max() == pytest.approx(0.3 * 30 / np.hypot(30, 8), rel=1e-3)


def test_only_slopes_beyond_the_tolerance_are_named():
    flat = cone_core()
    (finding,) = step_findings(flat, np.eye(3), process(layer_thickness_mm=0.3, tolerance_mm=0.25))
    assert finding.facts["area_pct"] == pytest.approx(100 * 31.05 / (31.05 + 30), rel=0.01)
    assert all(0 < z < 8 for _, _, z in finding.places_mm)
    assert step_findings(flat, np.eye(3), process(layer_thickness_mm=0.3, tolerance_mm=0.3)) == ()
    upright = Orientation("+x").rotation
    assert step_findings(flat, upright, process(layer_thickness_mm=0.3, tolerance_mm=0.3)) == ()
    assert step_findings(flat, np.eye(3), process(layer_thickness_mm=0.3)) == ()
