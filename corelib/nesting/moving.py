"""Moving and turning one core by hand among others that stay: as far as the true gap allows.

A place that keeps all gaps is taken as it is, even if another core lies on the way: the box is only a plan.
A place that does not is approached from where the core is, up to contact and along it. Distances change by
no more than a body is moved, so steps as long as the room that is left pass nothing by.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corelib.geometry.pose import Array, Orientation, rigid
from corelib.job.models import Placement
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance
from corelib.nesting.model import NestBox, NestRules
from corelib.nesting.orientations import turned_box_mm
from corelib.nesting.settling import shifted
from corelib.nesting.tiers import matrix_rows, whole_layers_mm

REACH_MM = 40.0
"""How far beyond the gap neighbours are looked for when a gap is read."""
NEAREST_STEP_MM = 0.005
MOST_STEPS = 60
SIDES = ("left wall", "front wall", "floor", "right wall", "back wall", "top")


@dataclass(frozen=True, eq=False)
class Gap:
    """A place where a core stands near to what it must keep clear of.

    Either `other` (a core) or `side` (wall, floor or top) is set. `distance_mm` is the sand between, 0 where
    the bodies cross, `need_mm` the gap or margin asked for; `ends_mm` the two nearest points in the box.
    """

    distance_mm: float
    need_mm: float
    other: Placement | None = None
    side: str | None = None
    ends_mm: tuple[tuple[float, float, float], tuple[float, float, float]] | None = None

    @property
    def slack_mm(self) -> float:
        """How much more sand there is than asked for; below 0 where the gap is broken."""
        return self.distance_mm - self.need_mm


class Surroundings:
    """What one core must keep clear of: the box with its margins, and the other cores in it."""

    def __init__(self, others: Sequence[Body], box: NestBox, rules: NestRules, clearance: Clearance) -> None:
        self.others, self.box, self.rules, self.clearance = tuple(others), box, rules, clearance

    def slack_mm(self, body: Body, reach_mm: float) -> float:
        """Return how much nearer the core may come to the nearest other core, at most `reach_mm`."""
        least = reach_mm
        for other, need_mm, _ in self._near(body, reach_mm):
            distance_mm = self.clearance.distance_mm(body, other, need_mm + least)
            if distance_mm == 0.0:
                return -max(need_mm, 2 * TOLERANCE_MM)
            least = min(least, distance_mm - need_mm)
        return least

    def is_clear(self, body: Body) -> bool:
        """Return True if the core keeps every margin and gap."""
        excess = np.concatenate([self.box.low_mm - body.low_mm, body.high_mm - self.box.high_mm])
        return bool(excess.max() <= TOLERANCE_MM) and self.slack_mm(body, TOLERANCE_MM) >= -TOLERANCE_MM

    def core_gap(self, body: Body, reach_mm: float = REACH_MM) -> Gap | None:
        """Return the nearest place to another core; None if none comes within `reach_mm` beyond its gap."""
        nearest, mate = None, None
        least_mm = reach_mm
        for other, need_mm, _ in self._near(body, reach_mm):
            bound_mm = need_mm + max(least_mm, TOLERANCE_MM)
            distance_mm = self.clearance.distance_mm(body, other, bound_mm)
            if distance_mm < bound_mm and (nearest is None or distance_mm - need_mm < nearest.slack_mm):
                nearest, mate = Gap(distance_mm, need_mm, other=other.placement), other
                least_mm = nearest.slack_mm
        if nearest is None or mate is None or nearest.distance_mm <= 0.0:
            return nearest
        return replace(nearest, ends_mm=self._ends(body, mate, nearest.distance_mm))

    def side_gaps(self, body: Body) -> tuple[Gap, ...]:
        """Return the room to walls, floor and top, the one with the least to spare first."""
        inner = np.array(self.box.inner_mm)
        room = np.concatenate([body.low_mm, inner - body.high_mm])
        margins = np.concatenate([self.box.low_mm, inner - np.array(self.box.high_mm)])
        found = []
        for number, side in enumerate(SIDES):
            axis = number % 3
            start = 0.5 * (body.low_mm + body.high_mm)
            start[axis] = body.low_mm[axis] if number < 3 else body.high_mm[axis]
            end = start.copy()
            end[axis] = 0.0 if number < 3 else inner[axis]
            ends = _point(start), _point(end)
            found.append(Gap(float(room[number]), float(margins[number]), side=side, ends_mm=ends))
        return tuple(sorted(found, key=lambda gap: gap.slack_mm))

    def _near(self, body: Body, reach_mm: float) -> list[tuple[Body, float, float]]:
        """Return the others whose bounding boxes come within `reach_mm` beyond the gap, nearest first."""
        found = []
        for other in self.others:
            need_mm = max(body.item.gap_mm, other.item.gap_mm)
            apart = np.maximum(body.low_mm - other.high_mm, other.low_mm - body.high_mm).clip(min=0.0)
            apart_mm = float(np.sqrt((apart**2).sum()))
            if apart_mm < need_mm + reach_mm:
                found.append((other, need_mm, apart_mm - need_mm))
        return sorted(found, key=lambda near: near[2])

    def _ends(
        self, body: Body, other: Body, distance_mm: float
    ) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        from corelib.geometry.nearest import nearest_points_mm

        trees = [self.clearance.tree(one.item, one.matrix[:3, :3]) for one in (body, other)]
        shift_mm = other.matrix[:3, 3] - body.matrix[:3, 3]
        first, second = nearest_points_mm(trees[0], trees[1], shift_mm, distance_mm)
        return _point(first + body.matrix[:3, 3]), _point(second + body.matrix[:3, 3])


def moved_by_hand(body: Body, by_mm: Sequence[float], around: Surroundings) -> Body:
    """Return the core moved by `by_mm`, or as near to that as margins, gaps and whole layers allow.

    Its lowest point comes to a whole layer. A core that breaks a gap where it is goes only where it breaks
    none.
    """
    by = _kept_inside(body, np.asarray(by_mm, dtype=np.float64), around)
    goal = _on_layer(shifted(body, by), around)
    if around.is_clear(goal):
        return goal
    if not around.is_clear(body):
        return body
    wanted = body.matrix[:2, 3] + by[:2]
    reached = _approached(body, np.array([by[0], by[1], 0.0]), around)
    for axis in (0, 1):
        left = np.zeros(3)
        left[axis] = wanted[axis] - reached.matrix[axis, 3]
        reached = _slid(reached, left, around)
    return raised(reached, float(by[2]), around)


def _kept_inside(body: Body, by_mm: Array, around: Surroundings) -> Array:
    """Return the way, no longer than the margins allow."""
    low, high = np.array(around.box.low_mm), np.array(around.box.high_mm)
    kept: Array = np.clip(by_mm, np.minimum(low - body.low_mm, 0.0), np.maximum(high - body.high_mm, 0.0))
    return kept


def _on_layer(body: Body, around: Surroundings) -> Body:
    """Return the body with its lowest point on the nearest whole layer within floor and top margin."""
    thickness_mm = around.rules.layer_thickness_mm
    least = round(whole_layers_mm(around.box.low_mm[2], thickness_mm) / thickness_mm)
    height_mm = float(body.high_mm[2] - body.low_mm[2])
    most = int(np.floor((around.box.high_mm[2] - height_mm) / thickness_mm + 1e-9))
    layer = max(least, min(most, round(float(body.low_mm[2]) / thickness_mm)))
    return shifted(body, np.array([0.0, 0.0, layer * thickness_mm - body.low_mm[2]]))


def _approached(body: Body, by_mm: Array, around: Surroundings) -> Body:
    """Return the body moved along a straight way until contact or the way's end."""
    length_mm = float(np.sqrt((by_mm**2).sum()))
    if length_mm < NEAREST_STEP_MM:
        return body
    along, gone_mm = by_mm / length_mm, 0.0
    for _ in range(MOST_STEPS):
        here = shifted(body, gone_mm * along)
        step_mm = min(around.slack_mm(here, length_mm - gone_mm), length_mm - gone_mm)
        if step_mm < NEAREST_STEP_MM:
            break
        gone_mm += step_mm
    return shifted(body, gone_mm * along)


