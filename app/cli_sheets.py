"""Commands that write what leaves the program: quotation, comparison, sheets, numbered cores."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from app.console import HAS_STOP, OK, progress, read_meshes_soon, say, three_numbers, whole_numbers


def quote(
    job: Path,
    *,
    sets: str,
    out: Path | None = None,
    language: Literal["en", "de"] = "en",
    paper: Literal["A4", "Letter"] = "A4",
) -> int:
    """Quote a job for several quantities of its casting sets: customer's quotation and internal cost sheet.

    Parameters
    ----------
    job
        The job file.
    sets
        Quantities of sets, as 1,10,50; each is packed into boxes anew.
    out
        Folder for the files; JOB.quote beside the job if not said.
    language
        Language of the sheets.
    paper
        Size of the printed sheets.
    """
    from app.settings import load_letterhead

    read_meshes_soon()
    from corelib.usecases.quoting import Letterhead, quotation_lines, quote_to_folder

    result = quote_to_folder(
        job,
        sets,
        out,
        language=language,
        paper=paper,
        letterhead=Letterhead(*load_letterhead()),
        progress=progress(),
        shown=say,
    )
    print("\n".join(quotation_lines(result.cost_sheet)))
    print(f"\nFiles: {result.folder} (customer/ goes out, internal/ stays)")
    return HAS_STOP if result.has_stop else OK


def compare(
    *plans: Path,
    out: Path | None = None,
    language: Literal["en", "de"] = "en",
    paper: Literal["A4", "Letter"] = "A4",
) -> int:
    """Lay two to six plans side by side: key figures with differences, and what each is better at.

    Parameters
    ----------
    plans
        Plan files (plan.json), or the folders that hold them.
    out
        File to write the comparison to as PDF.
    language
        Language of the text and the sheet.
    paper
        Size of the printed sheet.
    """
    from app.settings import load_letterhead
    from corelib.usecases.comparing import Letterhead, compare_files, comparison_lines, write_comparison

    comparison = compare_files(plans)
    if out is not None:
        letterhead = Letterhead(*load_letterhead())
        write_comparison(comparison, out, language=language, paper=paper, letterhead=letterhead)
    print("\n".join(comparison_lines(comparison, language)))
    return OK


def sheets(
    what: Path,
    *,
    out: Path | None = None,
    only: str | None = None,
    paper: Literal["A4", "Letter"] = "A4",
    language: Literal["en", "de"] = "en",
    layer: str | None = None,
) -> int:
    """Write plan sheet, labels, workbook, tables, models and layers of a job or a plan.

    Parameters
    ----------
    what
        A job file (planned now), or a plan.json or its folder (shown as it stands).
    out
        Folder for the files; JOB.sheets beside the file if not said.
    only
        Sheets to write, as plan-sheet,labels; all but layer-bodies if not said. layer-bodies is each core
        as its printed layers stand on one another, bleed drawn in (STL; takes up to a minute a core).
    paper
        Size of printed sheets.
    language
        Language of the sheets.
    layer
        Layers to draw as SVG, as 0,120,400; the one with the largest area if not said.
    """
    from app.settings import load_letterhead

    read_meshes_soon()
    from corelib.usecases.sheets import Letterhead, SheetsAsked, write_sheets

    asked = SheetsAsked(
        only=tuple(part.strip() for part in only.split(",") if part.strip()) if only else (),
        paper=paper,
        language=language,
        layers=tuple(whole_numbers("--layer", layer)),
        letterhead=Letterhead(*load_letterhead()),
    )
    result = write_sheets(what, out, asked, progress=progress())
    print("\n".join(result.files))
    print(f"\nFiles: {result.folder}")
    return OK


def number(
    mesh: Path,
    signs: str,
    *,
    at: str,
    normal: str,
    out: Path,
    height: float = 10.0,
    depth: float = 1.0,
    unit: str | None = None,
) -> int:
    """Sink a number into a flat face of a core, as on a core print, and write the core as a new mesh.

    Parameters
    ----------
    mesh
        The core's mesh file; it stays as it is.
    signs
        The number: 0 to 9 and -, at most 12 signs.
    at
        Middle of the number, a point on the face, as X,Y,Z in mm.
    normal
        Direction out of the face, as X,Y,Z.
    out
        The new mesh file (.stl, mm).
    height
        Height of the signs in mm; a stroke is a fifth of it wide.
    depth
        How deep the number is sunk, in mm.
    unit
        Length unit of a mesh whose format has none.
    """
    from corelib.usecases.numbering import NumberFace, number_file

    face = NumberFace(three_numbers("--at", at), three_numbers("--normal", normal), height, depth)
    made = number_file(mesh, out, signs, face, unit=unit)
    print(f"{out}: {len(made.faces)} triangles")
    return OK
