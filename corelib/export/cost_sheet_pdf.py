"""The internal cost sheet as PDF: firm and reckoned prices, ranges and causes, lines, shares, break-even."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer

from corelib.export import figures, paper, paper_charts
from corelib.export.figures import duration, fixed, label, named, number, text
from corelib.export.quotation_data import quotation_label, ready_text
from corelib.findings import SEVERITIES

Document = Mapping[str, Any]
MOST_CAUSES = 10


def cost_sheet_pdf(document: Document, heading: paper.Heading) -> bytes:
    """Return the internal cost sheet as PDF from its document."""
    return paper.pdf(heading, list(_Sheet(document, heading).story()))


class _Sheet:
    """The parts of the cost sheet, each a run of flowables."""

    def __init__(self, document: Document, heading: paper.Heading) -> None:
        self.document = document
        self.heading = heading
        self.language = heading.language
        self.currency = str(document["currency"])
        self.width = paper.text_width(heading.paper)

    def words(self, name: str, **facts: object) -> str:
        return quotation_label(name, self.language, **facts)

    def name(self, code: str) -> str:
        known = self.words(code)
        return label(code, self.language) if known == code else known

    def money(self, amount: str) -> str:
        exact = Decimal(amount)
        decimals = max(0, -int(exact.as_tuple().exponent))
        return f"{fixed(exact, decimals, self.language)}\u00a0{self.currency}"

    def about(self, amount: float) -> str:
        return f"{number(amount, self.language, 3)}\u00a0{self.currency}"

    def heads(self, *names: str, numbers_from: int = 1) -> list[tuple[str, bool]]:
        return [(self.words(name), place >= numbers_from) for place, name in enumerate(names)]

    def story(self) -> Iterator[Flowable]:
        document = self.document
        yield paper.banner(label("internal_only", self.language), paper.CHECK)
        yield Spacer(1, 6)
        yield paper.heading(document["name"], paper.TITLE)
        rows = [
            (self.words("customer"), document["customer"]),
            (self.words("for_sets_of"), ", ".join(document["casting_sets"])),
        ]
        yield paper.facts([(name, value) for name, value in rows if value])
        yield paper.heading(self.words("prices"))
        yield self.overview()
        yield paper.paragraph(label("range_note", self.language), paper.SMALL)
        yield from self.findings()
        yield from self.break_even()
        yield from self.joined()
        yield from self.rate()
        for quantity in document["quantities"]:
            yield from self.quantity(quantity)
        yield from self.stated_otherwise()

    def overview(self) -> Flowable:
        rows = []
        for entry in self.document["quantities"]:
            low, _, high = entry["spread"]["price"]
            rows.append(
                (
                    str(entry["sets"]),
                    str(entry["boxes"]),
                    self.money(entry["calculated_unit"]),
                    self.money(entry["unit_price"]),
                    self.money(entry["total_price"]),
                    f"{self.about(low)} – {self.about(high)}",
                    label(f"evidence.{entry['spread']['evidence']}", self.language),
                    f"{entry['lead_time_days_early']} – {entry['lead_time_days_late']}",
                )
            )
        names = ("sets", "boxes", "reckoned", "firm", "total_price", "range", "evidence", "lead_times")
        return paper.table(
            [(self.words(name), index != 6) for index, name in enumerate(names)],
            rows,
            (1, 1.1, 2.2, 2.2, 2.4, 3.2, 2.3, 1.7),
        )

    def findings(self) -> Iterator[Flowable]:
        found = self.document["findings"]
        if not found:
            return
        yield paper.heading(self.words("findings"))
        for item in sorted(found, key=lambda finding: SEVERITIES.index(finding["severity"])):
            yield paper.finding_box(
                item["severity"], "", item["message"], item.get("remedy", ""), self.language
            )

    def rate(self) -> Iterator[Flowable]:
        rate = self.document["machine_rate"]
        yield paper.heading(self.words("rate"))
        lines = [*rate.get("parts", ()), rate] if rate.get("parts") else [rate]
        yield self.lines(lines, total_rows=1)

    def lines(self, lines: Sequence[Mapping[str, Any]], total_rows: int = 0) -> Flowable:
        rows = []
        for line in lines:
            about = [paper.paragraph(self.formula(line), paper.CELL)]
            if not line.get("parts"):
                inputs = "; ".join(
                    f"{label(name, self.language)} {self.shown(name, value)}"
                    for name, value in line["inputs"].items()
                )
                about.append(paper.paragraph(inputs, paper.SMALL))
            rows.append((self.name(line["code"]), self.money(line["amount"]), paper.stack(about)))
        heads = self.heads("line", "amount", "formula")
        heads[2] = (heads[2][0], False)
        return paper.table(heads, rows, (3, 1.8, 7), total_rows=total_rows)

    def formula(self, line: Mapping[str, Any]) -> str:
        """Return a line's formula; of one that is summed over boxes, that of each box."""
        parts: Sequence[Mapping[str, Any]] = line.get("parts") or ()
        if len(parts) > 1 and all(part["code"] == line["code"] for part in parts):
            return text("sum_over_boxes", self.language, count=len(parts), formula=parts[0]["formula"])
        return str(line["formula"])

    def shown(self, name: str, value: Any) -> str:
        """Return an input with its unit; a unit of money is the job's currency."""
        if isinstance(value, str):
            return self.money(value)
        return named(name, value, self.language).replace("currency", self.currency)

    def quantity(self, entry: Mapping[str, Any]) -> Iterator[Flowable]:
        yield CondPageBreak(80 * mm)
        title = label("n_sets", self.language).format(count=entry["sets"])
        yield paper.heading(title)
        yield paper.key_figures(
            [
                (self.words("cost"), self.money(entry["cost"])),
                (self.words("price"), self.money(entry["calculated_price"])),
                (self.words("firm"), self.money(entry["unit_price"])),
                (self.words("boxes"), str(entry["boxes"])),
                (self.words("build_time"), duration(entry["build_time_s"])),
                *self.fill(entry),
            ]
        )
        yield Spacer(1, 4)
        kinds = [
            (self.name(kind), float(amount), self.money(amount)) for kind, amount in entry["by_kind"].items()
        ]
        title = label("cost_by_kind", self.language)
        yield KeepTogether([paper.heading(title, paper.H3), paper_charts.bars(kinds, self.width)])
        yield from self.causes(entry["spread"])
        yield from self.shares(entry)
        yield from self.places(entry)
        yield from self.schedule(entry["schedule"])
        yield from paper.long_part(self.words("lines"), self.lines(_opened(entry["lines"])))

    def fill(self, entry: Mapping[str, Any]) -> list[tuple[str, str]]:
        if entry["own_fill_pct"] is None:
            return []
        own = named("fill_pct", entry["own_fill_pct"], self.language)
        usual = named("fill_pct", entry["usual_fill_pct"], self.language)
        return [
            (self.words("own_fill"), own),
            (
                label("at_usual_fill", self.language).format(fill=usual),
                self.money(entry["price_at_usual_fill"]),
            ),
        ]

    def causes(self, spread: Mapping[str, Any]) -> Iterator[Flowable]:
        shown = [cause for cause in spread["causes"] if abs(cause["swing"]) > 0][:MOST_CAUSES]
        if not shown:
            return
        entries = [
            (
                self.name(cause["name"]),
                abs(cause["swing"]),
                f"±{self.about(abs(cause['swing']) / 2)} · {fixed(cause['share'] * 100, 0, self.language)} %",
            )
            for cause in shown
        ]
        seed = f"{self.words('seed')}: {spread['draws']}, {spread['seed']}"
        yield KeepTogether(
            [
                paper.heading(self.words("causes"), paper.H3),
                paper_charts.bars(entries, self.width),
                paper.paragraph(f"{label('causes_note', self.language)} {seed}.", paper.SMALL),
            ]
        )

    def shares(self, entry: Mapping[str, Any]) -> Iterator[Flowable]:
        for sharing in entry["shares"][:1]:
            rows = [
                (
                    self.core_name(share),
                    str(share["count"]),
                    self.money(share["cost_each"]),
                    self.money(share["price_each"]),
                    self.money(share["price"]),
                )
                for share in sharing["cores"]
            ]
            rule = f"{self.words('rule')}: {self.words('rule_' + sharing['rule'])}"
            heads = self.heads("core", "copies", "cost_each", "price_each", "price")
            yield KeepTogether(
                [
                    paper.heading(self.words("shares"), paper.H3),
                    paper.table(heads, rows, (4, 1.2, 2, 2, 2)),
                    paper.paragraph(rule, paper.SMALL),
                ]
            )

    def core_name(self, share: Mapping[str, Any]) -> str:
        """Return a core's name; what rides along has only an id."""
        return (
            str(share["core_name"])
            if share["core_name"] != share["name"]
            else label(share["name"], self.language)
        )

    def places(self, entry: Mapping[str, Any]) -> Iterator[Flowable]:
        rows = [
            (place["name"], self.money(place["marginal_cost"]), self.money(place["empty_place_cost"]))
            for place in entry["places"]
        ]
        if rows:
            heads = self.heads("core", "marginal", "empty")
            yield KeepTogether(
                [paper.heading(self.words("places"), paper.H3), paper.table(heads, rows, (4, 2, 2))]
            )

    def schedule(self, schedule: Mapping[str, Any]) -> Iterator[Flowable]:
        start = schedule["start_day"]
        rows = [
            (
                str(box["box"] + 1),
                str(box["printer"] + 1),
                *(
                    ready_text(box[moment], start, self.language)
                    for moment in ("print_start_s", "print_end_s", "cure_start_s", "unpack_start_s", "done_s")
                ),
                duration(box["print_to_cure_s"]),
            )
            for box in schedule["boxes"]
        ]
        names = ("box", "printer", "print_start", "print_end", "cure_start", "unpack_start", "done", "wait")
        made = paper.table(self.heads(*names, numbers_from=0), rows, (1, 1.2, 2.2, 2.2, 2.2, 2.2, 2.2, 1.6))
        yield from paper.long_part(self.words("schedule"), made)

    def break_even(self) -> Iterator[Flowable]:
        found = self.document["break_even"]
        if found is None:
            return
        verdict = {
            "range": "crossing",
            "printing throughout": "crossing_printing",
            "core box throughout": "crossing_tools",
        }.get(found["verdict"], "crossing_open")
        says = self.words(verdict, likely=found["likely"], low=found["low"], high=found["high"])
        curves = found["curves"]
        sets = [point["sets"] for point in curves]
        bands = [
            (self.words("way_printed"), paper.AREA, [point["printed"] for point in curves]),
            (self.words("way_tools"), paper.NOTE, [point["conventional"] for point in curves]),
        ]
        names = (self.words("sets"), f"{self.words('price')} [{self.currency}]")
        yield KeepTogether(
            [
                paper.heading(self.words("break_even")),
                paper.paragraph(says),
                paper_charts.bands_drawing(sets, bands, self.width, 70 * mm, names, self.language),
                paper.paragraph(label("bands_note", self.language), paper.SMALL),
            ]
        )

    def joined(self) -> Iterator[Flowable]:
        found = self.document["joined"]
        if found is None:
            return
        yield paper.heading(self.words("joined"), paper.H3)
        facts = {"parts": found["parts_saved"], "joints": found["joints_saved"]}
        yield paper.paragraph(self.words("joined_says", **facts, worth=self.money(found["worth"])))
        if found["tolerance_before_mm"] is not None:
            limits = {
                name: number(found[f"tolerance_{name}_mm"], self.language, 3) for name in ("before", "after")
            }
            yield paper.paragraph(self.words("joined_tolerance", **limits))

    def stated_otherwise(self) -> Iterator[Flowable]:
        left_out = self.document["left_out"]
        if left_out:
            yield paper.heading(self.words("left_out"), paper.H3)
            yield paper.paragraph(", ".join(self.name(code) for code in left_out))
        changed = self.document["overridden"]
        if changed:
            rows = [
                (
                    f"{label(item['field'], self.language)} ({item['field']})",
                    figures.named(item["field"], item["profile_value"], self.language),
                    figures.named(item["field"], item["job_value"], self.language),
                )
                for item in changed
            ]
            heads = [
                (label(name, self.language), index > 0)
                for index, name in enumerate(("input", "profile_value", "job_value"))
            ]
            yield paper.heading(label("changed_inputs", self.language), paper.H3)
            yield paper.table(heads, rows, (5, 2, 2))


def _opened(lines: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Return the lines with a single box's line in place of a sum of one."""
    return [line["parts"][0] if len(line.get("parts", ())) == 1 else line for line in lines]
