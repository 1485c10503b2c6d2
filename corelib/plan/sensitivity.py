"""Which inputs move a plan's binder, time, energy and cost most, its packing held as it is."""

from __future__ import annotations

from collections.abc import Callable

from corelib.checks.process_sensitivity import (
    Sensitivity,
    numeric_fields,
    process_figures,
    sensitivities,
)
from corelib.cost.sheet import cost_job, missing_rates
from corelib.estimate.box import estimate_job
from corelib.job.profiles import OperatingPoint
from corelib.layers.cache import LayerCache
from corelib.plan.build import estimate_one, layers_of_box, placed_by_box
from corelib.plan.model import Plan
from corelib.progress import SILENT, Progress


def plan_sensitivity(plan: Plan, cache: LayerCache, progress: Progress = SILENT) -> tuple[Sensitivity, ...]:
    """Return how each input moves the plan's figures, largest swing first within each figure."""
    fields = numeric_fields(plan.point)
    figures = _figures_of(plan, cache)
    done = 0

    def counted(point: OperatingPoint) -> dict[str, float]:
        nonlocal done
        progress(min(1.0, done / (2 * len(fields) + 1)), "sensitivity")
        done += 1
        return figures(point)

    return sensitivities(plan.point, counted, fields)


def _figures_of(plan: Plan, cache: LayerCache) -> Callable[[OperatingPoint], dict[str, float]]:
    placed = placed_by_box(plan.packing, plan.bodies)
    thickness = plan.point.process.layer_thickness_mm

    def figures(point: OperatingPoint) -> dict[str, float]:
        layers = plan.layers
        if point.process.layer_thickness_mm != thickness:
            layers = tuple(layers_of_box(number, here, point, cache) for number, here in enumerate(placed))
        job = estimate_job(
            [
                estimate_one(own, here, point, plan.box.inner_mm, cache, plan.gap_mm, box.filled_mm)
                for own, here, box in zip(layers, placed, plan.estimate.boxes, strict=True)
            ]
        )
        found = {
            **process_figures(point),
            "build_time_s": sum(box.time.build_s.value for box in job.boxes),
            "energy_kwh": sum(box.energy.energy_kwh.value for box in job.boxes),
        }
        if not missing_rates(point):
            found["cost"] = float(cost_job(job, point, plan.job.currency).cost)
        return found

    return figures
