"""The extraction order of any packing: stages of falling sand, and the cores drawn at each.

A core comes free when sand is down to a share of its height, and it must be drawn before sand no longer
reaches a lower share of it, or it falls on what lies below (unless it is marked to be held by hand). It is
drawn straight up, or at a tilt where that is the only way and the box's walls allow it. Who must leave before
whom is a graph; its cycles are the cores that interlock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import networkx as nx
import numpy as np

from corelib.findings import Finding, Severity, in_order
from corelib.geometry.pose import moved
from corelib.job.models import Packing
from corelib.nesting.clearance import Body, placed_bodies
from corelib.nesting.model import NestBox, NestItem, NestRules

if TYPE_CHECKING:
    from corelib.geometry.extraction import Columns

Tilt = tuple[float, float]
UP: Tilt = (0.0, 0.0)
TILTS: tuple[Tilt, ...] = tuple(
    (round(slope * float(np.cos(angle)), 6), round(slope * float(np.sin(angle)), 6))
    for slope in (0.2, 0.5, 1.0)
    for angle in np.radians(np.arange(0, 360, 45))
)
"""Ways that are tried where straight up is blocked: mm along x and y for each mm that the core rises."""
MOST_CELL_MM, LEAST_CELL_MM = 3.0, 0.4
REFINED = 3  # times that the cells are halved for a pair that seems to interlock


@dataclass(frozen=True)
class Draw:
    """One core to draw: its copy, the way (mm along x and y for each mm up), and whether a hand holds it."""

    core: str
    copy_number: int
    tilt: Tilt
    held_by_hand: bool


@dataclass(frozen=True)
class Stage:
    """Sand taken down to a level above the box floor, and what is then drawn, in order."""

    sand_mm: float
    draws: tuple[Draw, ...]


@dataclass(frozen=True)
class Extraction:
    """How one box is unpacked; `left` are the cores that can't be drawn (core, copy)."""

    box: int
    stages: tuple[Stage, ...]
    left: tuple[tuple[str, int], ...]
    findings: tuple[Finding, ...]


def extraction_orders(
    items: Sequence[NestItem], box: NestBox, rules: NestRules, packing: Packing
) -> tuple[Extraction, ...]:
    """Return the extraction order of every box of a packing, whoever made it."""
    known = {item.core_id: item for item in items if not item.is_zone}
    placements = [placement for placement in packing.placements if placement.core in known]
    numbers = sorted({placement.box for placement in placements})
    return tuple(
        _order_of(placed_bodies(known, [p for p in placements if p.box == number]), number, box, rules)
        for number in numbers
    )


class _Ways:
    """Who is in whose way, along straight and tilted ways, on cells that are refined where it matters."""

    def __init__(self, bodies: Sequence[Body]) -> None:
        self.bodies = bodies
        gaps = [body.item.gap_mm for body in bodies]
        self.cell_mm = min(MOST_CELL_MM, max(LEAST_CELL_MM, min(gaps, default=0.0) / 2))
        self._columns: dict[tuple[int, Tilt, int], Columns] = {}

    def columns(self, i: int, tilt: Tilt = UP, halved: int = 0) -> Columns:
        from corelib.geometry.extraction import columns_of

        key = i, tilt, halved
        if key not in self._columns:
            body = self.bodies[i]
            points = moved(body.item.mesh.vertices_mm, body.matrix)
            self._columns[key] = columns_of(points, body.item.mesh.faces, self.cell_mm / 2**halved, tilt)
        return self._columns[key]

    def relation(self, i: int, j: int) -> tuple[int, tuple[float, float, float]]:
        """Return 1 if i is blocked by j, 2 if j by i, 3 for both; and a place where, in mm."""
        from corelib.geometry.extraction import blocking

        found, place = 0, np.zeros((2, 3), dtype=np.int64)
        halved = 0
        for halved in range(REFINED + 1):
            found, place = blocking(self.columns(i, UP, halved), self.columns(j, UP, halved))
            if found != 3:
                break
        x, y, z = ((place[0 if found & 1 else 1] + 0.5) * self.cell_mm / 2**halved).tolist()
        return found, (x, y, z)

    def clears(self, i: int, others: Sequence[int], tilt: Tilt, box: NestBox) -> bool:
        """Return True if core i can leave along a tilted way past the others and the box's walls."""
        from corelib.geometry.extraction import lifts_clear

        body = self.bodies[i]
        rise_mm = box.inner_mm[2] - body.low_mm[2]
        for axis in (0, 1):
            drift_mm = tilt[axis] * rise_mm
            if body.low_mm[axis] + min(0.0, drift_mm) < 0.0:
                return False
            if body.high_mm[axis] + max(0.0, drift_mm) > box.inner_mm[axis]:
                return False
        return lifts_clear(self.columns(i, tilt), [self.columns(j, tilt) for j in others])


