"""The part of the plan sheet on unpacking: each box in stages of falling sand, with what is drawn in turn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable

from corelib.export import figures, paper
from corelib.export.figures import Plan, label, text
from corelib.export.packing_pictures import BoxPictures, placed_extents

MOST_STAGE_PICTURES = 24
"""With more stages of unpacking one picture stands for several."""
MOST_DRAWS = 12
"""Draws listed beside a stage's picture; the rest of a longer stage follows under the pictures."""


class UnpackingPart:
    """The unpacking of all boxes of a plan as flowables."""

    def __init__(self, plan: Plan, pictures: BoxPictures | None, heading: paper.Heading) -> None:
        self.plan, self.pictures, self.language = plan, pictures, heading.language
        self.width = paper.text_width(heading.paper)
        self.shapes = None if pictures is None else pictures.shapes

    def label(self, name: str) -> str:
        """Return a label in the sheet's language."""
        return label(name, self.language)

    def story(self) -> Iterator[Flowable]:
        """Yield the stages of each box, or the cores from the top down where there is no order."""
        for number_, box in enumerate(self.plan["boxes"]):
            yield CondPageBreak(85 * mm)
            yield paper.heading(text("unpacking_order", self.language, box=number_ + 1), paper.H3)
            found = box.get("unpacking")
            if found is not None:
                yield paper.paragraph(self.label("in_colour"), paper.SMALL)
                stages = found["stages"]
                each = math.ceil(len(stages) / MOST_STAGE_PICTURES) or 1
                starts = range(0, len(stages), each)
                cells = [self.stages(number_, stages, first, first + each) for first in starts]
                yield paper.grid(cells, 2)
                yield from self.long_stages(stages)
                yield from self.left(found.get("left", ()))
            elif self.shapes is not None:
                yield paper.paragraph(self.label("no_order"), paper.SMALL)
                yield self.from_the_top(box)

    def stages(self, box_number: int, stages: Sequence[Mapping[str, Any]], first: int, end: int) -> Flowable:
        """Return some stages of unpacking: how far the sand goes down, what is drawn in turn; one picture."""
        names = figures.core_names(self.plan)
        parts: list[Flowable] = []
        for place, stage in enumerate(stages[first:end], start=first):
            level = figures.place(stage["sand_mm"], self.language)
            title = text("stage_n", self.language, stage=place + 1, level=level)
            parts.append(paper.heading(title, paper.H3))
            draws = stage["draws"]
            parts += [paper.bullet(self._drawn(draw, names)) for draw in draws[:MOST_DRAWS]]
            if len(draws) > MOST_DRAWS:
                more = text("more_draws", self.language, count=len(draws) - MOST_DRAWS)
                parts.append(paper.paragraph(more, paper.SMALL))
        if self.pictures is not None:
            png = self.pictures.stages(box_number, stages, first, min(end, len(stages)) - 1)
            parts.append(paper.picture(png, self.width * 0.46, 50 * mm))
        return paper.stack(parts)

    def long_stages(self, stages: Sequence[Mapping[str, Any]]) -> Iterator[Flowable]:
        """Yield the whole of the stages that have more draws than fit beside a picture."""
        names = figures.core_names(self.plan)
        for number_, stage in enumerate(stages, start=1):
            if len(stage["draws"]) > MOST_DRAWS:
                drawn = " · ".join(self._drawn(draw, names) for draw in stage["draws"])
                yield paper.paragraph(text("stage_list", self.language, stage=number_, draws=drawn))

    def _drawn(self, draw: Mapping[str, Any], names: Mapping[str, str]) -> str:
        return f"{names[draw['core']]}, {draw['copy'] + 1}{self._how_drawn(draw)}"

    def _how_drawn(self, draw: Mapping[str, Any]) -> str:
        """Return what is special about a draw: a way other than up, no room to grip, a hand that holds it."""
        along, across = draw.get("tilt") or (0.0, 0.0)
        said = ""
        if along or across:
            slant = math.degrees(math.atan(math.hypot(along, across)))
            way = math.degrees(math.atan2(across, along)) % 360.0
            said += text("draw_slanted", self.language, slant=f"{slant:.0f}", way=f"{way:.0f}")
        if draw.get("way") in ("sideways", "slid"):
            x, y, _ = draw["moves_mm"][0]
            towards = f"{math.degrees(math.atan2(y, x)) % 360.0:.0f}"
            said += text(f"draw_{draw['way']}", self.language, far=f"{math.hypot(x, y):.0f}", way=towards)
        if not draw.get("has_grip", True):
            said += f", {self.label('no_grip')}"
        if draw.get("held_by_hand"):
            said += f", {self.label('held_by_hand')}"
        return said

    def left(self, left: Sequence[Sequence[Any]]) -> Iterator[Flowable]:
        """Yield the warning about cores that can't be drawn, if there are any."""
        if left:
            names = figures.core_names(self.plan)
            shown = ", ".join(f"{names[core]} {copy_number + 1}" for core, copy_number in left)
            yield paper.banner(text("cannot_be_drawn", self.language, cores=shown))

    def from_the_top(self, box: Mapping[str, Any]) -> Flowable:
        """Return the cores of a box by the height of their tops."""
        assert self.shapes is not None
        names = figures.core_names(self.plan)
        tops = [
            (
                placed_extents(self.shapes[item["core"]], item["matrix"])[1][2],
                names[item["core"]],
                item["copy"] + 1,
            )
            for item in box["placements"]
            if item["core"] in self.shapes
        ]
        rows = [
            (name, str(copy), figures.fixed(top, 1, self.language))
            for top, name, copy in sorted(tops, key=lambda row: (-row[0], row[1], row[2]))
        ]
        heads = ((self.label("core"), False), (self.label("copy"), True), (self.label("top_mm"), True))
        return paper.table(heads, rows, (5, 1, 2))
