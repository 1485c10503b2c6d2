"""Draws the layers of a planned box and judges them: images against areas, nozzles idle or dead."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from corelib import units
from corelib.estimate.stated import number
from corelib.estimate.time import LayerTimes, StrokeSums, layer_times
from corelib.findings import Finding, in_order
from corelib.job.models import Job, Packing, Placement
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint
from corelib.layers.grid import PixelGrid, pixel_grid
from corelib.layers.model import BoxLayers, PlacedBody
from corelib.layers.nozzles import (
    DeadNozzleHit,
    IdleNozzles,
    NozzleTimes,
    ServiceInterval,
    SparingOffset,
    SparingShift,
    dead_nozzle_hits,
    dead_rows,
    idle_nozzles,
    service_interval,
    sparing_offset,
    sparing_shift,
)
from corelib.layers.raster import DrawnBody, LayerPixels, drawn_bodies
from corelib.layers.run import BoxDrops, copy_row_pixels, draw_box
from corelib.layers.store import OutlineStore
from corelib.layers.strokes import HeadLayout, StrokeRules, head_layout
from corelib.plan.model import Plan
from corelib.progress import SILENT, Progress

MOST_OFFSET = 500
"""Nozzles up to which another start of the strips is tried."""
VANISHED_FROM = 50.0
"""Vanished area of a layer, in squares of the bleed, from which it is a finding; a square corner has 0.2."""

Made = TypeVar("Made")
Series = NDArray[np.float64]
Use = Callable[[LayerPixels, NDArray[np.uint8]], Made]


@dataclass(frozen=True, eq=False)
class BoxRun(Generic[Made]):
    """What the images of one box hold, and what was found on them."""

    box: int
    grid: PixelGrid
    layout: HeadLayout
    layers: BoxLayers
    drops: BoxDrops[Made]
    times: LayerTimes
    """Seconds of each layer with the strokes of its own image."""
    drops_a_pixel: float
    bound_mm2: Series
    idle: IdleNozzles | None
    interval: ServiceInterval | None
    dead_hits: tuple[DeadNozzleHit, ...]
    shift: SparingShift | None
    offset: SparingOffset | None
    findings: tuple[Finding, ...]


def box_grid(plan: Plan) -> PixelGrid:
    """Return the pixel grid of the plan's machine over its box."""
    return pixel_grid(
        required(plan.point, "machine.travel_axis"),
        number(plan.point, "machine.pitch_travel_mm"),
        number(plan.point, "machine.pitch_across_mm"),
        plan.box.inner_mm,
    )


def box_layout(plan: Plan, grid: PixelGrid, offset_nozzles: int = 0) -> HeadLayout:
    """Return how the plan's head covers the grid, its strips begun some nozzles further in the head."""
    pitch_mm = number(plan.point, "head.nozzle_pitch_mm")
    return head_layout(
        grid,
        nozzle_count=int(number(plan.point, "head.nozzle_count")),
        nozzle_pitch_mm=number(plan.point, "head.nozzle_pitch_mm"),
        overlap_mm=plan.point.head.overlap_mm or 0.0,
        passes=int(number(plan.point, "machine.passes")),
        shift_rows=offset_nozzles * round(pitch_mm / grid.pitch_across_mm),
    )


def stroke_rules(point: OperatingPoint) -> StrokeRules:
    """Return how the machine strokes; raises InputError for what its profile doesn't state."""
    return StrokeRules(
        skips_empty=bool(required(point, "machine.skips_empty_strokes")),
        prints_both_ways=bool(required(point, "machine.prints_both_ways")),
        first_from_low=required(point, "machine.first_stroke") == "from low end",
    )


