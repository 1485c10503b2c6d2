"""Copies that the search left between two layers, brought to a whole one by a small move that keeps all gaps.

Sections repeat only where every core's lowest point lies at the bottom of a layer; a core that can neither
sink nor rise there by itself is moved aside a little too, or rises with those that it pushes up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from corelib.geometry.pose import Array
from corelib.job.models import Packing
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance, placed_bodies
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.improving import keeps_off
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.settling import at_layer, shifted
from corelib.nesting.tiers import in_placement_order, matrix_rows
from corelib.nesting.zones import zone_items, zone_placements

LAYERS_NEAR = 4
ASIDE_MM = (0.0, 0.1, 0.25, 0.5, 1.0, 2.0, 4.0)
OFF_LAYER = 1e-6  # layers
MOST_PUSHES = 400


def on_layers(items: Sequence[NestItem], box: NestBox, rules: NestRules, packing: Packing) -> Packing:
    """Return the packing with copies on whole layers, locked ones left, wherever gate and order allow."""
    known = {item.core_id: item for item in items}
    bodies = placed_bodies(known, packing.placements)
    off = [
        i
        for i, b in enumerate(bodies)
        if not b.placement.locked and not is_on_layer(b, rules.layer_thickness_mm)
    ]
    if not off:
        return packing
    clearance = Clearance()
    zones = zone_items(box)
    boxes = 1 + max(body.placement.box for body in bodies)
    stands = placed_bodies({zone.core_id: zone for zone in zones}, zone_placements(zones, boxes))
    for i in off:
        number = bodies[i].placement.box
        others = [b for k, b in enumerate(bodies) if k != i and b.placement.box == number]
        others += [zone for zone in stands if zone.placement.box == number]
        top_mm = max(float(b.high_mm[2]) for b in bodies if b.placement.box == number)
        for tried in _tries(bodies[i], box, top_mm, rules.layer_thickness_mm):
            if keeps_off(tried, others, clearance):
                bodies[i] = tried
                break
        else:
            here = [k for k, b in enumerate(bodies) if b.placement.box == number]
            for k, body in _pushed_up(
                i, here, bodies, others, box, rules.layer_thickness_mm, clearance
            ).items():
                bodies[k] = body
    placements = [b.placement.model_copy(update={"matrix": matrix_rows(b.matrix)}) for b in bodies]
    moved = Packing(placements=in_placement_order(placements))
    faults = _faults(items, box, rules, moved)
    return moved if not faults or faults <= _faults(items, box, rules, packing) else packing


def is_on_layer(body: Body, thickness_mm: float) -> bool:
    """Return True if the body's lowest point lies at the bottom of a layer."""
    layers = float(body.low_mm[2]) / thickness_mm
    return abs(layers - round(layers)) < OFF_LAYER


def _faults(items: Sequence[NestItem], box: NestBox, rules: NestRules, packing: Packing) -> int:
    orders = extraction_orders(items, box, rules, packing)
    return sum(finding.severity != "note" for order in orders for finding in order.findings)


def _tries(body: Body, box: NestBox, top_mm: float, thickness_mm: float) -> Iterator[Body]:
    """Yield the body at layers near it and a little aside, within the box and not above its contents' top."""
    layer = int(np.floor(float(body.low_mm[2]) / thickness_mm))
    near = sorted(
        range(layer - LAYERS_NEAR, layer + LAYERS_NEAR + 2), key=lambda n: (abs(n - layer - 0.4), n)
    )
    for aside in _asides():
        for n in near:
            tried = shifted(at_layer(body, n, thickness_mm), aside)
            if _is_inside(tried, box) and tried.high_mm[2] <= top_mm + TOLERANCE_MM:
                yield tried


def _pushed_up(
    i: int,
    here: Sequence[int],
    bodies: Sequence[Body],
    others: Sequence[Body],
    box: NestBox,
    thickness_mm: float,
    clearance: Clearance,
) -> dict[int, Body]:
    """Return core i raised to the next layer, and those raised that it pushes; nothing if that can't be.

    Each push raises a core to its next layer: the whole costs a layer of height or two.
    """
    stands = [body for body in others if body.item.is_zone]
    moved = {i: _raised(bodies[i], thickness_mm)}
    waiting = [i]
    for _ in range(MOST_PUSHES):
        if not waiting:
            return moved
        pusher = moved[waiting[-1]]
        if not _is_inside(pusher, box) or not keeps_off(pusher, stands, clearance):
            return {}
        met = next(
            (k for k in here if k != waiting[-1] and not _apart(pusher, k, bodies, moved, clearance)), None
        )
        if met is None:
            waiting.pop()
            continue
        if bodies[met].placement.locked:
            return {}
        moved[met] = _raised(moved.get(met, bodies[met]), thickness_mm)
        waiting.append(met)
    return {}


def _apart(
    pusher: Body, k: int, bodies: Sequence[Body], moved: dict[int, Body], clearance: Clearance
) -> bool:
    return keeps_off(pusher, [moved.get(k, bodies[k])], clearance)


def _raised(body: Body, thickness_mm: float) -> Body:
    """Return the body at the first layer above where it is."""
    return at_layer(body, int(np.floor(float(body.low_mm[2]) / thickness_mm + OFF_LAYER)) + 1, thickness_mm)


def _asides() -> Iterator[Array]:
    for far in ASIDE_MM:
        for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)) if far else ((0, 0),):
            yield np.array([far * x, far * y, 0.0])


def _is_inside(body: Body, box: NestBox) -> bool:
    beyond = np.concatenate([np.subtract(box.low_mm, body.low_mm), body.high_mm - box.high_mm])
    return bool(beyond.max() <= TOLERANCE_MM)
