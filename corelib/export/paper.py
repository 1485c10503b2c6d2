"""What all printed sheets share: fonts, page frame with `page x of y`, tables, pictures, cautions."""

from __future__ import annotations

import io
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from html import escape
from typing import Any, Literal

from reportlab import rl_config
from reportlab.graphics.shapes import STATE_DEFAULTS
from reportlab.lib import colors, pagesizes
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    Image,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from corelib.export.cautions import Caution
from corelib.export.figures import label, text
from corelib.export.letterhead import Letterhead
from corelib.export.lettering import visual
from corelib.reference import shared_folder

PaperSize = Literal["A4", "Letter"]
FONT, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
INK = colors.HexColor("#1d2126")
SOFT = colors.HexColor("#5b6570")
HAIR = colors.HexColor("#c4cad0")
BAND = colors.HexColor("#eef1f3")
STOP = colors.HexColor("#b3261e")
CHECK = colors.HexColor("#8a5a00")
NOTE = colors.HexColor("#2f5d8a")
AREA = colors.HexColor("#b98b4e")
SEVERITY_COLOURS = {"stop": STOP, "check": CHECK, "note": NOTE}
MARGIN = 16 * mm


@dataclass(frozen=True)
class Heading:
    """What stands on every page of a document: its title, whose it is, its revision, and whether it holds."""

    title: str
    subject: str
    revision: str
    date: str = ""
    letterhead: Letterhead = field(default_factory=Letterhead)
    out_of_date: bool = False
    language: str = "en"
    paper: PaperSize = "A4"


@cache
def glyphs() -> Container[int]:
    """Register the embedded fonts once; return the code points that they have."""
    folder = shared_folder() / "fonts"
    for name in (FONT, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
    rl_config.useA85 = 0  # pictures as they are compressed, not as text
    STATE_DEFAULTS["fontName"] = FONT  # a drawing would else name a font that is not embedded
    pdfmetrics.registerFontFamily(FONT, normal=FONT, bold=BOLD, italic=FONT, boldItalic=BOLD)
    return frozenset(pdfmetrics.getFont(FONT).face.charToGlyph)


def style(name: str, size: float, **more: Any) -> ParagraphStyle:
    """Return a paragraph style in the embedded font and the sheets' ink."""
    settings = {"fontName": FONT, "bulletFontName": FONT, "fontSize": size, "leading": size * 1.28}
    settings |= {"textColor": INK, **more}
    return ParagraphStyle(name, **settings)


BODY = style("body", 9)
SMALL = style("small", 7.5, textColor=SOFT)
CELL = style("cell", 8.2)
CELL_RIGHT = style("cell right", 8.2, alignment=TA_RIGHT)
HEAD = style("head", 8.2, fontName=BOLD)
HEAD_RIGHT = style("head right", 8.2, fontName=BOLD, alignment=TA_RIGHT)
TITLE = style("title", 17, fontName=BOLD, spaceAfter=2)
HUGE = style("huge", 30, fontName=BOLD, spaceAfter=6)
TINY = style("tiny", 6.6)
H2 = style("h2", 12, fontName=BOLD, spaceBefore=12, spaceAfter=4, keepWithNext=1)
H3 = style("h3", 9.5, fontName=BOLD, spaceBefore=7, spaceAfter=3, keepWithNext=1)


def said(value: object) -> str:
    """Return a user's text for a paragraph: set in visual order, escaped, missing glyphs marked."""
    return escape(visual(str(value), glyphs()), quote=False)


def paragraph(value: object, style: ParagraphStyle = BODY) -> Paragraph:
    """Return a paragraph of plain text."""
    return Paragraph(said(value), style)


def heading(value: object, style: ParagraphStyle = H2) -> Paragraph:
    """Return a heading that stays with what follows."""
    return Paragraph(said(value), style)


def table(
    heads: Sequence[tuple[str, bool]],
    rows: Iterable[Sequence[object]],
    widths: Sequence[float],
    *,
    total_rows: int = 0,
    row_height: float | None = None,
) -> Table:
    """Return a table whose head repeats on each page; each head says whether its column holds numbers.

    `widths` are shares of the text's width. A cell may be text or a flowable; the last `total_rows` are bold.
    """
    lines = [list(row) for row in rows]
    cells: list[list[Any]] = [[paragraph(name, HEAD_RIGHT if right else HEAD) for name, right in heads]]
    for index, line in enumerate(lines):
        is_total = index >= len(lines) - total_rows
        cells.append([_cell(value, right, is_total) for value, (_, right) in zip(line, heads, strict=True)])
    whole = sum(widths)
    heights = None if row_height is None else [None, *([row_height] * len(lines))]
    made = Table(cells, [f"{width / whole * 100}%" for width in widths], heights, repeatRows=1)
    style: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, HAIR),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ]
    if total_rows and lines:
        style.append(("LINEABOVE", (0, -total_rows), (-1, -total_rows), 0.8, INK))
    made.setStyle(lettered(style))
    return made