def run_box(
    plan: Plan,
    placed: Sequence[PlacedBody],
    layers: BoxLayers,
    use: Use[Made],
    *,
    store: OutlineStore,
    dead: tuple[int, ...] = (),
    critical: frozenset[str] = frozenset(),
    with_bits: bool = True,
    progress: Progress = SILENT,
) -> BoxRun[Made]:
    """Draw all layers of a box and return what was counted and found.

    `layers` are the box's with areas from contours. `use` gets each drawn layer with its bits.
    """
    grid = box_grid(plan)
    layout = box_layout(plan, grid)
    bodies = drawn_bodies(placed, layers.thickness_mm)
    drops = draw_box(
        bodies,
        grid,
        layout,
        store,
        layers.count,
        use,
        rules=stroke_rules(plan.point),
        with_bits=with_bits,
        progress=progress.span(0.0, 0.9 if dead else 1.0),
    )
    layer_s = layer_times(layers, plan.point, plan.box.inner_mm, StrokeSums.of(drops.strokes))
    times = nozzle_times(layer_s, plan.point)
    idle, interval = _idle(drops, times, plan.point)
    hits, shift, offset = _dead(
        plan, layers, bodies, grid, layout, store, dead, critical, progress.span(0.9, 1.0)
    )
    bound = pixel_bound_mm2(layers, grid)
    findings = [
        *_idle_findings(layers.box, idle, interval),
        *_reach_findings(layers.box, drops),
        *_area_findings(layers, drops, grid, bound, len(bodies) < len(placed)),
        *_body_findings(layers.box, bodies, store),
        *_dead_findings(layers.box, hits, shift, offset, plan.point),
    ]
    grey = number(plan.point, "machine.grey_level")
    return BoxRun(
        layers.box,
        grid,
        layout,
        layers,
        drops,
        layer_s,
        grey,
        bound,
        idle,
        interval,
        hits,
        shift,
        offset,
        in_order(findings),
    )


def _idle(
    drops: BoxDrops[Made], times: NozzleTimes, point: OperatingPoint
) -> tuple[IdleNozzles | None, ServiceInterval | None]:
    """Return idle spells (None without an open time), and the service interval where nozzles are at risk."""
    open_time_s = point.binder.open_time_s
    if open_time_s is None:
        return None, None
    idle = idle_nozzles(drops.nozzle_pixels, times, open_time_s)
    if not len(idle.at_risk):
        return idle, None
    service_s, service_ml = point.machine.wipe_s or 0.0, point.machine.wipe_binder_ml or 0.0
    return idle, service_interval(drops.nozzle_pixels, times, open_time_s, service_s, service_ml)


def nozzle_times(times: LayerTimes, point: OperatingPoint) -> NozzleTimes:
    """Return when strokes begin and layers end, and after which layers the head is wiped or purged."""
    end_s = np.cumsum(times.time_s)
    before_s = number(point, "machine.recoat_s") + number(point, "machine.platform_s")
    jets_s = np.concatenate([[0.0], end_s[:-1]]) + before_s
    return NozzleTimes(jets_s, end_s, (times.wipes + times.purges) > 0)


def pixel_bound_mm2(layers: BoxLayers, grid: PixelGrid) -> Series:
    """Return by how much a layer's pixels may differ from its printed area.

    Along the outline, every row's ends are off by half a pixel at most and every column's likewise, so half
    of both pitches times the boundary length; and what the printed area itself may be off by.
    """
    half = 0.5 * (grid.pitch_along_mm + grid.pitch_across_mm)
    bound: Series = half * layers.boundary_mm + layers.area_error_mm2 + 1e-6
    return bound


def binder_ml(run: BoxRun[Made], point: OperatingPoint) -> Series:
    """Return the binder that the drops of each layer bring."""
    drop_mm3 = number(point, "head.drop_volume_pl") * units.MM3_PER_PL
    pixels = run.drops.pixels.astype(np.float64)
    volume: Series = pixels * (run.drops_a_pixel * drop_mm3 * units.ML_PER_MM3)
    return volume


def _span(layers: NDArray[np.int64]) -> tuple[int, int]:
    return int(layers[0]), int(layers[-1])


