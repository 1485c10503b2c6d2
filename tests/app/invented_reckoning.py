"""An invented reckoning for tests of the window: a rate of sand moves the cost, prices fall with the sets."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

from corelib.comparison import compare_plans
from corelib.errors import InputError
from corelib.progress import Progress
from tests.app import invented_plan

STEP_S = 0.02


def run_reckoning(request: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Answer as `corelib.usecases.reckoning` does."""
    if request["work"] == "warm":
        return {}
    runs = {"change": change, "quote": quote, "display": display, "comparison": comparison}
    return runs[request["work"]](request, progress)


def change(request: dict[str, Any], _progress: Progress) -> dict[str, Any]:
    """Leave the invented plan, its cost higher by the sand's rate if that is stated otherwise."""
    job = request["document"]
    folder = Path(request["folder"])
    plan = json.loads((folder / "plan.json").read_bytes())
    rate = float(job.get("overrides", {}).get("rates.sand_per_kg", 0.0))
    plan["totals"]["cost"] = str(float(plan["totals"]["cost"]) + 7.5 * rate)
    plan["profiles"]["rates"] = {"sand_per_kg": rate or None}
    plan["job"]["casting_sets"] = job["casting_sets"]
    plan["packed_anew"] = False
    target = folder / "changed.json"
    target.write_text(json.dumps(plan), encoding="utf-8")
    return {"plan": str(target)}


def quote(request: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """Tell a price of each quantity twice, slowly, then the sheet."""
    try:
        quantities = sorted({int(part) for part in request["sets"].split(",")})
    except ValueError:
        raise InputError("quote.bad_quantity", text=request["sets"], given=request["sets"]) from None
    slow = float(json.loads(request["document"]["notes"]).get("quote_s", 0.0))
    for stage in ("first", "packed"):
        for number, sets in enumerate(quantities):
            until_s = time.monotonic() + slow
            while time.monotonic() < until_s:
                progress(0.5, "nest")
                time.sleep(STEP_S)
            price = {"stage": stage, "sets": sets, "boxes": 1, "price": str(_total(sets))}
            found = {**price, "low": 0.9 * _total(sets), "high": 1.1 * _total(sets)}
            progress((number + 1) / len(quantities), "quote", found=found)
    return {"quotation": sheet(quantities)}


def _total(sets: int) -> float:
    return 100.0 + 50.0 * sets


def sheet(quantities: list[int]) -> dict[str, Any]:
    """Return a cost sheet: 100 once and 50 a set printed, 1000 once and 20 a set with a core box."""
    return {
        "currency": "EUR",
        "terms": {"conventional": {"name": "core box"}},
        "quantities": [
            {
                "sets": sets,
                "boxes": 1,
                "unit_price": f"{_total(sets) / sets:.2f}",
                "total_price": f"{_total(sets):.2f}",
                "spread": {"price": [0.9 * _total(sets), _total(sets), 1.1 * _total(sets)]},
                "lead_time_days_late": 2.5,
                "build_time_s": 7200.0,
            }
            for sets in quantities
        ],
        "break_even": {
            "verdict": "range",
            "low": 26,
            "likely": 30,
            "high": 35,
            "curves": [_point(sets) for sets in range(1, 101)],
        },
    }


def _point(sets: int) -> dict[str, Any]:
    printed, tools = _total(sets), 1000.0 + 20.0 * sets
    return {
        "sets": sets,
        "printed": [0.9 * printed, printed, 1.1 * printed],
        "printed_likely": printed,
        "conventional": [0.9 * tools, tools, 1.1 * tools],
        "conventional_likely": tools,
    }


def display(request: dict[str, Any], _progress: Progress) -> dict[str, Any]:
    """Leave the invented meshes."""
    folder = Path(request["folder"])
    folder.mkdir(parents=True, exist_ok=True)
    invented_plan.write_meshes(folder)
    return {"meshes": str(folder), "missing": []}


def comparison(request: dict[str, Any], _progress: Progress) -> dict[str, Any]:
    """Write the comparison without the use case, which would have the child compile kernels."""
    from corelib.export.comparison_pdf import comparison_pdf
    from corelib.export.letterhead import Letterhead
    from corelib.export.paper import Heading

    heading = Heading("Comparison", "", "", "2026-11-27", Letterhead(), language="en", paper="A4")
    found = compare_plans(request["names"], request["plans"])
    Path(request["path"]).write_bytes(comparison_pdf(found, heading, request["choice"]))
    return {"path": request["path"]}
