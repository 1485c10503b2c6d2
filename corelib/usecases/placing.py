"""Use case: one core moved or turned by hand among the others of a finished plan, as far as its gap allows.

It runs in a standing child that answers a request in milliseconds: bodies and their distance trees are kept
while the plan's cores and rules stay the same.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import TypeAdapter

from corelib.allowance.compensation import printed_body
from corelib.child import Answer, Request
from corelib.errors import FileError
from corelib.files import canonical_json
from corelib.geometry.pose import Orientation
from corelib.job.files import job_from_document
from corelib.job.models import CoreItem, Placement
from corelib.job.profiles import OperatingPoint
from corelib.mesh.core import CoreMesh, LoadedCore
from corelib.mesh.ride_along import COUPON_ID, WITNESS_BAR_ID, accuracy_coupon, witness_bar
from corelib.nesting.clearance import Body, Clearance, placed_bodies
from corelib.nesting.letting_down import let_down
from corelib.nesting.model import NestBox, NestItem, NestRules
from corelib.nesting.moving import (
    SIDES,
    Gap,
    Surroundings,
    allowed_number,
    moved_by_hand,
    next_turn,
    placed_by_hand,
    turned_by_hand,
)
from corelib.nesting.zones import zone_items, zone_placements
from corelib.plan.nest_input import nest_box, nest_items
from corelib.plan.packing import plan_rules
from corelib.progress import Progress
from corelib.wording import wording

PLACEMENTS = TypeAdapter(tuple[Placement, ...])
MOVED_MM = 1e-6
CONTACT_MM = 0.02
KEPT = 2


class _Bench:
    """Items, box and rules of a plan, with the distances asked so far."""

    def __init__(self, items: Sequence[NestItem], box: NestBox, rules: NestRules) -> None:
        self.known = {item.core_id: item for item in items if not item.is_zone}
        self.zones = {item.core_id: item for item in zone_items(box)}
        self.reasons = {name: zone.reason for name, zone in zip(self.zones, box.zones, strict=True)}
        self.box, self.rules, self.clearance = box, rules, Clearance()


_benches: dict[str, _Bench] = {}


def run_placing(request: Request, _progress: Progress) -> Answer:
    """Run in a child: move or turn the copy `core`, `copy` among `placements`, the cores of its box.

    `by_mm` (x, y, z) moves it, `turn` (1 or -1) takes its next or last allowed orientation that is clear,
    `orientation` (a number) a stated one, `to_box` (from 0) lets it down into another box, whose cores are
    among the placements too; without any of them the gap is read where it is. Regions to keep out of count
    like cores. The answer has the `placement`, whether it is `changed`, the `gap` to the nearest core or
    region (None if all are far), the nearest wall or top in `side`, its `orientations` (labels), the number
    of the present one, and where the wish was not met a sentence in `refused`.
    """
    bench = _bench_for(Path(request["plan"]), Path(request["meshes"]))
    placements = PLACEMENTS.validate_python(request["placements"])
    bodies = placed_bodies(bench.known, [p for p in placements if p.core in bench.known])
    wanted = request["core"], request["copy"]
    body = next(b for b in bodies if (b.placement.core, b.placement.copy_number) == wanted)
    around = _around(body, body.placement.box, bodies, bench)
    refused = None
    if "to_box" in request:
        box = int(request["to_box"])
        there = _around(body, box, bodies, bench)
        reached, code = _let_down(body, box, there)
        around = there if code is None else around
    else:
        reached, code = _reached(body, request, around)
    if code == "placing.no_room_in_box":
        refused = wording(code, {"box": request["to_box"] + 1}, request.get("language", "en")).what
    elif code is not None:
        tried = _wished_turn(body, request, around) if code == "placing.turn_not_clear" else reached
        refused = _sentence(code, _in_the_way(tried, body, around, request), request, bench.reasons)
    is_elsewhere = reached.placement.box != body.placement.box
    changed = is_elsewhere or bool(np.abs(reached.matrix - body.matrix).max() > MOVED_MM)
    placement = placed_by_hand(reached) if changed else body.placement
    gap, sides = around.core_gap(reached), around.side_gaps(reached)
    return {
        "placement": placement.model_dump(mode="json", by_alias=True),
        "changed": changed,
        "gap": None if gap is None else _gap_document(gap, bench.reasons),
        "side": _gap_document(next(one for one in sides if one.side != "floor"), {}),
        "orientations": [one.label for one in body.item.orientations],
        "orientation": allowed_number(reached),
        "refused": refused,
    }


def _around(body: Body, box: int, bodies: Sequence[Body], bench: _Bench) -> Surroundings:
    """Return what a core must keep clear of in a box: the other cores there, regions, walls."""
    others = [one for one in bodies if one is not body and one.placement.box == box]
    others += placed_bodies(bench.zones, zone_placements(tuple(bench.zones.values()), 1))
    return Surroundings(others, bench.box, bench.rules, bench.clearance)


def _let_down(body: Body, box: int, there: Surroundings) -> tuple[Body, str | None]:
    """Return the body in another box, or where it is and the code of why not."""
    found = let_down(body, there)
    if found is None:
        return body, "placing.no_room_in_box"
    return replace(found, placement=found.placement.model_copy(update={"box": box})), None


def _reached(body: Body, request: Request, around: Surroundings) -> tuple[Body, str | None]:
    """Return the body where it came to, and the code of what stood in its way."""
    if "by_mm" in request:
        reached = moved_by_hand(body, request["by_mm"], around)
        gone_mm = reached.matrix[:3, 3] - body.matrix[:3, 3]
        short_mm = np.abs(gone_mm - request["by_mm"])
        half_layer_mm = 0.5 * around.rules.layer_thickness_mm
        is_short = short_mm[:2].max() > MOVED_MM or short_mm[2] > half_layer_mm + MOVED_MM
        if is_short and not around.is_clear(reached):
            return reached, "placing.not_clear_here"
        return reached, "placing.stopped" if is_short else None
    if "turn" in request:
        turned = next_turn(body, int(request["turn"]), around)
        return (body, "placing.no_turn_clear") if turned is None else (turned, None)
    if "orientation" in request:
        turned = _wished_turn(body, request, around)
        return (turned, None) if around.is_clear(turned) else (body, "placing.turn_not_clear")
    return body, None


def _wished_turn(body: Body, request: Request, around: Surroundings) -> Body:
    orientations: Sequence[Orientation] = body.item.orientations
    return turned_by_hand(body, orientations[int(request["orientation"])], around)


def _in_the_way(reached: Body, start: Body, around: Surroundings, request: Request) -> Gap:
    """Return what a core that goes no further stands at: a side that it was moved to, a core, or a side."""
    sides = around.side_gaps(reached)
    if "by_mm" in request:
        left_mm = np.asarray(request["by_mm"]) - (reached.matrix[:3, 3] - start.matrix[:3, 3])
        layer_mm = around.rules.layer_thickness_mm
        for axis in np.argsort(-np.abs(left_mm)):
            side = SIDES[int(axis) + (3 if left_mm[axis] > 0 else 0)]
            gap = next(one for one in sides if one.side == side)
            if abs(left_mm[axis]) > layer_mm and gap.slack_mm < (layer_mm if axis == 2 else CONTACT_MM):
                return gap
    core = around.core_gap(reached)
    at_core = core is not None and (core.slack_mm < CONTACT_MM or core.slack_mm < sides[0].slack_mm)
    return core if at_core and core is not None else sides[0]


def _sentence(code: str, gap: Gap, request: Request, reasons: dict[str, str]) -> str:
    """Return why a wish was not met: what stands in the way, and what is asked for there."""
    language = request.get("language", "en")
    names: dict[str, str] = request.get("names", {})
    facts: dict[str, Any] = {"distance_mm": gap.distance_mm, "need_mm": gap.need_mm}
    if gap.other is not None and gap.other.core in reasons:
        key = "placing.at_region"
        facts["reason"] = reasons[gap.other.core]
    elif gap.other is not None:
        key = "placing.at_core"
        facts["other"] = names.get(gap.other.core, gap.other.core)
        facts["other_copy"] = gap.other.copy_number + 1
    else:
        key = "placing.at_side"
        facts["side"] = wording(_SIDES[gap.side or ""], {}, language).what.rstrip(".")
    where = wording(key, facts, language).what
    return f"{wording(code, {}, language).what} {where}"


_SIDES = {
    "left wall": "placing.left_wall",
    "front wall": "placing.front_wall",
    "floor": "placing.floor",
    "right wall": "placing.right_wall",
    "back wall": "placing.back_wall",
    "top": "placing.top",
}


def _gap_document(gap: Gap, reasons: dict[str, str]) -> dict[str, Any]:
    return {
        "region": None if gap.other is None else reasons.get(gap.other.core),
        "distance_mm": gap.distance_mm,
        "need_mm": gap.need_mm,
        "other": None if gap.other is None else [gap.other.core, gap.other.copy_number],
        "side": gap.side,
        "ends_mm": None if gap.ends_mm is None else [list(end) for end in gap.ends_mm],
    }


def _bench_for(plan: Path, meshes: Path) -> _Bench:
    """Return the bench of a plan, the one already there if cores and rules are the same."""
    try:
        key, document = _document_of(plan)
        if key not in _benches:
            while len(_benches) >= KEPT:
                del _benches[next(iter(_benches))]
            _benches[key] = _new_bench(document, meshes)
    except OSError as error:
        raise FileError("file.not_readable", path=str(plan), reason=str(error)) from error
    return _benches[key]


@lru_cache(maxsize=2)
def _document_of(plan: Path) -> tuple[str, dict[str, Any]]:
    """Return a plan's document, and the hash of all in it that gaps depend on."""
    document = json.loads(plan.read_bytes())
    job = {name: value for name, value in document["job"].items() if name not in ("packing", "search")}
    cores = [[core["id"], core["sha256"], core["copies"]] for core in document["cores"]]
    content = canonical_json([job, cores, document["profiles"]])
    return hashlib.sha256(content).hexdigest(), document


