"""Recalculates the samples' workbooks with LibreOffice, without a screen, and writes what came out.

    python -m tests.export.recalculate_workbooks

Needs LibreOffice Calc (`soffice`). Two checks: all stored results are thrown away and every formula must
come out as the plan has it; then the labour rate is changed in its cell, and cost and price must come out as
the program's own plan of the job with that rate. Result: tests/results/workbooks_libreoffice.json.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import openpyxl

from corelib.export.workbook import workbook
from corelib.files import canonical_json
from corelib.job.files import changed, read_job
from corelib.layers.cache import LayerCache
from corelib.plan.build import build_plan
from corelib.plan.document import plan_document

ROOT = Path(__file__).parents[2]
RESULT = ROOT / "tests" / "results" / "workbooks_libreoffice.json"
RATE, NEW_RATE = "rates.labour_per_h", "50.00"


def recalculated(soffice: str, path: Path, folder: Path) -> openpyxl.Workbook:
    """Return a workbook as LibreOffice computes it; openpyxl's copy has no stored results to lean on."""
    out = folder / "out"
    command = [soffice, "--headless", f"-env:UserInstallation=file://{folder}/profile"]
    command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(out), str(path)]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return openpyxl.load_workbook(out / path.name, data_only=True)


def differing(
    live: openpyxl.Workbook, stored: openpyxl.Workbook, other: openpyxl.Workbook
) -> tuple[int, list[str]]:
    """Return the number of formulas, and the cells whose result differs."""
    count, cells = 0, []
    for sheet in live:
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
            count += 1
            mine, theirs = (
                stored[sheet.title][cell.coordinate].value,
                other[sheet.title][cell.coordinate].value,
            )
            if not isinstance(theirs, (int, float)) or abs(mine - theirs) > 1e-9:
                cells.append(f"{sheet.title}!{cell.coordinate}: {mine} here, {theirs} there")
    return count, cells


def sums(book: openpyxl.Workbook) -> dict[str, str]:
    """Return cost and price from the sheet of sums, to the cent."""
    rows = {row[0].value: row[1].value for row in book["Sums"].iter_rows(min_row=4)}
    return {name: f"{rows[name]:.2f}" for name in ("Cost", "Price")}


def check(name: str, soffice: str, folder: Path) -> dict[str, Any]:
    """Return what LibreOffice made of one sample's workbook."""
    path = ROOT / "sample_jobs" / f"{name}.json"
    job = read_job(path)
    plan = build_plan(job, path.parent, cache=LayerCache())
    file = folder / f"{name}.xlsx"
    file.write_bytes(workbook(plan_document(plan)))
    live, stored = openpyxl.load_workbook(file), openpyxl.load_workbook(file, data_only=True)
    live.save(file)
    formulas, differences = differing(live, stored, recalculated(soffice, file, folder))
    rate = next(row[1] for row in live["Assumptions"].iter_rows() if row[0].value == RATE)
    rate.value = float(NEW_RATE)
    live.save(folder / f"{name}-rate.xlsx")
    packing = plan.packing.model_dump(mode="json", by_alias=True)
    again = build_plan(
        changed(job, overrides={RATE: NEW_RATE}, packing=packing), path.parent, cache=LayerCache()
    )
    assert again.cost is not None
    return {
        "formulas": formulas,
        "differing": differences,
        "with_changed_rate_there": sums(recalculated(soffice, folder / f"{name}-rate.xlsx", folder)),
        "with_changed_rate_here": {"Cost": str(again.cost.cost), "Price": str(again.cost.price)},
    }


def main() -> int:
    """Check both samples; returns 1 where anything differs."""
    soffice = shutil.which("soffice")
    if soffice is None:
        print("LibreOffice (soffice) is not installed", file=sys.stderr)
        return 2
    version = subprocess.run(
        [soffice, "--version"], check=True, capture_output=True, text=True
    ).stdout.strip()
    with tempfile.TemporaryDirectory() as folder:
        found = {
            name: check(name, soffice, Path(folder)) for name in ("pump_housing", "motor_cooling_jacket")
        }
    RESULT.write_bytes(
        canonical_json({"program": version, "changed": f"{RATE} = {NEW_RATE}", "samples": found})
    )
    print(RESULT.read_text(encoding="utf-8"))
    good = all(
        not entry["differing"] and entry["with_changed_rate_there"] == entry["with_changed_rate_here"]
        for entry in found.values()
    )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
