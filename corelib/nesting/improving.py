"""Wishes met better at no cost: after the search for height, and never at the price of a box or of height.

Copies of a core are alike, so which set each belongs to is free: an assignment. A box can be turned over as a
whole: who is above whom is only reversed then, so it can be unpacked upwards as before. Cores of different
types change places where both fit with their gaps. What comes out passes gate and order like the one before.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace

import numpy as np

from corelib.geometry.pose import Array, Orientation
from corelib.job.models import Packing, Placement
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance, placed_bodies
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules
from corelib.nesting.settling import settled, shifted
from corelib.nesting.tiers import in_placement_order, matrix_rows, whole_layers_mm
from corelib.nesting.wishes import BoxWishes, centre_mm, owner, set_distances_mm
from corelib.nesting.zones import zone_items, zone_placements
from corelib.progress import SILENT, Progress

PASSES = 20  # of the assignment: it only gets better, and ends where nothing changes
MOST_TRIALS = 3_000  # swaps of two cores for which distances are measured
LEAST_GAIN = 1e-4
TOUCHES_MM = 1e-9
OVER = np.diag([1.0, -1.0, -1.0, 1.0])  # half a turn about x

Copy = tuple[str, int]


def with_wishes(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    packing: Packing,
    fixed: Sequence[Placement] = (),
    progress: Progress = SILENT,
) -> Packing:
    """Return a packing as low in as few boxes that meets the wishes at least as well.

    Locked cores stay where they are; fixed ones (what rides along) too, unless the whole box is turned over.
    """
    wishes = rules.wishes
    if wishes is None or not wishes.any_stated:
        return packing
    known = {item.core_id: item for item in items}
    worth = BoxWishes(wishes, items)
    bodies = placed_bodies(known, packing.placements)
    numbers = sorted({body.placement.box for body in bodies})
    locked = {(p.core, p.copy_number) for p in packing.placements if p.locked}
    stays = locked | {(p.core, p.copy_number) for p in fixed}
    clearance = Clearance()
    done: list[Body] = []
    for n, number in enumerate(numbers):
        span = progress.span(n / len(numbers), (n + 1) / len(numbers))
        here = [body for body in bodies if body.placement.box == number]
        if wishes.heavy_low > 0 or wishes.even_area > 0:
            over = _turned_over(here, worth, locked, box, rules, clearance)
            if over is not None:
                here = _last_good([here, over], items, box, rules, clearance, span)
            states = _swaps(here, worth, stays, box, rules, clearance, span)
            here = _last_good([here, *states], items, box, rules, clearance, span)
        done += _assigned(here, stays) if wishes.sets_together > 0 else here
    return Packing(placements=in_placement_order([_placement(body) for body in done]))


def _placement(body: Body) -> Placement:
    return body.placement.model_copy(update={"matrix": matrix_rows(body.matrix)})


def _last_good(
    states: Sequence[list[Body]],
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    clearance: Clearance,
    progress: Progress,
) -> list[Body]:
    """Return a box's last state that gate and order let pass, found by halving; the first stands anyway."""
    good, bad = 0, len(states)
    tried = len(states) - 1
    while bad - good > 1:
        progress(0.9, "improve")
        packing = Packing(placements=tuple(_placement(body) for body in states[tried]))
        gate = check_packing(items, box, rules, packing, clearance)
        findings = [finding for finding in gate if finding.code != "nesting.copy_missing"]
        findings += [f for order in extraction_orders(items, box, rules, packing) for f in order.findings]
        if any(finding.severity != "note" for finding in findings):
            bad = tried
        else:
            good = tried
        tried = (good + bad) // 2
    return states[good]


def _name(body: Body) -> Copy:
    return body.placement.core, body.placement.copy_number


def _turned_over(
    bodies: list[Body],
    worth: BoxWishes,
    locked: Set[Copy],
    box: NestBox,
    rules: NestRules,
    clearance: Clearance,
) -> list[Body] | None:
    """Return a box's bodies turned over about the x axis, if that meets the wishes better.

    None if one of them is locked, or if whole layers would cost height. Who may not lie so is only moved.
    """
    if any(_name(body) in locked for body in bodies):
        return None
    low = np.min([body.low_mm for body in bodies], axis=0)
    high = np.max([body.high_mm for body in bodies], axis=0)
    turned = []
    for body in bodies:
        ends = np.stack([body.low_mm, body.high_mm])
        ends[:, 1:] = (low + high)[1:] - ends[::-1, 1:]
        matrix = OVER @ body.matrix
        matrix[1:3, 3] += (low + high)[1:3]
        orientation = _orientation(body.item, matrix[:3, :3])
        if orientation is None:  # it may not lie so: as it is, where its bounding box comes to
            turned.append(shifted(body, ends[0] - body.low_mm))
        else:
            place = body.placement.model_copy(update={"orientation": orientation})
            turned.append(Body(place, body.item, matrix, ends[0], ends[1]))
    over = settled(turned, (), box, rules, clearance)
    layers = np.array([body.low_mm[2] for body in over]) / rules.layer_thickness_mm
    if np.abs(layers - layers.round()).max() > 1e-6:
        return None
    if max(float(body.high_mm[2]) for body in over) > high[2] + TOLERANCE_MM:
        return None
    return over if worth.worth(over) > worth.worth(bodies) + LEAST_GAIN else None


