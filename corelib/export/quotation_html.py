"""Quotation and internal cost sheet as HTML pages, from their documents."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from corelib.export.chart import ticks
from corelib.export.figures import duration, fixed, named, number, unit_of
from corelib.export.page import html_page, html_table, safe
from corelib.export.quotation_data import cost_name, quotation_label, ready_text
from corelib.findings import SEVERITIES

Document = Mapping[str, Any]
MOST_CAUSES = 12


def amount_text(amount: str, currency: str, language: str = "en") -> str:
    """Return an amount in the currency's own number of decimals."""
    exact = Decimal(amount)
    decimals = max(0, -int(exact.as_tuple().exponent))
    return f"{fixed(exact, decimals, language)}\u00a0{currency}"


class _Words:
    """Labels, amounts and parts of pages in one language."""

    def __init__(self, document: Document, language: str) -> None:
        self.document = document
        self.language = language
        self.currency = str(document["currency"])

    def label(self, name: str, **facts: object) -> str:
        return quotation_label(name, self.language, **facts)

    def name(self, code: str) -> str:
        return cost_name(code, self.language)

    def money(self, amount: str) -> str:
        return amount_text(amount, self.currency, self.language)

    def about(self, amount: float) -> str:
        return f"{number(amount, self.language, 3)}\u00a0{self.currency}"

    def heading(self, name: str) -> str:
        return f"<h2>{safe(self.label(name))}</h2>"

    def heads(self, *names: str, numbers_from: int = 1) -> list[tuple[str, bool]]:
        return [(self.label(name), place >= numbers_from) for place, name in enumerate(names)]


def quotation_page(document: Document, language: str = "en") -> str:
    """Return the customer's quotation as a page; its document holds nothing internal."""
    words = _Words(document, language)
    parts = [
        _head(words, "quotation"),
        words.heading("prices"),
        _prices(words),
        *(f"<p>{safe(note)}</p>" for note in document["notes"]),
        f"<p>{safe(words.label('tax'))}</p>",
        f"<p>{safe(words.label('validity', days=document['validity_days']))}</p>",
        _list(words, "assumptions"),
        _list(words, "exclusions"),
        words.heading("cautions"),
        *(_caution(caution) for caution in document["cautions"]),
    ]
    return html_page(document["name"], parts, language)


def _head(words: _Words, kind: str) -> str:
    document = words.document
    rows = [
        (words.label("number"), document.get("number") or ""),
        (words.label("customer"), document["customer"]),
        (words.label("for_sets_of"), ", ".join(document["casting_sets"])),
        (words.label("start"), document.get("start_date") or ""),
    ]
    lines = "".join(f'<p class="soft">{safe(name)}: {safe(value)}</p>' for name, value in rows if value)
    return f"<h1>{safe(words.label(kind))}: {safe(document['name'])}</h1>{lines}"


def _prices(words: _Words) -> str:
    rows = [
        (
            str(price["sets"]),
            words.money(price["unit_price"]),
            words.money(price["total_price"]),
            str(price["lead_time_days"]),
            price["ready_day"] or "",
        )
        for price in words.document["prices"]
    ]
    heads = words.heads("sets", "unit_price", "total_price", "lead_time", "ready_day", numbers_from=0)
    return html_table(heads, rows)


def _list(words: _Words, name: str) -> str:
    items = "".join(f"<li>{safe(item)}</li>" for item in words.document[name])
    return f"{words.heading(name)}<ul>{items}</ul>"


def _caution(caution: Mapping[str, str]) -> str:
    text = f"{caution['why']} {caution['next']}"
    return f'<div class="caution"><p><b>{safe(caution["what"])}</b> {safe(text)}</p></div>'


def cost_sheet_page(document: Document, language: str = "en") -> str:
    """Return the internal cost sheet as a page: every figure opens to its formula and inputs."""
    words = _Words(document, language)
    parts = [
        _head(words, "cost_sheet"),
        words.heading("prices"),
        _overview(words),
        _findings(document["findings"], words),
        words.heading("rate"),
        _opening(document["machine_rate"], words),
        *(_quantity(quantity, words) for quantity in document["quantities"]),
        _break_even(words),
        _joined(words),
        _left_out(words),
    ]
    return html_page(f"{words.label('cost_sheet')}: {document['name']}", parts, language)


