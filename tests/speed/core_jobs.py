"""Core-shaped jobs against packings of bounding boxes: a command.

    python -m tests.speed.core_jobs --seconds 60 [--only mixed] [--workers 2]

Each job is packed with and without an order of drawing, and as solid blocks of the cores' bounding boxes by
the same engine in the same time; the reference is the better of these blocks and of rows and tiers. Results
go to tests/results/core_jobs.json. The cores are invented (`tests/speed/core_shapes.py`).
"""

from __future__ import annotations

import argparse
import json
import time
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from corelib.child import make_executor
from corelib.files import canonical_json, write_atomic
from corelib.geometry.pose import right_angle_orientations
from corelib.job.models import Packing, Search
from corelib.mesh.core import CoreMesh
from corelib.nesting.clearance import placed_bodies
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules
from corelib.nesting.packing import nest_build
from corelib.nesting.tiers import pack_in_tiers
from corelib.progress import Progress
from tests.speed.core_shapes import core_types

RESULTS = Path(__file__).parents[1] / "results" / "core_jobs.json"
GAP_MM, LAYER_MM = 5.0, 0.3
BLOCK_FACES = [
    [0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4],
    [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7],
]  # fmt: skip


@dataclass(frozen=True)
class CoreJob:
    """Items and box; where `counts_sets`, the number of whole sets in the first box counts, else height."""

    items: tuple[NestItem, ...]
    box: NestBox
    counts_sets: bool = False


def _item(core_id: str, mesh: CoreMesh, keys: tuple[CopyKey, ...]) -> NestItem:
    return NestItem(core_id, mesh, right_angle_orientations(), GAP_MM, keys)


def mixed(count: int, footprint_mm: tuple[float, float]) -> CoreJob:
    """All fourteen types in about equal numbers."""
    items = []
    for n, mesh in enumerate(core_types()):
        copies = count // 14 + (n < count % 14)
        items.append(_item(f"core{n:02d}", mesh, tuple(CopyKey(c) for c in range(copies))))
    return CoreJob(tuple(items), NestBox((*footprint_mm, 4000.0), 0.0, 0.0, 0.0))


def sets(count: int) -> CoreJob:
    """Sets of a jacket and two ports in one box of 600 × 400 × 300 mm."""
    meshes = core_types()
    items = (
        _item("jacket", meshes[0], tuple(CopyKey(c, "set", c) for c in range(count))),
        _item("port", meshes[2], tuple(CopyKey(c, "set", c // 2) for c in range(2 * count))),
    )
    return CoreJob(items, NestBox((600.0, 400.0, 300.0), 0.0, 0.0, 0.0), counts_sets=True)


JOBS = {
    "mixed 60": lambda: mixed(60, (600.0, 400.0)),
    "sets": lambda: sets(60),
    "mixed 200": lambda: mixed(200, (1800.0, 1000.0)),
}


def as_blocks(job: CoreJob) -> CoreJob:
    """The job with every core as the solid block of its bounding box."""
    items = []
    for item in job.items:
        low, high = item.mesh.low_mm, item.mesh.high_mm
        corners = [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]]
        mesh = CoreMesh(np.array(corners) * (high - low), np.array(BLOCK_FACES, dtype=np.int32))
        items.append(replace(item, mesh=mesh))
    return replace(job, items=tuple(items))


def measure_of(job: CoreJob, packing: Packing) -> float:
    """Return the packing's height in mm, or the whole sets in its first box."""
    if job.counts_sets:
        outside = {p.set_index for p in packing.placements if p.box > 0}
        return float(len({p.set_index for p in packing.placements} - outside))
    known = {item.core_id: item for item in job.items}
    return max(float(body.high_mm[2]) for body in placed_bodies(known, packing.placements))


def play(
    job: CoreJob, *, ordered: bool, seconds: float, seed: int, executor: Executor | None
) -> dict[str, object]:
    """Return one run's measure, when the first packing of the search was there, and how it was judged."""
    rules, started_s = NestRules(LAYER_MM, is_ordered=ordered), time.perf_counter()
    heard: list[float] = []

    def hear(_share: float, _step: str, facts: dict[str, object]) -> bool:
        if "found" in facts:
            heard.append(time.perf_counter() - started_s)
        return False

    found = nest_build(
        job.items, job.box, rules, Search(seed=seed, effort=10**12), seconds=seconds, executor=executor,
        progress=Progress(hear),
    )  # fmt: skip
    spent_s = time.perf_counter() - started_s
    findings = check_packing(job.items, job.box, rules, found.packing)
    orders = extraction_orders(job.items, job.box, rules, found.packing)
    return {
        "measure": round(measure_of(job, found.packing), 3),
        "valid": not any(finding.severity == "stop" for finding in findings),
        "order_proved": all(not order.left for order in orders),
        "effort": found.effort,
        "found_after_s": [round(s, 2) for s in heard[:3]],
        "time_s": round(spent_s, 1),
    }


def run(name: str, seconds: float, seed: int, workers: int) -> dict[str, object]:
    """Return what one job gives: with and without order, as blocks, in tiers, and the ratios."""
    job = JOBS[name]()
    blocks = as_blocks(job)
    tiers = measure_of(job, pack_in_tiers(job.items, job.box, NestRules(LAYER_MM)))
    executor = make_executor(workers) if workers > 1 else None
    try:
        runs = {
            key: play(played, ordered=ordered, seconds=seconds, seed=seed, executor=executor)
            for key, played, ordered in (
                ("ordered", job, True), ("free", job, False), ("blocks", blocks, True),
            )
        }  # fmt: skip
    finally:
        if executor is not None:
            executor.shutdown()
    values = {key: float(str(one["measure"])) for key, one in runs.items()}
    best = max(tiers, values["blocks"]) if job.counts_sets else min(tiers, values["blocks"])
    return {
        "tiers": round(tiers, 3),
        **runs,
        "unit": "sets" if job.counts_sets else "mm",
        "ratio_to_boxes": round(values["ordered"] / best, 4),
        "ratio_to_tiers": round(values["ordered"] / tiers, 4),
        "price_of_order": round(values["ordered"] / values["free"] - 1.0, 4),
    }


def main() -> None:
    """Read the arguments, run and write the results."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    known = json.loads(RESULTS.read_text(encoding="utf-8")) if RESULTS.exists() else {}
    for name in JOBS:
        if asked.only in name:
            result = run(name, asked.seconds, asked.seed, asked.workers)
            known[f"{name}|{asked.seconds:g}s|seed {asked.seed}|{asked.workers} workers"] = result
            write_atomic(RESULTS, canonical_json(known))
            print(name, json.dumps(result, indent=1), flush=True)


if __name__ == "__main__":
    main()
