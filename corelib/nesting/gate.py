"""The exact gate: what is wrong with a packing, on the true meshes, whoever made it.

Every copy placed once, in a rigid and allowed orientation, inside the box with its margins, and the gap
kept between every pair. Pairs whose bounding boxes stand clear need no more; only for the rest are solids
built, one for each core type.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from corelib.findings import Finding, in_order
from corelib.geometry import solids
from corelib.geometry.pose import Array, is_rigid
from corelib.job.models import Packing, Placement
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.orientations import turned_box_mm

TOLERANCE_MM = 1e-6
"""What rounding to 12 digits in a file may cost; distances short by no more than this are kept."""
LISTED = 10


@dataclass(frozen=True, eq=False)
class Body:
    """One placed copy with its matrix and its bounding box in the build box."""

    placement: Placement
    item: NestItem
    matrix: Array
    low_mm: Array
    high_mm: Array


def check_packing(
    items: Sequence[NestItem], box: NestBox, rules: NestRules, packing: Packing
) -> tuple[Finding, ...]:
    """Return what is wrong with the packing, worst first; nothing means that it can be built."""
    known = {item.core_id: item for item in items}
    findings = list(_copy_findings(known, packing.placements))
    placed = []
    for placement in packing.placements:
        if placement.core not in known:
            continue
        if is_rigid(np.array(placement.matrix)):
            placed.append(placement)
        else:
            findings.append(_finding("nesting.not_rigid", placement))
    bodies = placed_bodies(known, placed)
    for body in bodies:
        findings += _orientation_findings(body)
        findings += _outside_findings(body, box)
    findings += gap_findings(bodies)
    return in_order(findings)


def placed_bodies(known: dict[str, NestItem], placements: Sequence[Placement]) -> list[Body]:
    """Return the placements with their exact bounding boxes."""
    boxes: dict[tuple[str, bytes], tuple[Array, Array]] = {}
    bodies = []
    for placement in placements:
        item, matrix = known[placement.core], np.array(placement.matrix)
        key = placement.core, matrix[:3, :3].tobytes()
        if key not in boxes:
            boxes[key] = turned_box_mm(item.mesh, matrix[:3, :3])
        low, high = boxes[key]
        bodies.append(Body(placement, item, matrix, low + matrix[:3, 3], high + matrix[:3, 3]))
    return bodies


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


def _orientation_findings(body: Body) -> list[Finding]:
    rotation = body.matrix[:3, :3]
    allowed = (np.abs(o.rotation - rotation).max() <= TOLERANCE_MM for o in body.item.orientations)
    if any(allowed):
        return []
    facts = {"copy": body.placement.copy_number}
    return [
        Finding(
            "nesting.orientation_not_allowed",
            "check",
            facts,
            core=body.placement.core,
            box=body.placement.box,
        )
    ]


def _outside_findings(body: Body, box: NestBox) -> list[Finding]:
    """Return a finding if the copy comes nearer to wall, floor or top than the margins allow."""
    below, above = np.subtract(box.low_mm, body.low_mm), np.subtract(body.high_mm, box.high_mm)
    excess = np.concatenate([below, above])
    if excess.max() <= TOLERANCE_MM:
        return []
    side = ("left wall", "front wall", "floor", "right wall", "back wall", "top")[int(excess.argmax())]
    return [_finding("nesting.outside_box", body.placement, side=side, short_mm=float(excess.max()))]


def close_pairs(bodies: Sequence[Body]) -> Iterator[tuple[Body, Body]]:
    """Yield the pairs of one box whose bounding boxes come nearer than their gap, in a fixed order."""
    for number in sorted({body.placement.box for body in bodies}):
        mates = sorted((b for b in bodies if b.placement.box == number), key=lambda b: float(b.low_mm[0]))
        low = np.array([body.low_mm for body in mates])
        high = np.array([body.high_mm for body in mates])
        gap = np.array([body.item.gap_mm for body in mates])
        widest = float(gap.max())
        for i, body in enumerate(mates):
            end = int(np.searchsorted(low[:, 0], high[i, 0] + widest, side="right"))
            later = slice(i + 1, end)
            apart = np.maximum(low[later] - high[i], low[i] - high[later]).clip(min=0.0)
            need = np.maximum(gap[later], gap[i])
            distance = np.sqrt((apart**2).sum(axis=1))
            touching = (np.minimum(high[later], high[i]) - np.maximum(low[later], low[i])).min(axis=1)
            near = (distance < need - TOLERANCE_MM) | (touching > TOLERANCE_MM)
            for j in np.flatnonzero(near):
                yield body, mates[i + 1 + int(j)]


@dataclass
class _Solids:
    """The solids of the core types met so far, each built once; None where a mesh is no solid."""

    built: dict[str, Any] = field(default_factory=dict)

    def of(self, body: Body) -> Any:
        core = body.item.core_id
        if core not in self.built:
            try:
                whole = solids.solid(body.item.mesh.vertices_mm, body.item.mesh.faces)
            except ValueError:
                whole = None
            self.built[core] = whole
        whole = self.built[core]
        return None if whole is None else solids.placed(whole, body.matrix)


def gap_findings(bodies: Sequence[Body]) -> list[Finding]:
    """Return a finding for every pair that overlaps or comes nearer than its gap."""
    findings: list[Finding] = []
    types = _Solids()
    by_boxes: dict[str, int] = {}
    for first, second in close_pairs(bodies):
        need_mm = max(first.item.gap_mm, second.item.gap_mm)
        solid_a, solid_b = types.of(first), types.of(second)
        if solid_a is None or solid_b is None:
            distance_mm = _box_distance_mm(first, second)
            for body, whole in ((first, solid_a), (second, solid_b)):
                if whole is None:
                    by_boxes[body.item.core_id] = by_boxes.get(body.item.core_id, 0) + 1
        elif need_mm > TOLERANCE_MM:
            distance_mm = solids.least_gap_mm(solid_a, solid_b, need_mm)
        else:
            distance_mm = -solids.overlap_depth_mm(solid_a, solid_b)
        if distance_mm < need_mm - TOLERANCE_MM:
            findings.append(_pair_finding(first, second, need_mm, distance_mm))
    for core, pairs in sorted(by_boxes.items()):
        findings.append(Finding("nesting.gap_by_boxes", "check", {"pairs": pairs}, core=core))
    return findings


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