def _overview(words: _Words) -> str:
    rows = [
        (
            str(entry["sets"]),
            str(entry["boxes"]),
            words.money(entry["calculated_unit"]),
            words.money(entry["unit_price"]),
            words.money(entry["total_price"]),
            f"{number(entry['price_about'], words.language)} ({words.about(entry['spread']['price'][0])} – "
            f"{words.about(entry['spread']['price'][2])})",
            words.name(str(entry["spread"]["evidence"])),
            f"{entry['lead_time_days_early']} – {entry['lead_time_days_late']}",
        )
        for entry in words.document["quantities"]
    ]
    names = ("sets", "boxes", "reckoned", "firm", "total_price", "range", "evidence", "lead_times")
    return html_table(words.heads(*names, numbers_from=0), rows)


def _findings(findings: Sequence[Document], words: _Words) -> str:
    if not findings:
        return ""
    ordered = sorted(findings, key=lambda finding: SEVERITIES.index(finding["severity"]))
    shown = "".join(
        f'<div class="finding {safe(finding["severity"])}"><p>{safe(finding["message"])} '
        f"{safe(finding['remedy'])}</p></div>"
        for finding in ordered
    )
    return f"<h3>{safe(words.label('findings'))}</h3>{shown}"


def _quantity(entry: Document, words: _Words) -> str:
    spread = entry["spread"]
    build = f"{duration(spread['build_time_s'][0])} – {duration(spread['build_time_s'][2])}"
    heading = f"{entry['sets']} {words.label('sets')}"
    return "".join(
        [
            f"<h2>{safe(heading)}</h2>",
            f"<p>{safe(words.label('build_time'))}: {safe(duration(entry['build_time_s']))} "
            f"({safe(build)}); {safe(words.label('seed'))}: {spread['draws']}, {spread['seed']}</p>",
            f"<h3>{safe(words.label('lines'))}</h3>",
            *(_opening(line, words) for line in entry["lines"]),
            f"<h3>{safe(words.label('causes'))}</h3>",
            _causes(spread, words),
            f"<h3>{safe(words.label('basis'))}</h3>",
            _basis(entry, words),
            f"<h3>{safe(words.label('shares'))}</h3>",
            _shares(entry["shares"], words),
            f"<h3>{safe(words.label('places'))}</h3>",
            _places(entry["places"], words),
            f"<h3>{safe(words.label('schedule'))}</h3>",
            _schedule(entry["schedule"], words),
            _findings(entry["findings"], words),
        ]
    )


def _part_name(part: Document, number: int, line: Document, words: _Words) -> str:
    """Return the name of a line's part: its box where the parts are one code in each box."""
    same = part["code"] == line["code"]
    return words.label("box_n", number=number) if same else words.name(part["code"])


def _opening(line: Document, words: _Words, name: str | None = None) -> str:
    inside = f"<p><code>{safe(line['formula'])}</code></p>"
    if line.get("parts"):
        inside += "".join(
            _opening(part, words, _part_name(part, number, line, words))
            for number, part in enumerate(line["parts"], start=1)
        )
    else:
        rows = [
            (words.name(name), name, _input(name, value, words)) for name, value in line["inputs"].items()
        ]
        heads = [(words.label("input"), False), ("", False), (words.label("amount"), True)]
        inside += html_table(heads, rows)
    return (
        f'<details><summary><span>{safe(name or words.name(line["code"]))}</span><span class="n">'
        f"{safe(words.money(line['amount']))}</span></summary>{inside}</details>"
    )


def _input(name: str, value: object, words: _Words) -> str:
    return words.money(value) if isinstance(value, str) else named(name, value, words.language)


