"""The layers of all boxes as a table of comma-separated values (RFC 4180: CRLF, quotes where needed)."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

COLUMNS = (
    "box",
    "layer",
    "z_mm",
    "printed_area_mm2",
    "nominal_area_mm2",
    "boundary_mm",
    "binder_ml",
    "time_s",
)
"""`box` and `layer` count from 0, as in plan.json; `z_mm` is the bottom of the layer."""
SIGNIFICANT_DIGITS = 12


def layers_table(plan: Mapping[str, Any], *, separator: str = ",", decimal_sign: str = ".") -> str:
    """Return the table of a plan document; `;` and `,` suit spreadsheets of a decimal-comma locale."""
    if separator == decimal_sign:
        raise ValueError("the separator of the columns can't be the decimal sign")
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for box_number, box in enumerate(plan["boxes"]):
        for layer_number, layer in enumerate(box["layers"]):
            figures = (_shown(layer[column], decimal_sign) for column in COLUMNS[2:])
            writer.writerow([box_number, layer_number, *figures])
    return text.getvalue()


def _shown(value: Any, decimal_sign: str) -> str:
    if value is None:
        return ""
    shown = f"{float(value):.{SIGNIFICANT_DIGITS}g}"
    return shown if decimal_sign == "." else shown.replace(".", decimal_sign)
