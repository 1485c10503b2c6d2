"""Regions: the only door to shapely. Outlines of layers go in and come out as flat arrays.

A layer is a list of rings; outer rings run counter-clockwise, holes clockwise, and each hole names its outer
ring. shapely is imported when a region is first needed.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Longs = NDArray[np.int64]
Regions = Any
"""A NumPy array of shapely (multi)polygons, one a layer; opaque to every other module."""

ARC_STEPS = 8
"""Straight pieces of a quarter circle where an inner corner is rounded: 0.5 % of the offset at most."""


def regions(points_mm: Points, ring_starts: Longs, layer_rings: Longs, parent: NDArray[np.int32]) -> Regions:
    """Return one region for each layer from rings with parents; holes without a parent are left out."""
    import shapely

    count = len(ring_starts) - 1
    owner = np.where(parent < 0, np.arange(count), parent)
    length = np.diff(ring_starts)
    keep = length >= 3
    keep &= keep[owner] if count else keep
    order = np.lexsort((parent >= 0, owner))
    order = order[keep[order]]
    places = _ranges(ring_starts[:-1][order], length[order])
    ring_ends = np.concatenate([[0], np.cumsum(length[order])])
    is_shell = parent[order] < 0
    shells = np.flatnonzero(is_shell)
    polygon_rings = np.append(shells, len(order))
    layer_of = np.searchsorted(layer_rings, order[shells], side="right") - 1
    layer_polygons = np.searchsorted(layer_of, np.arange(len(layer_rings)))
    made: Regions = shapely.from_ragged_array(
        shapely.GeometryType.MULTIPOLYGON,
        points_mm[places],
        (ring_ends, polygon_rings, layer_polygons),
    )
    crossed = ~shapely.is_valid(made)  # rings that touch or cross themselves stop an overlap
    made[crossed] = shapely.make_valid(made[crossed], method="structure", keep_collapsed=False)
    return made


def _ranges(starts: Longs, lengths: Longs) -> Longs:
    """Return start, start + 1, … for each start and length, one after another."""
    if not len(starts):
        return np.zeros(0, dtype=np.int64)
    begin = np.repeat(starts - np.concatenate([[0], np.cumsum(lengths)[:-1]]), lengths)
    ranges: Longs = begin + np.arange(len(begin))
    return ranges


def rings(made: Regions) -> tuple[Points, Longs, Longs, NDArray[np.int32]]:
    """Return points, ring starts, each layer's rings, and parents: what `regions` takes."""
    import shapely

    multi = made.copy()
    single = shapely.get_type_id(made) != shapely.GeometryType.MULTIPOLYGON
    multi[single] = [_multi(shapely, region) for region in made[single]]
    kind, points, offsets = shapely.to_ragged_array(shapely.orient_polygons(multi))
    if kind != shapely.GeometryType.MULTIPOLYGON:
        raise ValueError(f"regions came out as {kind}")
    ring_ends, polygon_rings, layer_polygons = (np.asarray(ends, dtype=np.int64) for ends in offsets)
    length = np.diff(ring_ends) - 1  # shapely repeats the first point
    places = _ranges(ring_ends[:-1], length)
    parent = np.repeat(polygon_rings[:-1], np.diff(polygon_rings)).astype(np.int32)
    parent[polygon_rings[:-1]] = -1
    ring_starts = np.concatenate([[0], np.cumsum(length)])
    return np.ascontiguousarray(points[places]), ring_starts, polygon_rings[layer_polygons], parent


def _multi(shapely: Any, region: Any) -> Any:
    """Return a region as a multipolygon; points and lines that an intersection leaves are dropped."""
    parts = [part for part in shapely.get_parts(region) if part.geom_type == "Polygon" and not part.is_empty]
    return shapely.MultiPolygon(parts)


def drawn_in(made: Regions, distance_mm: float) -> Regions:
    """Return regions with their outlines drawn in by a distance (outward if negative).

    What is left is every point that lies deeper than the distance: inner corners come out round.
    """
    import shapely

    shrunk: Regions = shapely.buffer(made, -distance_mm, quad_segs=ARC_STEPS)
    return shrunk


def common(first: Regions, second: Regions) -> Regions:
    """Return the overlap of two regions, layer by layer."""
    import shapely

    both: Regions = shapely.intersection(first, second)
    return both


def none(count: int) -> Regions:
    """Return empty regions."""
    import shapely

    empty: Regions = np.array([shapely.MultiPolygon()] * count, dtype=object)
    return empty


def joined(parts: list[Regions]) -> Regions:
    """Return regions of several layer ranges one after another."""
    together: Regions = np.concatenate(parts)
    return together


def areas_mm2(made: Regions) -> Points:
    """Return each region's area."""
    import shapely

    found: Points = shapely.area(made)
    return found


def lengths_mm(made: Regions) -> Points:
    """Return each region's boundary length, holes included."""
    import shapely

    found: Points = shapely.length(made)
    return found
