"""summary.html: well formed, complete, and nothing of a user's text becomes markup."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

import pytest

from corelib.export.summary_html import summary_page
from tests.export.conftest import NASTY

VOID = {"meta", "img", "line", "polygon", "polyline", "br", "link"}


class Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.text: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.tags.add(tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: Any) -> None:
        self.tags.add(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return reader


@pytest.mark.parametrize("language", ["en", "de"])
def test_page_is_well_formed_and_loads_nothing_from_elsewhere(plan: dict[str, Any], language: str) -> None:
    page = summary_page(plan, language=language)
    reader = read(page)
    assert "http" not in page and "src=" not in page
    assert not reader.tags & {"script", "link", "iframe", "object"}
    assert {"svg", "details", "table"} <= reader.tags


def test_user_text_stays_text(plan: dict[str, Any]) -> None:
    page = summary_page(plan)
    assert NASTY in "".join(read(page).text)
    assert "<b>=cmd" not in page


def test_findings_come_worst_first(plan: dict[str, Any]) -> None:
    page = summary_page(plan)
    assert page.index("Broken ") < page.index("Look here.") < page.index("Only a note.")
    assert "Don&#x27;t build this. Stops listed under Findings: 1" in page


def test_totals_show(plan: dict[str, Any]) -> None:
    text = "".join(read(summary_page(plan)).text).replace("\u00a0", " ")
    for figure in ("9 h 05 min", "1.234 kg", "1 234 kg", "1 234.50 EUR", "88.8 kWh", "412.3 kg"):
        assert figure in text


def test_cautions_come_before_their_steps_and_defer(plan: dict[str, Any]) -> None:
    text = "".join(read(summary_page(plan)).text)
    order = [
        text.index(title)
        for title in ("Before filling", "Before printing", "Before curing", "Before unpacking")
    ]
    assert order == sorted(order)
    for words in (
        "crystalline silica",
        "hydrogen",
        "microwave",
        "hot inside",
        "molten metal",
        "SDS-77",
        "16.2 kg",
    ):
        assert words in text
    for never in (" is safe", "compliant", "approved"):
        assert never not in text


def test_cautions_follow_the_materials(plan: dict[str, Any]) -> None:
    plan["profiles"]["sand"]["is_silica"] = False
    plan["profiles"]["oven"]["heating"] = "convection"
    text = "".join(read(summary_page(plan)).text)
    assert "crystalline silica" not in text and "pacemaker" not in text


def test_a_plan_out_of_date_says_so(plan: dict[str, Any]) -> None:
    assert "out of date" in summary_page(plan, out_of_date=True)
    assert "out of date" not in summary_page(plan)
