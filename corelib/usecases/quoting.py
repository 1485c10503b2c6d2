"""Use case: quote a job for several quantities of sets, to a folder of files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from corelib.cost.quotation import Calculated, parsed_quantities
from corelib.cost.uncertainty import Uncertainty
from corelib.export.cost_sheet_pdf import cost_sheet_pdf
from corelib.export.letterhead import Letterhead
from corelib.export.paper import Heading, PaperSize
from corelib.export.quotation_data import cost_sheet_document, quotation_document, quotation_label
from corelib.export.quotation_html import cost_sheet_page, quotation_page
from corelib.export.quotation_pdf import quotation_pdf
from corelib.export.quotation_text import quotation_lines, reckoned_line
from corelib.files import canonical_json, folder_aside, write_atomic
from corelib.findings import has_stop
from corelib.job.files import read_job
from corelib.plan.quoting import quote_job
from corelib.progress import SILENT, Progress
from corelib.usecases.plans import layer_cache

__all__ = ["Letterhead", "QuoteResult", "quotation_lines", "quote_to_folder"]


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
    paper: PaperSize = "A4",
    letterhead: Letterhead | None = None,
    progress: Progress = SILENT,
    shown: Callable[[str], None] | None = None,
) -> QuoteResult:
    """Quote a job file for quantities as 1,10,50 and write the customer's and the internal files.

    The folder (JOB.quote beside the job if None) holds `customer/` with quotation.pdf, .html and .json,
    and `internal/` with cost_sheet.pdf, .html and .json: what goes out lies apart from what stays. It is
    built aside and renamed. `shown` hears a line for each quantity as soon as it is reckoned.
    """
    quantities = parsed_quantities(sets)
    job = read_job(job_path)
    target = job_path.with_suffix(".quote") if folder is None else folder

    def say(stage: str) -> Callable[[Calculated, Uncertainty], None] | None:
        if shown is None:
            return None
        return lambda reckoned, spread: shown(reckoned_line(stage, reckoned, spread, job.currency))

    with folder_aside(target) as aside:
        quotation = quote_job(
            job,
            job_path.parent,
            quantities,
            cache=layer_cache(),
            progress=progress.span(0.0, 0.95),
            first=say("first"),
            shown=say("packed"),
        )
        customer = quotation_document(quotation, language)
        internal = cost_sheet_document(quotation, language)
        files = _files(customer, internal, language, paper, letterhead or Letterhead())
        for name, content in files.items():
            (aside / name).parent.mkdir(exist_ok=True)
            write_atomic(aside / name, content)
    progress(1.0, "done")
    return QuoteResult(target, customer, internal, has_stop(quotation.findings))


def _files(
    customer: dict[str, Any], internal: dict[str, Any], language: str, paper: PaperSize, own: Letterhead
) -> dict[str, bytes]:
    """Return what is written, by its path in the folder."""

    def heading(title: str) -> Heading:
        return Heading(
            title=quotation_label(title, language),
            subject=customer["name"],
            revision=customer["number"],
            date=date.today().isoformat(),
            letterhead=own,
            language=language,
            paper=paper,
        )

    files = {
        "customer/quotation.pdf": quotation_pdf(customer, heading("quotation")),
        "customer/quotation.json": canonical_json(customer),
        "customer/quotation.html": quotation_page(customer, language).encode("utf-8"),
        "internal/cost_sheet.pdf": cost_sheet_pdf(internal, heading("cost_sheet")),
        "internal/cost_sheet.json": canonical_json(internal),
        "internal/cost_sheet.html": cost_sheet_page(internal, language).encode("utf-8"),
    }
    index = {"kind": "corestow.quote_folder", "schema_version": 1, "files": sorted(files)}
    return {**files, "index.json": canonical_json(index)}
