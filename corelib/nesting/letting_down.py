"""A core let down from above into a box among others, to where it comes to lie lowest.

Heights of what stands there are kept in columns of cells that enclose it, widened by the gap, and laid
against the core's own underside: the lowest rest at every place is found at once. At the lowest of these the
core is let down on the true bodies.
"""

from __future__ import annotations

import numpy as np

from corelib.geometry.extraction import columns_of
from corelib.geometry.pose import Array, moved
from corelib.nesting.clearance import TOLERANCE_MM, Body
from corelib.nesting.moving import Surroundings, raised
from corelib.nesting.settling import shifted
from corelib.nesting.tiers import whole_layers_mm

LEAST_CELL_MM = 4.0
MOST_COLUMNS = 20_000
MOST_PLACES = 6  # at which a core is let down on the true bodies


def let_down(body: Body, around: Surroundings) -> Body | None:
    """Return the core, turned as it is, where it comes to lie lowest from above; None without room.

    Of places alike, the one nearest to where it lies now.
    """
    found: tuple[tuple[float, float], Body] | None = None
    for start in _resting_places(body, around):
        if not around.is_clear(start):
            continue
        here = raised(start, around.box.low_mm[2] - float(start.low_mm[2]), around)
        away_mm = float(np.hypot(*(here.low_mm - body.low_mm)[:2]))
        rank = (round(float(here.low_mm[2]), 6), away_mm)
        if found is None or rank < found[0]:
            found = rank, here
    return None if found is None else found[1]


def _resting_places(body: Body, around: Surroundings) -> list[Body]:
    """Return the core at rest on what stands below it, the lowest places first."""
    box, thickness_mm = around.box, around.rules.layer_thickness_mm
    cell_mm = max(LEAST_CELL_MM, float(np.sqrt(np.prod(box.inner_mm[:2]) / MOST_COLUMNS)))
    cells, under_mm = _underside(body, cell_mm)
    first = np.ceil((box.low_mm[:2] - body.low_mm[:2]) / cell_mm - 1e-9).astype(int)
    last = np.floor((box.high_mm[:2] - body.high_mm[:2]) / cell_mm + 1e-9).astype(int)
    if (last < first).any():
        return []
    heights_mm = _heights(around, body, cell_mm, cells.min(axis=0) + first, cells.max(axis=0) + last)
    wide, deep = (last - first + 1).tolist()
    rise_mm = np.full((wide, deep), box.low_mm[2] - float(body.low_mm[2]))
    for (i, j), low_mm in zip((cells - cells.min(axis=0)).tolist(), under_mm.tolist(), strict=True):
        np.maximum(rise_mm, heights_mm[i : i + wide, j : j + deep] - low_mm, out=rise_mm)
    steps = np.stack(np.meshgrid(*map(np.arange, first, last + 1), indexing="ij"), axis=-1).reshape(-1, 2)
    levels = rise_mm.ravel().round(6)
    places = []
    for n in np.lexsort((np.hypot(*steps.T), levels))[:MOST_PLACES]:
        level_mm = whole_layers_mm(float(body.low_mm[2]) + float(levels[n]), thickness_mm)
        by_mm = np.append(steps[n] * cell_mm, level_mm - body.low_mm[2])
        if body.high_mm[2] + by_mm[2] <= box.high_mm[2] + TOLERANCE_MM:
            places.append(shifted(body, by_mm))
    return places


def _spans(body: Body, cell_mm: float) -> Array:
    points = moved(body.item.mesh.vertices_mm, body.matrix)
    return columns_of(points, body.item.mesh.faces, cell_mm).spans.astype(np.float64)


def _underside(body: Body, cell_mm: float) -> tuple[Array, Array]:
    """Return the columns (x, y in cells) that a body stands in, and its lowest place in each, in mm."""
    spans = _spans(body, cell_mm)
    cells, of_span = np.unique(spans[:, :2].astype(int), axis=0, return_inverse=True)
    lowest = np.full(len(cells), np.inf)
    np.minimum.at(lowest, of_span.ravel(), spans[:, 2])
    return cells, lowest * cell_mm


def _heights(around: Surroundings, body: Body, cell_mm: float, first: Array, last: Array) -> Array:
    """Return how high each column from `first` to `last` is taken up, gaps included, in mm."""
    shape = last - first + 1
    heights_mm = np.full(shape, -np.inf)
    for other in around.others:
        need_mm = max(body.item.gap_mm, other.item.gap_mm)
        spans = _spans(other, cell_mm)
        widened = int(np.ceil(need_mm / cell_mm - 1e-9))
        for dx in range(-widened, widened + 1):
            for dy in range(-widened, widened + 1):
                at = spans[:, :2].astype(int) + np.array((dx, dy)) - first
                inside = ((at >= 0) & (at < shape)).all(axis=1)
                np.maximum.at(heights_mm, tuple(at[inside].T), spans[inside, 3] * cell_mm + need_mm)
    return heights_mm
