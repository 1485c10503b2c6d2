"""The comparison sheet, read back by pypdf: every plan, every figure, two plans and six."""

from __future__ import annotations

import copy
import io
from typing import Any

import pypdf
import pytest

from corelib.comparison import compare_plans
from corelib.export import paper
from corelib.export.comparison_pdf import comparison_pdf
from tests.export.conftest import SamplePlan


def text_of(content: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return " ".join(page.extract_text() for page in pages).replace("\u00a0", " ")


def varied(document: dict[str, Any], cost: str) -> dict[str, Any]:
    other = copy.deepcopy(document)
    other["totals"]["cost"] = cost
    return other


@pytest.mark.parametrize("count", [2, 6])
def test_every_plan_and_figure_stands_on_the_sheet(motor: SamplePlan, count: int) -> None:
    costs = [f"{1000 + 100 * number}.00" for number in range(count)]
    names = [f"try {number}" for number in range(count)]
    comparison = compare_plans(names, [varied(motor.document, cost) for cost in costs])
    content = comparison_pdf(comparison, paper.Heading("Comparison", "tries", ""))
    text = text_of(content)
    assert all(name in text for name in names)
    assert "1 000.00 EUR" in text and "1 100.00 EUR" in text.replace("\n", " ")
    assert "(+10 %)" in text.replace("\n", " ")
    assert content == comparison_pdf(comparison, paper.Heading("Comparison", "tries", ""))
