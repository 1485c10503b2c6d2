"""A comparison of plans as text for a terminal."""

from __future__ import annotations

from corelib.comparison import Comparison, FigureRow
from corelib.units import show_duration
from corelib.wording import wording

LABELS = {
    "boxes": "Boxes",
    "height_mm": "Height of bed",
    "fill_pct": "Core in the bed",
    "layer_count": "Layers",
    "build_time_s": "Build time",
    "cost": "Cost",
    "cost_a_set": "Cost a casting set",
    "price": "Price",
    "binder_l": "Binder in cores",
    "bed_sand_kg": "Sand in the bed",
    "energy_kwh": "Energy",
    "gross_box_kg": "Heaviest box",
    "handling_h": "Unpack and finish",
    "heavy_pieces": "Pieces over the hand limit",
    "stops": "Stops",
    "checks": "Checks",
}
WIDTH = 24


def comparison_lines(comparison: Comparison, language: str = "en") -> list[str]:
    """Return the lines: a table with differences to the first plan (best marked *), then the statements."""
    head = f"{'':<28}" + "".join(f"{_cut(name):>{WIDTH}}" for name in comparison.names)
    lines = [head]
    for row in comparison.rows:
        label = LABELS[row.code] + (f" ({row.unit})" if row.unit not in ("-", "s") else "")
        lines.append(f"{label:<28}" + "".join(f"{cell:>{WIDTH}}" for cell in _cells(row)))
    lines.append("* best of all; differences are to the first plan")
    lines.append("")
    for statement in comparison.statements:
        words = wording(statement.code, statement.facts, language)
        lines.append(" ".join(part for part in (words.message, words.next) if part))
    return lines


def _cells(row: FigureRow) -> list[str]:
    cells = []
    for number, value in enumerate(row.values):
        if value is None:
            cells.append("–")
            continue
        text = show_duration(value) if row.unit == "s" else _number(value, row.unit)
        percent = row.differences_pct[number]
        if number > 0 and percent is not None and abs(percent) >= 0.05:
            text += f" ({percent:+.1f} %)"
        cells.append(text + ("*" if number in row.best else " "))
    return cells


def _number(value: float, unit: str) -> str:
    if unit == "-":
        return f"{value:.0f}"
    return f"{value:.2f}" if abs(value) < 100 or unit.isupper() else f"{value:.0f}"


def _cut(name: str) -> str:
    return name if len(name) < WIDTH else name[: WIDTH - 2] + "…"