def lettered(commands: Sequence[tuple[Any, ...]]) -> TableStyle:
    """Return a table style in the embedded font: even an empty cell would else name one that is not there."""
    return TableStyle([("FONTNAME", (0, 0), (-1, -1), FONT), *commands])


def _cell(value: object, right: bool, is_total: bool) -> object:
    if isinstance(value, Flowable):
        return value
    if is_total:
        return paragraph(value, HEAD_RIGHT if right else HEAD)
    return paragraph(value, CELL_RIGHT if right else CELL)


def key_figures(pairs: Sequence[tuple[str, str]], columns: int = 4) -> Table:
    """Return figures with their names in a grid, large enough to read at arm's length."""
    value_style = style("key value", 10.4, fontName=BOLD)
    cells: list[Any] = [[paragraph(name, SMALL), paragraph(value, value_style)] for name, value in pairs]
    cells += [""] * (-len(cells) % columns)
    rows = [cells[start : start + columns] for start in range(0, len(cells), columns)]
    made = Table(rows, colWidths=[f"{100 / columns}%"] * columns)
    made.setStyle(
        lettered(
            [
                ("BACKGROUND", (0, 0), (-1, -1), BAND),
                ("INNERGRID", (0, 0), (-1, -1), 3, colors.white),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("TOPPADDING", (0, 0), (-1, -1), 4),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
            ]
        )
    )
    return made


def banner(words: str, colour: colors.Color = STOP) -> Table:
    """Return a framed sentence that can't be overlooked."""
    made = Table([[Paragraph(said(words), style("banner", 10, fontName=BOLD, textColor=colour))]], ["100%"])
    made.setStyle(lettered([("BOX", (0, 0), (-1, -1), 1.4, colour), ("BOTTOMPADDING", (0, 0), (-1, -1), 5)]))
    return made


def caution_box(caution: Caution) -> KeepTogether:
    """Return one caution in a frame with the warning triangle, and what stops until it is acknowledged."""
    stop = caution.stop
    colour = STOP if stop else CHECK
    what = Paragraph("⚠\u00a0" + said(caution.wording.what), style("caution", 8.6, fontName=BOLD))
    rest = Paragraph(said(f"{caution.wording.why} {caution.wording.next}"), style("caution rest", 8.2))
    signed = (
        [Paragraph(said(stop), style("caution stop", 8.6, fontName=BOLD, textColor=STOP))] if stop else []
    )
    made = Table([[[what, rest, *signed]]], ["100%"])
    made.setStyle(
        lettered(
            [
                ("BOX", (0, 0), (-1, -1), 0.8, colour),
                ("LINEBEFORE", (0, 0), (0, -1), 3, colour),
                ("LEFTPADDING", (0, 0), (-1, -1), 7),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
            ]
        )
    )
    return KeepTogether([made, Spacer(1, 3)])


