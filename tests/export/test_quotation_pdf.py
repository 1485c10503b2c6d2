"""Quotation and cost sheet as PDF, read back by pypdf: every price is there, nothing internal goes out."""

from __future__ import annotations

import io
import re
from typing import Any

import pypdf
import pytest

from corelib.cost.quotation import Quotation
from corelib.export import paper
from corelib.export.cost_sheet_pdf import cost_sheet_pdf
from corelib.export.quotation_data import cost_sheet_document, quotation_document
from corelib.export.quotation_pdf import money, quotation_pdf
from corelib.job.files import changed, read_job
from corelib.layers.cache import LayerCache
from corelib.plan.quoting import quote_job
from tests.export.conftest import NASTY, SAMPLES

INTERNAL = r"margin|overhead|P10|P90|rate|risk|reckoned|yield|spread|evidence|swing"


@pytest.fixture(scope="module")
def quotation() -> Quotation:
    path = SAMPLES / "motor_cooling_jacket.json"
    job = read_job(path)
    terms = {
        "number": "A-17",
        "conventional": {
            "tooling": {"low": "14000", "likely": "17500", "high": "23000"},
            "per_set": {"low": "24", "likely": "31", "high": "42"},
        },
    }
    return quote_job(changed(job, quotation=terms), path.parent, (1, 4), cache=LayerCache())


def read(content: bytes) -> tuple[str, pypdf.PdfReader]:
    reader = pypdf.PdfReader(io.BytesIO(content))
    text = "\n".join(page.extract_text() for page in reader.pages)
    return text.replace("\u00a0", " "), reader


def heading(title: str, **more: Any) -> paper.Heading:
    return paper.Heading(
        title, "Job", "A-17", "2026-11-25", paper.Letterhead("Lindwerk", ("1 Road",)), **more
    )


def test_the_customer_reads_every_price_and_nothing_that_it_was_made_from(quotation: Quotation) -> None:
    document = quotation_document(quotation)
    text, reader = read(quotation_pdf(document, heading("Quotation")))
    for price in document["prices"]:
        for key in ("unit_price", "total_price"):
            assert money(price[key], "EUR", "en").replace("\u00a0", " ") in text
    for word in ("Included", "Not included", "Assumptions", "Valid for", "A-17", "Lindwerk", "1 Road"):
        assert word in text
    prices = text[: text.index("Cautions")]
    assert re.findall(INTERNAL, prices, re.IGNORECASE) == []
    properties = " ".join(str(value) for value in (reader.metadata or {}).values())
    assert re.findall(INTERNAL, properties, re.IGNORECASE) == []
    cost = str(quotation.quantities[0].sheet.cost)
    assert cost not in text and cost not in properties


def test_the_cost_sheet_has_lines_ranges_causes_and_break_even(quotation: Quotation) -> None:
    document = cost_sheet_document(quotation)
    text, reader = read(cost_sheet_pdf(document, heading("Cost sheet")))
    for entry in document["quantities"]:
        for key in ("cost", "calculated_price", "total_price"):
            assert money(entry[key], "EUR", "en").replace("\u00a0", " ") in text
        for amount in entry["by_kind"].values():
            assert money(amount, "EUR", "en").replace("\u00a0", " ") in text
    for word in (
        "Internal: not for the customer",
        "P10",
        "What the spread comes from",
        "Break-even",
        "Machine hour rate",
    ):
        assert word in text
    assert f"page {len(reader.pages)} of {len(reader.pages)}" in text


def test_names_that_break_formats_leave_right_sheets(quotation: Quotation) -> None:
    document = quotation_document(quotation)
    document.update(name=NASTY + "W" * 180, customer=NASTY, assumptions=[NASTY])
    text, _ = read(quotation_pdf(document, heading("Angebot", language="de", paper="Letter")))
    assert '<b>=cmd|"/c calc"!A1</b>' in text.replace("\n", "")
    assert "Angebot" in text and "Seite 1 von" in text
