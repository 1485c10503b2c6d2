"""Everything in a plan as flat tables: CSV for spreadsheets, JSON for programs, and the published schema."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from corelib.export.figures import core_names, unit_of
from corelib.export.reading import Line, box_rows, core_rows, lines

TABLES_KIND = "corestow.tables"
TABLES_SCHEMA_VERSION = 1
SIGNIFICANT_DIGITS = 12
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""A text that starts so is taken for a formula by spreadsheets; it gets an apostrophe in front."""

Plan = Mapping[str, Any]
Row = tuple[Any, ...]
Columns = tuple[tuple[str, str], ...]


def _cores(plan: Plan) -> Iterator[Row]:
    for row in core_rows(plan):
        x, y, z = row.size_mm or (None, None, None)
        yield (row.id, row.name, row.copies, row.rides_along, x, y, z, row.volume_mm3, row.mass_kg, row.mesh)


def _boxes(plan: Plan) -> Iterator[Row]:
    for row in box_rows(plan):
        copies = sum(count for _, count in row.copies)
        yield (
            row.number,
            copies,
            row.height_mm,
            row.layer_count,
            row.printed_volume_mm3,
            row.build_time_s,
            row.gross_kg,
        )


def _placements(plan: Plan) -> Iterator[Row]:
    names = core_names(plan)
    for number, box in enumerate(plan["boxes"]):
        for item in box["placements"]:
            matrix = [value for row in item["matrix"][:3] for value in row]
            yield (
                number,
                item["core"],
                names[item["core"]],
                item["copy"],
                item.get("set_id"),
                item.get("set_index"),
                item.get("orientation_label"),
                *matrix,
            )


def _layers(plan: Plan) -> Iterator[Row]:
    for number, box in enumerate(plan["boxes"]):
        for layer_number, layer in enumerate(box["layers"]):
            yield (number, layer_number, *(layer[name] for name, _ in TABLES["layers"][0][2:]))


def _lines(plan: Plan) -> Iterator[Row]:
    for group in plan.get("lines", {}):
        for line in lines(plan, group):
            yield from _line(group, line, 0)


def _line(group: str, line: Line, depth: int) -> Iterator[Row]:
    inputs = "; ".join(f"{name} = {value}" for name, value in line.inputs)
    yield (
        group,
        depth,
        line.code,
        None if line.value is None else float(line.value),
        line.unit,
        line.formula,
        inputs,
    )
    for part in line.parts:
        yield from _line(group, part, depth + 1)


def _findings(plan: Plan) -> Iterator[Row]:
    for item in plan["findings"]:
        yield (
            item["severity"],
            item["code"],
            item.get("core"),
            item.get("box"),
            item["message"],
            item.get("remedy"),
        )


def _profile_values(plan: Plan) -> Iterator[Row]:
    changed = {item["field"] for item in plan.get("overridden", ())}
    for kind, profile in sorted(plan.get("profiles", {}).items()):
        sources = profile.get("sources", {})
        for field, value in sorted(profile.items()):
            path = f"{kind}.{field}"
            if field in sources or path in changed:
                source = sources.get(field, {})
                shown = value if isinstance(value, (int, float, str)) or value is None else str(value)
                yield (
                    path,
                    None if shown is None else str(shown),
                    unit_of(path),
                    source.get("evidence"),
                    source.get("source"),
                    path in changed,
                )