def finding_box(severity: str, place: str, message: str, remedy: str, language: str) -> KeepTogether:
    """Return one finding with its severity in words and colour."""
    colour = SEVERITY_COLOURS[severity]
    name = label(severity, language) + (f" · {place}" if place else "")
    lines = [Paragraph(said(name), style("severity", 8.6, fontName=BOLD, textColor=colour))]
    lines.append(Paragraph(said(message), CELL))
    if remedy:
        lines.append(Paragraph(said(remedy), CELL))
    made = Table([[lines]], ["100%"])
    made.setStyle(
        lettered(
            [
                ("LINEBEFORE", (0, 0), (0, -1), 3, colour),
                ("LEFTPADDING", (0, 0), (-1, -1), 7),
                ("TOPPADDING", (0, 0), (-1, -1), 1),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
            ]
        )
    )
    return KeepTogether([made, Spacer(1, 4)])


def picture(png: bytes, width: float, most_height: float | None = None) -> Image:
    """Return a picture `width` points wide, smaller where it would be higher than `most_height`."""
    pixels_x, pixels_y = ImageReader(io.BytesIO(png)).getSize()
    height = width * pixels_y / pixels_x
    if most_height is not None and height > most_height:
        width, height = width * most_height / height, most_height
    return Image(io.BytesIO(png), width, height)


def text_width(paper: PaperSize) -> float:
    """Return the width of the text in points."""
    return float(_page_size(paper)[0] - 2 * MARGIN)


def _page_size(paper: PaperSize) -> tuple[float, float]:
    size = {"A4": pagesizes.A4, "Letter": pagesizes.LETTER}[paper]
    return float(size[0]), float(size[1])


class _NumberedCanvas(Canvas):
    """Holds all pages back until their number is known, so that each can say `page x of y`."""

    def __init__(self, *arguments: Any, frame_of: Heading, **settings: Any) -> None:
        super().__init__(*arguments, **{**settings, "initialFontName": FONT})
        self._frame_of = frame_of
        self._held: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 - the PDF writer's own name
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for page, state in enumerate(self._held, start=1):
            self.__dict__.update(state)
            _draw_frame(self, self._frame_of, page, len(self._held))
            super().showPage()
        super().save()


def _draw_frame(canvas: Canvas, frame: Heading, page: int, pages: int) -> None:
    width, height = _page_size(frame.paper)
    canvas.setStrokeColor(HAIR)
    canvas.setLineWidth(0.5)
    canvas.line(MARGIN, height - 14 * mm, width - MARGIN, height - 14 * mm)
    canvas.line(MARGIN, 13 * mm, width - MARGIN, 13 * mm)
    canvas.setFillColor(SOFT)
    canvas.setFont(BOLD, 8)
    owner = frame.letterhead.name
    shown_owner = shortened(owner, BOLD, 8, 60 * mm)
    canvas.drawRightString(width - MARGIN, height - 12 * mm, shown_owner)
    left = shortened(
        f"{frame.title} · {frame.subject}", BOLD, 8, width - 2 * MARGIN - (64 * mm if owner else 0)
    )
    canvas.drawString(MARGIN, height - 12 * mm, left)
    canvas.setFont(FONT, 7.5)
    revision = text("revision", frame.language, revision=frame.revision) if frame.revision else ""
    about = " · ".join(part for part in (revision, frame.date) if part)
    canvas.drawString(MARGIN, 9 * mm, visual(about, glyphs()))
    canvas.drawRightString(width - MARGIN, 9 * mm, text("page_of", frame.language, page=page, pages=pages))
    if frame.out_of_date:
        canvas.setFillColor(STOP)
        canvas.setFont(BOLD, 8)
        canvas.drawCentredString(width / 2, height - 8 * mm, label("out_of_date_short", frame.language))


def shortened(words: str, font: str, size: float, most: float) -> str:
    """Return the text, ended by … where it would be wider than `most` points."""
    shown = visual(words, glyphs())
    if pdfmetrics.stringWidth(shown, font, size) <= most:
        return shown
    while shown and pdfmetrics.stringWidth(shown + "…", font, size) > most:
        shown = shown[:-1]
    return shown.rstrip() + "…"


