"""A packing in lines for a terminal: boxes, how they are unpacked, what was searched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from corelib.findings import Finding
from corelib.nesting.extraction import Extraction
from corelib.nesting.keeping import Changes
from corelib.nesting.quality import BoxQuality
from corelib.nesting.wishes import WishMet
from corelib.wording import finding_wording, label

SHEET = "nesting"
LISTED = 20


def box_lines(boxes: Sequence[BoxQuality], language: str = "en") -> list[str]:
    """Return a line for each box: cores, sets, height, fill, least height, what limits it."""
    lines = []
    for one in boxes:
        sets = label(SHEET, "sets", language, count=one.whole_sets) if one.whole_sets else ""
        lines.append(
            label(
                SHEET, "box", language,
                box=one.box + 1, cores=one.cores, sets=sets, height_mm=f"{one.height_mm:.1f}",
                fill_pct=f"{one.fill_pct:.1f}", bound_mm=f"{one.bound_mm:.1f}",
                bound=label(SHEET, _key(one.bound_by), language),
                above_pct=f"{one.above_bound_pct:.0f}", limit=label(SHEET, _key(one.limited_by), language),
            )
        )  # fmt: skip
    return lines


def _key(limit: str) -> str:
    return "limit_" + limit.replace(" ", "_")


def order_lines(orders: Sequence[Extraction], language: str = "en") -> list[str]:
    """Return a line for each box: sand levels, ways, and what can't be drawn."""
    lines = []
    for order in orders:
        draws = [draw for stage in order.stages for draw in stage.draws]
        counts = {
            "tilted": sum(draw.way.kind == "tilted" for draw in draws),
            "sideways": sum(draw.way.kind == "sideways" for draw in draws),
            "slid": sum(draw.way.kind == "slid" for draw in draws),
            "by_hand": sum(draw.held_by_hand for draw in draws),
        }
        ways = [label(SHEET, name, language, count=count) for name, count in counts.items() if count]
        if all(draw.way.kind == "up" for draw in draws):
            ways.insert(0, label(SHEET, "straight", language))
        if order.left:
            ways.append(label(SHEET, "left", language, count=len(order.left)))
        lines.append(
            label(
                SHEET, "unpacking", language,
                box=order.box + 1, stages=len(order.stages), ways=", ".join(ways),
            )
        )  # fmt: skip
    return lines


def finding_lines(findings: Sequence[Finding], names: Mapping[str, str], language: str = "en") -> list[str]:
    """Return a line for each finding, worst first."""
    lines = []
    for finding in findings:
        name = names.get(finding.core) if finding.core else None
        text = finding_wording(finding, name, language)
        lines.append(f"  {finding.severity.upper():6} {text.message} {text.next}".rstrip())
    return lines


def wish_lines(wishes: Sequence[WishMet], language: str = "en") -> list[str]:
    """Return a line for each box and wish: how well it is met."""
    return [
        label(
            SHEET, one.wish, language,
            box=one.box + 1, met_pct=f"{one.met_pct:.0f}", figure=f"{one.figure or 0.0:.0f}",
        )
        for one in wishes
    ]  # fmt: skip


def change_lines(changes: Changes, names: Mapping[str, str], language: str = "en") -> list[str]:
    """Return what stayed, and by name what was moved, added and dropped."""
    lines = [label(SHEET, "kept", language, count=len(changes.kept))]
    for name, copies in (("moved", changes.moved), ("added", changes.added), ("dropped", changes.dropped)):
        if copies:
            listed = ", ".join(f"{names.get(core, core)} {number + 1}" for core, number in copies[:LISTED])
            more = label(SHEET, "more", language, count=len(copies) - LISTED) if len(copies) > LISTED else ""
            lines.append(label(SHEET, name, language, count=len(copies), copies=listed + more))
    return lines


def search_line(seed: int, effort: int, ended_early: bool, language: str = "en") -> str:
    """Return what was searched: seed and candidate evaluations, and whether it was cancelled."""
    line = label(SHEET, "search", language, seed=seed, effort=effort)
    return f"{line} {label(SHEET, 'ended_early', language)}" if ended_early else line


def most_sets_text(sets: int, language: str = "en") -> str:
    """Return how many sets of each kind a full box holds."""
    return label(SHEET, "most_sets", language, count=sets) if sets else label(SHEET, "no_sets", language)