_MATRIX: Columns = tuple((f"m{row}{column}", "number") for row in range(3) for column in range(4))
TABLES: dict[str, tuple[Columns, Callable[[Plan], Iterable[Row]]]] = {
    "cores": (
        (
            ("core", "string"),
            ("name", "string"),
            ("copies", "integer"),
            ("rides_along", "boolean"),
            ("size_x_mm", "number?"),
            ("size_y_mm", "number?"),
            ("size_z_mm", "number?"),
            ("core_volume_mm3", "number?"),
            ("mass_kg", "number?"),
            ("mesh", "string"),
        ),
        _cores,
    ),
    "boxes": (
        (
            ("box", "integer"),
            ("copies", "integer"),
            ("height_mm", "number"),
            ("layer_count", "integer"),
            ("printed_volume_mm3", "number?"),
            ("build_time_s", "number?"),
            ("gross_box_kg", "number?"),
        ),
        _boxes,
    ),
    "placements": (
        (
            ("box", "integer"),
            ("core", "string"),
            ("name", "string"),
            ("copy", "integer"),
            ("set_id", "string?"),
            ("set_index", "integer?"),
            ("orientation", "string?"),
            *_MATRIX,
        ),
        _placements,
    ),
    "layers": (
        (
            ("box", "integer"),
            ("layer", "integer"),
            ("z_mm", "number"),
            ("printed_area_mm2", "number"),
            ("nominal_area_mm2", "number"),
            ("boundary_mm", "number"),
            ("binder_ml", "number"),
            ("time_s", "number"),
        ),
        _layers,
    ),
    "lines": (
        (
            ("group", "string"),
            ("depth", "integer"),
            ("code", "string"),
            ("value", "number?"),
            ("unit", "string"),
            ("formula", "string"),
            ("inputs", "string"),
        ),
        _lines,
    ),
    "findings": (
        (
            ("severity", "string"),
            ("code", "string"),
            ("core", "string?"),
            ("box", "integer?"),
            ("message", "string"),
            ("remedy", "string?"),
        ),
        _findings,
    ),
    "profile_values": (
        (
            ("field", "string"),
            ("value", "string?"),
            ("unit", "string"),
            ("evidence", "string?"),
            ("source", "string?"),
            ("changed", "boolean"),
        ),
        _profile_values,
    ),
}
"""Each table: its columns with their type (`?`: may be null), and its rows. Boxes and copies count from 0."""


def tables_document(plan: Plan) -> dict[str, Any]:
    """Return all tables of a plan as plain data, each a list of records."""
    document: dict[str, Any] = {
        "kind": TABLES_KIND,
        "schema_version": TABLES_SCHEMA_VERSION,
        "job": plan["job"]["name"],
        "job_sha256": plan["job_sha256"],
        "currency": plan["job"]["currency"],
    }
    for name, (columns, rows) in TABLES.items():
        heads = [column for column, _ in columns]
        document[name] = [dict(zip(heads, row, strict=True)) for row in rows(plan)]
    return document


def table_csv(plan: Plan, name: str, *, separator: str = ",", decimal_sign: str = ".") -> str:
    """Return one table as CSV (RFC 4180); `;` and `,` suit spreadsheets of a decimal-comma locale."""
    if separator == decimal_sign:
        raise ValueError("the separator of the columns can't be the decimal sign")
    columns, rows = TABLES[name]
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerow([column for column, _ in columns])
    for row in rows(plan):
        writer.writerow([_cell(value, decimal_sign) for value in row])
    return text.getvalue()


def _cell(value: Any, decimal_sign: str) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "1" if value else "0"
    if isinstance(value, float):
        return f"{value:.{SIGNIFICANT_DIGITS}g}".replace(".", decimal_sign)
    if isinstance(value, str):
        plain = value.replace("\x00", "")
        return "'" + plain if plain.startswith(FORMULA_STARTS) else plain
    return str(value)


def tables_schema() -> dict[str, Any]:
    """Return the JSON schema of `tables_document` (published in shared/schema, a test holds it current)."""
    properties: dict[str, Any] = {
        "kind": {"const": TABLES_KIND},
        "schema_version": {"const": TABLES_SCHEMA_VERSION},
        "job": {"type": "string"},
        "job_sha256": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
        "currency": {"type": "string", "pattern": "^[A-Z]{3}$"},
    }
    for name, (columns, _) in TABLES.items():
        fields = {column: {"type": _json_type(kind), **_described(column)} for column, kind in columns}
        properties[name] = {
            "type": "array",
            "items": {
                "type": "object",
                "properties": fields,
                "required": [column for column, _ in columns],
                "additionalProperties": False,
            },
        }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Corestow: all tables of a plan",
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _json_type(kind: str) -> str | list[str]:
    return [kind[:-1], "null"] if kind.endswith("?") else kind


def _described(column: str) -> dict[str, str]:
    unit = unit_of(column)
    return {"description": f"in {unit}"} if unit else {}