def _causes(spread: Document, words: _Words) -> str:
    inputs = {entry["name"]: entry for entry in spread["inputs"]}
    rows = [
        (
            words.name(cause["name"]),
            f"{cause['share']:.0%}",
            words.about(cause["swing"]),
            _drawn_from(inputs[cause["name"]], words),
            words.name(inputs[cause["name"]]["evidence"]),
        )
        for cause in spread["causes"][:MOST_CAUSES]
    ]
    return html_table(words.heads("input", "share", "swing", "drawn_from", "evidence_of"), rows)


def _drawn_from(entry: Document, words: _Words) -> str:
    """Return the range of an input as people read it: low to high, or the value and its deviation."""
    if entry["shape"] == "normal":
        low, high = entry["value"] - entry["sd"], entry["value"] + entry["sd"]
    else:
        low, high = entry["low"], entry["high"]
    unit = unit_of(entry["name"]).replace("currency", words.currency)
    between = f"{number(low, words.language, 3)} – {number(high, words.language, 3)}"
    return f"{between}\u00a0{unit}" if unit else between


def _basis(entry: Document, words: _Words) -> str:
    rows = [
        (
            words.label("own_box"),
            _percent(entry["own_fill_pct"], words),
            words.money(entry["calculated_price"]),
        )
    ]
    if entry["price_at_usual_fill"] is not None:
        usual = _percent(entry["usual_fill_pct"], words)
        rows.append((words.label("usual_fill"), usual, words.money(entry["price_at_usual_fill"])))
    return html_table(words.heads("basis", "own_fill", "price"), rows)


def _percent(value: float | None, words: _Words) -> str:
    return "–" if value is None else f"{number(value, words.language, 3)}\u00a0%"


def _shares(shares: Sequence[Document], words: _Words) -> str:
    rows = []
    for sharing in shares:
        for core in sharing["cores"]:
            rows.append(
                (
                    words.label(f"rule_{sharing['rule']}"),
                    core["core_name"],
                    str(core["count"]),
                    words.money(core["cost"]),
                    words.money(core["price"]),
                    words.money(core["price_each"]),
                )
            )
    names = ("rule", "core", "copies", "cost", "price", "price_each")
    return html_table(words.heads(*names, numbers_from=2), rows)


def _places(places: Sequence[Document], words: _Words) -> str:
    rows = [
        (place["name"], words.money(place["marginal_cost"]), words.money(place["empty_place_cost"]))
        for place in places
    ]
    return html_table(words.heads("core", "marginal", "empty"), rows)


def _schedule(schedule: Document, words: _Words) -> str:
    def moment(seconds: float) -> str:
        return ready_text(seconds, words.document["terms"]["start_date"], words.language)

    rows = [
        (
            str(box["box"] + 1),
            str(box["printer"] + 1),
            moment(box["print_start_s"]),
            moment(box["print_end_s"]),
            moment(box["cure_start_s"]),
            moment(box["unpack_start_s"]),
            moment(box["done_s"]),
            duration(box["print_to_cure_s"]),
        )
        for box in schedule["boxes"]
    ]
    names = ("box", "printer", "print_start", "print_end", "cure_start", "unpack_start", "done", "wait")
    return html_table(words.heads(*names), rows)


def _break_even(words: _Words) -> str:
    found = words.document["break_even"]
    if found is None:
        return ""
    code = {
        "range": "crossing",
        "printing throughout": "crossing_printing",
        "core box throughout": "crossing_tools",
        "open": "crossing_open",
    }[found["verdict"]]
    facts = {name: found[name] for name in ("low", "likely", "high")}
    days = words.document["terms"]["conventional"]["tool_lead_time_days"]
    rows = [
        (
            str(point["sets"]),
            *(words.about(value) for value in point["printed"]),
            *(words.about(value) for value in point["conventional"]),
        )
        for point in _spread_out(found["curves"])
    ]
    heads = [(words.label("sets"), True)]
    heads += [(f"{words.label('way_printed')} {part}", True) for part in ("P10", "P50", "P90")]
    heads += [(f"{words.label('way_tools')} {part}", True) for part in ("P10", "P50", "P90")]
    lines = (
        words.label(code, **facts),
        words.label("tool_lead", days=number(days, words.language)),
        words.label("curve_note"),
    )
    shown = "".join(f"<p>{safe(line)}</p>" for line in lines)
    return f"{words.heading('conventional')}{shown}{_chart(found, words)}{html_table(heads, rows)}"


