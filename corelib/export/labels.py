"""Core labels and box cards (PDF) with a QR code (ISO/IEC 18004): they go with the cores through the shop."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

import segno
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from corelib.export import figures, paper
from corelib.export.figures import Plan, label, quantity, text
from corelib.export.packing_pictures import BoxPictures
from corelib.export.reading import box_rows

LABEL_COLUMNS = 3
QR_MM = 20.0
QUIET_MODULES = 4
"""Light modules that ISO/IEC 18004 asks for around the code."""
MOST_CONTENTS = 12
"""Core types listed on a box card; the rest is summed in a last row, as a card has one page."""
MOST_LETTERS = 64


def label_code(plan: Plan, box: int, item: Mapping[str, Any] | None = None) -> str:
    """Return what a code says: plan, box (from 1), and on a core's label its id and copy (from 1)."""
    parts = ["corestow", str(plan["job_sha256"])[:12], f"box={box + 1}"]
    if item is not None:
        parts += [f"core={item['core']}", f"copy={item['copy'] + 1}"]
    return ";".join(parts)


class QrCode(Flowable):
    """A QR code with its quiet zone, error correction level M or better, drawn as one path."""

    def __init__(self, words: str, size_mm: float = QR_MM) -> None:
        super().__init__()
        self.width = self.height = size_mm * mm
        self.modules = [list(row) for row in segno.make_qr(words, error="m").matrix]

    def runs(self) -> Iterator[tuple[float, float, float, float]]:
        """Yield the dark runs of each row as x, y, width, height in points, y upwards."""
        edge = self.width / (len(self.modules) + 2 * QUIET_MODULES)
        for row_number, row in enumerate(self.modules):
            y = (QUIET_MODULES + len(self.modules) - 1 - row_number) * edge
            column = 0
            for is_dark, cells in groupby(row):
                length = len(list(cells))
                if is_dark:
                    # a hair of overlap: no light seam between rows
                    yield (QUIET_MODULES + column) * edge, y - 0.01, length * edge, edge + 0.02
                column += length

    def draw(self) -> None:
        """Draw the code; called by the page maker."""
        path = self.canv.beginPath()
        for run in self.runs():
            path.rect(*run)
        self.canv.setFillColor(paper.INK)
        self.canv.drawPath(path, stroke=0, fill=1)


def core_labels(plan: Plan, heading: paper.Heading) -> bytes:
    """Return labels to cut out, one a core copy, in box and core order."""
    language = heading.language
    names = figures.core_names(plan)
    counts = Counter(item["core"] for box in plan["boxes"] for item in box["placements"])
    cells: list[Flowable] = []
    width = paper.text_width(heading.paper) / LABEL_COLUMNS
    for number, box in enumerate(plan["boxes"]):
        for item in box["placements"]:
            words = [
                paper.paragraph(names[item["core"]][:60], paper.HEAD),
                paper.paragraph(
                    text(
                        "copy_of",
                        language,
                        copy=item["copy"] + 1,
                        copies=counts[item["core"]],
                        box=number + 1,
                    ),
                    paper.CELL,
                ),
                paper.paragraph(_belongs(plan, item, language), paper.TINY),
                *(paper.paragraph(line, paper.TINY) for line in _to_fill_in(plan, language)),
            ]
            code = QrCode(label_code(plan, number, item))
            cells.append(paper.side_by_side(code, paper.stack(words), QR_MM * mm, width - QR_MM * mm - 6))
    if not cells:
        cells.append(paper.paragraph(label("no_cores", language)))
    return paper.pdf(heading, [paper.cut_grid(cells, LABEL_COLUMNS)])


def _belongs(plan: Plan, item: Mapping[str, Any], language: str) -> str:
    job = str(plan["job"]["name"])[:48]
    if item.get("set_id") is None:
        return job
    return f"{job} · {label('casting_set', language)} {item['set_id']} {item['set_index'] + 1}"


def _to_fill_in(plan: Plan, language: str) -> list[str]:
    hours = plan["profiles"].get("process", {}).get("cured_use_by_h")
    blanks = [label(name, language) for name in ("sand_blank", "binder_blank", "cured_blank")]
    return [*blanks, text("use_within", language, hours=figures.number(hours, language))] if hours else blanks


def box_cards(plan: Plan, heading: paper.Heading, pictures: BoxPictures | None = None) -> bytes:
    """Return a card for each box, one page each: contents, masses, code, and what is written in by hand."""
    story: list[Flowable] = []
    for row in box_rows(plan):
        if story:
            story.append(PageBreak())
        story += _card(plan, row.number, heading, pictures)
    return paper.pdf(heading, story)


def _cut(name: str) -> str:
    """Return a name short enough for a card of one page."""
    return name if len(name) <= MOST_LETTERS else name[: MOST_LETTERS - 1].rstrip() + "…"


def _card(plan: Plan, box: int, heading: paper.Heading, pictures: BoxPictures | None) -> Iterator[Flowable]:
    language, width = heading.language, paper.text_width(heading.paper)
    row = box_rows(plan)[box]
    title = text("box_of", language, box=box + 1, boxes=len(plan["boxes"]))
    words = [paper.paragraph(title, paper.HUGE), paper.paragraph(_cut(plan["job"]["name"]), paper.TITLE)]
    if plan["job"].get("customer"):
        customer = _cut(plan["job"]["customer"])
        words.append(paper.paragraph(text("for_customer", language, customer=customer)))
    code = QrCode(label_code(plan, box), 38.0)
    yield paper.side_by_side(paper.stack(words), code, width - 42 * mm, 42 * mm)
    yield Spacer(1, 6)
    yield paper.key_figures(
        [
            (label("gross_box_kg", language), quantity(row.gross_kg, "kg", language)),
            (label("height_mm", language), quantity(row.height_mm, "mm", language)),
            (label("layer_count", language), str(row.layer_count)),
            (label("build_time_s", language), quantity(row.build_time_s, "s", language)),
        ]
    )
    yield paper.heading(label("contents", language), paper.H3)
    heads = ((label("core", language), False), (label("copies", language), True))
    contents = [(_cut(name), str(count)) for name, count in row.copies[:MOST_CONTENTS]]
    if len(row.copies) > MOST_CONTENTS:
        more = text("more_core_types", language, count=len(row.copies) - MOST_CONTENTS)
        contents.append((more, str(sum(count for _, count in row.copies[MOST_CONTENTS:]))))
    yield paper.table(heads, contents, (6, 1))
    if pictures is not None:
        yield Spacer(1, 6)
        yield paper.picture(pictures.box(box), width, 70 * mm)
    yield paper.heading(label("shop_record", language), paper.H3)
    yield paper.table(
        (
            (label("step", language), False),
            (label("record", language), False),
            (label("name_date", language), False),
        ),
        [(label(name, language), "", "") for name in RECORDS],
        (4, 3, 3),
        row_height=9 * mm,
    )


RECORDS: Sequence[str] = (
    "record_sand_batch",
    "record_binder_batch",
    "record_printed",
    "record_cured",
    "record_bed_c",
    "record_unpacked",
)
