"""Pictures without a screen: silhouettes have the areas of closed forms, nearer hides farther."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh
from PIL import Image

from corelib.export.painting import (
    FROM_ABOVE,
    PALETTE,
    Figure,
    Shape,
    View,
    picture_of_box,
    picture_of_core,
)


def shape(mesh: trimesh.Trimesh) -> Shape:
    return Shape(np.array(mesh.vertices, dtype=np.float64), np.array(mesh.faces, dtype=np.int32))


def at(x: float, y: float, z: float) -> np.ndarray:
    matrix = np.eye(4)
    matrix[:3, 3] = x, y, z
    return matrix


def pixels(png: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


def coloured(image: np.ndarray) -> np.ndarray:
    return (image.max(axis=2) - image.min(axis=2)) > 25


BALL = shape(trimesh.creation.icosphere(subdivisions=4, radius=50.0))
CUBE = shape(trimesh.creation.box(extents=(100.0, 100.0, 100.0)))


@pytest.mark.parametrize("view", [View(), View(40.0, 55.0), FROM_ABOVE])
def test_a_ball_covers_a_disc_of_its_radius(view: View) -> None:
    """Orthogonal projection of a sphere: pi r² (elementary geometry)."""
    image = pixels(
        picture_of_box(
            {"ball": BALL}, [Figure("ball", at(150, 150, 150), PALETTE[0])], (300, 300, 300), view=view
        )
    )
    basis = view.basis
    corners = np.array([[x, y, z] for x in (0, 300) for y in (0, 300) for z in (0, 300)]) @ basis.T
    px_per_mm = image.shape[1] / (np.ptp(corners[:, 0]) + 16 / ((2800 - 16) / np.ptp(corners[:, 0])))
    area = coloured(image).sum() / px_per_mm**2
    assert area == pytest.approx(np.pi * 50**2, rel=0.02)


def test_the_nearer_core_hides_the_farther_one_whatever_their_order() -> None:
    figures = [Figure("cube", at(150, 150, 60), PALETTE[0]), Figure("cube", at(150, 150, 200), PALETTE[1])]
    both = [
        picture_of_box({"cube": CUBE}, order, (300, 300, 300), view=FROM_ABOVE)
        for order in (figures, figures[::-1])
    ]
    middle = [pixels(png)[700, 700] for png in both]
    for colour in middle:
        assert colour[2] > colour[0]  # the upper cube is blue, the lower one sand
    assert np.array_equal(pixels(both[0]), pixels(both[1]))


def test_x_runs_right_and_y_away_when_seen_from_above() -> None:
    png = picture_of_box(
        {"cube": CUBE}, [Figure("cube", at(60, 240, 60), PALETTE[0])], (300, 300, 300), view=FROM_ABOVE
    )
    rows, columns = np.nonzero(coloured(pixels(png)))
    assert columns.mean() < 700 and rows.mean() < 700


def test_the_same_packing_gives_the_same_bytes() -> None:
    figures = [Figure("ball", at(150, 150, 150), PALETTE[0])]
    one = picture_of_box({"ball": BALL}, figures, (300, 300, 300), filled_mm=200.0)
    assert one == picture_of_box({"ball": BALL}, figures, (300, 300, 300), filled_mm=200.0)


def test_a_core_fills_its_picture() -> None:
    image = pixels(picture_of_core(CUBE, PALETTE[0]))
    rows, columns = np.nonzero(coloured(image))
    assert np.ptp(rows) > 0.85 * image.shape[0] or np.ptp(columns) > 0.85 * image.shape[1]