def _spread_out(curves: Sequence[Document]) -> list[Document]:
    """Return about a dozen points of the curves, closer together at the start."""
    wanted = {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, curves[-1]["sets"]}
    return [point for point in curves if point["sets"] in wanted or point["sets"] % 5000 == 0]


def _chart(found: Document, words: _Words) -> str:
    """Return both ways' total price over the quantity as inline SVG: bands P10 to P90 and likely lines."""
    end = 2 * found["likely"] if found["likely"] else found["curves"][-1]["sets"]
    points = [point for point in found["curves"] if point["sets"] <= end]
    if len(points) < 2:
        return ""
    left, top, width, height = 82.0, 12.0, 706.0, 180.0
    most = max(max(point["printed"][2], point["conventional"][2]) for point in points)

    def place(sets: float, amount: float) -> str:
        return f"{left + sets / points[-1]['sets'] * width:.1f},{top + height - amount / most * height:.1f}"

    drawn = []
    for way, colour in (("printed", "var(--area)"), ("conventional", "var(--note)")):
        low = [place(point["sets"], point[way][0]) for point in points]
        high = [place(point["sets"], point[way][2]) for point in reversed(points)]
        likely = " ".join(place(point["sets"], point[f"{way}_likely"]) for point in points)
        drawn.append(
            f'<polygon fill="{colour}" fill-opacity=".25" points="{" ".join([*low, *high])}"/>'
            f'<polyline fill="none" stroke="{colour}" stroke-width="1.6" points="{likely}"/>'
        )
    marks = [
        f'<line x1="{left}" x2="{left + width}" y1="{top + height - value / most * height:.1f}" '
        f'y2="{top + height - value / most * height:.1f}" stroke="var(--line)"/><text x="{left - 6}" '
        f'y="{top + height - value / most * height + 4:.1f}" text-anchor="end">'
        f"{safe(number(value, words.language))}</text>"
        for value in ticks(most)
        if value <= most
    ]
    marks += [
        f'<text x="{left + value / points[-1]["sets"] * width:.1f}" y="{top + height + 16:.1f}" '
        f'text-anchor="middle">{safe(number(value, words.language))}</text>'
        for value in ticks(points[-1]["sets"])
        if value <= points[-1]["sets"]
    ]
    names = (
        f'<text x="{left + 10}" y="{top + 14}" style="fill:var(--area)">{safe(words.label("way_printed"))}'
        f'</text><text x="{left + 10}" y="{top + 30}" style="fill:var(--note)">'
        f"{safe(words.label('way_tools'))}</text>"
        f'<text x="{left + width / 2}" y="{top + height + 36}" text-anchor="middle">'
        f"{safe(words.label('sets'))}</text>"
    )
    title = safe(words.label("chart_title"))
    body = "".join([*marks, *drawn, names])
    return f'<svg viewBox="0 0 800 236" role="img" aria-label="{title}">{body}</svg>'


def _joined(words: _Words) -> str:
    joined = words.document["joined"]
    if joined is None:
        return ""
    says = words.label(
        "joined_says",
        parts=joined["parts_saved"],
        joints=joined["joints_saved"],
        worth=words.money(joined["worth"]),
    )
    lines = [says]
    if joined["tolerance_before_mm"] is not None:
        before = number(joined["tolerance_before_mm"], words.language, 2)
        after = number(joined["tolerance_after_mm"], words.language, 2)
        lines.append(words.label("joined_tolerance", before=before, after=after))
    return words.heading("joined") + "".join(f"<p>{safe(line)}</p>" for line in lines)


def _left_out(words: _Words) -> str:
    fields = words.document["left_out"]
    if not fields:
        return ""
    return f"<p>{safe(words.label('left_out'))}: {safe(', '.join(fields))}</p>"