def _slid(body: Body, by_mm: Array, around: Surroundings) -> Body:
    """Return the body moved along what it touches: as far as a place found by halving the way is clear."""
    whole = shifted(body, by_mm)
    if around.is_clear(whole):
        return whole
    reached, step = body, 0.5 * by_mm
    while float(np.abs(step).max()) >= NEAREST_STEP_MM:
        tried = shifted(reached, step)
        if around.is_clear(tried):
            reached = tried
        step = 0.5 * step
    return reached


def raised(body: Body, by_mm: float, around: Surroundings) -> Body:
    """Return the body raised or sunk by whole layers until contact."""
    thickness_mm = around.rules.layer_thickness_mm
    layers = round(by_mm / thickness_mm)
    if layers == 0:
        return body
    reached = _approached(body, np.array([0.0, 0.0, layers * thickness_mm]), around)
    whole = int(abs(reached.low_mm[2] - body.low_mm[2]) / thickness_mm + 1e-9)
    rise_mm = float(np.sign(layers)) * whole * thickness_mm
    goal = _on_layer(shifted(body, np.array([0.0, 0.0, rise_mm])), around)
    return goal if around.is_clear(goal) else body


def turned_by_hand(body: Body, orientation: Orientation, around: Surroundings) -> Body:
    """Return the core turned about its middle, its lowest point kept at its layer and inside the margins.

    Whether it is clear there is for `Surroundings.is_clear` to say.
    """
    rotation = orientation.rotation
    low, high = turned_box_mm(body.item.mesh, rotation)
    middle = 0.5 * (body.low_mm + body.high_mm)
    shift = middle - 0.5 * (low + high)
    shift[2] = body.low_mm[2] - low[2]
    placement = body.placement.model_copy(update={"orientation": orientation})
    turned = Body(placement, body.item, rigid(rotation, shift), low + shift, high + shift)
    inner_low, inner_high = np.array(around.box.low_mm), np.array(around.box.high_mm)
    inwards = np.maximum(inner_low - turned.low_mm, 0.0)
    inwards = np.where(inwards > 0.0, inwards, np.minimum(inner_high - turned.high_mm, 0.0))
    return _on_layer(shifted(turned, inwards), around)


def next_turn(body: Body, step: int, around: Surroundings) -> Body | None:
    """Return the core in the next (`step` 1) or last (-1) allowed orientation that is clear where it is.

    None if there is no other.
    """
    allowed = body.item.orientations
    present = allowed_number(body)
    for count in range(1, len(allowed) + 1):
        number = (present + step * count) % len(allowed)
        if number == present:
            continue
        turned = turned_by_hand(body, allowed[number], around)
        if around.is_clear(turned):
            return turned
    return None


def allowed_number(body: Body) -> int:
    """Return the place of the core's orientation among its allowed ones, 0 if it is none of them."""
    rotation = body.matrix[:3, :3]
    apart = [float(np.abs(one.rotation - rotation).max()) for one in body.item.orientations]
    return int(np.argmin(apart)) if apart and min(apart) < 1e-6 else 0


def placed_by_hand(body: Body) -> Placement:
    """Return the placement of a core that was moved."""
    return body.placement.model_copy(update={"matrix": matrix_rows(body.matrix), "placed_by": "hand"})


def _point(values: Array) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in values)
    return x, y, z
