"""The plan as a workbook (xlsx): sums, layers, cores, costs and assumptions, with live cost formulas.

Every cost line is written as the formula that the plan states for it, on the cells of its inputs: an
estimator can change a rate or a quantity and see the price follow. Text of users never becomes a formula.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from corelib.export.figures import Plan, label, named, unit_of
from corelib.export.reading import Line, core_rows, lines, overrides

NAME = re.compile(r"[A-Za-z_][A-Za-z_0-9.]*")
SIGNS = {"×": "*", "÷": "/", "−": "-", "·": "*"}
DIGITS = {
    "s": "#,##0",
    "mm": "#,##0.00",
    "mm²": "#,##0.0",
    "mm³": "#,##0",
    "cm³": "#,##0.0",
    "kg": "#,##0.00",
    "L": "#,##0.00",
    "mL": "#,##0.000",
    "kWh": "#,##0.0",
}
"""How many digits a unit shows in its cells; the cells hold all."""
FUNCTIONS = {"max": "MAX", "min": "MIN"}
ROW_HEIGHT, FORMULA_CHARACTERS = 15.0, 78
CREATED = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""A fixed date in the file's properties: the same plan gives the same bytes."""


def workbook(plan: Plan, language: str = "en", *, out_of_date: bool = False) -> bytes:
    """Return the workbook of a plan document; every sheet says if the plan is out of date."""
    stream = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(stream, options)
    book.set_properties({"title": plan["job"]["name"], "created": CREATED, "comments": "Corestow"})
    writer = _Writer(plan, language, book, out_of_date)
    writer.write()
    book.close()
    return stream.getvalue()


@dataclass
class _Cells:
    """Where a value stands, and what it is: for formulas and for their stored results."""

    places: dict[str, str] = field(default_factory=dict)
    values: dict[str, Decimal] = field(default_factory=dict)

    def add(self, name: str, place: str, value: Decimal) -> None:
        self.places[name] = place
        self.values[name] = value


