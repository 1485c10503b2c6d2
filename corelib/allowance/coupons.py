"""Coupon tables: nominal, printed and measured lengths, from CSV, xlsx or typed."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, cast

from corelib.errors import FileError, InputError

Side = Literal["outside", "inside"]
Axis = Literal["x", "y", "z"]

_NAMES: dict[str, tuple[str, ...]] = {
    "nominal": ("nominal", "nominal_mm", "nennmaß", "nennmass", "soll"),
    "printed": ("printed", "printed_mm", "gedruckt", "druckmaß", "druckmass"),
    "measured": ("measured", "measured_mm", "gemessen", "ist", "istmaß", "istmass"),
    "side": ("side", "seite", "innen/außen"),
    "axis": ("axis", "achse"),
    "label": ("label", "name", "bezeichnung"),
}
_SIDES: dict[str, Side] = {
    "outside": "outside",
    "out": "outside",
    "außen": "outside",
    "aussen": "outside",
    "inside": "inside",
    "in": "inside",
    "innen": "inside",
}
MOST_ROWS = 10_000


@dataclass(frozen=True)
class CouponLength:
    """One length of a coupon: as drawn, as printed (compensated already or not), and as measured."""

    nominal_mm: float
    printed_mm: float
    measured_mm: float
    side: Side
    axis: Axis
    label: str = ""


def read_coupons(path: Path) -> tuple[CouponLength, ...]:
    """Return the lengths of a coupon table in a CSV or xlsx file. Raises FileError or InputError.

    The first row names the columns nominal, printed, measured, side (outside or inside) and axis (x, y, z),
    in any order, English or German; a CSV file may be separated by comma, semicolon or tab.
    """
    try:
        content = path.read_bytes()
    except FileNotFoundError as error:
        raise FileError("file.missing", path=str(path)) from error
    except OSError as error:
        raise FileError("file.not_readable", path=str(path), reason=error.strerror or str(error)) from error
    rows = _xlsx_rows(path, content) if content.startswith(b"PK") else _csv_rows(path, content)
    return coupon_lengths(rows, path.name)


def _csv_rows(path: Path, content: bytes) -> list[list[Any]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError("coupon.not_a_table", file=path.name, reason="it is not UTF-8 text") from error
    first = text.splitlines()[0] if text.strip() else ""
    separator = max(";\t,", key=first.count)
    try:
        return [row for row in csv.reader(io.StringIO(text), delimiter=separator) if any(map(str.strip, row))]
    except csv.Error as error:
        raise InputError("coupon.not_a_table", file=path.name, reason=str(error)) from error


def _xlsx_rows(path: Path, content: bytes) -> list[list[Any]]:
    from openpyxl import load_workbook

    try:
        sheet = load_workbook(io.BytesIO(content), read_only=True, data_only=True).worksheets[0]
        rows = sheet.iter_rows(max_row=MOST_ROWS + 2, max_col=50, values_only=True)
        return [list(row) for row in rows if any(cell not in (None, "") for cell in row)]
    except Exception as error:
        raise InputError("coupon.not_a_table", file=path.name, reason=str(error)[:200]) from error


def coupon_lengths(rows: Sequence[Sequence[Any]], source: str) -> tuple[CouponLength, ...]:
    """Return the lengths of a table whose first row names the columns. Raises InputError."""
    if len(rows) < 2:
        raise InputError("coupon.no_rows", file=source)
    if len(rows) > MOST_ROWS:
        raise InputError("coupon.too_many_rows", file=source, most=MOST_ROWS)
    header = [str(cell or "").strip().lower() for cell in rows[0]]
    columns = {
        name: next((header.index(k) for k in known if k in header), -1) for name, known in _NAMES.items()
    }
    missing = [name for name in ("nominal", "printed", "measured", "side", "axis") if columns[name] < 0]
    if missing:
        raise InputError("coupon.column_missing", file=source, missing=missing)
    return tuple(_length(row, columns, source, number) for number, row in enumerate(rows[1:], start=2))


def _length(row: Sequence[Any], columns: dict[str, int], source: str, number: int) -> CouponLength:
    def cell(name: str) -> Any:
        at = columns[name]
        return row[at] if 0 <= at < len(row) else None

    def length(name: str) -> float:
        value = _number(cell(name))
        if value is None or not 0 < value <= 20_000:
            raise InputError("coupon.bad_number", file=source, row=number, column=name, value=str(cell(name)))
        return value

    side = _SIDES.get(str(cell("side") or "").strip().lower())
    axis = str(cell("axis") or "").strip().lower()
    if side is None or axis not in ("x", "y", "z"):
        raise InputError(
            "coupon.bad_word", file=source, row=number, side=str(cell("side")), axis=str(cell("axis"))
        )
    label = str(cell("label") or "").strip()
    return CouponLength(
        length("nominal"), length("printed"), length("measured"), side, cast(Axis, axis), label
    )


def _number(cell: Any) -> float | None:
    """Return a cell's number: a real number, or text with a decimal point or a decimal comma."""
    if isinstance(cell, bool) or cell is None:
        return None
    if isinstance(cell, (int, float)):
        return float(cell) if math.isfinite(cell) else None
    text = str(cell).strip().removesuffix("mm").strip()
    if text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
