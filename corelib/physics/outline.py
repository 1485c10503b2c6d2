"""The outline to print: scale error and bleed turned about, and what whole layers leave of the bleed."""

from __future__ import annotations

import math


def outline_to_print_m(nominal_m: float, scale_error: float, bleed_m: float) -> float:
    """Return the length to print so that an outside length comes out as `nominal_m` [m].

    measured = (1 + s) printed + 2 b, turned about: (nominal − 2 b) / (1 + s). Range: s > −1. Exact for the
    model. With s = −0.002 and b = 0.15 mm, 100 mm:

    >>> round(outline_to_print_m(0.1, -0.002, 0.15e-3) * 1e3, 4)
    99.8998
    """
    return (nominal_m - 2 * bleed_m) / (1 + scale_error)


def bleed_left_m(bleed_m: float, thickness_m: float) -> float:
    """Return what is left of the bleed on faces that look down [m], as dry layers come whole.

    b − t ⌊b/t + ½⌋. Positive: the core comes out too thick by it.

    >>> round(bleed_left_m(0.2e-3, 0.3e-3) * 1e3, 6), round(bleed_left_m(0.1e-3, 0.3e-3) * 1e3, 6)
    (-0.1, 0.1)
    """
    return bleed_m - math.floor(bleed_m / thickness_m + 0.5) * thickness_m
