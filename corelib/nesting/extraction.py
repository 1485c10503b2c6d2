"""The extraction order of any packing: stages of falling sand, and the cores drawn at each.

A core comes free when sand is down to a share of its height, and it must be drawn before sand no longer
reaches a lower share of it, or it falls on what lies below (unless it is marked to be held by hand). It is
drawn straight up; or where that is blocked, at a tilt, slid aside and then up, or sideways where the box's
walls come off or its contents rise above them. Of those that are free, one with room for its grip is drawn
first. Who must leave before whom is a graph; its cycles are the cores that interlock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import networkx as nx
import numpy as np

from corelib.findings import Finding, Severity, in_order
from corelib.job.models import Packing, Placement
from corelib.nesting.clearance import Body, placed_bodies
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.ways import Move, Tilt, Way, Ways
from corelib.progress import SILENT, Progress


@dataclass(frozen=True)
class Draw:
    """One core to draw: its copy, its way, whether a hand holds it and whether its stated grip finds room."""

    core: str
    copy_number: int
    way: Way
    held_by_hand: bool
    has_grip: bool = True

    @property
    def tilt(self) -> Tilt:
        """How far the core goes along x and y for each mm that it rises."""
        return self.way.tilt


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
    items: Sequence[NestItem],
    box: NestBox,
    rules: NestRules,
    packing: Packing,
    progress: Progress = SILENT,
) -> tuple[Extraction, ...]:
    """Return the extraction order of every box of a packing, whoever made it.

    Boxes with the same cores at the same places are looked at once, and the last ones stay known: a plan asks
    again for what the search has proved.
    """
    known = {item.core_id: item for item in items if not item.is_zone}
    placements = [placement for placement in packing.placements if placement.core in known]
    found: list[Extraction] = []
    numbers = sorted({placement.box for placement in placements})
    for n, number in enumerate(numbers):
        here = sorted((p for p in placements if p.box == number), key=lambda p: (p.core, p.matrix))
        kinds = tuple(_drawn_as(known[core]) for core in sorted({p.core for p in here}))
        look = (kinds, tuple((p.core, p.matrix) for p in here), box, rules.bedded_share, rules.freed_share)
        if look in _seen:
            found.append(_renamed(*_seen[look], here, number))
            continue
        span = progress.span(n / len(numbers), (n + 1) / len(numbers))
        found.append(_order_of(placed_bodies(known, here), number, box, rules, span))
        while len(_seen) >= ORDERS_KEPT:
            _seen.pop(next(iter(_seen)), None)
        _seen[look] = found[-1], here
    return tuple(found)


ORDERS_KEPT = 50  # of a box each, some kilobytes
_seen: dict[tuple[object, ...], tuple[Extraction, list[Placement]]] = {}


def _drawn_as(item: NestItem) -> tuple[object, ...]:
    """Return all of a core that its drawing depends on."""
    return item.core_id, item.mesh.content_sha256, item.gap_mm, item.is_fragile, item.held_by_hand, item.grip


def _renamed(
    first: Extraction, old: Sequence[Placement], new: Sequence[Placement], number: int
) -> Extraction:
    """Return the order of a box like another one, with the copies that lie in it."""
    # both boxes sorted by core and place
    names = {(a.core, a.copy_number): b.copy_number for a, b in zip(old, new, strict=True)}

    def other(core: str, copy_number: int) -> int:
        return names[core, copy_number]

    stages = tuple(
        replace(
            stage,
            draws=tuple(replace(d, copy_number=other(d.core, d.copy_number)) for d in stage.draws),
        )
        for stage in first.stages
    )
    findings = []
    for finding in first.findings:
        facts = dict(finding.facts)
        assert finding.core is not None, "each names a core"
        facts["copy"] = other(finding.core, facts["copy"])
        facts["other_copy"] = other(facts["other"], facts["other_copy"])
        findings.append(replace(finding, facts=facts, box=number))
    left = tuple(sorted((core, other(core, copy)) for core, copy in first.left))
    return Extraction(number, stages, left, in_order(findings))


def _order_of(
    bodies: Sequence[Body], number: int, box: NestBox, rules: NestRules, progress: Progress
) -> Extraction:
    ways = Ways(bodies, box)
    low = np.array([body.low_mm[2] for body in bodies])
    height = np.array([body.high_mm[2] - body.low_mm[2] for body in bodies])
    free = low + rules.freed_share * height
    bed = np.where([b.item.held_by_hand for b in bodies], -np.inf, low + rules.bedded_share * height)
    path, places = _path_graph(bodies, ways, progress)
    graph = path.copy()
    for i in range(len(bodies)):
        graph.add_edges_from((int(j), i) for j in np.flatnonzero(bed > free[i]) if j != i)
    left = set(range(len(bodies)))
    findings = _covered(bodies, path, places, number)
    stages: list[tuple[float, list[Draw]]] = []
    level_mm = float("inf")
    while left:
        ready = [i for i in left if not any(j in left for j in graph.predecessors(i))]
        gripped = [i for i in ready if ways.has_grip(i, sorted(left - {i}))]
        if not ready:
            freed = _unlock(graph, path, left, ways, bodies, findings, places, number)
            if freed is None:
                break
            i, way = freed
        else:
            i = max(gripped or ready, key=lambda n: (min(level_mm, free[n]), low[n], -n))
            way = ways.up(i)
        level_mm = min(level_mm, round(float(free[i]), 6))  # so that no trifle makes a level of its own
        if not stages or stages[-1][0] != level_mm:
            stages.append((level_mm, []))
        held = bodies[i].item.held_by_hand and level_mm < low[i] + rules.bedded_share * height[i]
        placement = bodies[i].placement
        grip = i in gripped or ways.has_grip(i, sorted(left - {i}))
        stages[-1][1].append(Draw(placement.core, placement.copy_number, way, bool(held), grip))
        left.discard(i)
    remaining = tuple((bodies[i].placement.core, bodies[i].placement.copy_number) for i in sorted(left))
    made = tuple(Stage(sand_mm, tuple(draws)) for sand_mm, draws in stages)
    return Extraction(number, made, remaining, in_order(findings))


def _covered(
    bodies: Sequence[Body], path: nx.DiGraph, places: dict[tuple[int, int], Move], number: int
) -> list[Finding]:
    """Return a check for each fragile core that lies under another."""
    found = []
    for i, body in enumerate(bodies):
        over = min(path.predecessors(i), default=None) if body.item.is_fragile else None
        if over is not None:
            place = places[over, i]
            found.append(_pair("nesting.fragile_under", "check", body, bodies[over], number, place))
    return found


def grip_findings(items: Sequence[NestItem], orders: Sequence[Extraction]) -> list[Finding]:
    """Return a check for each core of a box that is drawn without the room that its grip needs."""
    known = {item.core_id: item for item in items}
    found = []
    for order in orders:
        short: dict[str, list[int]] = {}
        for draw in (draw for stage in order.stages for draw in stage.draws):
            if not draw.has_grip:
                short.setdefault(draw.core, []).append(draw.copy_number)
        for core, copies in sorted(short.items()):
            grip = known[core].grip
            assert grip is not None, "only a core with a grip can lack room for it"
            facts = {"count": len(copies), "copies": sorted(copies), "beside_mm": grip.beside_mm}
            found.append(Finding("nesting.no_grip", "check", facts, core=core, box=order.box))
    return found


def _path_graph(
    bodies: Sequence[Body], ways: Ways, progress: Progress
) -> tuple[nx.DiGraph, dict[tuple[int, int], Move]]:
    """Return the graph with an edge from who must leave first to who is blocked, and where."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(bodies)))
    places: dict[tuple[int, int], Move] = {}
    for i, first in enumerate(bodies):
        progress(i / len(bodies), "nest")
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
    ways: Ways,
    bodies: Sequence[Body],
    findings: list[Finding],
    places: dict[tuple[int, int], Move],
    number: int,
) -> tuple[int, Way] | None:
    """Find a core that can be drawn where none is free: with its bed lost, or another way; or report."""
    open_path = path.subgraph(left)
    for i in sorted(left):  # straight up is clear, but another loses its bed before
        if open_path.in_degree(i) == 0:
            fallen = [j for j in graph.predecessors(i) if j in left]
            findings.append(_pair("nesting.loses_bed", "check", bodies[fallen[0]], bodies[i], number, ()))
            return i, ways.up(i)
    for find in (ways.tilted, ways.sideways, ways.slid):
        for i in (i for group in _groups(open_path) for i in group):
            way = find(i, [j for j in sorted(left) if j != i])
            if way is not None:
                return i, way
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