class _Writer:
    """Writes the sheets of one workbook."""

    def __init__(self, plan: Plan, language: str, book: Any, out_of_date: bool) -> None:
        self.plan = plan
        self.language = language
        self.book = book
        self.out_of_date = out_of_date
        self.warning = book.add_format({"bold": True, "font_color": "#b3261e"})
        self.bold = book.add_format({"bold": True})
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        self.wrap = book.add_format({"text_wrap": True, "valign": "top", "align": "left", "indent": 1})
        self.formats: dict[tuple[str, bool], Any] = {}
        self.assumptions = _Cells()
        self.box_inputs: list[_Cells] = []

    def label(self, name: str) -> str:
        return label(name, self.language)

    def format(self, unit: str, *, bold: bool = False) -> Any:
        """Return the number format that shows a unit after its number."""
        if (unit, bold) not in self.formats:
            currency = self.plan["job"]["currency"]
            shown_unit = unit.replace("currency", currency)
            digits = "#,##0.00" if unit.startswith(("currency", currency)) else DIGITS.get(unit, "#,##0.####")
            shown = "#,##0.####" if unit in ("", "1") else f'{digits}" {shown_unit}"'
            self.formats[unit, bold] = self.book.add_format({"num_format": shown, "bold": bold})
        return self.formats[unit, bold]

    def sheet(self, name: str, widths: Sequence[float], *, landscape: bool = True) -> Any:
        sheet = self.book.add_worksheet(self.label(name)[:31])
        for column, width in enumerate(widths):
            sheet.set_column(column, column, width)
        sheet.set_margins(left=0.5, right=0.5)
        if landscape:
            sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L&A&R&P / &N")
        if self.out_of_date:
            sheet.write_string(1, 1, self.label("out_of_date"), self.warning)
            sheet.set_header(f"&C{self.label('out_of_date_short')}")
        return sheet

    def heads(self, sheet: Any, row: int, names: Sequence[str]) -> None:
        for column, name in enumerate(names):
            sheet.write_string(row, column, name, self.head)
        sheet.repeat_rows(row)
        sheet.freeze_panes(row + 1, 1)

    def write(self) -> None:
        names = ("sheet_sums", "sheet_costs", "sheet_inputs", "sheet_assumptions")
        sums = self.sheet(names[0], (34, 22, 50), landscape=False)
        costs = self.sheet(names[1], (30, 10, 16, 80))
        inputs = self.sheet(names[2], (30, *([18] * max(1, len(self.plan["boxes"])))))
        assumptions = self.sheet(names[3], (36, 26, 22, 60, 12))
        self.write_assumptions(assumptions)
        self.write_inputs(inputs)
        total = self.write_costs(costs)
        self.write_sums(sums, total)
        self.write_cores()
        self.write_layers()
        self.write_findings()

    def write_sums(self, sheet: Any, cost_cells: tuple[str, str] | None) -> None:
        sheet.write_string(0, 0, self.plan["job"]["name"], self.title)
        sheet.write_string(1, 0, self.plan["job"].get("customer", ""))
        totals: Mapping[str, Any] = self.plan["totals"]
        row = 3
        for name in SUMS:
            value = totals.get(name)
            if value is None:
                continue
            sheet.write_string(row, 0, self.label(name))
            sheet.write_number(row, 1, float(value), self.format(unit_of(name)))
            if unit_of(name) == "s":
                sheet.write_string(row, 2, named(name, value, self.language), self.wrap)
            row += 1
        if cost_cells is not None:
            currency = self.plan["job"]["currency"]
            for name, cell, value in zip(
                ("total_cost", "price"), cost_cells, (totals["cost"], totals["price"]), strict=True
            ):
                sheet.write_string(row, 0, self.label(name), self.bold)
                sheet.write_formula(row, 1, f"={cell}", self.format(currency, bold=True), float(value))
                row += 1
        sheet.print_area(0, 0, row, 2)

    def write_assumptions(self, sheet: Any) -> None:
        sheet.write_string(0, 0, self.label("sheet_assumptions"), self.title)
        heads = ("input", "value", "evidence", "evidence_source", "changed")
        self.heads(sheet, 2, [self.label(name) for name in heads])
        changed = {item.field for item in overrides(self.plan)}
        row = 3
        for kind, profile in self.plan["profiles"].items():
            sources = profile.get("sources", {})
            for name, value in profile.items():
                path = f"{kind}.{name}"
                if value is None or (name not in sources and path not in changed):
                    continue
                self._assumption(sheet, row, path, value, sources.get(name, {}), path in changed)
                row += 1
        sheet.print_area(0, 0, max(row, 3), 4)

    def _assumption(
        self, sheet: Any, row: int, path: str, value: Any, source: Mapping[str, Any], changed: bool
    ) -> None:
        sheet.write_string(row, 0, path)
        number = _number(value)
        if number is None:
            sheet.write_string(row, 1, self._plain(value), self.wrap)
        else:
            unit = unit_of(path) or (self.plan["job"]["currency"] if path.startswith("rates.") else "")
            sheet.write_number(row, 1, float(number), self.format(unit))
            place = xl_rowcol_to_cell(row, 1, row_abs=True, col_abs=True)
            self.assumptions.add(path, f"{_quoted(sheet.get_name())}!{place}", number)
        mark = source.get("evidence")
        sheet.write_string(row, 2, self.label(f"evidence.{mark}") if mark else "", self.wrap)
        sheet.write_string(row, 3, str(source.get("source", "")), self.wrap)
        sheet.write_string(row, 4, self.label("yes") if changed else "")

    def _plain(self, value: Any) -> str:
        """Return a value that is no number as people read it: lists and rows without brackets."""
        if isinstance(value, bool):
            return self.label("yes" if value else "no")
        if isinstance(value, Mapping):
            return ", ".join(f"{name} {self._plain(item)}" for name, item in value.items())
        if isinstance(value, (list, tuple)):
            return "; ".join(self._plain(item) for item in value)
        return str(value)

    def write_inputs(self, sheet: Any) -> None:
        """Write the quantities and times that cost lines stand on, a column for each box."""
        boxes = len(self.plan["boxes"])
        self.box_inputs = [_Cells() for _ in range(boxes)]
        sheet.write_string(0, 0, self.label("sheet_inputs"), self.title)
        self.heads(
            sheet,
            2,
            [self.label("input"), *(self.label("box") + f" {number + 1}" for number in range(boxes))],
        )
        names: dict[str, list[Decimal | None]] = {}
        for line in lines(self.plan, "cost"):
            for box, part in enumerate(line.parts[:boxes] if len(line.parts) == boxes else ()):
                for name, value in part.inputs:
                    number = _number(value)
                    if number is not None and self.assumptions.values.get(name) != number:
                        names.setdefault(name, [None] * boxes)[box] = number
        for row, (name, values) in enumerate(sorted(names.items()), start=3):
            sheet.write_string(row, 0, name)
            for box, number in enumerate(values):
                if number is not None:
                    sheet.write_number(row, box + 1, float(number), self.format(self._unit(name)))
                    place = xl_rowcol_to_cell(row, box + 1, row_abs=True, col_abs=True)
                    self.box_inputs[box].add(name, f"{_quoted(sheet.get_name())}!{place}", number)
        sheet.print_area(0, 0, 3 + len(names), boxes)

    def _unit(self, name: str) -> str:
        return unit_of(name) or (
            "" if name.endswith("_count") else self.plan["job"]["currency"] if "_per_" in name else ""
        )

    def write_costs(self, sheet: Any) -> tuple[str, str] | None:
        """Write the cost lines as formulas; returns the cells of cost and price, None without a cost."""
        cost_lines = lines(self.plan, "cost")
        sheet.write_string(0, 0, self.label("cost"), self.title)
        self.heads(sheet, 2, [self.label(name) for name in ("line", "box", "amount", "formula")])
        if not cost_lines:
            sheet.write_string(3, 0, self.label("no_cost"))
            return None
        state = _Cells()
        row = 3
        direct: list[str] = []
        once: list[str] = []
        before_margin: list[str] = []
        currency = self.plan["job"]["currency"]
        for line in cost_lines:
            place = f"$C${row + 1}"
            amount = Decimal(str(line.value))
            if line.parts:
                row = self._boxed_line(sheet, row, line, currency)
                direct.append(place)
                state.add("direct", "+".join(direct), state.values.get("direct", Decimal(0)) + amount)
            else:
                if line.code == "margin":
                    known = state.values.get("cost", Decimal(0))
                    state.add("cost", "+".join(before_margin), known)
                self._line(sheet, row, line, [state, self.assumptions], currency, bold=True)
                sheet.set_row(row, _row_height(line.formula))
                row += 1
                if not any("." not in name for name, _ in line.inputs):
                    once.append(place)
                    state.add("once", "+".join(once), state.values.get("once", Decimal(0)) + amount)
            state.add(line.code, place, amount)
            if line.code != "margin":
                before_margin.append(place)
                state.values["cost"] = state.values.get("cost", Decimal(0)) + amount
                state.places["cost"] = "+".join(before_margin)
        return self._cost_and_price(sheet, row + 1, state, before_margin, currency)

    def _boxed_line(self, sheet: Any, row: int, line: Line, currency: str) -> int:
        first, last = row + 2, row + 1 + len(line.parts)
        sheet.write_string(row, 0, self.label(line.code), self.bold)
        total = float(Decimal(str(line.value)))
        sheet.write_formula(row, 2, f"=SUM(C{first}:C{last})", self.format(currency, bold=True), total)
        for box, part in enumerate(line.parts):
            row += 1
            sheet.write_number(row, 1, box + 1)
            known = [self.box_inputs[box]] if len(line.parts) == len(self.box_inputs) else []
            self._line(sheet, row, part, [*known, self.assumptions], currency)
            sheet.set_row(row, _row_height(part.formula), None, {"level": 1})
        return row + 1

    def _line(
        self, sheet: Any, row: int, line: Line, known: Sequence[_Cells], currency: str, *, bold: bool = False
    ) -> None:
        sheet.write_string(row, 0, self.label(line.code), self.bold if bold else None)
        amount = Decimal(str(line.value))
        formula = cell_formula(line, known, -int(amount.as_tuple().exponent))
        if formula is None:
            sheet.write_number(row, 2, float(amount), self.format(currency, bold=bold))
        else:
            sheet.write_formula(row, 2, formula, self.format(currency, bold=bold), float(amount))
        sheet.write_string(row, 3, line.formula, self.wrap)

    def _cost_and_price(
        self, sheet: Any, row: int, state: _Cells, parts: Sequence[str], currency: str
    ) -> tuple[str, str]:
        price = state.values["cost"] + state.values.get("margin", Decimal(0))
        margin = state.places.get("margin", "0")
        for offset, (name, formula, value) in enumerate(
            (
                ("total_cost", "+".join(parts), state.values["cost"]),
                ("price", f"C{row + 1}+{margin}", price),
            )
        ):
            sheet.write_string(row + offset, 0, self.label(name), self.bold)
            sheet.write_formula(
                row + offset, 2, f"={formula}", self.format(currency, bold=True), float(value)
            )
        sheet.print_area(0, 0, row + 1, 3)
        self._cost_chart(sheet, row)
        name = _quoted(sheet.get_name())
        return f"{name}!$C${row + 1}", f"{name}!$C${row + 2}"

    def _cost_chart(self, sheet: Any, below: int) -> None:
        """Draw the cost by kind, from a small table of sums under the totals."""
        kinds: dict[str, list[str]] = {}
        amounts: dict[str, Decimal] = {}
        row = 3
        for document, line in zip(self.plan["lines"]["cost"], lines(self.plan, "cost"), strict=True):
            kind = document.get("kind", line.code)
            kinds.setdefault(kind, []).append(f"$C${row + 1}")
            amounts[kind] = amounts.get(kind, Decimal(0)) + Decimal(str(line.value))
            row += 1 + len(line.parts)
        first = below + 4
        sheet.set_h_pagebreaks([first - 1])
        sheet.write_string(first - 1, 0, self.label("cost_by_kind"), self.bold)
        currency = self.plan["job"]["currency"]
        for index, (kind, cells) in enumerate(kinds.items()):
            sheet.write_string(first + index, 0, self.label(kind))
            sheet.write_formula(
                first + index, 2, f"={'+'.join(cells)}", self.format(currency), float(amounts[kind])
            )
        last = first + len(kinds) - 1
        chart = self.book.add_chart({"type": "bar"})
        name = sheet.get_name()
        chart.add_series({"categories": [name, first, 0, last, 0], "values": [name, first, 2, last, 2]})
        chart.set_legend({"none": True})
        chart.set_title({"name": f"{self.label('cost_by_kind')} [{currency}]", "overlay": False})
        chart.set_y_axis({"reverse": True})
        high = max(16, len(kinds) + 4)
        chart.set_size({"width": 560, "height": 20 * high})
        sheet.insert_chart(first - 1, 3, chart, {"x_offset": 20})
        sheet.print_area(0, 0, max(last, first + high), 3)

    def write_cores(self) -> None:
        sheet = self.sheet("cores", (30, 10, 12, 12, 12, 16, 14, 14, 14))
        sheet.write_string(0, 0, self.label("cores"), self.title)
        heads = ("core", "copies", "x", "y", "z", "core_volume_mm3", "mass_each", "cost_each", "price_each")
        self.heads(sheet, 2, [self.label(name) for name in heads])
        currency = self.plan["job"]["currency"]
        row = 3
        for row, core in enumerate(core_rows(self.plan), start=3):
            sheet.write_string(row, 0, core.name)
            sheet.write_number(row, 1, core.copies)
            figures = [*((value, "mm") for value in core.size_mm or (None,) * 3)]
            volume = None if core.volume_mm3 is None else core.volume_mm3 / 1000.0
            figures += [(volume, "cm³"), (core.mass_kg, "kg"), (core.cost, currency), (core.price, currency)]
            for column, (value, unit) in enumerate(figures, start=2):
                if value is not None:
                    sheet.write_number(row, column, float(value), self.format(unit))
        sheet.print_area(0, 0, row, len(heads) - 1)

    def write_layers(self) -> None:
        sheet = self.sheet("sheet_layers", (8, 8, *([16] * 6)))
        sheet.write_string(0, 0, self.label("sheet_layers"), self.title)
        columns = ("z_mm", "printed_area_mm2", "nominal_area_mm2", "boundary_mm", "binder_ml", "time_s")
        units = [unit_of(name) for name in columns]
        for column, shown in enumerate(("0.00", "#,##0.0", "#,##0.0", "#,##0.0", "0.0000", "0.0"), start=2):
            sheet.set_column(column, column, 16, self.book.add_format({"num_format": shown}))
        heads = [
            self.label("box"),
            self.label("layer"),
            *(f"{self.label(name)} [{unit_of(name)}]" for name in columns),
        ]
        self.heads(sheet, 2, heads)
        chart = self.book.add_chart({"type": "scatter", "subtype": "straight"})
        row, name = 3, sheet.get_name()
        for box_number, box in enumerate(self.plan["boxes"]):
            first = row
            for layer_number, layer in enumerate(box["layers"]):
                values = (box_number + 1, layer_number, *(layer[column] for column in columns))
                for column, value in enumerate(values):
                    sheet.write_number(row, column, value)
                row += 1
            series = {
                "name": f"{self.label('box')} {box_number + 1}",
                "categories": [name, first, 2, row - 1, 2],
                "values": [name, first, 3, row - 1, 3],
                "line": {"width": 1},
            }
            chart.add_series(series)
        chart.set_x_axis({"name": f"{self.label('z_mm')} [mm]", "min": 0})
        chart.set_y_axis({"name": f"{self.label('printed_area_mm2')} [{units[1]}]", "min": 0})
        chart.set_title({"name": self.label("area_over_height")})
        sheet.insert_chart(2, len(columns) + 3, chart, {"x_scale": 1.6, "y_scale": 1.4})
        sheet.print_area(0, 0, max(row - 1, 3), len(columns) + 1)

    def write_findings(self) -> None:
        sheet = self.sheet("findings", (12, 24, 70, 60))
        sheet.write_string(0, 0, self.label("findings"), self.title)
        self.heads(sheet, 2, [self.label(name) for name in ("kind", "core", "what", "remedy")])
        names = {core.id: core.name for core in core_rows(self.plan)}
        row = 3
        for row, item in enumerate(self.plan["findings"], start=3):
            sheet.write_string(row, 0, self.label(item["severity"]), self.wrap)
            sheet.write_string(row, 1, names.get(item.get("core") or "", ""), self.wrap)
            sheet.write_string(row, 2, item["message"], self.wrap)
            sheet.write_string(row, 3, item.get("remedy") or "", self.wrap)
        sheet.print_area(0, 0, row, 3)


