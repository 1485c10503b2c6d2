"""The plan sheet (PDF): what the people at the machine need, in the order of the work, hazards first."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from corelib.export import figures, paper, paper_charts
from corelib.export.cautions import STEPS, cautions_before, lift_flag_kg
from corelib.export.chart import area_over_height
from corelib.export.figures import Plan, label, named, number, quantity, text
from corelib.export.packing_pictures import BoxPictures, placed_extents
from corelib.export.plan_sheet_fields import CARRIERS, SET_POINTS
from corelib.export.plan_sheet_unpacking import UnpackingPart
from corelib.export.quotation_data import quotation_label, ready_text
from corelib.export.reading import box_rows as read_boxes
from corelib.export.reading import core_rows, lines, overrides
from corelib.findings import SEVERITIES

MOST_LEGEND = 18
MOST_BOX_COLUMNS = 5
"""With more boxes the time plan shows their sum alone."""


def plan_sheet(plan: Plan, heading: paper.Heading, pictures: BoxPictures | None = None) -> bytes:
    """Return the plan sheet as PDF; without pictures (the meshes aren't at hand) it says so."""
    sheet = _Sheet(plan, heading, pictures)
    return paper.pdf(heading, list(sheet.story()))


class _Sheet:
    """The parts of the sheet for one plan, each a run of flowables."""

    def __init__(self, plan: Plan, heading: paper.Heading, pictures: BoxPictures | None) -> None:
        self.plan = plan
        self.heading = heading
        self.language = heading.language
        self.width = paper.text_width(heading.paper)
        self.pictures = pictures
        self.shapes = None if pictures is None else pictures.shapes

    def label(self, name: str) -> str:
        return label(name, self.language)

    def story(self) -> Iterator[Flowable]:
        yield from self.first_page()
        yield PageBreak()
        yield from self.findings()
        yield from self.changed_inputs()
        for step, name in zip(STEPS, ("step_1", "step_2", "step_3", "step_4", "step_5"), strict=True):
            yield CondPageBreak(60 * mm)
            yield paper.heading(self.label(name))
            yield from self.cautions(step)
            if step == "step_fill":
                yield from self.materials()
            yield from self.set_points(step)
            if step == "step_print":
                yield from self.layers()
            if step == "step_unpack":
                yield from self.unpacking()
        yield from self.time_plan()
        yield from self.schedule()
        yield from self.cores()
        yield from self.positions()

    def first_page(self) -> Iterator[Flowable]:
        job = self.plan["job"]
        yield paper.paragraph(job["name"], paper.TITLE)
        if job.get("customer"):
            yield paper.paragraph(text("for_customer", self.language, customer=job["customer"]))
        yield Spacer(1, 5)
        if self.heading.out_of_date:
            yield paper.banner(self.label("out_of_date"))
            yield Spacer(1, 5)
        stops = sum(finding["severity"] == "stop" for finding in self.plan["findings"])
        if stops:
            yield paper.banner(text("has_stops", self.language, count=stops))
            yield Spacer(1, 5)
        yield paper.key_figures(self.key_figures())
        yield paper.heading(self.label("rated_loads"), paper.H3)
        yield self.loads()
        if self.pictures is None:
            yield paper.paragraph(self.label("no_pictures"))
        else:
            title = text("packing_picture", self.language, box=1)
            yield paper.heading(title, paper.H3)
            whole = self.pictures.legend()
            legend = whole[:MOST_LEGEND]
            taken = 14 * (bool(stops) + self.heading.out_of_date) + 5 * (
                math.ceil(len(legend) / 3) + (len(whole) > MOST_LEGEND)
            )
            room = {"A4": 140, "Letter": 122}[self.heading.paper] - taken
            yield paper.picture(self.pictures.box(0), self.width, room * mm)
            yield paper_charts.colour_key(legend, self.width)
            if len(whole) > MOST_LEGEND:
                more = text("more_colours", self.language, count=len(whole) - MOST_LEGEND)
                yield paper.paragraph(more, paper.SMALL)

    def key_figures(self) -> list[tuple[str, str]]:
        totals = self.plan["totals"]
        inner = " × ".join(f"{edge:g}" for edge in self.plan["box"]["inner_mm"])
        heights = sorted({round(row.height_mm, 1) for row in read_boxes(self.plan)})
        height = " – ".join(number(edge, self.language) for edge in dict.fromkeys((heights[0], heights[-1])))
        values = {line.code: line.value for line in lines(self.plan, "quantities")}
        shown = [
            (self.label("boxes"), str(len(self.plan["boxes"]))),
            (self.label("core_copies"), str(sum(len(box["placements"]) for box in self.plan["boxes"]))),
            (self.label("box_inner"), f"{inner} mm"),
            (self.label("height_mm"), f"{height} mm"),
            (self.label("layer_count"), number(totals["layer_count"], self.language)),
            (self.label("build_time_s"), quantity(totals["build_time_s"], "s", self.language)),
            (
                self.label("binder_drawn_kg"),
                quantity(values.get("binder_drawn_kg", totals["binder_kg"]), "kg", self.language),
            ),
            (self.label("gross_heaviest"), quantity(totals["gross_box_kg"], "kg", self.language)),
        ]
        return shown

    def loads(self) -> Flowable:
        gross_kg = self.plan["totals"]["gross_box_kg"]
        rows = []
        for name, kind, field in CARRIERS:
            rated = self.plan["profiles"].get(kind, {}).get(field)
            if rated is None:
                rows.append(
                    (
                        self.label(name),
                        self.label("not_stated"),
                        figures.fixed(gross_kg, 0, self.language),
                        "–",
                    )
                )
                continue
            share = f"{figures.fixed(gross_kg / rated * 100, 0, self.language)} %"
            if gross_kg > rated:
                share += " · " + self.label("over_rating")
            rows.append(
                (
                    self.label(name),
                    figures.fixed(rated, 0, self.language),
                    figures.fixed(gross_kg, 0, self.language),
                    share,
                )
            )
        heads = (
            (self.label("carrier"), False),
            (self.label("rated_kg"), True),
            (self.label("heaviest_box_kg"), True),
            (self.label("load_share"), True),
        )
        return paper.table(heads, rows, (3, 2, 2, 3))

    def findings(self) -> Iterator[Flowable]:
        yield paper.heading(self.label("findings"))
        names = figures.core_names(self.plan)
        ordered = sorted(self.plan["findings"], key=lambda finding: SEVERITIES.index(finding["severity"]))
        if not ordered:
            yield paper.paragraph(self.label("no_findings"))
        for finding in ordered:
            core = finding.get("core")
            place = names.get(core, core) if core else ""
            yield paper.finding_box(
                finding["severity"], place, finding["message"], finding.get("remedy", ""), self.language
            )

    def changed_inputs(self) -> Iterator[Flowable]:
        yield paper.heading(self.label("changed_inputs"))
        changed = overrides(self.plan)
        if not changed:
            yield paper.paragraph(self.label("nothing_changed"))
            return
        heads = (
            (self.label("input"), False),
            (self.label("profile_value"), True),
            (self.label("job_value"), True),
        )
        yield paper.table(
            heads,
            [
                (
                    f"{label(item.field, self.language)} ({item.field})",
                    named(item.field, item.profile_value, self.language),
                    named(item.field, item.job_value, self.language),
                )
                for item in changed
            ],
            (5, 2, 2),
        )

    def cautions(self, step: str) -> Iterator[Flowable]:
        yield paper.heading(self.label(step), paper.H3)
        if step == "step_fill":
            yield paper.paragraph(self.label("cautions_defer"), paper.SMALL)
            yield Spacer(1, 3)
        for caution in cautions_before(step, self.plan, self.language):
            yield paper.caution_box(caution)

    def materials(self) -> Iterator[Flowable]:
        values = {line.code: line.value for line in lines(self.plan, "quantities")}
        if "bed_mix_kg" not in values:
            return
        mix_kg = values["bed_mix_kg"] + values["overfeed_mix_kg"]
        rows = [
            (self.label(f"mat_{name}"), quantity(value, "kg", self.language), self.label(f"mat_{name}_note"))
            for name, value in (
                ("mix", mix_kg),
                ("fresh_sand", values["fresh_sand_kg"]),
                ("fresh_additive", values["fresh_additive_kg"]),
                ("binder", values["binder_drawn_kg"]),
            )
        ]
        heads = (
            (self.label("material"), False),
            (self.label("quantity"), True),
            (self.label("remark"), False),
        )
        yield KeepTogether(
            [paper.heading(self.label("materials"), paper.H3), paper.table(heads, rows, (4, 2, 5))]
        )

    def set_points(self, step: str) -> Iterator[Flowable]:
        rows = [self._alloy()] if step == "step_cast" else []
        rows += [row for path in SET_POINTS[step] if (row := self._set_point(path)) is not None]
        if not rows:
            return
        heads = (
            (self.label("set_point"), False),
            (self.label("value"), True),
            (self.label("evidence_source"), False),
        )
        title = paper.heading(self.label("set_points"), paper.H3)
        made = paper.table(heads, rows, (4, 2, 6))
        if len(rows) < 12:
            yield KeepTogether([title, made])
        else:
            yield from paper.long_part(self.label("set_points"), made)

    def _alloy(self) -> tuple[str, str, str]:
        """Return the row on the alloy that is poured, stated or not."""
        alloy = self.plan["job"].get("casting", {}).get("alloy")
        shown = self.label("not_stated") if alloy is None else self.label(f"alloy_{alloy}")
        return self.label("alloy"), shown, "" if alloy is None else self.label("from_job")

    def _set_point(self, path: str) -> tuple[str, str, str] | None:
        kind, _, field = path.partition(".")
        profile = self.plan["profiles"].get(kind, {})
        value = profile.get(field)
        if value is None:
            return None
        changed = {item.field for item in overrides(self.plan)}
        evidence = profile.get("sources", {}).get(field, {})
        source = self.label("from_job") if path in changed else _source(evidence, self.language)
        shown = label(value, self.language) if isinstance(value, str) else named(path, value, self.language)
        return label(path, self.language), shown, source

    def layers(self) -> Iterator[Flowable]:
        for row, box in zip(read_boxes(self.plan), self.plan["boxes"], strict=True):
            title = text(
                "layers_of_box",
                self.language,
                box=row.number + 1,
                count=row.layer_count,
                thickness=number(box["layer_thickness_mm"], self.language),
                height=number(row.height_mm, self.language),
            )
            curve = area_over_height(box["layers"], row.height_mm)
            names = label("axis_height", self.language), label("axis_area", self.language)
            drawing = paper_charts.curve_drawing(curve, self.width, 48 * mm, names, self.language)
            yield KeepTogether([paper.heading(title, paper.H3), drawing])

    def unpacking(self) -> Iterator[Flowable]:
        yield from UnpackingPart(self.plan, self.pictures, self.heading).story()

    def time_plan(self) -> Iterator[Flowable]:
        phases = lines(self.plan, "time")
        if not phases:
            return
        boxes = len(self.plan["boxes"])
        split = 1 < boxes <= MOST_BOX_COLUMNS and all(len(phase.parts) == boxes for phase in phases)
        heads = [(self.label("phase"), False)]
        if split:
            heads += [(text("box_n", self.language, box=index + 1), True) for index in range(boxes)]
        heads.append((self.label("total"), True))
        rows = []
        for phase in phases:
            if not phase.value:
                continue
            parts = [quantity(part.value, "s", self.language) for part in phase.parts] if split else []
            rows.append((self.label(phase.code), *parts, quantity(phase.value, "s", self.language)))
        sums = (
            [math.fsum(phase.parts[index].value for phase in phases) for index in range(boxes)]
            if split
            else []
        )
        whole = [*sums, math.fsum(phase.value for phase in phases)]
        rows.append(
            (self.label("one_after_another"), *(quantity(value, "s", self.language) for value in whole))
        )
        title = paper.heading(self.label("time_plan"))
        widths = (3, *([1.5] * (len(heads) - 1)))
        note = paper.paragraph(self.label("time_note"), paper.SMALL)
        yield KeepTogether([title, paper.table(heads, rows, widths, total_rows=1), note])

    def schedule(self) -> Iterator[Flowable]:
        """Yield the boxes' way through the stations on the shop's calendar, where the plan has it."""
        found = self.plan.get("schedule")
        if not found:
            return
        moments = ("print_start_s", "print_end_s", "cure_start_s", "unpack_start_s", "done_s")
        names = ("print_start", "print_end", "cure_start", "unpack_start", "done")
        rows = [
            (
                str(box["box"] + 1),
                str(box["printer"] + 1),
                *(ready_text(box[moment], found["start_day"], self.language) for moment in moments),
                quantity(box["print_to_cure_s"], "s", self.language),
            )
            for box in found["boxes"]
        ]
        heads = [(quotation_label(name, self.language), True) for name in ("box", "printer", *names, "wait")]
        made = paper.table(heads, rows, (1, 1.2, 2.2, 2.2, 2.2, 2.2, 2.2, 1.6))
        yield from paper.long_part(quotation_label("schedule", self.language), made)

    def cores(self) -> Iterator[Flowable]:
        flag_kg = lift_flag_kg(self.plan)
        heads = (
            (self.label("picture"), False),
            (self.label("core"), False),
            (self.label("copies"), True),
            (self.label("size"), True),
            (self.label("mass_each"), True),
            (self.label("in_boxes"), False),
        )
        rows = []
        for row in core_rows(self.plan):
            png = None if self.pictures is None else self.pictures.core(row.id)
            image: object = "" if png is None else paper.picture(png, 30 * mm, 21 * mm)
            name = row.name + (f" ({self.label('rides_along')})" if row.rides_along else "")
            about = [paper.paragraph(name, paper.CELL)]
            if row.mesh:
                about.append(paper.paragraph(row.mesh, paper.SMALL))
            mass = quantity(row.mass_kg, "kg", self.language)
            if row.mass_kg is not None and row.mass_kg >= flag_kg:
                mass += " " + self.label("lift_flag")
            size = " × ".join(figures.fixed(edge, 1, self.language) for edge in row.size_mm or ()) or "–"
            boxes = ", ".join(str(box + 1) for box in row.boxes) or "–"
            rows.append((image, paper.stack(about), str(row.copies), size, mass, boxes))
        made = paper.table(heads, rows, (3, 4.6, 1.4, 3, 2, 1.5))
        yield from paper.long_part(self.label("core_list"), made, 70 * mm, 12)
        yield paper.paragraph(
            text("hand_over", self.language, mass=number(flag_kg, self.language)), paper.SMALL
        )

    def positions(self) -> Iterator[Flowable]:
        names = figures.core_names(self.plan)
        heads = (
            (self.label("core"), False),
            (self.label("copy"), True),
            (self.label("casting_set"), False),
            (self.label("orientation"), False),
            ("x [mm]", True),
            ("y [mm]", True),
            ("z [mm]", True),
        )
        for box_number, box in enumerate(self.plan["boxes"]):
            rows = [self._position(item, names) for item in box["placements"]]
            if box_number > 0 and self.pictures is not None:  # the first box is on page 1
                title = text("packing_picture", self.language, box=box_number + 1)
                png = self.pictures.box(box_number)
                yield KeepTogether([paper.heading(title, paper.H3), paper.picture(png, self.width, 80 * mm)])
            title = text("positions", self.language, box=box_number + 1)
            made = paper.table(heads, rows, (3.6, 1.2, 1.8, 3.5, 2.5, 2.3, 2.2))
            yield from paper.long_part(title, made)
        yield from self.kept_free()
        yield paper.paragraph(self.label("positions_note"), paper.SMALL)

    def kept_free(self) -> Iterator[Flowable]:
        """Yield the regions in which the job lets no core lie, if it states any."""
        regions = self.plan["job"].get("box", {}).get("keep_out", ())
        if not regions:
            return
        heads = [(self.label("kept_free_why"), False), *((f"{axis} [mm]", True) for axis in "xyz")]
        heads.append((self.label("kept_free_gap"), True))
        rows = [
            (
                region["reason"],
                *(
                    f"{figures.place(low, self.language)}\u00a0–\u00a0{figures.place(high, self.language)}"
                    for low, high in zip(region["low_mm"], region["high_mm"], strict=True)
                ),
                quantity(region.get("gap_mm", 0.0), "mm", self.language),
            )
            for region in regions
        ]
        yield from paper.long_part(
            self.label("kept_free"), paper.table(heads, rows, (4.4, 2.3, 2.3, 2.3, 3.3))
        )

    def _position(self, item: Mapping[str, Any], names: Mapping[str, str]) -> tuple[str, ...]:
        shape = None if self.shapes is None else self.shapes.get(item["core"])
        spans = ["–", "–", "–"]
        if shape is not None:
            low, high = placed_extents(shape, item["matrix"])
            spans = [
                f"{figures.place(first, self.language)}\u00a0–\u00a0{figures.place(last, self.language)}"
                for first, last in zip(low.tolist(), high.tolist(), strict=True)
            ]
        set_ = "–" if item.get("set_id") is None else f"{item['set_id']} {item['set_index'] + 1}"
        return names[item["core"]], str(item["copy"] + 1), set_, self._lies(item), *spans

    def _lies(self, item: Mapping[str, Any]) -> str:
        """Return how a copy lies, in the sheet's language."""
        orientation = item.get("orientation")
        if not orientation or not isinstance(orientation["down"], str):
            return str(item.get("orientation_label", ""))
        words = text("lies_down", self.language, down=orientation["down"].replace("-", "−"))
        yaw = orientation["yaw_deg"]
        return words + (text("lies_turned", self.language, yaw=number(yaw, self.language)) if yaw else "")


def _source(evidence: Mapping[str, Any], language: str) -> str:
    """Return how well a value is known and from where, once where both say the same."""
    if not evidence:
        return ""
    return figures.source_words(evidence, label(f"evidence.{evidence['evidence']}", language), language)