def _orientation(item: NestItem, rotation: Array) -> Orientation | None:
    """Return the item's orientation with that rotation, None if it has none."""
    for orientation in item.orientations:
        if np.abs(orientation.rotation - rotation).max() <= TOLERANCE_MM:
            return orientation
    return None


def _swaps(
    bodies: list[Body],
    worth: BoxWishes,
    stays: Set[Copy],
    box: NestBox,
    rules: NestRules,
    clearance: Clearance,
    progress: Progress,
) -> list[list[Body]]:
    """Return a box's states after each swap of two of its cores that makes the wishes better met."""
    number = bodies[0].placement.box
    zones = zone_items(box)
    stands = [
        replace(body, placement=body.placement.model_copy(update={"box": number}))
        for body in placed_bodies({zone.core_id: zone for zone in zones}, zone_placements(zones, 1))
    ]
    state, here = list(bodies), range(len(bodies))
    free = [i for i in here if _name(state[i]) not in stays]
    top_mm = max(float(body.high_mm[2]) for body in state)
    now = worth.worth(state)
    states: list[list[Body]] = []
    trials, changed = 0, True
    while changed:
        changed = False
        for a, i in enumerate(free):
            progress(trials / MOST_TRIALS, "improve")
            for j in free[a + 1 :]:
                if state[i].item is state[j].item or trials >= MOST_TRIALS:
                    continue
                pair = _swapped(state[i], state[j], rules, box, top_mm)
                if pair is None:
                    continue
                first, second = pair
                kept = [state[k] for k in here if k not in (i, j)]
                then = worth.worth([*kept, first, second])
                if then <= now + LEAST_GAIN:
                    continue
                trials += 1
                others = [*kept, *stands]
                if keeps_off(first, [*others, second], clearance) and keeps_off(second, others, clearance):
                    state[i], state[j], now, changed = first, second, then, True
                    states.append(list(state))
    return states


def _swapped(
    first: Body, second: Body, rules: NestRules, box: NestBox, top_mm: float
) -> tuple[Body, Body] | None:
    """Return both bodies with their places exchanged, on whole layers; None if one would leave the box."""
    pair = []
    for body, to in ((first, second), (second, first)):
        by_mm = centre_mm(to) - centre_mm(body)
        low_mm = max(float(to.low_mm[2]), box.low_mm[2])
        by_mm[2] = whole_layers_mm(low_mm, rules.layer_thickness_mm) - body.low_mm[2]
        moved = shifted(body, by_mm)
        beyond = np.concatenate([np.subtract(box.low_mm, moved.low_mm), moved.high_mm - box.high_mm])
        if beyond.max() > TOLERANCE_MM or moved.high_mm[2] > top_mm + TOLERANCE_MM:
            return None
        pair.append(moved)
    return pair[0], pair[1]


def keeps_off(body: Body, others: Sequence[Body], clearance: Clearance) -> bool:
    """Return True if a body keeps its gap to all the others."""
    for other in others:
        need_mm = max(body.item.gap_mm, other.item.gap_mm)
        apart = np.maximum(body.low_mm - other.high_mm, other.low_mm - body.high_mm)
        # boxes that only touch hold bodies that don't overlap: at gap 0 no distance has to tell
        if apart.max() > -TOUCHES_MM and np.sqrt((apart.clip(min=0.0) ** 2).sum()) >= need_mm - TOUCHES_MM:
            continue
        distance_mm = clearance.distance_mm(body, other, need_mm + 1.0)
        if distance_mm < need_mm - TOLERANCE_MM or distance_mm == 0.0:
            return False
    return True


def _assigned(bodies: list[Body], stays: Set[Copy]) -> list[Body]:
    """Return a box's bodies with the copies of each core shared out so that sets lie together."""
    from scipy.optimize import linear_sum_assignment

    state = list(bodies)
    free: dict[str, list[int]] = {}
    for i, body in enumerate(state):
        if _name(body) not in stays:
            free.setdefault(body.item.core_id, []).append(i)
    best_mm = set_distances_mm(state)[0]
    for _ in range(PASSES):
        tried = list(state)
        for indices in free.values():
            keys = [_key(tried[i].placement) for i in indices]
            centres = _centres(tried)
            cost = np.zeros((len(indices), len(keys)))
            for column, place in enumerate(tried[i].placement for i in indices):
                own = owner(place)
                if own is not None:
                    points = np.array([centre_mm(tried[i]) for i in indices])
                    cost[:, column] = ((points - centres[own]) ** 2).sum(axis=1)
            rows, columns = linear_sum_assignment(cost)
            for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
                i = indices[row]
                tried[i] = replace(tried[i], placement=_named(tried[i].placement, keys[column]))
        mean_mm = set_distances_mm(tried)[0]
        if mean_mm >= best_mm - 1e-9:
            break
        state, best_mm = tried, mean_mm
    return state


def _centres(bodies: Sequence[Body]) -> dict[tuple[str, int], Array]:
    points: dict[tuple[str, int], list[Array]] = {}
    for body in bodies:
        key = owner(body.placement)
        if key is not None:
            points.setdefault(key, []).append(centre_mm(body))
    return {key: np.mean(own, axis=0) for key, own in points.items()}


def _key(place: Placement) -> CopyKey:
    return CopyKey(place.copy_number, place.set_id, place.set_index)


def _named(place: Placement, key: CopyKey) -> Placement:
    named = {"copy_number": key.copy_number, "set_id": key.set_id, "set_index": key.set_index}
    return place.model_copy(update=named)