def _new_bench(document: dict[str, Any], meshes: Path) -> _Bench:
    job = job_from_document(document["job"], str(meshes))
    point = OperatingPoint.model_validate(document["profiles"])
    items = {core.id: core for core in job.cores}
    pieces = {COUPON_ID: accuracy_coupon, WITNESS_BAR_ID: witness_bar}
    loaded = [
        pieces[entry["id"]]() if entry["rides_along"] else _loaded(entry, items[entry["id"]], meshes)
        for entry in document["cores"]
    ]
    bodies = [printed_body(core, point.process) for core in loaded]
    counts = {entry["id"]: entry["copies"] for entry in document["cores"] if entry["rides_along"]}
    rules = plan_rules(point)
    return _Bench(
        nest_items(job, point, bodies, counts), nest_box(job, point, rules.layer_thickness_mm), rules
    )


def _loaded(entry: dict[str, Any], item: CoreItem, meshes: Path) -> LoadedCore:
    """Return a core as the plan measured it, with the mesh that the plan left."""
    mesh = CoreMesh(
        np.load(meshes / f"{entry['id']}.vertices.npy"), np.load(meshes / f"{entry['id']}.faces.npy")
    )
    return LoadedCore(
        item=item,
        mesh=mesh,
        volume_mm3=entry["core_volume_mm3"],
        area_mm2=entry["area_mm2"],
        bodies=entry["bodies"],
        unit=entry["unit"],
        file_sha256=entry["sha256"],
        solid_share=1.0,
        findings=(),
    )
