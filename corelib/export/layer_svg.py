"""One layer of a box as SVG, true to scale in mm: what gets binder, filled, under the nominal outlines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from corelib.export.figures import core_names, label
from corelib.export.lettering import printable
from corelib.export.painting import PALETTE, Shape
from corelib.geometry.pose import moved
from corelib.layers.outline import outlines_at

Points = NDArray[np.float64]
PrintedRings = Mapping[tuple[str, int], Sequence[Points]]
"""The rings to print of each core copy (core id, number from 0) in the box's x and y, holes the other way."""


def layer_svg(
    plan: Mapping[str, Any],
    box_number: int,
    layer: int,
    shapes: Mapping[str, Shape],
    printed: PrintedRings | None = None,
    language: str = "en",
) -> str:
    """Return a layer as SVG, y upwards as in the box; overlapping bodies fill as one (non-zero rule).

    Group `printed` holds the compensated outlines, which get binder; group `nominal` the meshes' own at
    mid-layer, as lines. Without `printed`, the nominal outlines are filled and the title says so.
    """
    box = plan["boxes"][box_number]
    z_mm = box["layers"][layer]["z_mm"] + box["layer_thickness_mm"] / 2
    wide, deep, _ = box["inner_mm"]
    colours = dict(zip(core_names(plan), _colours(), strict=False))
    nominal, filled = [], []
    for item in box["placements"]:
        core, copy = item["core"], item["copy"]
        own = _path(_rings(shapes[core], item["matrix"], z_mm))
        if own:
            style = "" if printed is not None else f' fill="{colours[core]}" fill-rule="nonzero"'
            nominal.append(_titled(own, style, plan, item))
        if printed is not None and (path := _path(printed.get((core, copy), ()))):
            filled.append(_titled(path, f' fill="{colours[core]}" fill-rule="nonzero"', plan, item))
    about = f"{plan['job']['name']}, box {box_number + 1}, layer {layer}, z {z_mm:g} mm"
    said = label("svg_nominal_only" if printed is None else "svg_printed_and_nominal", language)
    groups = [] if printed is None else [_group("printed", ' stroke="none"', filled)]
    line = ' fill="none"' if printed is not None else ""
    groups.append(_group("nominal", f'{line} stroke="#1d2126" stroke-width="0.1"', nominal))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{deep:g}mm" '
        f'viewBox="0 0 {wide:g} {deep:g}">\n<title>{escape(printable(about))}</title>\n'
        f"<desc>{escape(said)}</desc>\n"
        f'<rect width="{wide:g}" height="{deep:g}" fill="none" stroke="#60686f" stroke-width="0.5"/>\n'
        f'<g transform="translate(0 {deep:g}) scale(1 -1)">\n' + "\n".join(groups) + "\n</g>\n</svg>\n"
    )


def _colours() -> Iterable[str]:
    number = 0
    while True:
        red, green, blue = PALETTE[number % len(PALETTE)]
        yield f"#{red:02x}{green:02x}{blue:02x}"
        number += 1


def _group(name: str, style: str, paths: Sequence[str]) -> str:
    return f'<g id="{name}"{style}>\n' + "\n".join(paths) + "\n</g>"


def _titled(path: str, style: str, plan: Mapping[str, Any], item: Mapping[str, Any]) -> str:
    title = f"{core_names(plan)[item['core']]}, copy {item['copy'] + 1}"
    return f'<path{style} d="{path}"><title>{escape(printable(title))}</title></path>'


def _rings(shape: Shape, matrix: Any, z_mm: float) -> list[Points]:
    placed = moved(shape.vertices_mm, np.asarray(matrix, dtype=np.float64))
    points, starts = outlines_at(placed, shape.faces, z_mm)
    return [points[start:end] for start, end in pairwise([*starts.tolist(), len(points)])]


def _path(rings: Iterable[Points]) -> str:
    loops = []
    for ring in rings:
        if len(ring) >= 3:
            corners = "L".join(f"{x:.8g} {y:.8g}" for x, y in np.round(ring, 4).tolist())
            loops.append(f"M{corners}Z")
    return "".join(loops)
