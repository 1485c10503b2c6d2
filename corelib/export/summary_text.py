"""The plan as a short text for a terminal: what a foreman wants to know first."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import Any

from corelib.units import L_PER_MM3, show_duration
from corelib.wording import label

WIDTH = 78
INDENT = " " * 18


def summary_lines(plan: Mapping[str, Any]) -> list[str]:
    """Return the lines of the summary of a plan document."""
    return [*_head(plan), "", *_totals(plan), "", *_boxes(plan), "", *_cores(plan), "", *_findings(plan)]


def _head(plan: Mapping[str, Any]) -> list[str]:
    job, inner = plan["job"], plan["box"]["inner_mm"]
    size = " × ".join(f"{length:g}" for length in inner)
    layer = plan["boxes"][0]["layer_thickness_mm"]
    lines = [job["name"]]
    if job.get("customer"):
        lines.append(f"for {job['customer']}")
    lines.append(f"Build box {size} mm, layers of {layer:g} mm, gap {plan['gap_mm']:g} mm")
    return lines


def _totals(plan: Mapping[str, Any]) -> list[str]:
    totals = plan["totals"]
    rows = [
        ("Boxes", f"{totals['boxes']}, with {totals['cores']} pieces"),
        ("Layers", f"{totals['layer_count']}"),
        ("Build time", f"{show_duration(totals['build_time_s'])} (warm-up and printing of all boxes)"),
        ("Printed volume", f"{totals['printed_volume_mm3'] * L_PER_MM3:.2f} L"),
        ("Printed sand", f"{totals['printed_sand_kg']:.1f} kg"),
        ("Binder", f"{totals['binder_l']:.2f} L ({totals['binder_kg']:.2f} kg) in the cores"),
        ("Bed", f"{totals['bed_sand_kg']:.0f} kg sand, {totals['additive_kg']:.1f} kg additive"),
        (
            "Energy",
            f"{totals['energy_kwh']:.0f} kWh (between {totals['energy_least_kwh']:.0f} and "
            f"{totals['energy_most_kwh']:.0f})",
        ),
        ("Heaviest box", f"{totals['gross_box_kg']:.0f} kg gross"),
        ("Cost", _money(plan)),
        *_lead_time(plan),
    ]
    return [f"  {name:<16}{value}" for name, value in rows]


def _money(plan: Mapping[str, Any]) -> str:
    totals = plan["totals"]
    if totals["cost"] is None:
        return "not given: rates are missing (see the findings)"
    kinds: dict[str, float] = {}
    for line in plan["lines"]["cost"]:
        kinds[line["kind"]] = kinds.get(line["kind"], 0.0) + float(line["value"])
    largest = sorted((kind for kind in kinds if kind != "margin"), key=lambda kind: -kinds[kind])[:3]
    parts = ", ".join(f"{kind} {kinds[kind]:.2f}" for kind in largest)
    cost, currency = totals["cost"], totals["currency"]
    rest = f"largest: {parts}"
    spread = plan.get("spread")
    if spread is None:
        return f"{cost} {currency} without margin and tax\n{INDENT}{rest}"
    low, _, high = (f"{float(f'{value:.3g}'):g}" for value in spread["cost"])
    return (
        f"about {spread['cost_about']:g} {currency} without margin and tax (reckoned {cost})\n"
        f"{INDENT}between {low} and {high} in eight of ten draws; evidence: {spread['evidence']}\n"
        f"{INDENT}{rest}"
    )


def _lead_time(plan: Mapping[str, Any]) -> list[tuple[str, str]]:
    schedule = plan.get("schedule")
    if schedule is None:
        return []
    days = schedule["lead_time_days"]
    span = f"{days} calendar day{'s' if days > 1 else ''}"
    return [("Lead time", f"{span} from the start of work, on the shop's shifts, in a free shop")]


def _boxes(plan: Mapping[str, Any]) -> list[str]:
    lines = ["  Box  Pieces  Layers  Height     Build time   Binder   Gross"]
    for number, box in enumerate(plan["boxes"], start=1):
        binder_l = sum(layer["binder_ml"] for layer in box["layers"]) / 1000
        lines.append(
            f"  {number:>3}  {len(box['placements']):>6}  {len(box['layers']):>6}  "
            f"{box['height_mm']:>7.1f} mm {show_duration(box['build_time_s']):>11}  "
            f"{binder_l:>6.2f} L  {box['gross_box_kg']:>4.0f} kg"
        )
    return [*lines, *_wishes(plan)]


def _wishes(plan: Mapping[str, Any]) -> list[str]:
    """Return how well each box meets the job's wishes for its packing, if it states any."""
    lines = []
    for number, box in enumerate(plan["boxes"], start=1):
        for one in box.get("wishes", ()):
            facts = {"met_pct": f"{one['met_pct']:.0f}", "figure": f"{one['figure'] or 0.0:.0f}"}
            text = label("nesting", one["wish"], box=number, **facts)
            lines += _wrapped(text, "  ")
    return ["", *lines] if lines else []


def _cores(plan: Mapping[str, Any]) -> list[str]:
    lines = ["  Core                             Copies   Mass each   Cost each"]
    for core in plan["cores"]:
        name = core["name"] if len(core["name"]) <= 31 else core["name"][:30] + "…"
        mass = "" if core["mass_kg"] is None else f"{core['mass_kg']:.2f} kg"
        cost = core["cost"] or ""
        lines.append(f"  {name:<31}  {core['copies']:>6}  {mass:>10}  {cost:>10}")
    return lines


def _findings(plan: Mapping[str, Any]) -> list[str]:
    findings = plan["findings"]
    if not findings:
        return ["No findings."]
    lines = [f"{len(findings)} finding" + (":" if len(findings) == 1 else "s:")]
    for finding in findings:
        lines += [
            *_wrapped(f"{finding['severity'].upper()}  {finding['message']}", "  "),
            *_wrapped(finding["remedy"], "        "),
        ]
    return lines


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")