def _idle_findings(box: int, idle: IdleNozzles | None, interval: ServiceInterval | None) -> list[Finding]:
    if idle is None:
        return [Finding("layers.open_time_unknown", "note", box=box)]
    risk = idle.at_risk
    if not len(risk):
        return []
    worst = int(np.argmax(idle.longest_s))
    facts = {
        "nozzles": len(risk),
        "layers": len(idle.layers_at_risk),
        "longest_s": round(float(idle.longest_s[worst]), 1),
        "open_time_s": idle.open_time_s,
        "nozzle": worst,
        "to_layer": int(idle.to_layer[worst]),
    }
    if interval is None:
        return [
            Finding("layers.nozzles_idle_always", "check", facts, box=box, layers=_span(idle.layers_at_risk))
        ]
    facts |= {
        "every_layers": interval.every_layers,
        "services": interval.services,
        "added_s": round(interval.added_s, 1),
        "added_binder_ml": round(interval.added_binder_ml, 1),
    }
    return [Finding("layers.nozzles_idle", "check", facts, box=box, layers=_span(idle.layers_at_risk))]


def _reach_findings(box: int, drops: BoxDrops[Made]) -> list[Finding]:
    lost = np.flatnonzero(drops.unreached_pixels)
    if not len(lost):
        return []
    facts = {"pixels": int(drops.unreached_pixels.sum())}
    return [Finding("layers.nozzles_unreached", "stop", facts, box=box, layers=_span(lost))]


def _area_findings(
    layers: BoxLayers, drops: BoxDrops[Made], grid: PixelGrid, bound_mm2: Series, blocks: bool
) -> list[Finding]:
    found = []
    if blocks:
        found.append(Finding("layers.blocks_not_drawn", "note", box=layers.box))
    else:
        off = np.abs(drops.pixels * grid.pixel_mm2 - layers.printed_area_mm2)
        wrong = np.flatnonzero(off > bound_mm2)
        if len(wrong):
            facts = {"layers": len(wrong), "most_mm2": round(float(off.max()), 3)}
            found.append(
                Finding("layers.images_disagree", "check", facts, box=layers.box, layers=_span(wrong))
            )
    over = np.flatnonzero(drops.over_pixels + drops.negative_pixels)
    if len(over):
        facts = {"layers": len(over), "pixels": int(drops.over_pixels.sum() + drops.negative_pixels.sum())}
        found.append(Finding("layers.bodies_overlap", "check", facts, box=layers.box, layers=_span(over)))
    return found


def _body_findings(box: int, bodies: Sequence[DrawnBody], store: OutlineStore) -> list[Finding]:
    """Return what compensation leaves of each core type: layers that vanish, depth that stays over."""
    found: list[Finding] = []
    seen: set[str] = set()
    for body in bodies:
        if body.key in seen or not body.pose.is_compensated:
            continue
        seen.add(body.key)
        bleed_mm = body.pose.body.bleed_xy_mm
        vanished = store.vanished_areas(body.pose)
        gone = np.flatnonzero(vanished > VANISHED_FROM * bleed_mm**2)
        if len(gone):
            volume_mm3 = body.pose.thickness_mm * float(vanished[gone].sum())
            facts = {
                "layers": len(gone),
                "bleed_mm": bleed_mm,
                "volume_mm3": round(volume_mm3, 2),
                "share_pct": round(100.0 * volume_mm3 / body.pose.body.core.volume_mm3, 3),
            }
            found.append(
                Finding("layers.vanished", "check", facts, core=body.core_id, box=box, layers=_span(gone))
            )
        rest_mm = body.pose.body.bleed_z_mm - body.pose.dry * body.pose.thickness_mm
        if abs(rest_mm) > 1e-9:
            facts = {"dry_layers": body.pose.dry, "rest_mm": round(rest_mm, 4)}
            found.append(Finding("layers.bleed_depth_rest", "note", facts, core=body.core_id))
    return found