def _order_of(bodies: Sequence[Body], number: int, box: NestBox, rules: NestRules) -> Extraction:
    ways = _Ways(bodies)
    low = np.array([body.low_mm[2] for body in bodies])
    height = np.array([body.high_mm[2] - body.low_mm[2] for body in bodies])
    free = low + rules.freed_share * height
    bed = np.where([b.item.held_by_hand for b in bodies], -np.inf, low + rules.bedded_share * height)
    path, places = _path_graph(bodies, ways)
    graph = path.copy()
    for i in range(len(bodies)):
        graph.add_edges_from((int(j), i) for j in np.flatnonzero(bed > free[i]) if j != i)
    left = set(range(len(bodies)))
    findings: list[Finding] = []
    stages: list[tuple[float, list[Draw]]] = []
    level_mm = float("inf")
    while left:
        ready = [i for i in left if not any(j in left for j in graph.predecessors(i))]
        tilt = UP
        if not ready:
            freed = _unlock(graph, path, left, ways, box, bodies, findings, places, number)
            if freed is None:
                break
            i, tilt = freed
        else:
            i = max(ready, key=lambda n: (min(level_mm, free[n]), low[n], -n))
        level_mm = min(level_mm, float(free[i]))
        if not stages or stages[-1][0] != level_mm:
            stages.append((level_mm, []))
        held = bodies[i].item.held_by_hand and level_mm < low[i] + rules.bedded_share * height[i]
        placement = bodies[i].placement
        stages[-1][1].append(Draw(placement.core, placement.copy_number, tilt, bool(held)))
        left.discard(i)
    remaining = tuple((bodies[i].placement.core, bodies[i].placement.copy_number) for i in sorted(left))
    made = tuple(Stage(round(sand_mm, 6), tuple(draws)) for sand_mm, draws in stages)
    return Extraction(number, made, remaining, in_order(findings))


def _path_graph(
    bodies: Sequence[Body], ways: _Ways
) -> tuple[nx.DiGraph, dict[tuple[int, int], tuple[float, float, float]]]:
    """Return the graph with an edge from who must leave first to who is blocked, and where."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(bodies)))
    places: dict[tuple[int, int], tuple[float, float, float]] = {}
    for i, first in enumerate(bodies):
        for j in range(i + 1, len(bodies)):
            second = bodies[j]
            apart = np.maximum(first.low_mm[:2] - second.high_mm[:2], second.low_mm[:2] - first.high_mm[:2])
            if apart.max() >= 0:
                continue
            found, place = ways.relation(i, j)
            if found & 1:
                graph.add_edge(j, i)
                places[j, i] = place
            if found & 2:
                graph.add_edge(i, j)
                places[i, j] = place
    return graph, places


def _unlock(
    graph: nx.DiGraph,
    path: nx.DiGraph,
    left: set[int],
    ways: _Ways,
    box: NestBox,
    bodies: Sequence[Body],
    findings: list[Finding],
    places: dict[tuple[int, int], tuple[float, float, float]],
    number: int,
) -> tuple[int, Tilt] | None:
    """Find a core that can still be drawn where none is free: from its bed lost, or at a tilt; or report."""
    open_path = path.subgraph(left)
    for i in sorted(left):  # straight up is clear, but another loses its bed before
        if open_path.in_degree(i) == 0:
            fallen = [j for j in graph.predecessors(i) if j in left]
            findings.append(_pair("nesting.loses_bed", "check", bodies[fallen[0]], bodies[i], number, ()))
            return i, UP
    for group in _groups(open_path):
        for i in group:
            others = [j for j in sorted(left) if j != i]
            for tilt in TILTS:
                if ways.clears(i, others, tilt, box):
                    return i, tilt
    for group in _groups(open_path):
        first, second = next((a, b) for a in group for b in group if path.has_edge(a, b))
        place = places[first, second]
        finding = _pair("nesting.interlocked", "stop", bodies[first], bodies[second], number, place)
        finding.facts["cores"] = [bodies[i].placement.core for i in group]
        finding.facts["count"] = len(group)
        findings.append(finding)
    return None


def _groups(graph: nx.DiGraph) -> list[list[int]]:
    """Return the interlocked groups: strongly connected parts of two or more, in a fixed order."""
    parts = (sorted(part) for part in nx.strongly_connected_components(graph) if len(part) > 1)
    return sorted(parts)


def _pair(
    code: str, severity: Severity, first: Body, second: Body, number: int, place: tuple[float, ...]
) -> Finding:
    facts = {
        "copy": first.placement.copy_number,
        "other": second.placement.core,
        "other_copy": second.placement.copy_number,
        "place_mm": [round(value, 1) for value in place],
    }
    own: tuple[tuple[float, float, float], ...] = ()
    if place:
        shift = np.array(place) - first.matrix[:3, 3]
        x, y, z = (shift @ first.matrix[:3, :3]).round(2).tolist()
        own = ((x, y, z),)
    return Finding(code, severity, facts, core=first.placement.core, box=number, places_mm=own)
