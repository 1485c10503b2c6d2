"""Fourteen invented core types, seeded: the concave shapes that cores have, in usual sizes (mm).

Jackets, ports, volutes, rings, elbows and brackets put together from plain solids; no real part was used.
"""

from __future__ import annotations

import numpy as np
from manifold3d import CrossSection, Manifold, OpType

from corelib.geometry import solids
from corelib.mesh.core import CoreMesh

SEGMENTS = 24


def _ring(outer, inner, height):
    return Manifold.cylinder(height, outer, outer, SEGMENTS) - Manifold.cylinder(
        height, inner, inner, SEGMENTS
    )


def _bar(x, y, z, at=(0.0, 0.0, 0.0)):
    return Manifold.cube((x, y, z)).translate(at)


def _arc(radius, half_width, half_height, degrees):
    """A bow of rectangular section with its prints as blocks on both ends."""
    section = CrossSection.square((2 * half_width, 2 * half_height), True).translate((radius, 0.0))
    bow = Manifold.revolve(section, SEGMENTS, degrees)
    print_block = _bar(
        2.4 * half_width, 24.0, 2.4 * half_height, (-1.2 * half_width, -24.0, -1.2 * half_height)
    )
    first = print_block.translate((radius, 0.0, 0.0))
    second = print_block.rotate((180.0, 0.0, 0.0)).translate((radius, 0.0, 0.0)).rotate((0.0, 0.0, degrees))
    return bow + first + second


def jacket(length, radius, wall, windows):
    """A half shell around two bores with windows cut through and prints at the bottom."""
    shell = _ring(radius, radius - wall, length) - _bar(
        3 * radius, 2 * radius, 3 * length, (-1.5 * radius, -2 * radius, -length)
    )
    pair = shell + shell.translate((1.7 * radius, 0.0, 0.0))
    for n in range(windows):
        hole = _bar(
            0.5 * radius,
            4 * radius,
            0.2 * length,
            (-0.25 * radius, -radius, (n + 0.5) * length / windows - 0.1 * length),
        )
        pair -= hole + hole.translate((1.7 * radius, 0.0, 0.0))
    foot = _bar(14.0, 18.0, 14.0, (-7.0, radius - wall - 2, -12.0))
    return pair + foot + foot.translate((1.7 * radius, 0.0, 0.0))


def port(length, width, height, bend):
    """A duct that bends, with a print at each end."""
    first = _bar(length, width, height)
    second = _bar(width, width, bend, (length - width, 0.0, 0.0))
    ends = _bar(12.0, 1.5 * width, 1.5 * height, (-12.0, -0.25 * width, -0.25 * height))
    return first + second + ends


def volute(radius, tube):
    """A spiral passage in steps around a room, with its discharge."""
    parts = [Manifold.cylinder(0.5 * tube, 0.8 * radius, 0.8 * radius, SEGMENTS)]
    for n in range(8):
        half = 0.35 * tube + 0.08 * tube * n
        section = CrossSection.circle(half, 12).translate((radius + half, 0.0))
        parts.append(Manifold.revolve(section, SEGMENTS, 48.0).rotate((0.0, 0.0, 45.0 * n)))
    parts.append(_bar(1.6 * tube, 1.5 * radius, 1.6 * tube, (radius, -1.5 * radius, -0.8 * tube)))
    return Manifold.batch_boolean(parts, OpType.Add)


def manifold_tree(length, runners, reach):
    """A plenum with runners that turn down."""
    whole = _bar(length, 30.0, 30.0)
    for n in range(runners):
        x = (n + 0.5) * length / runners - 10.0
        whole += _bar(20.0, reach, 20.0, (x, 28.0, 5.0)) + _bar(
            20.0, 20.0, 45.0, (x, 8.0 + reach, 5.0 - 40.0)
        )
    return whole


def core_types(seed: int = 0) -> list[CoreMesh]:
    """Return the fourteen meshes, each with its lowest corner at the origin; sizes vary with the seed."""
    rng = np.random.default_rng(seed)

    def about(value):
        return float(np.round(value * rng.uniform(0.9, 1.1), 1))

    made = [
        jacket(about(110), about(48), 9.0, 2),
        jacket(about(75), about(36), 8.0, 1),
        port(about(80), about(22), about(20), about(60)),
        port(about(55), about(30), about(16), about(45)),
        volute(about(48), about(26)),
        volute(about(32), about(18)),
        _ring(about(60), about(47), about(26)),
        _ring(about(42), about(30), about(55)),
        _arc(about(70), 12.0, 10.0, 90.0),
        _arc(about(50), 9.0, 12.0, 180.0),
        manifold_tree(about(170), 4, about(60)),
        manifold_tree(about(110), 3, about(40)),
        _bar(about(100), about(18), about(70)) + _bar(about(20), about(75), about(70)),
        _bar(about(120), about(24), about(24))
        + Manifold.cylinder(about(70), 16.0, 12.0, SEGMENTS).translate((60, 12, 0)),
    ]
    meshes = []
    for solid in made:
        vertices, faces = solids.triangles(solids.without_slivers(solid, 0.004))
        meshes.append(CoreMesh(np.round(vertices - vertices.min(axis=0), 6), faces))
    return meshes
