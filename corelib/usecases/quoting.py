"""Use case: quote a job for several quantities of sets, to a folder of files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from corelib.cost.quotation import Calculated, parsed_quantities
from corelib.cost.uncertainty import Uncertainty
from corelib.export.quotation_data import cost_sheet_document, quotation_document
from corelib.export.quotation_html import cost_sheet_page, quotation_page
from corelib.export.quotation_text import quotation_lines, reckoned_line
from corelib.files import canonical_json, folder_aside, write_atomic
from corelib.findings import has_stop
from corelib.job.files import read_job
from corelib.plan.quoting import quote_job
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import section_cache

__all__ = ["QuoteResult", "quotation_lines", "quote_to_folder"]


@dataclass(frozen=True)
class QuoteResult:
    """A quotation on disk: the customer's document, and the internal cost sheet."""

    folder: Path
    quotation: dict[str, Any]
    cost_sheet: dict[str, Any]
    has_stop: bool


def quote_to_folder(
    job_path: Path,
    sets: str,
    folder: Path | None = None,
    *,
    language: str = "en",
    progress: Progress = SILENT,
    shown: Callable[[str], None] | None = None,
) -> QuoteResult:
    """Quote a job file for quantities as 1,10,50 and write the customer's and the internal files.

    The folder (JOB.quote beside the job if None) holds `customer/` with quotation.html and quotation.json,
    and `internal/` with cost_sheet.html and cost_sheet.json: what goes out lies apart from what stays. It is
    built aside and renamed. `shown` hears a line for each quantity as soon as it is reckoned.
    """
    quantities = parsed_quantities(sets)
    job = read_job(job_path)
    target = job_path.with_suffix(".quote") if folder is None else folder

    def say(reckoned: Calculated, spread: Uncertainty) -> None:
        if shown is not None:
            shown(reckoned_line(reckoned, spread, job.currency))

    with folder_aside(target) as aside:
        quotation = quote_job(
            job,
            job_path.parent,
            quantities,
            cache=section_cache(),
            progress=progress.span(0.0, 0.95),
            shown=say,
        )
        customer = quotation_document(quotation, language)
        internal = cost_sheet_document(quotation, language)
        files = {
            "customer/quotation.json": canonical_json(customer),
            "customer/quotation.html": quotation_page(customer, language).encode("utf-8"),
            "internal/cost_sheet.json": canonical_json(internal),
            "internal/cost_sheet.html": cost_sheet_page(internal, language).encode("utf-8"),
        }
        index = {"kind": "corestow.quote_folder", "schema_version": 1, "files": sorted(files)}
        files["index.json"] = canonical_json(index)
        for name, content in files.items():
            (aside / name).parent.mkdir(exist_ok=True)
            write_atomic(aside / name, content)
    progress(1.0, "done")
    return QuoteResult(target, customer, internal, has_stop(quotation.findings))
