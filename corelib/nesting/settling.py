"""Sliding on exact distances: cores sink layer by layer until the true gap stops them.

The lattice search keeps the gap between cells that enclose the cores; what the cells waste is won back here,
and every core's lowest point comes to a whole multiple of the layer thickness, so that sections repeat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from corelib.geometry.pose import Array
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance
from corelib.nesting.model import NestBox, NestRules
from corelib.nesting.tiers import whole_layers_mm
from corelib.progress import SILENT, Progress

PASSES, MOST_PASSES = 3, 12  # more where a core between two layers waits for one above it to rise
REACH_MM = 3.0  # how far beyond the gap distances are looked for: the longest single step


def settled(
    bodies: Sequence[Body],
    fixed: Sequence[Body],
    box: NestBox,
    rules: NestRules,
    clearance: Clearance,
    progress: Progress = SILENT,
) -> list[Body]:
    """Return the bodies of one box, each sunk as far as the gap to all others allows, from low to high.

    Bodies that keep their gaps keep them all the way. A core that is stuck between two layers stays where it
    is if the two layers above are no place for it either.
    """
    result = list(bodies)
    beds = BedRule(bodies, fixed, rules)
    beside = _beside(bodies, fixed)
    for turn in range(MOST_PASSES):
        if turn >= PASSES and all(_is_on_layer(body, rules) for body in result):
            break
        order = sorted(range(len(result)), key=lambda i: (float(result[i].low_mm[2]), i))
        changed = False
        for count, i in enumerate(order):
            progress(min(1.0, (turn + count / len(order)) / PASSES), "settle")
            near = [result[j] if j < len(result) else fixed[j - len(result)] for j in beside[i]]
            lowest_mm = max(box.low_mm[2], beds.lowest_mm(i))
            if not _is_on_layer(result[i], rules) and result[i].item.gap_mm > 0.0:
                # less than a layer, to lie on one: whether all can still be drawn is proved afterwards
                lowest_mm = min(lowest_mm, max(box.low_mm[2], result[i].low_mm[2] - rules.layer_thickness_mm))
            sunk = _sunk(result[i], near, lowest_mm, box, rules, clearance)
            changed = changed or sunk is not result[i]
            beds.low_mm[i] = sunk.low_mm[2]
            result[i] = sunk
        if not changed:
            break
    return result


def _is_on_layer(body: Body, rules: NestRules) -> bool:
    height = float(body.low_mm[2]) / rules.layer_thickness_mm
    return abs(height - round(height)) < 1e-6


class BedRule:
    """Keeps the order of drawing: who was bedded until another came free stays so while cores sink."""

    def __init__(self, bodies: Sequence[Body], fixed: Sequence[Body], rules: NestRules) -> None:
        every = [*bodies, *fixed]
        self.low_mm = np.array([body.low_mm[2] for body in every])
        height_mm = np.array([body.high_mm[2] - body.low_mm[2] for body in every])
        self.freed_mm = rules.freed_share * height_mm
        held = np.array([body.item.held_by_hand for body in every], dtype=np.bool_)
        self.bedded_mm = np.where(held, -np.inf, rules.bedded_share * height_mm)
        bed = self.low_mm + self.bedded_mm
        self.keeps = bed[None, :] <= (self.low_mm + self.freed_mm)[:, None]
        np.fill_diagonal(self.keeps, False)

    def lowest_mm(self, i: int) -> float:
        """Return how low body i may sink before one that outlasted it would lose its bed first."""
        bed = (self.low_mm + self.bedded_mm)[self.keeps[i]]
        return float(bed.max(initial=-np.inf)) - float(self.freed_mm[i])


def _sunk(
    body: Body,
    near: Sequence[Body],
    lowest_mm: float,
    box: NestBox,
    rules: NestRules,
    clearance: Clearance,
) -> Body:  # fmt: skip
    """Return the body at the lowest layer that it reaches by sinking, or the body itself if it can't move."""
    thickness_mm = rules.layer_thickness_mm
    lowest = round(whole_layers_mm(lowest_mm, thickness_mm) / thickness_mm)
    height = float(body.low_mm[2]) / thickness_mm
    layer = round(height) if abs(height - round(height)) < 1e-6 else int(np.floor(height))
    best = body if layer == round(height) and abs(height - layer) < 1e-6 else None
    if best is None:
        for start in (layer, layer + 1, layer + 2):
            tried = at_layer(body, start, thickness_mm)
            inside = start >= lowest and tried.high_mm[2] <= box.high_mm[2] + TOLERANCE_MM
            if inside and _slack_mm(tried, near, clearance) >= -TOLERANCE_MM:
                best, layer = tried, start
                break
        else:
            return body
    slack_mm = _slack_mm(best, near, clearance)
    while layer > lowest and slack_mm >= -TOLERANCE_MM:
        step = min(max(1, int(slack_mm / thickness_mm)), layer - lowest)
        tried = at_layer(body, layer - step, thickness_mm)
        slack_mm = _slack_mm(tried, near, clearance)
        if slack_mm < -TOLERANCE_MM:
            break
        best, layer = tried, layer - step
    return best


def at_layer(body: Body, layer: int, thickness_mm: float) -> Body:
    """Return the body raised or sunk so that its lowest point lies at the bottom of a layer."""
    return shifted(body, np.array([0.0, 0.0, layer * thickness_mm - body.low_mm[2]]))


def shifted(body: Body, by_mm: Array) -> Body:
    """Return the body moved."""
    matrix = body.matrix.copy()
    matrix[:3, 3] += by_mm
    return replace(body, matrix=matrix, low_mm=body.low_mm + by_mm, high_mm=body.high_mm + by_mm)


def _beside(bodies: Sequence[Body], fixed: Sequence[Body]) -> list[list[int]]:
    """Return for each body which others (fixed ones are numbered after) it can meet on its way up or down."""
    every = [*bodies, *fixed]
    low = np.array([body.low_mm[:2] for body in every]).reshape(-1, 2)
    high = np.array([body.high_mm[:2] for body in every]).reshape(-1, 2)
    gap = np.array([body.item.gap_mm for body in every])
    found = []
    for i in range(len(bodies)):
        apart = np.maximum(low[i] - high, low - high[i]).clip(min=0.0)
        near = np.sqrt((apart**2).sum(axis=1)) < np.maximum(gap, gap[i]) + TOLERANCE_MM
        near[i] = False
        found.append([int(j) for j in np.flatnonzero(near)])
    return found


def _slack_mm(body: Body, near: Sequence[Body], clearance: Clearance) -> float:
    """Return by how much the nearest core stands farther off than its gap, at most REACH_MM."""
    least_mm = REACH_MM
    for other in near:
        need_mm = max(body.item.gap_mm, other.item.gap_mm)
        apart = np.maximum(body.low_mm - other.high_mm, other.low_mm - body.high_mm).clip(min=0.0)
        if np.sqrt((apart**2).sum()) < need_mm + least_mm:
            distance_mm = clearance.distance_mm(body, other, need_mm + least_mm)
            if distance_mm == 0.0:
                return -np.inf  # at gap 0 too: touching can't be told from overlap
            least_mm = min(least_mm, distance_mm - need_mm)
            if least_mm < -TOLERANCE_MM:
                break
    return least_mm