def _dead(
    plan: Plan,
    layers: BoxLayers,
    bodies: Sequence[DrawnBody],
    grid: PixelGrid,
    layout: HeadLayout,
    store: OutlineStore,
    dead: tuple[int, ...],
    critical: frozenset[str],
    progress: Progress,
) -> tuple[tuple[DeadNozzleHit, ...], SparingShift | None, SparingOffset | None]:
    if not dead:
        return (), None, None
    copies = copy_row_pixels(bodies, grid, store, progress)
    rows = dead_rows(layout.row_nozzle, dead)
    hits = dead_nozzle_hits(copies, rows, grid.pitch_across_mm)
    if not hits:
        return hits, None, None
    axis = 0 if grid.swapped else 1
    low = float(np.nanmin(layers.extent_mm[:, axis])) - plan.box.low_mm[axis]
    high = plan.box.high_mm[axis] - float(np.nanmax(layers.extent_mm[:, 2 + axis]))
    pitch_mm = layout.interlace * grid.pitch_across_mm
    least, most = -int(max(low, 0.0) / pitch_mm), int(max(high, 0.0) / pitch_mm)
    shift = sparing_shift(copies, rows, critical, least, most, layout.interlace, grid.pitch_across_mm)
    spare = (layout.strips * layout.nozzle_count * layout.interlace - grid.rows) // layout.interlace
    offsets = [box_layout(plan, grid, nozzles) for nozzles in range(min(max(spare, 0), MOST_OFFSET) + 1)]
    by_offset = [dead_rows(o.row_nozzle, dead) for o in offsets if o.strips == layout.strips]
    return hits, shift, sparing_offset(copies, by_offset, critical)


def _dead_findings(
    box: int,
    hits: tuple[DeadNozzleHit, ...],
    shift: SparingShift | None,
    offset: SparingOffset | None,
    point: OperatingPoint,
) -> list[Finding]:
    grey, drop_pl = number(point, "machine.grey_level"), number(point, "head.drop_volume_pl")
    ml_a_pixel = grey * drop_pl * units.MM3_PER_PL * units.ML_PER_MM3
    found = []
    for hit in hits:
        facts = {
            "copy": hit.copy_number,
            "share_pct": round(hit.share_pct, 4),
            "binder_ml": round(hit.pixels * ml_a_pixel, 4),
            "low_mm": round(hit.low_mm, 3),
            "high_mm": round(hit.high_mm, 3),
        }
        span = (hit.first_layer, hit.last_layer)
        found.append(
            Finding("layers.dead_nozzle_hits", "check", facts, core=hit.core_id, box=box, layers=span)
        )
    if shift is not None:
        facts = {
            "nozzles": shift.nozzles,
            "shift_mm": round(shift.shift_mm, 4),
            "lost_before": shift.lost_before,
            "lost_after": shift.lost_after,
        }
        code = (
            "layers.dead_nozzle_shift"
            if shift.lost_after < shift.lost_before
            else "layers.dead_nozzle_no_shift"
        )
        found.append(Finding(code, "note", facts, box=box))
    if offset is not None and offset.lost_after < offset.lost_before:
        facts = {
            "nozzles": offset.nozzles,
            "lost_before": offset.lost_before,
            "lost_after": offset.lost_after,
        }
        found.append(Finding("layers.dead_nozzle_offset", "note", facts, box=box))
    return found


def moved_job(job: Job, plan: Plan, box: int, shift_mm: float) -> Job:
    """Return a job with its packing stated (the plan's, if it has none), and one box's contents moved.

    The contents are moved across the head's travel.
    """
    row = 0 if required(plan.point, "machine.travel_axis") == "y" else 1

    def moved(place: Placement) -> Placement:
        if place.box != box:
            return place
        matrix = [list(line) for line in place.matrix]
        matrix[row][3] += shift_mm
        document = place.model_dump(by_alias=True)
        return Placement.model_validate(
            {**document, "matrix": matrix, "placed_by": "hand", "orientation": place.orientation}
        )

    packing = job.packing or plan.packing
    placements = tuple(moved(place) for place in packing.placements)
    document = {name: getattr(job, name) for name in type(job).model_fields}
    return Job.model_validate({**document, "packing": Packing(placements=placements)})
