"""The plan as a document: what plan.json holds, with all inputs that made it and no mesh data."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from corelib import __version__
from corelib.cost.uncertainty import shown
from corelib.estimate.box import BoxEstimate
from corelib.estimate.lines import Line
from corelib.files import canonical_json
from corelib.findings import Finding
from corelib.job.edits import without_choice
from corelib.job.files import job_document
from corelib.job.models import Job, Placement
from corelib.job.profiles import PROFILE_KINDS
from corelib.layers.model import BoxLayers
from corelib.mesh.core import LoadedCore
from corelib.nesting.quality import BoxQuality
from corelib.plan.model import Plan
from corelib.plan.unpacking import unpacking_document
from corelib.wording import finding_wording

PLAN_KIND = "corestow.plan"
PLAN_SCHEMA_VERSION = 1


def plan_document(plan: Plan, language: str = "en") -> dict[str, Any]:
    """Return the plan as plain data; the same plan gives the same bytes."""
    job, names = job_document(plan.job), plan.names_in(language)
    return {
        "kind": PLAN_KIND,
        "schema_version": PLAN_SCHEMA_VERSION,
        "version": __version__,
        "job": job,
        "job_sha256": job_sha256(plan.job),
        "profiles": {kind: getattr(plan.point, kind).model_dump(mode="json") for kind in PROFILE_KINDS},
        "overridden": [entry.model_dump(mode="json") for entry in plan.point.overridden],
        "packed_by": plan.packed_by,
        "gap_mm": plan.gap_mm,
        "box": {
            "inner_mm": list(plan.box.inner_mm),
            "wall_margin_mm": plan.box.wall_margin_mm,
            "floor_margin_mm": plan.box.floor_margin_mm,
            "top_margin_mm": plan.box.top_margin_mm,
        },
        "cores": [_core(plan, core, names[core.item.id]) for core in plan.cores],
        "boxes": [_box(plan, number) for number in range(len(plan.layers))],
        "totals": _totals(plan),
        "lines": _lines(plan),
        "sharing": _sharing(plan),
        "spread": _spread(plan),
        "schedule": None if plan.schedule is None else plan.schedule.document(),
        "findings": [finding_document(f, names, language) for f in plan.findings],
    }


def job_sha256(job: Job) -> str:
    """Return the hash of a job's canonical document: a plan that names another is out of date.

    Which of several plans was chosen does not count.
    """
    return hashlib.sha256(canonical_json(job_document(without_choice(job)))).hexdigest()


def finding_document(finding: Finding, names: dict[str, str], language: str = "en") -> dict[str, Any]:
    """Return a finding as plain data, with its sentences."""
    words = finding_wording(finding, names.get(finding.core or ""), language)
    return {
        "code": finding.code,
        "severity": finding.severity,
        "core": finding.core,
        "box": finding.box,
        "layers": None if finding.layers is None else list(finding.layers),
        "places_mm": [list(place) for place in finding.places_mm],
        "facts": finding.facts,
        "lifted": None if finding.lifted is None else vars(finding.lifted),
        "message": words.message,
        "remedy": words.next,
    }


def _core(plan: Plan, core: LoadedCore, name: str) -> dict[str, Any]:
    item = core.item
    masses = [box.core_kg[item.id].value for box in plan.estimate.boxes if item.id in box.core_kg]
    body = next(body for body in plan.bodies if body.core_id == item.id)
    shares = {} if plan.sharing is None else {share.name: share for share in plan.sharing.cores}
    share = shares.get(item.id)
    return {
        "id": item.id,
        "name": name,
        "rides_along": item.id in plan.ride_along,
        "copies": sum(place.core == item.id for place in plan.packing.placements),
        "size_mm": core.mesh.size_mm.tolist(),
        "core_volume_mm3": core.core_volume_mm3,
        "area_mm2": core.area_mm2,
        "triangles": len(core.mesh.faces),
        "bodies": core.bodies,
        "unit": core.unit,
        "sha256": core.file_sha256,
        "mass_kg": max(masses) if masses else None,
        "cost": None if share is None else str(share.cost_each),
        "price": None if share is None else str(share.price_each),
        "scale_xyz": list(body.scale_xyz),
        "bleed_xy_mm": body.bleed_xy_mm,
        "bleed_z_mm": body.bleed_z_mm,
    }


def _box(plan: Plan, number: int) -> dict[str, Any]:
    layers, estimate = plan.layers[number], plan.estimate.boxes[number]
    places = sorted(
        (place for place in plan.packing.placements if place.box == number),
        key=lambda place: (place.core, place.copy_number),
    )
    return {
        "box": number,
        "inner_mm": list(plan.box.inner_mm),
        "filled_mm": list(estimate.filled_mm),
        "height_mm": layers.height_mm,
        "layer_thickness_mm": layers.thickness_mm,
        "placements": [_placement(place) for place in places],
        "quality": next(_quality(one) for one in plan.quality if one.box == number),
        "wishes": [
            {"wish": one.wish, "met_pct": one.met_pct, "figure": one.figure}
            for one in plan.wishes
            if one.box == number
        ],
        "unpacking": next(unpacking_document(one) for one in plan.unpacking if one.box == number),
        "layers": _layers(layers, estimate),
        "printed_volume_mm3": layers.printed_volume_mm3,
        "build_time_s": estimate.time.build_s.value,
        "energy_kwh": estimate.energy.energy_kwh.value,
        "gross_box_kg": estimate.bed.gross_box_kg.value,
        "binder_by_dose_l": _value(estimate.binder.by_dose_l),
        "binder_by_drops_l": _value(estimate.binder.by_drops_l),
        "binder_disagreement_pct": _value(estimate.binder.disagreement_pct),
    }


def _quality(quality: BoxQuality) -> dict[str, Any]:
    return {
        "fill_pct": quality.fill_pct,
        "whole_sets": quality.whole_sets,
        "height_mm": quality.height_mm,
        "least_height_mm": quality.bound_mm,
        "above_least_pct": quality.above_bound_pct,
        "limited_by": quality.limited_by,
    }


def _placement(place: Placement) -> dict[str, Any]:
    document = place.model_dump(mode="json", by_alias=True)
    document["orientation_label"] = place.orientation.label
    return document


def _layers(layers: BoxLayers, estimate: BoxEstimate) -> list[dict[str, float]]:
    columns = {
        "z_mm": layers.z_mm,
        "printed_area_mm2": layers.printed_area_mm2,
        "nominal_area_mm2": layers.nominal_area_mm2,
        "area_error_mm2": layers.area_error_mm2,
        "boundary_mm": layers.boundary_mm,
        "binder_ml": estimate.binder_ml,
        "time_s": estimate.time_s,
    }
    rows = zip(*(column.tolist() for column in columns.values()), strict=True)
    return [dict(zip(columns, row, strict=True)) for row in rows]


def _totals(plan: Plan) -> dict[str, Any]:
    estimate = plan.estimate
    return {
        "boxes": len(plan.layers),
        "cores": len(plan.packing.placements),
        "layer_count": sum(layers.count for layers in plan.layers),
        "printed_volume_mm3": sum(layers.printed_volume_mm3 for layers in plan.layers),
        "printed_sand_kg": estimate.printed.printed_sand_kg.value,
        "binder_kg": estimate.printed.binder_kg.value,
        "binder_l": estimate.printed.binder_l.value,
        "bed_sand_kg": estimate.bed.bed_sand_kg.value,
        "additive_kg": estimate.bed.additive_kg.value,
        "build_time_s": estimate.build_time_s,
        "energy_kwh": estimate.energy.energy_kwh.value,
        "energy_least_kwh": estimate.energy.energy_least_kwh.value,
        "energy_most_kwh": estimate.energy.energy_most_kwh.value,
        "gross_box_kg": max(box.bed.gross_box_kg.value for box in estimate.boxes),
        "cost": None if plan.cost is None else str(plan.cost.cost),
        "price": None if plan.cost is None else str(plan.cost.price),
        "currency": plan.job.currency,
    }


def _lines(plan: Plan) -> dict[str, list[dict[str, Any]]]:
    estimate = plan.estimate
    groups: dict[str, Sequence[Line]] = {
        "quantities": (*estimate.printed.lines, *estimate.bed.lines),
        "time": estimate.time.lines,
        "energy": estimate.energy.lines,
    }
    documents = {name: [line.document() for line in lines] for name, lines in groups.items()}
    cost = () if plan.cost is None else plan.cost.lines
    documents["cost"] = [_cost_line(line.document(), plan.job.currency) for line in cost]
    return documents


def _cost_line(document: dict[str, Any], currency: str) -> dict[str, Any]:
    """Return a cost line with value and unit like any other line; money stays text, so no digit is lost."""
    line = {**document, "value": document["amount"], "unit": currency}
    del line["amount"]
    if "parts" in line:
        line["parts"] = [_cost_line(part, currency) for part in line["parts"]]
    return line


def _spread(plan: Plan) -> dict[str, Any] | None:
    """Return the ranges (P10, P50, P90) of time, cost and price, their evidence and causes.

    What ends in `about` has no more digits than its range allows.
    """
    spread = plan.spread
    if spread is None or plan.cost is None:
        return None
    return {
        "cost_about": shown(float(plan.cost.cost), spread.cost),
        "price_about": shown(float(plan.cost.price), spread.price),
        "build_time_about_s": shown(plan.estimate.build_time_s, spread.build_s),
        **spread.document(),
    }


def _sharing(plan: Plan) -> dict[str, Any] | None:
    if plan.sharing is None:
        return None
    sharing = plan.sharing
    groups = {"cores": sharing.cores, "casting_sets": sharing.sets}
    document: dict[str, Any] = {
        name: [
            {
                "id": share.name,
                "count": share.count,
                "cost": str(share.cost),
                "price": str(share.price),
                "cost_each": str(share.cost_each),
                "price_each": str(share.price_each),
            }
            for share in shares
        ]
        for name, shares in groups.items()
    }
    loose = sharing.loose
    document["loose"] = (
        None if loose is None else {"count": loose.count, "cost": str(loose.cost), "price": str(loose.price)}
    )
    document["rule"] = sharing.rule
    return document


def _value(line: Line | None) -> float | None:
    return None if line is None else line.value
