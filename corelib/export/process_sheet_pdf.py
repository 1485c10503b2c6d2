"""The process sheet (PDF): the operating point as it is set, what follows from it, and each source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer

from corelib.export import figures, paper
from corelib.export.droplet_drawing import droplet_drawing
from corelib.findings import SEVERITIES
from corelib.job.profiles import PROFILE_KINDS
from corelib.wording import label, wording

GROUPS = ("dose", "motion", "droplets", "sand", "cure", "accuracy", "casting")
WELL_KNOWN = ("measured", "fitted")
LIMIT_SIGNS = {"z_least": "Z >", "z_most": "Z <", "weber_least": "We >", "splash_most": "K <"}
COUNTS = ("solved.strips_across", "solved.layers_in_box")
NOZZLE = ("viscosity_mpa_s", "inverse_ohnesorge", "weber", "splash_number")
HIDDEN_KINDS = ("rates", "shop")
"""What a foundry pays is no matter of the process: these profiles stay off the sheet."""
Document = Mapping[str, Any]


def process_sheet_pdf(
    document: Document, heading: paper.Heading, names: Mapping[str, str] | None = None
) -> bytes:
    """Return the sheet of a process sheet's document as PDF; `names` are the cores' names by id."""
    return paper.pdf(heading, list(_Sheet(document, heading, names or {}).story()))


class _Sheet:
    def __init__(self, document: Document, heading: paper.Heading, names: Mapping[str, str]) -> None:
        self.document, self.heading, self.names = document, heading, names
        self.language = heading.language
        self.width = paper.text_width(heading.paper)

    def words(self, name: str, **facts: Any) -> str:
        return label("process", name, self.language, **facts)

    def field(self, path: str) -> str:
        """Return a profile value's name as people say it."""
        try:
            return label("profiles", path.rpartition(".")[2], self.language)
        except KeyError:
            return figures.label(path, self.language)

    def number(self, value: float | None, digits: int = 4) -> str:
        return "–" if value is None else figures.number(value, self.language, digits)

    def story(self) -> Iterator[Flowable]:
        yield paper.paragraph(self.heading.title, paper.TITLE)
        yield paper.paragraph(self.heading.subject)
        if self.heading.out_of_date:
            yield paper.banner(figures.label("out_of_date", self.language))
        stops = sum(found["severity"] == "stop" for found in self.document["findings"])
        if stops:
            yield paper.banner(figures.text("has_stops", self.language, count=stops))
        yield Spacer(1, 5)
        yield paper.facts(
            [
                (figures.label(f"kind_{kind}", self.language), self.document["profiles"][kind])
                for kind in PROFILE_KINDS
                if kind not in HIDDEN_KINDS
            ]
        )
        yield from self.findings()
        yield paper.heading(self.words("solved"))
        yield paper.paragraph(self.words("digits_note"), paper.SMALL)
        for group in GROUPS:
            yield from self.solved(group)
        yield from self.dose()
        yield from self.window()
        yield from self.lifts()
        yield CondPageBreak(60 * mm)
        yield paper.heading(self.words("stated"))
        yield paper.paragraph(self.words("changed_note"), paper.SMALL)
        for kind in PROFILE_KINDS:
            if kind not in HIDDEN_KINDS:
                yield from self.stated(kind)

    def findings(self) -> Iterator[Flowable]:
        yield paper.heading(self.words("findings"))
        found = sorted(self.document["findings"], key=lambda one: SEVERITIES.index(one["severity"]))
        if not found:
            yield paper.paragraph(self.words("no_findings"))
        for one in found:
            core = self.names.get(one["core"] or "", one["core"] or "")
            said = wording(one["code"], {**one["facts"], "core": core}, self.language)
            yield paper.finding_box(one["severity"], core, said.message, said.next, self.language)

    def solved(self, group: str) -> Iterator[Flowable]:
        entries = self.document["solved"][group]
        if not entries:
            return
        heads = (
            (self.words("col_quantity"), False),
            (self.words("col_value"), True),
            (self.words("col_evidence"), False),
            (self.words("col_how"), False),
        )
        rows = [self._solved_row(entry) for entry in entries]
        yield from paper.long_part(self.words(f"group_{group}"), paper.table(heads, rows, (3.6, 1.9, 3.2, 5)))

    def _solved_row(self, entry: Document) -> tuple[str, str, str, str]:
        name = entry["code"].partition(".")[2]
        title, how = (label("solved", key, self.language) for key in (name, f"{name}.how"))
        if entry["missing"]:
            needed = [f"{self.field(field)}" for field in entry["missing"]]
            return title, "–", self.words("needs", fields=needed), how
        if entry["refused"] is not None:
            reason = wording(entry["refused"]["code"], entry["refused"]["facts"], self.language).what
            return title, "–", self.words("outside", reason=reason), how
        digits = 4 if entry["evidence"] in WELL_KNOWN else 3
        value = f"{entry['value']:.0f}" if entry["code"] in COUNTS else self.rounded(entry["value"], digits)
        unit = "" if entry["unit"] == "-" else f"\u00a0{entry['unit']}"
        return title, value + unit, self.mark(entry["evidence"]), how

    def rounded(self, value: float | None, digits: int) -> str:
        """Return a number with no more digits than its evidence allows, whole ones included."""
        if value is None or value == 0:
            return self.number(value)
        return self.number(float(f"{value:.{digits}g}"), digits)

    def mark(self, evidence: str) -> str:
        return self.words(f"mark_{evidence.replace(' ', '_')}")

    def dose(self) -> Iterator[Flowable]:
        solver = self.document["dose_solver"]
        if not solver:
            return
        heads = (
            (self.words("col_quantity"), False),
            (self.words("col_stated"), True),
            (self.words("col_exact"), True),
            (self.words("col_settable"), True),
            (self.words("col_obtained"), True),
            (self.words("col_off"), True),
        )
        rows = [
            (
                f"{self.field(row['field'])}{_bracket(row['field'])}",
                self.number(row["stated"]),
                self.number(row["exact"]),
                self.number(row["settable"]),
                self.number(row["obtained_on_sand_pct"]),
                figures.fixed(round(row["off_pct"], 3) + 0.0, 1, self.language),
            )
            for row in solver
        ]
        yield from paper.long_part(self.words("dose_solver"), paper.table(heads, rows, (4, 2, 2, 2, 2, 2)))

    def window(self) -> Iterator[Flowable]:
        window = self.document["droplet_window"]
        title = paper.heading(self.words("window"), paper.H3)
        if window["curve"]:
            drawing = droplet_drawing(self.document, self.width, self.language)
            key = paper.paragraph(self.words("chart_key"), paper.SMALL)
            yield KeepTogether([title, drawing, key])
        else:
            yield title
        band = window["band_c"]
        words = self.words("no_band") if band is None else self._band(band)
        yield paper.paragraph(words)
        yield Spacer(1, 4)
        if window["nozzle"]:
            heads = [(self.words(name), True) for name in ("col_temperature", "col_viscosity")]
            heads += [("Z", True), ("We", True), ("K", True)]
            rows = [
                (
                    figures.fixed(row["temperature_c"], 1, self.language),
                    *(self.number(row[name], 3) for name in NOZZLE),
                )
                for row in window["nozzle"]
            ]
            yield paper.table(heads, rows, (2, 2, 1, 1, 1))
            yield Spacer(1, 5)
        limits = [
            (sign, self.number(window["limits"][name]["value"]), window["limits"][name]["source"])
            for name, sign in LIMIT_SIGNS.items()
        ]
        heads = [(self.words("col_limit"), False), (self.words("col_value"), True)]
        heads.append((self.words("col_source"), False))
        yield paper.table(heads, limits, (1, 1, 8))
        yield paper.paragraph(window["source"], paper.SMALL)

    def _band(self, band: Sequence[float]) -> str:
        low, high = (figures.fixed(edge, 1, self.language) for edge in band)
        return self.words("band_said", low=low, high=high)

    def lifts(self) -> Iterator[Flowable]:
        rows = [
            (
                self.names.get(row["core"], row["core"]),
                self.number(row["weight_n"], 3),
                self.number(row["net_lift_n"], 3),
                self.number(row["gross_lift_n"], 3),
                f"{self.number(row['wetted_pct'], 3)} %"
                + (self.words("upper_bound") if row["wetted_is_bound"] else ""),
                self.number(row["seat_needed_mm2"], 3),
            )
            for row in self.document["core_lifts"]
        ]
        if not rows:
            return
        names = ("col_core", "col_weight", "col_net", "col_gross", "col_wetted", "col_seat")
        heads = [(self.words(name), name != "col_core") for name in names]
        yield from paper.long_part(self.words("lifts"), paper.table(heads, rows, (4, 1.6, 1.6, 1.6, 3, 2.2)))

    def stated(self, kind: str) -> Iterator[Flowable]:
        heads = (
            (self.words("col_quantity"), False),
            (self.words("col_value"), True),
            (self.words("col_source"), False),
        )
        own = [entry for entry in self.document["stated"] if entry["field"].startswith(f"{kind}.")]
        rows = [self._stated_row(entry) for entry in own]
        title = f"{figures.label(f'kind_{kind}', self.language)}: {self.document['profiles'][kind]}"
        if rows:
            yield from paper.long_part(title, paper.table(heads, rows, (4, 3, 7)))
        unknown = [
            self.field(entry["field"])
            for entry in self.document["unknown"]
            if entry["field"].startswith(f"{kind}.")
        ]
        if unknown:
            yield paper.paragraph(self.words("unknown", fields=unknown), paper.SMALL)

    def _stated_row(self, entry: Document) -> tuple[object, ...]:
        changed = self.words("changed_mark") if entry["is_overridden"] else ""
        source = figures.source_words(entry, self.mark(entry["evidence"]), self.language)
        if entry.get("n"):
            source += f"; n = {entry['n']}"
        if entry.get("date"):
            source += f"; {entry['date']}"
        return self.field(entry["field"]) + changed, self.value(entry["value"], entry["unit"]), source

    def value(self, value: Any, unit: str) -> object:
        """Return a stated value: a number with its unit, a choice in words, a table row by row."""
        end = "" if unit == "-" else f"\u00a0{unit}"
        if isinstance(value, bool):
            return figures.label("yes" if value else "no", self.language)
        if isinstance(value, (int, float)):
            return self.number(float(value), 6) + end
        if isinstance(value, Mapping):
            return ", ".join(f"{self.field(name)} {self.value(part, '-')}" for name, part in value.items())
        if isinstance(value, Sequence) and not isinstance(value, str):
            if value and isinstance(value[0], Mapping):
                rows = [" · ".join(self.field(name) for name in value[0])]
                rows += [" · ".join(str(self.value(part, "-")) for part in row.values()) for row in value]
                return paper.stack([paper.paragraph(row, paper.CELL_RIGHT) for row in rows])
            return " × ".join(str(self.value(part, "-")) for part in value) + end
        return self._choice(str(value))

    def _choice(self, value: str) -> str:
        try:
            return label("profiles", value, self.language)
        except KeyError:
            return value


def _bracket(field: str) -> str:
    """Return a field's unit in brackets, nothing where it has none."""
    unit = figures.unit_of(field)
    return f" [{unit}]" if unit not in ("", "1", "-") else ""