def pdf(frame: Heading, story: Sequence[Flowable], properties: Mapping[str, str] | None = None) -> bytes:
    """Return a PDF of the flowables; same story, same bytes (no clock, no random names)."""
    glyphs()
    stream = io.BytesIO()
    width, height = _page_size(frame.paper)
    known = {"title": frame.title, "author": frame.letterhead.name, "subject": frame.subject}
    document = BaseDocTemplate(
        stream,
        pagesize=(width, height),
        invariant=1,
        pageCompression=1,
        lang=frame.language,
        creator="Corestow",
        producer="Corestow",
        **{**known, **(properties or {})},
    )
    body = Frame(MARGIN, 16 * mm, width - 2 * MARGIN, height - 32 * mm, 0, 0, 0, 0)
    document.addPageTemplates([PageTemplate("sheet", [body])])

    def canvas(*arguments: Any, **settings: Any) -> _NumberedCanvas:
        return _NumberedCanvas(*arguments, frame_of=frame, **settings)

    document.build(list(story), canvasmaker=canvas)
    return stream.getvalue()


def stack(flowables: Sequence[Flowable]) -> Table:
    """Return flowables one under another, for one cell of a table."""
    made = Table([[flowable] for flowable in flowables], ["100%"])
    nothing = [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    made.setStyle(lettered(nothing))
    return made


def side_by_side(left: Flowable, right: Flowable, left_width: float, right_width: float) -> Table:
    """Return two flowables beside each other."""
    made = Table([[left, right]], [left_width, right_width])
    nothing = [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    made.setStyle(lettered([*nothing, ("VALIGN", (0, 0), (-1, -1), "TOP")]))
    return made


def grid(cells: Sequence[Flowable], columns: int) -> Table:
    """Return cells beside and under one another; rows never break over pages."""
    filled = [*cells, *([""] * (-len(cells) % columns))]
    rows = [filled[start : start + columns] for start in range(0, len(filled), columns)]
    made = Table(rows or [[""]], [f"{100 / columns}%"] * columns)
    pads = [(f"{side}PADDING", (0, 0), (-1, -1), 3) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    made.setStyle(lettered([*pads, ("VALIGN", (0, 0), (-1, -1), "TOP")]))
    return made


def cut_grid(cells: Sequence[Flowable], columns: int) -> Table:
    """Return cells in a grid with dashed lines to cut along."""
    made = grid(cells, columns)
    dashed = (0, 0), (-1, -1), 0.4, HAIR, None, (3, 3)
    made.setStyle(lettered([("INNERGRID", *dashed), ("BOX", *dashed)]))
    return made


def bullet(words: str) -> Paragraph:
    """Return one item of a list."""
    return Paragraph(said(words), style("bullet", 9, leftIndent=10, bulletIndent=0), bulletText="•")


def facts(pairs: Sequence[tuple[str, str]]) -> Table:
    """Return names and values in two narrow columns, without lines."""
    rows = [[paragraph(name, SMALL), paragraph(value, BODY)] for name, value in pairs]
    made = Table(rows, [38 * mm, None])
    pads = [(f"{side}PADDING", (0, 0), (-1, -1), 1) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    made.setStyle(lettered([*pads, ("VALIGN", (0, 0), (-1, -1), "BOTTOM")]))
    return made


def letter_top(frame: Heading) -> list[Flowable]:
    """Return the foundry's mark, name and address as the top of a letter; nothing without a letterhead."""
    own = frame.letterhead
    if not own.name and own.mark is None:
        return []
    lines: list[Flowable] = [paragraph(own.name, HEAD), *(paragraph(line, SMALL) for line in own.address)]
    if own.mark is None:
        return [stack(lines), Spacer(1, 10)]
    mark = picture(own.mark, 42 * mm, 18 * mm)
    mark.hAlign = "RIGHT"
    width = text_width(frame.paper)
    return [side_by_side(stack(lines), mark, width - 45 * mm, 45 * mm), Spacer(1, 10)]


def long_part(title: str, made: Flowable, room: float = 45 * mm, size: float = 9.5) -> list[Flowable]:
    """Return a heading and a table that may break over pages; both start only where there is some room."""
    free = style("free heading", size, fontName=BOLD, spaceBefore=size - 2, spaceAfter=3)
    return [CondPageBreak(room), Paragraph(said(title), free), made]
