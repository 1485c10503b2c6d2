"""The quotation as a short text for a terminal, for inside: each price with its range and its evidence."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import Any

from corelib.cost.quotation import Calculated
from corelib.cost.uncertainty import Uncertainty

WIDTH = 100
MOST_CAUSES = 5
STAGES = {"first": "First figure, quick packing", "packed": "Packed"}


def quotation_lines(sheet: Mapping[str, Any]) -> list[str]:
    """Return the lines of an internal cost sheet's summary."""
    currency = sheet["currency"]
    lines = [
        f"{sheet['name']}: prices in {currency}, without tax; ranges from P10 to P90 of seeded draws",
        "",
        "   Sets  Boxes   Price of a set        Total     Range of the total    Evidence      Lead time",
    ]
    lines += [_row(entry) for entry in sheet["quantities"]]
    causes = sheet["quantities"][0]["spread"]["causes"][:MOST_CAUSES]
    lines += [
        "",
        "Most of the spread comes from: " + ", ".join(f"{c['name']} ({c['share']:.0%})" for c in causes),
    ]
    lines += _crossing(sheet["break_even"])
    for finding in sheet["findings"]:
        lines += _finding(finding, "")
    for entry in sheet["quantities"]:
        for finding in entry["findings"]:
            lines += _finding(finding, f"{entry['sets']} sets: ")
    return lines


def _finding(finding: Mapping[str, Any], about: str) -> list[str]:
    text = f"{finding['severity'].upper()}  {about}{finding['message']} {finding['remedy']}"
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="        ")


def _row(entry: Mapping[str, Any]) -> str:
    low, _, high = entry["spread"]["price"]
    early, late = entry["lead_time_days_early"], entry["lead_time_days_late"]
    days = f"{late} d" if early == late else f"{early} to {late} d"
    return (
        f"  {entry['sets']:>5}  {entry['boxes']:>5}  {entry['unit_price']:>15}  {entry['total_price']:>11}  "
        f"{_about(low):>9} to {_about(high):<9}  {entry['spread']['evidence'] or '':<15} {days}"
    )


def _about(amount: float) -> str:
    return f"{amount:.3g}" if abs(amount) < 1000 else f"{float(f'{amount:.3g}'):.0f}"


def _crossing(found: Mapping[str, Any] | None) -> list[str]:
    if found is None:
        return []
    if found["verdict"] == "range":
        low, likely, high = found["low"], found["likely"], found["high"]
        return [f"A core box is cheaper from {likely} sets on (between {low} and {high})."]
    says = {
        "printing throughout": "Printing stays cheaper than a core box at every quantity.",
        "core box throughout": "A core box is cheaper from the first set.",
        "open": "No break-even can be named: the bands of both ways overlap at every quantity.",
    }
    return [says[found["verdict"]]]


def reckoned_line(stage: str, reckoned: Calculated, spread: Uncertainty, currency: str) -> str:
    """Return one line for a quantity as soon as it is reckoned, before prices are firm.

    `stage` is `first` for a quick packing in rows, `packed` for the one that counts.
    """
    unit = reckoned.price / reckoned.sets
    low, _, high = (value / reckoned.sets for value in spread.price)
    sets, boxes = _counted(reckoned.sets, "set"), _counted(reckoned.boxes, "box", "boxes")
    return (
        f"{STAGES[stage]}: {sets} in {boxes}, {unit:.2f} {currency} a set "
        f"({_about(low)} to {_about(high)}, {spread.evidence})"
    )


def _counted(count: int, one: str, several: str | None = None) -> str:
    return f"{count} {one if count == 1 else several or one + 's'}"