SUMS = (
    "layer_count",
    "build_time_s",
    "printed_volume_mm3",
    "printed_sand_kg",
    "binder_kg",
    "binder_l",
    "bed_sand_kg",
    "additive_kg",
    "energy_kwh",
    "gross_box_kg",
)


def cell_formula(line: Line, known: Sequence[_Cells], decimals: int) -> str | None:
    """Return a line's stated formula on cells, rounded as the line is; None where an input has no cell.

    An input is taken from the first place that knows its name with the value that the line was computed with.
    """
    places: dict[str, str] = {}
    for name, value in line.inputs:
        number = _number(value)
        place = next((cells.places[name] for cells in known if cells.values.get(name) == number), None)
        if place is None:
            return None
        places[name] = place if NAME.fullmatch(place) or "!" in place else f"({place})"

    def replaced(match: re.Match[str]) -> str:
        word = match.group()
        return FUNCTIONS.get(word) or places[word]

    text = "".join(SIGNS.get(sign, sign) for sign in line.formula)
    try:
        formula = NAME.sub(replaced, text)
    except KeyError:
        return None
    return f"=ROUND({formula},{decimals})"


def _row_height(formula: str) -> float:
    """Return the height of a row whose formula may take several lines."""
    return ROW_HEIGHT * math.ceil(max(1, len(formula)) / FORMULA_CHARACTERS)


def _number(value: Any) -> Decimal | None:
    if isinstance(value, bool) or value is None:
        return None
    if isinstance(value, (int, float)):
        return Decimal(format(value, ".12g"))
    try:
        return Decimal(str(value))
    except ArithmeticError:
        return None


def _quoted(sheet_name: str) -> str:
    return "'" + sheet_name.replace("'", "''") + "'"
