"""The index of a job's layer images, and the tables of nozzles and strokes that go with it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from corelib import __version__
from corelib.estimate.stated import number
from corelib.export.layer_images import INDEX_KIND, INDEX_SCHEMA_VERSION, ImageConvention
from corelib.findings import Finding
from corelib.plan.document import finding_document, job_sha256
from corelib.plan.layer_run import BoxRun, binder_ml
from corelib.plan.model import Plan

Entry = dict[str, Any]


def index_document(
    plan: Plan,
    runs: Sequence[BoxRun[Entry]],
    convention: ImageConvention,
    findings: Sequence[Finding],
    language: str = "en",
) -> dict[str, Any]:
    """Return the index: convention, canvas, and for each box its layers with image, place, area and drops.

    `column` and `row` are the first pixel's place on the whole canvas as the machine sees it. Pixels times
    `pixel_mm2` is the area; it may differ from `printed_area_mm2` by `area_bound_mm2`.
    """
    grid = runs[0].grid
    return {
        "kind": INDEX_KIND,
        "schema_version": INDEX_SCHEMA_VERSION,
        "version": __version__,
        "job_sha256": job_sha256(plan.job),
        "convention": asdict(convention),
        "canvas": {
            "columns_along_travel": grid.columns,
            "rows_across_travel": grid.rows,
            "travel_axis": grid.travel_axis,
            "pitch_along_mm": grid.pitch_along_mm,
            "pitch_across_mm": grid.pitch_across_mm,
            "pixel_mm2": grid.pixel_mm2,
        },
        "drops_a_pixel": runs[0].drops_a_pixel,
        "drop_volume_pl": number(plan.point, "head.drop_volume_pl"),
        "boxes": [_box(plan, run) for run in runs],
        "findings": [finding_document(finding, plan.core_names, language) for finding in findings],
    }


def _box(plan: Plan, run: BoxRun[Entry]) -> dict[str, Any]:
    drops_ml = binder_ml(run, plan.point)
    dose = plan.estimate.boxes[run.box].binder.by_dose_l
    layers = [
        {
            **entry,
            "z_mm": float(run.layers.z_mm[layer]),
            "printed_area_mm2": float(run.layers.printed_area_mm2[layer]),
            "area_bound_mm2": float(run.bound_mm2[layer]),
            "drops": float(run.drops.pixels[layer] * run.drops_a_pixel),
            "binder_ml": float(drops_ml[layer]),
            "strokes": len(run.drops.strokes[layer]),
            "time_s": float(run.times.time_s[layer]),
            "stroke_printed_mm": float(sum(stroke.printed_mm for stroke in run.drops.strokes[layer])),
        }
        for layer, entry in enumerate(run.drops.made)
    ]
    return {
        "box": run.box,
        "thickness_mm": run.layers.thickness_mm,
        "layers": layers,
        "totals": {
            "layer_count": run.layers.count,
            "images": sum(entry["file"] is not None for entry in run.drops.made),
            "pixels": int(run.drops.pixels.sum()),
            "pixel_volume_mm3": float(run.drops.pixels.sum()) * run.grid.pixel_mm2 * run.layers.thickness_mm,
            "printed_volume_mm3": run.layers.printed_volume_mm3,
            "volume_bound_mm3": float(run.bound_mm2.sum()) * run.layers.thickness_mm,
            "drops": float(run.drops.pixels.sum()) * run.drops_a_pixel,
            "binder_by_drops_ml": float(drops_ml.sum()),
            "binder_by_dose_ml": None if dose is None else 1000.0 * dose.value,
            "strokes": sum(len(strokes) for strokes in run.drops.strokes),
            "printing_s": float(run.times.time_s.sum()),
        },
        "nozzles": _nozzles(run),
    }


def _nozzles(run: BoxRun[Entry]) -> dict[str, Any]:
    jets = run.drops.nozzle_pixels.any(axis=0)
    summary: dict[str, Any] = {"count": run.layout.nozzle_count, "used": int(jets.sum())}
    if run.idle is not None:
        summary |= {
            "open_time_s": run.idle.open_time_s,
            "longest_idle_s": float(run.idle.longest_s.max(initial=0.0)),
            "at_risk": len(run.idle.at_risk),
            "layers_at_risk": len(run.idle.layers_at_risk),
        }
    if run.interval is not None:
        summary["service_interval"] = asdict(run.interval)
    if run.shift is not None:
        summary["sparing_shift"] = asdict(run.shift)
    if run.offset is not None:
        summary["sparing_offset"] = asdict(run.offset)
    summary["dead_hits"] = [asdict(hit) for hit in run.dead_hits]
    return summary


def nozzle_table(runs: Sequence[BoxRun[Entry]]) -> bytes:
    """Return each nozzle's drops and longest idle spell as comma-separated values (UTF-8, CRLF)."""
    rows: list[list[Any]] = []
    for run in runs:
        drops = run.drops.nozzle_pixels.sum(axis=0, dtype=np.int64) * run.drops_a_pixel
        for nozzle in range(run.layout.nozzle_count):
            spell: list[Any] = ["", "", ""]
            if run.idle is not None and run.idle.to_layer[nozzle] >= 0:
                before = int(run.idle.from_layer[nozzle])
                longest = f"{run.idle.longest_s[nozzle]:.6g}"
                spell = [longest, "" if before < 0 else before, int(run.idle.to_layer[nozzle])]
            rows.append([run.box, nozzle, f"{drops[nozzle]:.12g}", *spell])
    return _table(("box", "nozzle", "drops", "longest_idle_s", "from_layer", "to_layer"), rows)


def stroke_table(runs: Sequence[BoxRun[Entry]]) -> bytes:
    """Return the stroke list as comma-separated values: box, layer, strip, pass, printed from and to.

    A stroke towards the low end of the travel has `from_mm` above `to_mm`.
    """
    rows = []
    for run in runs:
        for stroke in (stroke for strokes in run.drops.strokes for stroke in strokes):
            ends = [f"{stroke.low_mm:.10g}", f"{stroke.high_mm:.10g}"]
            ends = ends if stroke.is_forward else ends[::-1]
            rows.append([run.box, stroke.layer, stroke.strip, stroke.pass_number, *ends])
    return _table(("box", "layer", "strip", "pass", "from_mm", "to_mm"), rows)


def _table(columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8")
