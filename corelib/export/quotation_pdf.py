"""The customer's quotation as PDF: firm prices, lead time, terms; nothing that they were made from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from reportlab.platypus import Flowable, KeepTogether, Spacer

from corelib.export import figures, paper
from corelib.export.cautions import Caution
from corelib.export.quotation_data import quotation_label
from corelib.wording import Wording

Document = Mapping[str, Any]


def quotation_pdf(document: Document, heading: paper.Heading) -> bytes:
    """Return the quotation as PDF; `document` is the customer's, which holds nothing internal."""
    return paper.pdf(heading, list(_story(document, heading)))


def _story(document: Document, heading: paper.Heading) -> Iterator[Flowable]:
    language = heading.language
    yield from paper.letter_top(heading)
    yield paper.heading(f"{quotation_label('quotation', language)}: {document['name']}", paper.TITLE)
    rows = [
        (quotation_label("number", language), document.get("number")),
        (quotation_label("customer", language), document.get("customer")),
        (quotation_label("for_sets_of", language), ", ".join(document["casting_sets"])),
        (quotation_label("start", language), document.get("start_date")),
        (figures.label("date", language), heading.date),
    ]
    yield paper.facts([(name, str(value)) for name, value in rows if value])
    yield paper.heading(quotation_label("prices", language))
    yield _prices(document, language)
    for note in document["notes"]:
        yield paper.paragraph(note)
    yield Spacer(1, 4)
    yield paper.paragraph(quotation_label("tax", language))
    yield paper.paragraph(quotation_label("validity", language, days=document["validity_days"]))
    included = [figures.label(name, language) for name in ("included_cores", "included_work")]
    for title, items in (
        (figures.label("included", language), included),
        (quotation_label("exclusions", language), document["exclusions"]),
        (quotation_label("assumptions", language), document["assumptions"]),
    ):
        yield KeepTogether([paper.heading(title, paper.H3), *(paper.bullet(item) for item in items)])
    yield paper.heading(quotation_label("cautions", language), paper.H3)
    for item in document["cautions"]:
        yield paper.caution_box(Caution("", Wording(item["what"], item["why"], item["next"])))


def _prices(document: Document, language: str) -> Flowable:
    currency = document["currency"]
    dated = any(price["ready_day"] for price in document["prices"])
    names = ["sets", "unit_price", "total_price", "lead_time", *(["ready_day"] if dated else [])]
    rows = []
    for price in document["prices"]:
        row = [
            str(price["sets"]),
            money(price["unit_price"], currency, language),
            money(price["total_price"], currency, language),
            str(price["lead_time_days"]),
        ]
        rows.append([*row, price["ready_day"] or ""] if dated else row)
    return paper.table(
        [(quotation_label(name, language), True) for name in names], rows, [1, 2, 2, 2, 2][: len(names)]
    )


def money(amount: str, currency: str, language: str) -> str:
    """Return an amount with the currency's own number of decimals."""
    exact = Decimal(amount)
    return f"{figures.fixed(exact, max(0, -int(exact.as_tuple().exponent)), language)}\u00a0{currency}"
