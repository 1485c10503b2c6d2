"""Plans side by side as PDF: key figures with differences and the best marked, what stands out, curves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether

from corelib.comparison import Comparison, FigureRow
from corelib.export import paper, paper_charts
from corelib.export.chart import Curve, thinned, ticks
from corelib.export.figures import fixed, label, number, quantity
from corelib.wording import wording

NOTICEABLE_PCT = 0.05


def comparison_pdf(
    comparison: Comparison, heading: paper.Heading, choice: Mapping[str, Any] | None = None
) -> bytes:
    """Return the comparison of two to six plans as PDF, with the plan that was picked (a job's `choice`)."""
    return paper.pdf(heading, list(_story(comparison, heading, choice)))


def _story(
    comparison: Comparison, heading: paper.Heading, choice: Mapping[str, Any] | None
) -> Iterator[Flowable]:
    language = heading.language
    yield paper.heading(label("comparison", language), paper.TITLE)
    heads = [("", False), *((name, True) for name in comparison.names)]
    rows = [
        (
            label(f"cmp_{row.code}", language),
            *(_cell(row, place, language) for place in range(len(row.values))),
        )
        for row in comparison.rows
    ]
    yield paper.table(heads, rows, (3.2, *([2.4] * len(comparison.names))))
    yield paper.paragraph(label("cmp_note", language), paper.SMALL)
    yield paper.heading(label("cmp_statements", language), paper.H3)
    for statement in comparison.statements:
        words = wording(statement.code, statement.facts, language)
        yield paper.bullet(" ".join(part for part in (words.message, words.next) if part))
    if choice is not None:
        said = {name: str(choice[name]) for name in ("plan", "by", "date", "reason")}
        yield paper.heading(label("cmp_choice", language), paper.H3)
        yield paper.paragraph(label("cmp_picked", language).format(**said))
    yield from _curves(comparison, heading)


def _cell(row: FigureRow, place: int, language: str) -> Flowable:
    value = row.values[place]
    style = paper.HEAD_RIGHT if place in row.best else paper.CELL_RIGHT
    if value is None:
        return paper.paragraph("–", style)
    unit = "" if row.unit == "-" else row.unit
    is_money = unit.isupper() and len(unit) == 3
    shown = f"{fixed(value, 2, language)}\u00a0{unit}" if is_money else quantity(value, unit, language)
    percent = row.differences_pct[place]
    if place > 0 and percent is not None and abs(percent) >= NOTICEABLE_PCT:
        sign = "+" if percent > 0 else "−"
        shown += f" ({sign}{number(abs(percent), language, 3)}\u00a0%)"
    return paper.paragraph(shown, style)


def _curves(comparison: Comparison, heading: paper.Heading) -> Iterator[Flowable]:
    language, width = heading.language, paper.text_width(heading.paper)
    highest = max(float(curves.height_mm.max(initial=0.0)) for curves in comparison.curves)
    largest = max(float(curves.printed_area_mm2.max(initial=0.0)) for curves in comparison.curves) / 100.0
    names = label("axis_height", language), label("axis_area", language)
    yield paper.heading(label("cmp_curves", language), paper.H3)
    for name, curves in zip(comparison.names, comparison.curves, strict=True):
        points = zip(curves.height_mm.tolist(), (curves.printed_area_mm2 / 100.0).tolist(), strict=True)
        curve = Curve(thinned(list(points)), ticks(highest, 8), ticks(largest))
        drawing = paper_charts.curve_drawing(curve, width, 37 * mm, names, language)
        yield KeepTogether([paper.paragraph(name, paper.HEAD), drawing])
