"""Layers and operating points for the tests of estimate, checks and cost: invented, small, by hand."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from corelib.estimate.box import BoxEstimate, CoreInBox, estimate_box
from corelib.job.operating_point import overridden, profiles_point
from corelib.job.profiles import OperatingPoint, ProfileNames
from corelib.layers.model import BoxLayers

NAMES = ProfileNames(
    process="inorganic-printing",
    machine="demo-printer",
    head="demo-head",
    sand="quartz-sand",
    additive="powder-additive",
    binder="alkali-silicate",
    oven="microwave-oven",
    rates="demo-rates",
)
INNER_MM = (800.0, 500.0, 400.0)


@cache
def _demo_point() -> OperatingPoint:
    return profiles_point(NAMES)


def point(**values: Any) -> OperatingPoint:
    """Return the demo operating point with values replaced: `point(sand__moisture_pct=0.2)`."""
    return overridden(_demo_point(), {name.replace("__", "."): value for name, value in values.items()})


def block_layers(
    size_mm: tuple[float, float, float] = (200.0, 150.0, 60.0),
    thickness_mm: float = 0.3,
    base: int = 2,
    cover: int = 1,
    box: int = 0,
) -> BoxLayers:
    """Return the layers of one upright block in the middle of a box."""
    core_layers = round(size_mm[2] / thickness_mm)
    count = base + core_layers + cover
    printed = np.zeros(count)
    printed[base : base + core_layers] = size_mm[0] * size_mm[1]
    extent = np.full((count, 4), np.nan)
    extent[base : base + core_layers] = (100.0, 100.0, 100.0 + size_mm[0], 100.0 + size_mm[1])
    return BoxLayers(
        box=box,
        thickness_mm=thickness_mm,
        base_layers=base,
        cover_layers=cover,
        z_mm=np.arange(count) * thickness_mm,
        printed_area_mm2=printed,
        nominal_area_mm2=printed.copy(),
        area_error_mm2=np.zeros(count),
        boundary_mm=np.where(printed > 0, 2 * (size_mm[0] + size_mm[1]), 0.0),
        extent_mm=extent,
    )


def block_core(
    core_id: str = "block",
    copies: int = 1,
    size_mm: tuple[float, float, float] = (200.0, 150.0, 60.0),
    **more: Any,
) -> CoreInBox:
    """Return a block as the only core type of a box, its copies together filling `size_mm`."""
    volume = size_mm[0] * size_mm[1] * size_mm[2] / copies
    return CoreInBox(core_id, copies, volume, volume, **more)


def block_estimate(box: int = 0, **values: Any) -> BoxEstimate:
    """Return the estimate of a box with the block."""
    return estimate_box(block_layers(box=box), point(**values), INNER_MM, (block_core(),))
