"""The closed form once more in plain NumPy, a plane at a time: the oracle for the compiled kernels.

No difference arrays, no plane numbers, no sorting by branches: shares are summed with math.fsum's exactness.
"""

from __future__ import annotations

import math

import numpy as np


def sections(mesh, rotation, *, phase_mm, thickness_mm):
    """Area and boundary length at mid-layer and slab volume of each layer: three arrays."""
    corners = (mesh.vertices_mm @ np.asarray(rotation).T)[mesh.faces]
    z = corners[:, :, 2] - corners[:, :, 2].min() + phase_mm
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    normal = np.cross(u, v)
    share = normal[:, 2] / 2
    order = np.sort(z, axis=1)
    n = max(1, math.ceil((z.max() - 1e-6) / thickness_mm))
    area, length = np.zeros(n), np.zeros(n)
    for k in range(n):
        plane = (k + 0.5) * thickness_mm
        area[k] = math.fsum(share * _share_above(order, plane))
        length[k] = math.fsum(_tent(order, np.hypot(normal[:, 0], normal[:, 1]), plane))
    above = [math.fsum(share * _mean_above(order, k * thickness_mm)) for k in range(n)] + [0.0]
    return area, length, -np.diff(np.array(above))


def _share_above(order, plane):
    a, b, c = order.T
    with np.errstate(divide="ignore", invalid="ignore"):
        low = 1 - (plane - a) ** 2 / ((b - a) * (c - a))
        top = (c - plane) ** 2 / ((c - b) * (c - a))
    return np.select([plane < a, plane < b, plane < c], [np.ones_like(a), low, top], 0.0)


def _tent(order, upright, plane):
    a, b, c = order.T
    with np.errstate(divide="ignore", invalid="ignore"):
        rise = upright / (c - a) * (plane - a) / (b - a)
        fall = upright / (c - a) * (c - plane) / (c - b)
    return np.select([plane < a, plane < b, plane < c], [np.zeros_like(a), rise, fall], 0.0)


def _mean_above(order, plane):
    a, b, c = order.T
    mean = (a + b + c) / 3
    with np.errstate(divide="ignore", invalid="ignore"):
        low = mean - plane + (plane - a) ** 3 / (3 * (b - a) * (c - a))
        top = (c - plane) ** 3 / (3 * (c - b) * (c - a))
    return np.select([plane < a, plane < b, plane < c], [mean - plane, low, top], 0.0)
