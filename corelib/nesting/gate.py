"""The exact gate: what is wrong with a packing, on the true meshes, whoever made it.

Every copy placed once, in a rigid and allowed orientation, inside the box with its margins, and the gap
kept between every pair: by bounding boxes where these stand clear, else by the distance of the triangles.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from corelib.findings import Finding, in_order
from corelib.geometry import solids
from corelib.geometry.pose import is_rigid
from corelib.job.models import Packing, Placement
from corelib.nesting.clearance import TOLERANCE_MM, Body, Clearance, close_pairs, placed_bodies
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.zones import without_zones, zone_findings

LISTED = 10


def check_packing(
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    packing: Packing,
    clearance: Clearance | None = None,
) -> tuple[Finding, ...]:
    """Return what is wrong with the packing, worst first; nothing means that it can be built."""
    known = {item.core_id: item for item in items if not item.is_zone}
    placements = without_zones(items, packing.placements)
    findings = list(_copy_findings(known, placements))
    placed = []
    for placement in placements:
        if placement.core not in known:
            continue
        if is_rigid(np.array(placement.matrix)):
            placed.append(placement)
        else:
            findings.append(_finding("nesting.not_rigid", placement))
    bodies = placed_bodies(known, placed)
    findings += _orientation_findings(bodies)
    for body in bodies:
        findings += _outside_findings(body, box)
    clearance = clearance or Clearance()
    findings += gap_findings(bodies, clearance)
    findings += zone_findings(bodies, box, clearance)
    return in_order(findings)


def _finding(code: str, placement: Placement, **facts: Any) -> Finding:
    facts["copy"] = placement.copy_number
    return Finding(code, "stop", facts, core=placement.core, box=placement.box)


def _copy_findings(known: dict[str, NestItem], placements: Sequence[Placement]) -> Iterator[Finding]:
    """Yield what the packing lacks or has too much of, one finding a core and kind."""
    found = Counter((placement.core, placement.copy_number) for placement in placements)
    wanted = {(core, key.copy_number) for core, item in known.items() for key in item.copies}
    faults = {
        "nesting.copy_missing": wanted - found.keys(),
        "nesting.copy_unknown": found.keys() - wanted,
        "nesting.copy_twice": {key for key, count in found.items() if count > 1},
    }
    for code, keys in faults.items():
        for core in sorted({core for core, _ in keys}):
            copies = sorted(number for name, number in keys if name == core)
            yield Finding(code, "stop", {"count": len(copies), "copies": copies[:LISTED]}, core=core)


def _orientation_findings(bodies: Sequence[Body]) -> Iterator[Finding]:
    """Yield a finding for each copy that lies as its rule does not allow."""
    judged: dict[tuple[str, bytes], bool] = {}
    for body in bodies:
        rotation, placement = body.matrix[:3, :3], body.placement
        key = placement.core, rotation.tobytes()
        if key not in judged:
            # with any yaw allowed it is enough that the same direction points down
            rows = slice(2, 3) if body.item.free_yaw else slice(0, 3)
            turns = (orientation.rotation for orientation in body.item.orientations)
            judged[key] = any(np.abs(turn[rows] - rotation[rows]).max() <= TOLERANCE_MM for turn in turns)
        if not judged[key]:
            yield Finding(
                "nesting.orientation_not_allowed",
                "check",
                {"copy": placement.copy_number},
                core=placement.core,
                box=placement.box,
            )


def _outside_findings(body: Body, box: NestBox) -> list[Finding]:
    """Return a finding if the copy comes nearer to wall, floor or top than the margins allow."""
    below, above = np.subtract(box.low_mm, body.low_mm), np.subtract(body.high_mm, box.high_mm)
    excess = np.concatenate([below, above])
    if excess.max() <= TOLERANCE_MM:
        return []
    side = ("left wall", "front wall", "floor", "right wall", "back wall", "top")[int(excess.argmax())]
    return [_finding("nesting.outside_box", body.placement, side=side, short_mm=float(excess.max()))]


def gap_findings(bodies: Sequence[Body], clearance: Clearance) -> list[Finding]:
    """Return a finding for every pair that overlaps or comes nearer than its gap."""
    findings: list[Finding] = []
    odd: Counter[str] = Counter()
    for first, second in close_pairs(bodies):
        need_mm = max(first.item.gap_mm, second.item.gap_mm)
        distance_mm = clearance.distance_mm(first, second, max(need_mm, 10 * TOLERANCE_MM))
        if need_mm <= TOLERANCE_MM and distance_mm == 0.0:
            depth_mm = _overlap_depth_mm(first, second)
            if depth_mm is None:
                odd.update({first.item.core_id, second.item.core_id})
                depth_mm = -_box_distance_mm(first, second)
            distance_mm = -depth_mm
        if distance_mm < need_mm - TOLERANCE_MM:
            findings.append(_pair_finding(first, second, need_mm, distance_mm))
    for core, pairs in sorted(odd.items()):
        findings.append(Finding("nesting.gap_by_boxes", "check", {"pairs": pairs}, core=core))
    return findings


def _overlap_depth_mm(first: Body, second: Body) -> float | None:
    """Return how deep two touching bodies overlap, None if a mesh is no solid."""
    try:
        whole = [solids.solid(body.item.mesh.vertices_mm, body.item.mesh.faces) for body in (first, second)]
    except ValueError:
        return None
    return solids.overlap_depth_mm(
        solids.placed(whole[0], first.matrix), solids.placed(whole[1], second.matrix)
    )


def _box_distance_mm(first: Body, second: Body) -> float:
    apart = np.maximum(first.low_mm - second.high_mm, second.low_mm - first.high_mm)
    return float(np.sqrt((apart.clip(min=0.0) ** 2).sum())) if apart.max() > 0 else float(apart.max())


def _pair_finding(first: Body, second: Body, need_mm: float, distance_mm: float) -> Finding:
    low = np.maximum(first.low_mm, second.low_mm)
    high = np.minimum(first.high_mm, second.high_mm)
    place = tuple(round(float(value), 3) for value in (low + high) / 2)
    overlapping = distance_mm <= TOLERANCE_MM and (need_mm > TOLERANCE_MM or distance_mm < 0)
    facts: dict[str, Any] = {
        "copy": first.placement.copy_number,
        "other": second.placement.core,
        "other_copy": second.placement.copy_number,
        "gap_mm": need_mm,
        "place_mm": list(place),
    }
    if not overlapping:
        facts["distance_mm"] = distance_mm
    code = "nesting.overlap" if overlapping else "nesting.gap_short"
    # a finding of a core has its places in the core's own frame
    own = ((np.array(place) - first.matrix[:3, 3]) @ first.matrix[:3, :3]).round(3).tolist()
    return Finding(
        code, "stop", facts, core=first.placement.core, box=first.placement.box, places_mm=(tuple(own),)
    )
