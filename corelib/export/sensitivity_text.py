"""The ranked table of sensitivities as lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from corelib.checks.process_sensitivity import Sensitivity
from corelib.wording import label

MOST_ROWS = 10


def sensitivity_lines(found: Sequence[Sensitivity], language: str = "en", most: int = MOST_ROWS) -> list[str]:
    """Return the lines of the ranked tables, one a figure, at most `most` rows each."""
    lines = [label("sensitivity", "title", language), label("sensitivity", "about", language)]
    for figure, rows in groupby(found, key=lambda one: one.figure):
        lines += ["", label("sensitivity", figure, language), *_rows(list(rows)[:most], language)]
    return lines


def _rows(rows: Sequence[Sensitivity], language: str) -> Iterator[str]:
    names = ("input", "value", "half_width", "elasticity", "swing", "evidence")
    heads = [label("sensitivity", name, language) for name in names]
    yield f"  {heads[0]:<38}{heads[1]:>11}{heads[2]:>11}{heads[3]:>12}{heads[4]:>11}  {heads[5]}"
    for row in rows:
        known = label("sensitivity", "is_set", language) if row.is_set else row.evidence
        yield (
            f"  {row.field:<38}{row.value:>11.4g}{row.half_width:>11.3g}"
            f"{row.elasticity:>+12.3f}{row.swing_pct:>+10.2f}%  {known}"
        )
