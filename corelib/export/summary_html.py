"""The plan as one page that a foreman reads on a screen or prints: self-contained HTML, light and dark."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from typing import Any

from corelib.export import figures
from corelib.export.cautions import STEPS, cautions_before, lift_flag_kg
from corelib.export.chart import Curve, area_over_height
from corelib.export.figures import Plan, label, money, named, number, quantity, text
from corelib.export.page import html_page, html_table, safe
from corelib.export.reading import Line, box_rows, core_rows, lines, listed, overrides
from corelib.findings import SEVERITIES

TOTALS = (
    "layer_count",
    "build_time_s",
    "printed_volume_mm3",
    "printed_sand_kg",
    "binder_l",
    "binder_kg",
    "bed_sand_kg",
    "additive_kg",
    "energy_kwh",
    "gross_box_kg",
)


def summary_page(
    plan: Plan,
    *,
    language: str = "en",
    pictures: Mapping[int, bytes] | None = None,
    out_of_date: bool = False,
) -> str:
    """Return the page for a plan document; `pictures` holds a PNG of the packing by box number."""
    page = _Page(plan, language)
    parts = [
        page.head(out_of_date),
        page.key_figures(),
        page.findings(),
        page.boxes(pictures or {}),
        page.cores(),
        page.opened("time"),
        page.opened("quantities"),
        page.opened("cost"),
        page.changed_inputs(),
        page.cautions(),
        page.foot(),
    ]
    return html_page(plan["job"]["name"], parts, language)


def _opening(line: Line, plan: Plan, language: str) -> str:
    """Return a line that opens to its formula, inputs and parts."""
    currency = plan["job"]["currency"]
    shown = (
        money(line.value, currency, language)
        if line.unit == currency
        else quantity(line.value, line.unit, language)
    )
    inside = [f"<p><code>{safe(line.formula)}</code></p>"] if line.formula else []
    rows = [(label(name, language), name, named(name, value, language)) for name, value in line.inputs]
    if rows and not line.parts:
        heads = (
            (label("input", language), False),
            (label("name", language), False),
            (label("value", language), True),
        )
        inside.append(html_table(heads, rows))
    inside += [_opening(part, plan, language) for part in line.parts]
    return (
        f'<details><summary><span>{safe(label(line.code, language))}</span><span class="n">{safe(shown)}'
        f"</span></summary>{''.join(inside)}</details>"
    )


def _chart(curve: Curve, title: str, x_name: str, y_name: str, language: str) -> str:
    """Return the curve as inline SVG, 800 by 240, with its axes named."""
    left, top, width, height = 62.0, 12.0, 726.0, 180.0

    def x(value: float) -> float:
        return left + value / curve.x_end * width

    def y(value: float) -> float:
        return top + height - value / curve.y_end * height

    base = f"{y(0.0):.1f}"
    stair = " ".join(f"{x(px):.1f},{y(py):.1f}" for px, py in curve.points)
    first, last = (curve.points[0][0], curve.points[-1][0]) if curve.points else (0.0, 0.0)
    marks = [
        f'<line x1="{left}" x2="{left + width}" y1="{y(value):.1f}" y2="{y(value):.1f}" '
        f'stroke="var(--line)"/><text x="{left - 6}" y="{y(value) + 4:.1f}" text-anchor="end">'
        f"{safe(number(value, language))}</text>"
        for value in curve.y_ticks
    ]
    marks += [
        f'<text x="{x(value):.1f}" y="{top + height + 16:.1f}" text-anchor="middle">'
        f"{safe(number(value, language))}</text>"
        for value in curve.x_ticks
    ]
    return (
        f'<svg viewBox="0 0 800 236" role="img" aria-label="{safe(title)}">{"".join(marks)}'
        f'<polygon fill="var(--area)" fill-opacity=".45" points="{x(first):.1f},{base} {stair} '
        f'{x(last):.1f},{base}"/><polyline fill="none" stroke="var(--area)" stroke-width="1.2" '
        f'points="{stair}"/><text x="{left + width / 2}" y="{top + height + 36}" text-anchor="middle">'
        f'{safe(x_name)}</text><text x="14" y="{top + height / 2}" text-anchor="middle" '
        f'transform="rotate(-90 14 {top + height / 2})">{safe(y_name)}</text></svg>'
    )


class _Page:
    """The sections of the page for one plan in one language."""

    def __init__(self, plan: Plan, language: str) -> None:
        self.plan = plan
        self.language = language
        self.job = plan["job"]
        self.totals: Mapping[str, Any] = plan["totals"]

    def label(self, name: str) -> str:
        return safe(label(name, self.language))

    def head(self, out_of_date: bool) -> str:
        customer = f'<p class="soft">{safe(self.job["customer"])}</p>' if self.job.get("customer") else ""
        parts = [f"<h1>{safe(self.job['name'])}</h1>{customer}"]
        if out_of_date:
            parts.append(f'<p class="banner">{self.label("out_of_date")}</p>')
        stops = sum(finding["severity"] == "stop" for finding in self.plan["findings"])
        if stops:
            parts.append(f'<p class="banner">{safe(text("has_stops", self.language, count=stops))}</p>')
        if self.job.get("notes"):
            parts.append(f"<p>{safe(self.job['notes'])}</p>")
        return "<header>" + "\n".join(parts) + "</header>"

    def key_figures(self) -> str:
        copies = sum(len(box["placements"]) for box in self.plan["boxes"])
        shown = [
            (label("boxes", self.language), str(len(self.plan["boxes"]))),
            (label("core_copies", self.language), str(copies)),
        ]
        shown += [
            (label(name, self.language), named(name, self.totals[name], self.language))
            for name in TOTALS
            if self.totals.get(name) is not None
        ]
        if self.totals.get("cost") is not None:
            shown.append(
                (
                    label("total_cost", self.language),
                    money(self.totals["cost"], self.job["currency"], self.language) + self.cost_range(),
                )
            )
        tiles = "".join(f"<div><dt>{safe(name)}</dt><dd>{safe(value)}</dd></div>" for name, value in shown)
        return f'<dl class="key">{tiles}</dl>'

    def cost_range(self) -> str:
        """Return how sure the cost is: P10 to P90 and the weakest main evidence."""
        spread = self.plan.get("spread")
        if spread is None:
            return ""
        low, high = (number(spread["cost"][place], self.language, 3) for place in (0, 2))
        return f" ({low} – {high}, {label('evidence.' + str(spread['evidence']), self.language)})"

    def findings(self) -> str:
        names = figures.core_names(self.plan)
        ordered = sorted(self.plan["findings"], key=lambda finding: SEVERITIES.index(finding["severity"]))
        if not ordered:
            return f"<h2>{self.label('findings')}</h2><p>{self.label('no_findings')}</p>"
        shown = []
        for finding in ordered:
            core = finding.get("core")
            place = f'<span class="soft"> {safe(names.get(core, core))}</span>' if core else ""
            remedy = f"<p>{safe(finding['remedy'])}</p>" if finding.get("remedy") else ""
            shown.append(
                f'<div class="finding {safe(finding["severity"])}"><b>{self.label(finding["severity"])}</b>'
                f"{place}<p>{safe(finding['message'])}</p>{remedy}</div>"
            )
        return f"<h2>{self.label('findings')}</h2>" + "\n".join(shown)

    def boxes(self, pictures: Mapping[int, bytes]) -> str:
        heads = [
            (label("box", self.language), True),
            (label("cores", self.language), False),
            (label("height_mm", self.language) + " [mm]", True),
            (label("layer_count", self.language), True),
            (label("printed_volume_mm3", self.language), True),
            (label("build_time_s", self.language), True),
            (label("gross_box_kg", self.language) + " [kg]", True),
        ]
        rows = [
            (
                str(row.number + 1),
                listed(row.copies, self.language),
                figures.fixed(row.height_mm, 1, self.language),
                str(row.layer_count),
                quantity(row.printed_volume_mm3, "mm³", self.language),
                quantity(row.build_time_s, "s", self.language),
                quantity(row.gross_kg, "", self.language),
            )
            for row in box_rows(self.plan)
        ]
        parts = [f"<h2>{self.label('boxes')}</h2>", html_table(heads, rows)]
        for number_, box in enumerate(self.plan["boxes"]):
            title = text("area_chart", self.language, box=number_ + 1)
            parts.append(f"<h3>{safe(title)}</h3>")
            if number_ in pictures:
                image = base64.b64encode(pictures[number_]).decode("ascii")
                alt = safe(text("packing_picture", self.language, box=number_ + 1))
                parts.append(f'<img alt="{alt}" src="data:image/png;base64,{image}">')
            curve = area_over_height(box["layers"], box["height_mm"])
            names = label("axis_height", self.language), label("axis_area", self.language)
            parts.append(_chart(curve, title, *names, self.language))
        return "\n".join(parts)

    def cores(self) -> str:
        flag_kg = lift_flag_kg(self.plan)
        heads = [
            (label("core", self.language), False),
            (label("copies", self.language), True),
            (label("size", self.language), True),
            (label("core_volume_mm3", self.language), True),
            (label("mass_each", self.language), True),
            (label("in_boxes", self.language), False),
        ]
        rows = []
        for row in core_rows(self.plan):
            size = " × ".join(number(edge, self.language) for edge in row.size_mm) if row.size_mm else "–"
            mass = quantity(row.mass_kg, "kg", self.language)
            if row.mass_kg is not None and row.mass_kg >= flag_kg:
                mass += " " + label("lift_flag", self.language)
            boxes = ", ".join(str(box + 1) for box in row.boxes) or "–"
            volume = quantity(row.volume_mm3, "mm³", self.language)
            rows.append((row.name, str(row.copies), size, volume, mass, boxes))
        return f"<h2>{self.label('cores')}</h2>" + html_table(heads, rows)

    def opened(self, group: str) -> str:
        found = lines(self.plan, group)
        if not found:
            return ""
        shown = "\n".join(_opening(line, self.plan, self.language) for line in found)
        return f"<h2>{self.label(group)}</h2><p class='soft'>{self.label('opens')}</p>{shown}"

    def changed_inputs(self) -> str:
        changed = overrides(self.plan)
        if not changed:
            return f"<h2>{self.label('changed_inputs')}</h2><p>{self.label('nothing_changed')}</p>"
        heads = [
            (label("input", self.language), False),
            (label("profile_value", self.language), True),
            (label("job_value", self.language), True),
        ]
        rows = [
            (
                f"{label(item.field, self.language)} ({item.field})",
                named(item.field, item.profile_value, self.language),
                named(item.field, item.job_value, self.language),
            )
            for item in changed
        ]
        return f"<h2>{self.label('changed_inputs')}</h2>" + html_table(heads, rows)

    def cautions(self) -> str:
        parts = [f"<h2>{self.label('cautions')}</h2><p>{self.label('cautions_defer')}</p>"]
        for step in STEPS:
            parts.append(f"<h3>{self.label(step)}</h3>")
            parts += [
                f'<div class="caution"><b>{safe(caution.wording.what)}</b>'
                f"<p>{safe(caution.wording.why)}</p><p>{safe(caution.wording.next)}</p>"
                + (f"<p><b>{safe(caution.stop)}</b></p>" if caution.stop else "")
                + "</div>"
                for caution in cautions_before(step, self.plan, self.language)
            ]
        return "\n".join(parts)

    def foot(self) -> str:
        facts = {"version": self.plan.get("version", ""), "hash": str(self.plan.get("job_sha256", ""))[:12]}
        return f'<p class="soft">{safe(text("made_by", self.language, **facts))}</p>'
