"""Layers as pixels: a pixel is on if its centre is inside; overlaps once, holes open; rows and reach."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from corelib.allowance.body import PrintedBody
from corelib.errors import InputError
from corelib.layers.grid import PixelGrid, pixel_grid
from corelib.layers.model import PlacedBody
from corelib.layers.raster import LayerDrawer, drawn_bodies
from corelib.layers.run import copy_row_pixels, drawn_layers
from corelib.layers.sections import core_sections
from corelib.layers.store import OutlineStore
from tests.layers.meshes import box, frustum, gyroid, inside_out, joined, sphere, torus, turn
from tests.layers.test_build import placed

GRID = PixelGrid("x", 0.1, 0.1, 800, 600)


def bled(mesh, shift, bleed=0.0, bleed_z=0.0, **more):
    body = placed(mesh, shift, **more)
    return PlacedBody(body.placement, PrintedBody(body.body.core, mesh, (1.0, 1.0, 1.0), bleed, bleed_z))


def drawer(bodies, grid=GRID):
    return LayerDrawer(drawn_bodies(bodies, 0.3), grid, OutlineStore())


def picture(bodies, layer, grid=GRID):
    """The layer as booleans (rows, columns), and its counts."""
    made = drawer(bodies, grid)
    bits = made.canvas()
    drawn = made.draw(layer, bits)
    return np.unpackbits(bits, axis=1, count=grid.columns).astype(bool), drawn


def test_a_box_covers_the_centres_inside_it():
    image, drawn = picture([bled(box(20, 10, 3), (5.02, 7.07, 0))], 4)
    wanted = np.zeros((600, 800), dtype=bool)
    wanted[71:171, 50:250] = True  # centres from 7.07 to 17.07 mm, and from 5.02 to 25.02 mm
    assert np.array_equal(image, wanted)
    assert image.sum() == 200 * 100 == drawn.pixels
    assert drawn.window == (71, 171, 50, 250)


def test_centres_on_an_edge_belong_to_one_side_only():
    """Two boxes that share a wall through pixel centres: no pixel twice, none missing."""
    left, right = (
        bled(box(10.05, 10.05, 3), (5.0, 5.0, 0)),
        bled(box(10, 10.05, 3), (15.05, 5.0, 0), number=1),
    )
    image, drawn = picture([left, right], 3)
    alone = picture([left], 3)[0].astype(int) + picture([right], 3)[0]
    assert alone.max() == 1
    assert np.array_equal(image, alone.astype(bool))
    assert image.any(axis=1).sum() in (100, 101)
    assert np.flatnonzero(image[80]).tolist() == list(range(50, 250))
    assert drawn.over_pixels == 0


@pytest.mark.parametrize("turns", [(0, 0, 0), (35, 20, 10)])
@pytest.mark.parametrize("name", ["ring", "lattice"])
def test_pixels_are_the_centres_inside_shapely_polygons(name, turns):
    mesh = {"ring": lambda: torus(16, 6, 40, 20), "lattice": lambda: gyroid(12, 40.0)}[name]()
    rotation = turn(*turns)
    low = (mesh.vertices_mm @ rotation.T).min(axis=0)
    body = bled(mesh, -low + (5, 5, 0.0), rotation=rotation)
    store = OutlineStore()
    made = LayerDrawer(drawn_bodies([body], 0.3), GRID, store)
    bits = made.canvas()
    made.draw(20, bits)
    image = np.unpackbits(bits, axis=1, count=GRID.columns).astype(bool)
    (drawn,) = drawn_bodies([body], 0.3)
    rings = store.outlines(drawn.pose, 20).rings(20)
    centres = (
        (np.arange(800) + 0.5) * 0.1 - drawn.shift_mm[0],
        (np.arange(600) + 0.5) * 0.1 - drawn.shift_mm[1],
    )
    x, y = np.meshgrid(*centres)
    inside = np.zeros(x.shape, dtype=bool)
    for ring in rings:  # clean body: even-odd is right
        inside ^= shapely.contains_xy(shapely.Polygon(ring), x, y)
    assert image.sum() > 500
    assert np.array_equal(image, inside)


def test_overlaps_are_filled_once_and_counted():
    one = box(20, 20, 6)
    _, drawn = picture([bled(one, (5, 5, 0)), bled(one, (15, 5, 0), number=1)], 3)
    assert drawn.pixels == 300 * 200
    assert drawn.over_pixels == 100 * 200
    _, hollow = picture([bled(joined(one, inside_out(box(10, 10, 4, at=(5, 5, 1)))), (5, 5, 0))], 10)
    assert (hollow.pixels, hollow.over_pixels, hollow.negative_pixels) == (200 * 200 - 100 * 100, 0, 0)
    _, inverted = picture([bled(inside_out(one), (5, 5, 0))], 3)
    assert (inverted.pixels, inverted.negative_pixels) == (0, 200 * 200)


def test_travel_along_y_gives_the_picture_across():
    body = [bled(frustum(7, 9, 4, 6), (20, 30, 0)), bled(box(5, 30, 6), (40, 10, 0), number=1)]
    along_x, _ = picture(body, 9)
    along_y, drawn = picture(body, 9, PixelGrid("y", 0.1, 0.1, 600, 800))
    assert np.array_equal(along_y, along_x.T)
    assert drawn.pixels == along_x.sum()


def test_pitches_may_differ():
    image, drawn = picture([bled(box(20, 10, 3), (5, 5, 0))], 2, PixelGrid("x", 0.05, 0.2, 1600, 300))
    assert drawn.pixels == 400 * 50 == image.sum()


def test_what_lies_outside_the_canvas_is_cut_off():
    image, drawn = picture([bled(box(200, 100, 3), (-50, -20, 0))], 2)
    assert image.all()
    assert drawn.window == (0, 600, 0, 800)


@settings(max_examples=30)
@given(x=st.floats(-20, 90), y=st.floats(-20, 70), yaw=st.floats(0, 360))
def test_bits_rows_and_reach_agree_wherever_a_core_lies(x, y, yaw):
    image, drawn = picture([bled(frustum(5, 12, 3, 6), (x, y, 0), rotation=turn(0, 0, yaw))], 5)
    assert np.array_equal(image.sum(axis=1), drawn.row_pixels)
    for row in np.flatnonzero(drawn.row_pixels):
        columns = np.flatnonzero(image[row])
        assert drawn.reach[row].tolist() == [columns[0], columns[-1] + 1]
    empty = drawn.row_pixels == 0
    assert (drawn.reach[empty, 1] == 0).all()


@pytest.mark.parametrize("bleed", [0.0, 0.15])
def test_pixels_hold_the_area_of_the_outlines(bleed):
    """No axis-aligned walls: within 5e-4 of the greatest area at 0.1 mm (a trial had 2e-4)."""
    mesh = gyroid(24, 50.0)
    body = bled(mesh, (3.0, 3.0, 0.0), bleed=bleed, bleed_z=0.2 if bleed else 0.0)
    made = drawer([body])
    (drawn,) = made.bodies
    area, _ = made.store.printed_areas(drawn.pose)
    pixels = np.array([made.draw(drawn.first_layer + layer).pixels for layer in range(len(area))]) * 0.01
    assert np.abs(pixels - area).max() <= 5e-4 * area.max() * (50 / 20)  # a small body: few rows
    assert abs(pixels.sum() - area.sum()) <= 2e-4 * area.sum()


def test_triangles_and_contours_give_the_same_pixels_without_bleed():
    mesh = gyroid(16, 50.0)
    (body,) = drawn_bodies([bled(mesh, (3, 3, 0), rotation=None)], 0.3)
    store = OutlineStore()
    for layer in range(0, 160, 13):
        made = LayerDrawer([body], GRID, store)
        from_triangles = made.canvas()
        counted = made.draw(layer, from_triangles)
        store.edges = lambda pose, own, key: store.outlines(pose, own, key)
        from_contours = made.canvas()
        again = made.draw(layer, from_contours)
        del store.edges
        assert np.array_equal(from_triangles, from_contours)
        assert counted.pixels == again.pixels


@pytest.mark.parametrize("axis", ["x", "y"])
def test_pixels_counted_straight_from_triangles_are_those_drawn(axis):
    grid = PixelGrid(axis, 0.1, 0.2, 700, 500)
    (body,) = drawn_bodies([bled(gyroid(16, 50.0), (3, 3, 0), rotation=turn(0, 0, 12))], 0.3)
    store = OutlineStore()
    counted = store.cutter(body.pose, body.key).row_pixels(5, 150, grid, body.shift_mm)
    made = LayerDrawer([body], grid, store)
    assert counted.sum() > 1e6
    for own in range(5, 150):
        assert np.array_equal(counted[own - 5], made.draw(body.first_layer + own).row_pixels)


def test_closed_form_is_within_the_pixel_bound():
    mesh = sphere(20, 60, 90)
    sections = core_sections(mesh, np.eye(3), phase_mm=0.0, thickness_mm=0.3)
    made = drawer([bled(mesh, (30, 30, 20))])
    first = made.bodies[0].first_layer
    pixels = np.array([made.draw(first + layer).pixels for layer in range(sections.count)])
    assert (np.abs(pixels * 0.01 - sections.area_mm2) <= 0.1 * sections.boundary_mm).all()


def test_images_beyond_the_limit_are_refused():
    with pytest.raises(InputError) as caught:
        pixel_grid("x", 0.01, 0.01, (1800.0, 1000.0, 700.0))
    assert caught.value.code == "layers.image_too_large"
    assert pixel_grid("y", 0.1, 0.2, (1800.0, 1000.0, 700.0)) == PixelGrid("y", 0.1, 0.2, 10000, 9000)


def test_layers_come_in_order_from_threads_and_again_the_same():
    bodies = drawn_bodies([bled(gyroid(12, 40.0), (3, 3, 0)), bled(sphere(8), (60, 20, 8), number=1)], 0.3)

    def run(with_bits):
        found = drawn_layers(
            bodies,
            GRID,
            OutlineStore(),
            range(130),
            lambda drawn, bits: int(np.bitwise_count(bits).sum()),
            with_bits=with_bits,
        )
        return [(drawn.layer, drawn.pixels, made) for drawn, made in found]

    with_bits = run(True)
    assert [entry[0] for entry in with_bits] == list(range(130))
    assert all(pixels == made for _, pixels, made in with_bits)
    assert [entry[:2] for entry in run(False)] == [entry[:2] for entry in with_bits]


def test_rows_of_each_copy_add_up_to_the_layers():
    bodies = drawn_bodies([bled(sphere(8), (20, 20, 8)), bled(sphere(8), (50, 20, 11), number=1)], 0.3)
    copies = copy_row_pixels(bodies, GRID, OutlineStore())
    made = LayerDrawer(bodies, GRID, OutlineStore())
    rows = sum(made.draw(layer).row_pixels.astype(int) for layer in range(70))
    assert np.array_equal(copies[0].pixels + copies[1].pixels, rows)
    assert (copies[1].copy_number, copies[1].first_layer) == (1, 10)


def test_a_block_that_is_solid_in_part_has_no_outline():
    assert drawn_bodies([bled(box(5, 5, 5), (5, 5, 0), share=0.5)], 0.3) == ()
