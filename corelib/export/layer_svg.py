"""One layer of a box as SVG, true to scale: the nominal outlines at mid-layer, filled, in mm."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from itertools import pairwise
from typing import Any

import numpy as np

from corelib.export.figures import core_names
from corelib.export.lettering import printable
from corelib.export.painting import PALETTE, Shape
from corelib.geometry.pose import moved
from corelib.layers.outline import outlines_at


def layer_svg(plan: Mapping[str, Any], box_number: int, layer: int, shapes: Mapping[str, Shape]) -> str:
    """Return a layer as SVG, y upwards as in the box; overlapping bodies fill as one (non-zero rule)."""
    box = plan["boxes"][box_number]
    z_mm = box["layers"][layer]["z_mm"] + box["layer_thickness_mm"] / 2
    wide, deep, _ = box["inner_mm"]
    names = core_names(plan)
    colours = dict(zip(names, (PALETTE[index % len(PALETTE)] for index in range(len(names))), strict=True))
    groups = []
    for item in box["placements"]:
        path = _path(shapes[item["core"]], item["matrix"], z_mm)
        if path:
            red, green, blue = colours[item["core"]]
            title = f"{names[item['core']]}, copy {item['copy'] + 1}"
            groups.append(
                f'<path fill="#{red:02x}{green:02x}{blue:02x}" fill-rule="nonzero" d="{path}">'
                f"<title>{escape(printable(title))}</title></path>"
            )
    about = f"{plan['job']['name']}, box {box_number + 1}, layer {layer}, z {z_mm:g} mm"
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{deep:g}mm" '
        f'viewBox="0 0 {wide:g} {deep:g}">\n<title>{escape(printable(about))}</title>\n'
        f'<rect width="{wide:g}" height="{deep:g}" fill="none" stroke="#60686f" stroke-width="0.5"/>\n'
        f'<g transform="translate(0 {deep:g}) scale(1 -1)" stroke="#1d2126" stroke-width="0.15">\n'
        + "\n".join(groups)
        + "\n</g>\n</svg>\n"
    )


def _path(shape: Shape, matrix: Any, z_mm: float) -> str:
    placed = moved(shape.vertices_mm, np.asarray(matrix, dtype=np.float64))
    points, starts = outlines_at(placed, shape.faces, z_mm)
    loops = []
    for start, end in pairwise([*starts.tolist(), len(points)]):
        if end - start >= 3:
            corners = "L".join(f"{x:.5g} {y:.5g}" for x, y in points[start:end].tolist())
            loops.append(f"M{corners}Z")
    return "".join(loops)
