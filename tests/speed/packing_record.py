"""The open packing instances against the best published heights: a command that can be resumed.

    python -m tests.speed.packing_record --seconds 300 --seeds 1 [--only Stoyan] [--fixed] [--ordered]

Gap 0, fixed footprint, least height. Results go to tests/results/packing_record.json with every placement;
runs that are there already (by instance, orientations, order, seed and seconds) are not repeated.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import trimesh

from corelib.child import make_executor
from corelib.files import canonical_json, write_atomic
from corelib.geometry.pose import Orientation, right_angle_orientations
from corelib.job.models import Search
from corelib.mesh.core import CoreMesh
from corelib.nesting.boxes import Task, packing_score
from corelib.nesting.extraction import extraction_orders
from corelib.nesting.gate import check_packing
from corelib.nesting.model import CopyKey, NestBox, NestItem, NestRules
from corelib.nesting.packing import nest_build

ROOT = Path(__file__).parents[1] / "data" / "packing_instances"
RESULTS = Path(__file__).parents[1] / "results" / "packing_record.json"
LAYER_MM = 1e-3

PUBLISHED = {
    "Egeblad et al. 2009/Merged2.json": (20.38, 16.01),
    "Egeblad et al. 2009/Merged3.json": (22.00, 20.00),
    "Stoyan et al. 2004/Example1.json": (50.37, None),
    "Stoyan et al. 2004/Example3.json": (38.67, 34.00),
    "Stoyan et al. 2005/Example3.json": (26.87, 22.73),
    "Liu et al. 2015/Experiment1.json": (30.15, 22.00),
}
"""Best published heights, fixed orientation and 24 orientations: solution tables of J. Tollenaere, KU Leuven
(best of 15 seeds at 10 minutes), read in their result files."""


@dataclass(frozen=True)
class Instance:
    """One instance: items of one orientation rule and the footprint."""

    name: str
    items: tuple[NestItem, ...]
    footprint_mm: tuple[float, float]

    def box(self, height_mm: float) -> NestBox:
        """The strip, cut off at a height."""
        return NestBox((*self.footprint_mm, height_mm), 0.0, 0.0, 0.0)


def load(name: str, turns: bool) -> Instance:
    """Return an instance with all 24 orientations or the one as modelled."""
    document = json.loads((ROOT / name).read_text(encoding="utf-8"))
    orientations = right_angle_orientations() if turns else (Orientation(),)
    items = []
    for number, kind in enumerate(document["item-types"]):
        mesh = trimesh.load(ROOT / kind["path"], force="mesh", process=True)
        core = CoreMesh(np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces, dtype=np.int32))
        copies = tuple(CopyKey(copy) for copy in range(kind["demand"]))
        items.append(NestItem(f"item{number:02d}", core, orientations, 0.0, copies))
    container = document["container"]
    return Instance(name, tuple(items), (container["size-x"], container["size-y"]))


def play(
    instance: Instance, seed: int, *, seconds: float | None, effort: int, ordered: bool, workers: int
) -> dict[str, object]:
    """Return the result of one run: height, validity by the gate, effort, time and placements."""
    tallest = sum(item.mesh.size_mm.max() * len(item.copies) for item in instance.items)
    box = instance.box(float(tallest))
    rules = NestRules(LAYER_MM, is_ordered=ordered)
    search = Search(seed=seed, effort=effort)
    started_s = time.perf_counter()
    executor = make_executor(workers) if workers > 1 else None
    try:
        found = nest_build(instance.items, box, rules, search, seconds=seconds, executor=executor)
    finally:
        if executor is not None:
            executor.shutdown()
    spent_s = time.perf_counter() - started_s
    height_mm = packing_score(Task(instance.items, box, rules, search), found.packing)[1]
    findings = check_packing(instance.items, instance.box(height_mm), rules, found.packing)
    orders = extraction_orders(instance.items, box, rules, found.packing)
    return {
        "height": round(height_mm, 6),
        "valid": not any(finding.severity == "stop" for finding in findings),
        "order_kept_by_search": ordered,
        "order_proved_on_fresh_voxels": all(not order.left for order in orders),
        "effort": found.effort,
        "time_s": round(spent_s, 1),
        "placements": [
            {"item": p.core, "copy": p.copy_number, "matrix": [list(row) for row in p.matrix[:3]]}
            for p in found.packing.placements
        ],
    }


def record(names: list[str], turns: bool, ordered: bool, seeds: int, seconds: float, workers: int) -> None:
    """Run what is missing in the results file and print the table."""
    known = json.loads(RESULTS.read_text(encoding="utf-8")) if RESULTS.exists() else {"runs": {}}
    for name in names:
        instance = load(name, turns)
        for seed in range(seeds):
            key = (
                f"{name}|{'24' if turns else 'fixed'}|{'ordered' if ordered else 'free'}|{seed}|{seconds:g}s"
            )
            if key not in known["runs"]:
                result = play(
                    instance, seed, seconds=seconds, effort=10**12, ordered=ordered, workers=workers
                )
                best = PUBLISHED[name][1 if turns else 0]
                result |= {"published": best, "processor": os.uname().machine, "workers": workers}
                result["ratio"] = None if best is None else round(float(str(result["height"])) / best, 4)
                known["runs"][key] = result
                write_atomic(RESULTS, canonical_json(known, indent=None))
            shown = known["runs"][key]
            line = f"{key:60s} height {shown['height']:8.3f} ratio {shown['ratio']} valid {shown['valid']}"
            print(f"{line} proved {shown['order_proved_on_fresh_voxels']} {shown['time_s']} s", flush=True)


def main() -> None:
    """Read the arguments and run."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=300.0)
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", default="")
    parser.add_argument("--fixed", action="store_true")
    parser.add_argument("--ordered", action="store_true")
    asked = parser.parse_args()
    names = [name for name in PUBLISHED if asked.only in name]
    record(names, not asked.fixed, asked.ordered, asked.seeds, asked.seconds, asked.workers)


if __name__ == "__main__":
    main()
