"""Outlines of a layer: closed, at the right place, and with the area of the exact section."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from corelib.layers.outline import outlines_at


def signed_area(points: np.ndarray, starts: np.ndarray) -> float:
    """Return the area inside the outlines, holes taken off by their direction (shoelace formula)."""
    total = 0.0
    for start, end in zip(starts, [*starts[1:], len(points)], strict=True):
        x, y = points[start:end].T
        total += 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return total


@pytest.mark.parametrize("z_mm", [-11.0, -3.3, 0.0, 5.7])
def test_the_section_of_a_torus_is_a_ring(z_mm: float) -> None:
    """Closed form: π((R + c)² − (R − c)²) with c = √(r² − z²); the polygon has 256 corners."""
    torus = trimesh.creation.torus(40.0, 12.0, major_sections=256, minor_sections=256)
    points, starts = outlines_at(np.asarray(torus.vertices), np.asarray(torus.faces, dtype=np.int32), z_mm)
    reach = math.sqrt(144.0 - z_mm**2)
    assert len(starts) == 2
    assert abs(signed_area(points, starts)) == pytest.approx(4 * math.pi * 40.0 * reach, rel=2e-3)


@pytest.mark.parametrize("z_mm", [-0.3, 0.11, 0.4])
def test_outlines_hold_the_area_that_another_library_finds(z_mm: float) -> None:
    rng = np.random.default_rng(5)
    knob = trimesh.creation.icosphere(4)
    vertices = np.asarray(knob.vertices) * (1 + 0.2 * np.sin(5 * np.asarray(knob.vertices)))
    turned = vertices @ np.linalg.qr(rng.normal(size=(3, 3)))[0]
    section = trimesh.Trimesh(turned, knob.faces, process=False).section([0, 0, 1], [0, 0, z_mm])
    flat, _ = section.to_2D()
    points, starts = outlines_at(turned, np.asarray(knob.faces, dtype=np.int32), z_mm)
    assert abs(signed_area(points, starts)) == pytest.approx(flat.area, rel=1e-9)


def test_a_plane_through_vertices_counts_them_as_above() -> None:
    box = trimesh.creation.box((2.0, 2.0, 2.0))
    vertices, faces = np.asarray(box.vertices), np.asarray(box.faces, dtype=np.int32)
    at_the_floor, starts = outlines_at(vertices, faces, -1.0)
    assert len(at_the_floor) == 0 and len(starts) == 0
    at_the_top, starts = outlines_at(vertices, faces, 1.0)
    assert len(starts) == 1
    assert abs(signed_area(at_the_top, starts)) == pytest.approx(4.0)
    assert len(outlines_at(vertices, faces, 1.5)[0]) == 0
